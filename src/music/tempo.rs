//! Tempo in beats a minute, exact to a thousandth.

use std::fmt;

use num_rational::Ratio;

use super::count;
use super::meter::Meter;
use super::time::Length;

/// A tempo: beats a minute, where the beat is the meter's (dotted in 6/8, 9/8, 12/8). Kept in thousandths of a beat.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Tempo {
    thousandths: u32,
}

/// The slowest tempo that is accepted: 10 beats a minute.
pub const SLOWEST: Tempo = Tempo { thousandths: 10_000 };

/// The fastest tempo that is accepted: 400 beats a minute, far above mambo's 210.
pub const FASTEST: Tempo = Tempo { thousandths: 400_000 };

impl Default for Tempo {
    /// 120, as a Standard MIDI File without a tempo.
    fn default() -> Self {
        Tempo { thousandths: 120_000 }
    }
}

impl Tempo {
    /// A tempo from beats a minute; `None` outside [`SLOWEST`] to [`FASTEST`].
    pub fn bpm(beats_a_minute: f64) -> Option<Tempo> {
        let thousandths = (beats_a_minute * 1000.0).round();
        let fits = thousandths >= f64::from(SLOWEST.thousandths) && thousandths <= f64::from(FASTEST.thousandths);
        fits.then_some(Tempo { thousandths: count(thousandths) as u32 })
    }

    /// Beats a minute.
    pub fn beats_a_minute(self) -> f64 {
        f64::from(self.thousandths) / 1000.0
    }

    /// The tempo at `percent` of this one, held within [`SLOWEST`] and [`FASTEST`].
    pub fn at_percent(self, percent: f64) -> Tempo {
        Tempo::bpm(self.beats_a_minute() * percent / 100.0).unwrap_or(if percent < 100.0 { SLOWEST } else { FASTEST })
    }

    /// Quarter notes a minute in a meter, exact.
    pub fn quarters_a_minute(self, meter: Meter) -> Ratio<i64> {
        meter.beat().ratio() * Ratio::new(i64::from(self.thousandths), 1000)
    }

    /// How many seconds a length of musical time lasts in a meter.
    pub fn seconds(self, length: Length, meter: Meter) -> f64 {
        let quarters = self.quarters_a_minute(meter);
        length.as_f64() * 60.0 * *quarters.denom() as f64 / *quarters.numer() as f64
    }
}

impl fmt::Display for Tempo {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.beats_a_minute().fmt(f)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_beat_of_six_eight_is_dotted() {
        let meter = Meter::new(6, 8).expect("a meter");
        let tempo = Tempo::bpm(60.0).expect("a tempo");
        assert_eq!(tempo.quarters_a_minute(meter), Ratio::from_integer(90));
        assert!((tempo.seconds(meter.bar(), meter) - 2.0).abs() < 1e-12);
    }

    #[test]
    fn bounds() {
        assert_eq!(Tempo::bpm(0.0), None);
        assert_eq!(Tempo::bpm(1e9), None);
        assert_eq!(Tempo::bpm(f64::NAN), None);
        assert_eq!(Tempo::bpm(92.5).map(|t| t.to_string()).as_deref(), Some("92.5"));
    }
}

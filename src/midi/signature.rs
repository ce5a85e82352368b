//! Time signatures: where a reader of the file draws bar lines, and what its metronome clicks.

use midly::MetaMessage;

use crate::music::{Length, Meter, Moment};
use crate::performance::stroke::BarAt;

/// MIDI clocks a quarter, in which a time signature says how long a click is (Standard MIDI Files 1.0).
const CLOCKS_A_QUARTER: i64 = 24;

/// How many 32nds a quarter is; other values than 8 are for odd notation.
const THIRTY_SECONDS_A_QUARTER: u8 = 8;

/// A time signature from a moment on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Signature {
    /// From when on.
    pub at: Moment,
    /// The meter that a bar of this length has.
    pub shown: Meter,
    /// What the metronome clicks: the beat of the tune's meter, also in a pickup.
    pub beat: Length,
}

impl Signature {
    /// The meta event that says so.
    pub fn message(self) -> MetaMessage<'static> {
        let clocks = (self.beat.ratio() * CLOCKS_A_QUARTER).to_integer().unsigned_abs() as u8;
        let power = self.shown.unit().trailing_zeros() as u8;
        MetaMessage::TimeSignature(self.shown.count(), power, clocks, THIRTY_SECONDS_A_QUARTER)
    }
}

/// The time signatures that put a reader's bar lines in the same places as the tune's.
///
/// - `meters`: rising in time; the first at the start.
/// - `bars`: rising in time. A bar that is shorter or longer than its meter has a signature of its own, and so has one that
///   begins off the grid of the bars before it, for example after a count-in that leaves room for a pickup.
pub fn signatures(meters: &[(Moment, Meter)], bars: &[BarAt]) -> Vec<Signature> {
    let first = meters.first().map_or_else(Meter::default, |(_, meter)| *meter);
    let mut signatures = vec![Signature { at: Moment::START, shown: first, beat: first.beat() }];
    for bar in bars {
        let known = meters.partition_point(|(at, _)| *at <= bar.at);
        let meter = meters[..known].last().map_or(first, |(_, meter)| *meter);
        let signature = Signature { at: bar.at, shown: meter_of(bar.length, meter), beat: meter.beat() };
        let last = signatures.last_mut().expect("there is a first one");
        let on_its_grid = (bar.at - last.at).per(signature.shown.bar()).is_integer();
        if last.at == bar.at {
            *last = signature;
        } else if (last.shown, last.beat) != (signature.shown, signature.beat) || !on_its_grid {
            signatures.push(signature);
        }
    }
    signatures
}

/// The meter of a bar that may be shorter or longer than its section's meter says. A length that no meter has keeps the
/// section's.
fn meter_of(length: Length, meter: Meter) -> Meter {
    if length == meter.bar() {
        return meter;
    }
    let units = [1, 2, 4, 8, 16, 32].into_iter().filter(|unit| *unit >= meter.unit());
    let meters = units.filter_map(|unit| {
        let count = length.per(Length::quarters(4, i64::from(unit)));
        let count = count.is_integer().then(|| u8::try_from(count.to_integer()).ok())??;
        Meter::new(count, unit)
    });
    meters.into_iter().next().unwrap_or(meter)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn quarters(quarters: i64) -> Moment {
        Moment::after(Length::quarters(quarters, 1))
    }

    /// The signatures of bars that follow each other from a moment on: quarters, upper and lower number.
    fn shown(meter: Meter, from: i64, lengths: &[i64]) -> Vec<(i64, u8, u8)> {
        let mut at = quarters(from);
        let mut bars = Vec::new();
        for length in lengths {
            bars.push(BarAt { at, length: Length::quarters(*length, 1), section: 0, bar: 0 });
            at = at + Length::quarters(*length, 1);
        }
        let list = signatures(&[(Moment::START, meter)], &bars);
        list.iter().map(|s| (s.at.as_f64() as i64, s.shown.count(), s.shown.unit())).collect()
    }

    #[test]
    fn a_pickup_has_its_own() {
        assert_eq!(shown(Meter::default(), 0, &[4, 4]), [(0, 4, 4)]);
        assert_eq!(shown(Meter::default(), 0, &[1, 4, 4]), [(0, 1, 4), (1, 4, 4)]);
        // After a count-in of two bars, and of two bars less the pickup.
        assert_eq!(shown(Meter::default(), 8, &[1, 4]), [(0, 4, 4), (8, 1, 4), (9, 4, 4)]);
        assert_eq!(shown(Meter::default(), 7, &[1, 4]), [(0, 4, 4), (7, 1, 4), (8, 4, 4)]);
    }

    #[test]
    fn a_bar_off_the_grid_starts_a_new_one() {
        assert_eq!(shown(Meter::default(), 3, &[4, 4]), [(0, 4, 4), (3, 4, 4)]);
    }

    #[test]
    fn the_click_of_a_pickup_is_the_tunes_beat() {
        let meter = Meter::new(6, 8).expect("a meter");
        let bar = |at: Length, length: Length| BarAt { at: Moment::after(at), length, section: 0, bar: 0 };
        let beat = Length::quarters(3, 2);
        let list = signatures(&[(Moment::START, meter)], &[bar(Length::ZERO, beat), bar(beat, meter.bar())]);
        let messages: Vec<MetaMessage<'_>> = list.iter().map(|signature| signature.message()).collect();
        assert_eq!(messages, [MetaMessage::TimeSignature(3, 3, 36, 8), MetaMessage::TimeSignature(6, 3, 36, 8)]);
    }
}

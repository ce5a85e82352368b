//! Cents and frequencies.

use super::count;
use super::pitch::Pitch;

/// A frequency in hertz.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Hertz(pub f64);

/// A small interval: a hundredth of an equal-tempered semitone.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Cents(pub f64);

impl Cents {
    /// The frequency ratio of the interval, 2^(cents/1200).
    pub fn ratio(self) -> f64 {
        (self.0 / 1200.0).exp2()
    }

    /// The interval from `from` up to `to`.
    pub fn between(from: Hertz, to: Hertz) -> Cents {
        Cents(1200.0 * (to.0 / from.0).log2())
    }
}

/// What a band is tuned to: the frequency of A4.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tuning {
    /// The frequency of A4. ISO 16 puts it at 440 Hz; measured pans sit 20 to 30 cents away as a whole.
    pub a4: Hertz,
}

impl Default for Tuning {
    fn default() -> Self {
        Tuning { a4: Hertz(440.0) }
    }
}

impl Tuning {
    /// The equal-tempered frequency of a pitch: a4 · 2^((key − 69)/12).
    ///
    /// ```
    /// # use panfold::music::Tuning;
    /// let middle_c = Tuning::default().frequency("C4".parse().unwrap());
    /// assert!((middle_c.0 - 261.6256).abs() < 0.0001);
    /// ```
    pub fn frequency(self, pitch: Pitch) -> Hertz {
        Hertz(self.a4.0 * ((f64::from(pitch.key()) - 69.0) / 12.0).exp2())
    }

    /// The frequency of a pitch that is mistuned by `cents`.
    pub fn frequency_off(self, pitch: Pitch, cents: Cents) -> Hertz {
        Hertz(self.frequency(pitch).0 * cents.ratio())
    }

    /// The nearest pitch to a frequency, and how far off it is; `None` outside MIDI's keys.
    pub fn nearest(self, frequency: Hertz) -> Option<(Pitch, Cents)> {
        let semitones = 69.0 + 12.0 * (frequency.0 / self.a4.0).log2();
        let key = semitones.round();
        if !(0.0..=127.0).contains(&key) {
            return None;
        }
        Some((Pitch::new(count(key) as u8)?, Cents(100.0 * (semitones - key))))
    }
}

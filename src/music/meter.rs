//! Meters: how many notes of which length make a bar, and what the beat is.

use std::fmt;
use std::str::FromStr;

use num_rational::Ratio;

use super::time::Length;

/// A meter such as 4/4 or 6/8.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Meter {
    count: u8,
    unit: u8,
}

/// The largest number of units in a bar: 64, more than any march, waltz or odd meter has.
pub const MAX_COUNT: u8 = 64;

impl Default for Meter {
    /// 4/4, as a Standard MIDI File without a time signature.
    fn default() -> Self {
        Meter { count: 4, unit: 4 }
    }
}

impl Meter {
    /// `count` notes of the kind `unit` (1, 2, 4, 8, 16 or 32) a bar; `None` for other units, 0, or a count over
    /// [`MAX_COUNT`].
    pub fn new(count: u8, unit: u8) -> Option<Meter> {
        let good = (1..=MAX_COUNT).contains(&count) && matches!(unit, 1 | 2 | 4 | 8 | 16 | 32);
        good.then_some(Meter { count, unit })
    }

    /// The upper number.
    pub fn count(self) -> u8 {
        self.count
    }

    /// The lower number.
    pub fn unit(self) -> u8 {
        self.unit
    }

    /// Whether the beat is a dotted note: 6/8, 9/8, 12/8 and the like (upper number 6, 9, 12 … over 8 or more).
    pub fn is_compound(self) -> bool {
        self.unit >= 8 && self.count > 3 && self.count.is_multiple_of(3)
    }

    /// The length of a bar.
    pub fn bar(self) -> Length {
        Length::quarters(4 * i64::from(self.count), i64::from(self.unit))
    }

    /// The length of a beat: the lower number's note, dotted (three of them) in compound meters.
    ///
    /// ```
    /// # use panfold::music::{Length, Meter};
    /// assert_eq!(Meter::new(6, 8).unwrap().beat(), Length::quarters(3, 2));
    /// assert_eq!(Meter::new(2, 4).unwrap().beat(), Length::quarters(1, 1));
    /// ```
    pub fn beat(self) -> Length {
        let units = if self.is_compound() { 3 } else { 1 };
        Length::quarters(4 * units, i64::from(self.unit))
    }

    /// How many beats a bar has.
    pub fn beats(self) -> u8 {
        if self.is_compound() { self.count / 3 } else { self.count }
    }

    /// Whether players of this meter expect a bar of some length to be cut into this many equal parts (common practice, no
    /// source): whole beats; a beat cut into halves, quarters, thirds, sixths and so on, a dotted beat into thirds, sixths
    /// and so on; and thirds of two beats or four, where the bar has more than one such group.
    ///
    /// ```
    /// # use panfold::music::Meter;
    /// let expected = |count, unit| {
    ///     let meter = Meter::new(count, unit).unwrap();
    ///     (1..=16).filter(|cells| meter.expects(meter.bar(), *cells)).collect::<Vec<_>>()
    /// };
    /// assert_eq!(expected(4, 4), [1, 2, 4, 6, 8, 12, 16]);
    /// assert_eq!(expected(3, 4), [1, 3, 6, 9, 12]);
    /// assert_eq!(expected(6, 8), [1, 2, 6, 12]);
    /// ```
    pub fn expects(self, length: Length, parts: usize) -> bool {
        if parts < 2 {
            return parts == 1;
        }
        let beats = length.per(self.beat());
        let part = beats / Ratio::from_integer(parts as i64);
        part.is_integer() || self.cuts_a_beat(part.recip()) || !self.is_compound() && is_third_of_group(beats, part)
    }

    /// Whether a beat is cut into so many parts.
    fn cuts_a_beat(self, parts: Ratio<i64>) -> bool {
        let odd = parts.numer() >> parts.numer().trailing_zeros();
        parts.is_integer() && (odd == 3 || odd == 1 && !self.is_compound())
    }
}

/// Whether a part, in beats, is a third of two beats or four, and the bar is made of more than one such group.
fn is_third_of_group(beats: Ratio<i64>, part: Ratio<i64>) -> bool {
    let group = part * 3;
    let groups = beats / group;
    [2, 4].map(Ratio::from_integer).contains(&group) && groups.is_integer() && groups > 1.into()
}

/// A text is no meter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MeterError;

impl fmt::Display for MeterError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "a meter is like 4/4 or 6/8: 1 to {MAX_COUNT} notes in a bar, of 1, 2, 4, 8, 16 or 32")
    }
}

impl std::error::Error for MeterError {}

impl FromStr for Meter {
    type Err = MeterError;

    /// Reads `6/8`.
    fn from_str(text: &str) -> Result<Meter, MeterError> {
        let numbers = text.split_once('/').and_then(|(count, unit)| Some((count.parse().ok()?, unit.parse().ok()?)));
        numbers.and_then(|(count, unit)| Meter::new(count, unit)).ok_or(MeterError)
    }
}

impl fmt::Display for Meter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.count, self.unit)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The numbers of parts up to 33 that a bar of a meter, or of so many of its beats, is expected to have.
    fn expected(count: u8, unit: u8, beats: Option<(i64, i64)>) -> Vec<usize> {
        let meter = Meter::new(count, unit).expect("a meter");
        let length = beats.map_or(meter.bar(), |(n, d)| meter.beat() * Ratio::new(n, d));
        (1..=33).filter(|parts| meter.expects(length, *parts)).collect()
    }

    #[test]
    fn bars_are_cut_by_beats_halves_quarters_and_thirds() {
        assert_eq!(expected(4, 4, None), [1, 2, 4, 6, 8, 12, 16, 24, 32]);
        assert_eq!(expected(2, 4, None), [1, 2, 4, 6, 8, 12, 16, 24, 32]);
        assert_eq!(expected(2, 2, None), [1, 2, 4, 6, 8, 12, 16, 24, 32]);
        assert_eq!(expected(3, 4, None), [1, 3, 6, 9, 12, 18, 24]);
        assert_eq!(expected(5, 4, None), [1, 5, 10, 15, 20, 30]);
        assert_eq!(expected(7, 8, None), [1, 7, 14, 21, 28]);
        assert_eq!(expected(6, 8, None), [1, 2, 6, 12, 24]);
        assert_eq!(expected(9, 8, None), [1, 3, 9, 18]);
        assert_eq!(expected(12, 8, None), [1, 2, 4, 12, 24]);
    }

    #[test]
    fn a_pickup_is_cut_by_what_beats_it_has() {
        assert_eq!(expected(4, 4, Some((1, 1))), [1, 2, 3, 4, 6, 8, 12, 16, 24, 32]);
        assert_eq!(expected(4, 4, Some((1, 2))), [1, 2, 3, 4, 6, 8, 12, 16, 24, 32]);
        assert_eq!(expected(3, 4, Some((3, 2))), [1, 3, 6, 9, 12, 18, 24]);
        assert_eq!(expected(6, 8, Some((1, 3))), [1, 2, 4, 8, 16, 32]);
    }
}

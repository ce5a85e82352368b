//! Meters: how many of which note make a bar, and what the beat is.

use std::fmt;

use super::time::Length;

/// A meter such as 4/4 or 6/8.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Meter {
    count: u8,
    unit: u8,
}

/// The largest number of units in a bar: 64, above any march, waltz, or odd meter.
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
}

impl fmt::Display for Meter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.count, self.unit)
    }
}

//! Exact musical time in quarter notes, as fractions: a third of a beat is a third, and a thousand bars don't drift.
//!
//! The Standard MIDI File counts in quarter notes too, whatever the meter's beat is.

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Sub};

use num_rational::Ratio;
use num_traits::{ToPrimitive, Zero};

/// A length of musical time in quarter notes, exact.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Length(Ratio<i64>);

/// An instant of musical time: the exact length in quarter notes from the start of a section, a tune or a performance.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Moment(Ratio<i64>);

impl Length {
    /// No time at all.
    pub const ZERO: Length = Length(Ratio::new_raw(0, 1));

    /// `numerator / denominator` quarter notes.
    ///
    /// # Panics
    /// When the denominator is 0.
    pub fn quarters(numerator: i64, denominator: i64) -> Length {
        Length(Ratio::new(numerator, denominator))
    }

    /// The fraction of quarter notes, in lowest terms.
    pub fn ratio(self) -> Ratio<i64> {
        self.0
    }

    /// The length cut into `parts` equal pieces, `count` of them.
    pub fn fraction(self, count: usize, parts: usize) -> Length {
        Length(self.0 * Ratio::new(count as i64, parts as i64))
    }

    /// The length as a decimal number of quarter notes.
    pub fn as_f64(self) -> f64 {
        self.0.to_f64().unwrap_or(f64::INFINITY)
    }

    /// How often `other` goes into this length, as an exact fraction.
    ///
    /// # Panics
    /// When `other` is zero.
    pub fn per(self, other: Length) -> Ratio<i64> {
        self.0 / other.0
    }

    /// Whether it is no time at all.
    pub fn is_zero(self) -> bool {
        self.0.is_zero()
    }
}

impl Default for Length {
    fn default() -> Self {
        Length::ZERO
    }
}

impl Moment {
    /// The start.
    pub const START: Moment = Moment(Ratio::new_raw(0, 1));

    /// The instant this long after the start.
    pub fn after(length: Length) -> Moment {
        Moment(length.0)
    }

    /// The length from the start to here.
    pub fn since_start(self) -> Length {
        Length(self.0)
    }

    /// The instant as a decimal number of quarter notes.
    pub fn as_f64(self) -> f64 {
        self.0.to_f64().unwrap_or(f64::INFINITY)
    }
}

impl Add for Length {
    type Output = Length;
    fn add(self, other: Length) -> Length {
        Length(self.0 + other.0)
    }
}

impl AddAssign for Length {
    fn add_assign(&mut self, other: Length) {
        self.0 += other.0;
    }
}

impl Sub for Length {
    type Output = Length;
    fn sub(self, other: Length) -> Length {
        Length(self.0 - other.0)
    }
}

impl Mul<i64> for Length {
    type Output = Length;
    fn mul(self, times: i64) -> Length {
        Length(self.0 * times)
    }
}

impl Mul<Ratio<i64>> for Length {
    type Output = Length;
    fn mul(self, times: Ratio<i64>) -> Length {
        Length(self.0 * times)
    }
}

impl Sum for Length {
    fn sum<I: Iterator<Item = Length>>(lengths: I) -> Length {
        lengths.fold(Length::ZERO, Add::add)
    }
}

impl Add<Length> for Moment {
    type Output = Moment;
    fn add(self, length: Length) -> Moment {
        Moment(self.0 + length.0)
    }
}

impl Sub for Moment {
    type Output = Length;
    fn sub(self, earlier: Moment) -> Length {
        Length(self.0 - earlier.0)
    }
}

impl fmt::Display for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl fmt::Display for Moment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

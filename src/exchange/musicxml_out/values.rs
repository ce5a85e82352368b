//! Note values: the notes, dots and tuplets with which an exact length is written.
//!
//! Halves of halves have a note of their own or are tied from a few. Everything else is in a tuplet: lengths of a
//! stretch that are multiples of a `q`-th, `q` odd, become halves of halves when `q` notes stand for the next lower power
//! of two (3 for 2, 5 and 7 for 4, 9 for 8), which is how such tuplets are usually numbered. That is so whatever the meter is (five in the
//! time of four dotted eighths, not of three quarters): one rule is exact for every cut of every bar.

use num_integer::Integer;
use num_rational::Ratio;

use crate::music::Length;

/// A note value: a plain note with its dots.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Value {
    /// The plain note's length is a quarter note times two to this power.
    power: i32,
    /// How many dots; at most one.
    pub dots: u8,
}

/// The longest plain note, a breve: 8 quarter notes.
const LONGEST: i32 = 3;

/// The shortest plain note, a 1024th, the last that MusicXML names.
const SHORTEST: i32 = -8;

/// The names of the notes in MusicXML (`note-type-value`), the longest first.
const NAMES: [&str; 12] =
    ["breve", "whole", "half", "quarter", "eighth", "16th", "32nd", "64th", "128th", "256th", "512th", "1024th"];

impl Value {
    /// MusicXML's name of the plain note.
    pub fn name(self) -> &'static str {
        NAMES[(LONGEST - self.power).unsigned_abs() as usize]
    }

    /// Its length, with the dots, outside of any tuplet.
    pub fn length(self) -> Length {
        let plain = self.plain();
        if self.dots == 0 { plain } else { plain + plain.fraction(1, 2) }
    }

    /// The plain note that MusicXML calls so, if it names one.
    pub fn named(name: &str) -> Option<Value> {
        let after = NAMES.iter().position(|own| *own == name)?;
        Some(Value { power: LONGEST - after as i32, dots: 0 })
    }

    fn plain(self) -> Length {
        if self.power >= 0 { Length::quarters(1 << self.power, 1) } else { Length::quarters(1, 1 << -self.power) }
    }

    /// The one value of a length, if there is one.
    pub fn of(length: Length) -> Option<Value> {
        match notes(length)?[..] {
            [value] => Some(value),
            _ => None,
        }
    }
}

/// Whether a length is a whole number of halves of halves of a quarter note.
pub fn is_even(length: Length) -> bool {
    length.ratio().denom().unsigned_abs().is_power_of_two()
}

/// The values that a length is tied from, the longest first; `None` when it needs a tuplet or notes shorter than a 1024th.
pub fn notes(length: Length) -> Option<Vec<Value>> {
    let units = length.ratio() * Ratio::from_integer(1 << -SHORTEST);
    if !units.is_integer() {
        return None;
    }
    let mut left = units.to_integer();
    let mut values = Vec::new();
    for power in (SHORTEST..=LONGEST).rev() {
        let plain = 1i64 << (power - SHORTEST);
        while left >= plain {
            let dotted = plain % 2 == 0 && left >= plain + plain / 2;
            values.push(Value { power, dots: u8::from(dotted) });
            left -= if dotted { plain + plain / 2 } else { plain };
        }
    }
    Some(values)
}

/// The values that a length from `start` on is tied from, in their order: short ones first where the long ones then stand
/// on their own beats.
pub fn notes_from(start: Length, length: Length) -> Option<Vec<Value>> {
    let mut values = notes(length)?;
    if values.len() > 1 {
        let on_its_beat = |at: Length, value: Value| at.per(value.plain()).is_integer();
        let last = length - values[0].length();
        if !on_its_beat(start, values[0]) && on_its_beat(start + last, values[0]) {
            values.reverse();
        }
    }
    Some(values)
}

/// A tuplet: a number of notes in the time of another number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Tuplet {
    /// How many notes are played.
    pub actual: i64,
    /// In the time of how many.
    pub normal: i64,
}

impl Tuplet {
    /// The tuplet in which all of these lengths become even; `None` when they are even already.
    pub fn of(lengths: impl Iterator<Item = Length>) -> Option<Tuplet> {
        let odd = |number: i64| number >> number.trailing_zeros();
        let actual = lengths.fold(1, |all: i64, length| all.lcm(&odd(*length.ratio().denom())));
        let normal = 1i64 << (63 - actual.leading_zeros());
        (actual > 1).then_some(Tuplet { actual, normal })
    }

    /// What a length in the tuplet is written as.
    pub fn written(self, sounding: Length) -> Length {
        sounding * Ratio::new(self.actual, self.normal)
    }

    /// How long something that is written in the tuplet sounds.
    pub fn sounding(self, written: Length) -> Length {
        written * Ratio::new(self.normal, self.actual)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(values: &[Value]) -> String {
        let word = |value: &Value| format!("{}{}", value.name(), ".".repeat(value.dots.into()));
        values.iter().map(word).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn lengths_are_tied_from_few_notes() {
        for (numerator, denominator, expected) in [
            (1, 1, "quarter"),
            (3, 2, "quarter."),
            (5, 2, "half eighth"),
            (7, 2, "half. eighth"),
            (4, 1, "whole"),
            (20, 1, "breve. breve"),
            (1, 256, "1024th"),
            (3, 256, "512th."),
        ] {
            let length = Length::quarters(numerator, denominator);
            let values = notes(length).expect("an even length");
            assert_eq!(words(&values), expected, "{length}");
            assert_eq!(values.iter().map(|value| value.length()).sum::<Length>(), length);
        }
        assert_eq!(notes(Length::quarters(1, 3)), None);
        assert_eq!(notes(Length::quarters(1, 512)), None);
    }

    #[test]
    fn long_notes_stand_on_their_beats() {
        let from = |start: (i64, i64), length: (i64, i64)| {
            let start = Length::quarters(start.0, start.1);
            words(&notes_from(start, Length::quarters(length.0, length.1)).expect("an even length"))
        };
        assert_eq!(from((3, 2), (5, 2)), "eighth half");
        assert_eq!(from((0, 1), (5, 2)), "half eighth");
        assert_eq!(from((1, 4), (5, 4)), "quarter 16th");
    }

    #[test]
    fn tuplets_are_numbered_as_usual() {
        for (thing, actual, normal) in [(3, 3, 2), (5, 5, 4), (6, 3, 2), (7, 7, 4), (9, 9, 8), (12, 3, 2), (15, 15, 8)]
        {
            let tuplet = Tuplet::of([Length::quarters(1, thing)].into_iter());
            assert_eq!(tuplet, Some(Tuplet { actual, normal }));
        }
        assert_eq!(Tuplet::of([Length::quarters(3, 8)].into_iter()), None);
        let triplet = Tuplet { actual: 3, normal: 2 };
        assert_eq!(triplet.written(Length::quarters(1, 3)), Length::quarters(1, 2));
        assert_eq!(triplet.sounding(Length::quarters(1, 2)), Length::quarters(1, 3));
    }
}

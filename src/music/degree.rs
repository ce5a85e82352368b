//! Degrees of a chord: `1`, `3`, `b7`, `8`.

use std::fmt;
use std::str::FromStr;

use super::chord::Chord;
use super::key::Key;
use super::pitch::{Letter, Tone};

/// A degree of the current chord: the root is `1`, its third `3`, the root an octave up `8`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Degree {
    /// The number, 1 to 13.
    pub number: u8,
    /// Sharps (positive) or flats (negative) that are written before it; then it is counted in the major scale of the root.
    pub alter: i8,
    /// Whether a sign is written at all.
    signed: bool,
}

/// A text is no degree.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DegreeError;

impl fmt::Display for DegreeError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a degree of a chord is a number from 1 to 13, with `b` or `#` before it where it needs one")
    }
}

impl std::error::Error for DegreeError {}

impl Degree {
    /// Whether it is the root, or the root an octave up.
    pub fn is_root(self) -> bool {
        self.number % 7 == 1 && self.alter == 0
    }

    /// The tone of a degree.
    ///
    /// Without a sign it is the chord's own tone on that letter (`3` is the minor third of `Em`, `5` the lowered fifth of a
    /// diminished chord); a letter that the chord leaves out is taken from the scale of the `key`. With `b` or `#` it is
    /// counted in the major scale of the root, as chord symbols count (`b7` is the minor seventh on any chord).
    ///
    /// ```
    /// # use panfold::music::{Chord, Degree, Key};
    /// let tone = |degree: &str, chord: &str| {
    ///     let (degree, chord): (Degree, Chord) = (degree.parse().unwrap(), chord.parse().unwrap());
    ///     degree.tone(chord, Key::default()).to_string()
    /// };
    /// assert_eq!(tone("3", "Em"), "G");
    /// assert_eq!(tone("7", "D7"), "C");
    /// assert_eq!(tone("b7", "G"), "F");
    /// assert_eq!(tone("6", "F"), "D");
    /// ```
    pub fn tone(self, chord: Chord, key: Key) -> Tone {
        let steps = i32::from(self.number - 1) % 7;
        let letter = chord.root.letter.up(steps);
        if self.signed {
            // Semitones of the major scale's degrees above its tonic.
            let major = [0, 2, 4, 5, 7, 9, 11][steps.unsigned_abs() as usize];
            let wanted = i32::from(chord.root.class().number()) + major + i32::from(self.alter);
            return Tone::new(letter, alter(letter, wanted));
        }
        let own = chord.spelled().into_iter().find(|tone| tone.letter == letter);
        let scale = || key.scale().into_iter().find(|tone| tone.letter == letter);
        own.or_else(scale).unwrap_or(Tone::new(letter, 0))
    }
}

/// The sharps or flats that a letter needs to sound a pitch class.
fn alter(letter: Letter, class: i32) -> i8 {
    ((class - letter.semitones() + 6).rem_euclid(12) - 6) as i8
}

impl fmt::Display for Degree {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.alter < 0 { "b" } else { "#" };
        write!(f, "{}{}", sign.repeat(usize::from(self.alter.unsigned_abs())), self.number)
    }
}

impl FromStr for Degree {
    type Err = DegreeError;

    fn from_str(text: &str) -> Result<Self, DegreeError> {
        let digits = text.trim_start_matches(['b', '♭', '#', '♯']);
        let signs = &text[..text.len() - digits.len()];
        let count = |signs: &str, of: [char; 2]| signs.chars().filter(|c| of.contains(c)).count();
        let (flats, sharps) = (count(signs, ['b', '♭']), count(signs, ['#', '♯']));
        let alter = match (flats, sharps) {
            (flats @ 0..=2, 0) => -(flats as i8),
            (0, sharps @ 1..=2) => sharps as i8,
            _ => return Err(DegreeError),
        };
        let plain = !digits.is_empty() && digits.len() <= 2 && digits.bytes().all(|c| c.is_ascii_digit());
        let number = if plain { digits.parse::<u8>().unwrap_or(0) } else { 0 };
        if digits.starts_with('0') || !(1..=13).contains(&number) {
            return Err(DegreeError);
        }
        Ok(Degree { number, alter, signed: !signs.is_empty() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn degrees_read_and_print() {
        for text in ["1", "3", "b7", "#4", "8", "13", "bb7"] {
            assert_eq!(text.parse::<Degree>().expect(text).to_string(), text);
        }
        for text in ["", "0", "14", "b", "1x", "b#3", "007", "bbb3"] {
            assert_eq!(text.parse::<Degree>(), Err(DegreeError), "{text}");
        }
    }

    #[test]
    fn a_chords_own_tones_come_first() {
        // Handbook knowledge of chord symbols (from memory): Bm7b5 = B D F A, Ebmaj7 = Eb G Bb D.
        let tones = |chord: &str| {
            let chord: Chord = chord.parse().expect(chord);
            let tone = |number: &str| number.parse::<Degree>().expect(number).tone(chord, Key::default()).to_string();
            ["1", "3", "5", "7"].map(tone).join(" ")
        };
        assert_eq!(tones("Bm7b5"), "B D F A");
        assert_eq!(tones("Ebmaj7"), "Eb G Bb D");
        assert_eq!(tones("C7"), "C E G Bb");
        // The chord of C has no seventh; the key of C gives B.
        assert_eq!(tones("C"), "C E G B");
    }
}

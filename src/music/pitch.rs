//! Note names (`F#4`, `Bb3`) and the pitch they sound.
//!
//! Scientific pitch notation: middle C is C4, the A above it (440 Hz by ISO 16) is A4. A [`Pitch`] counts semitones as
//! MIDI key numbers do (General MIDI: middle C = 60), so 440 Hz is 69.

use std::fmt;
use std::str::FromStr;

/// A letter of the scale.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
#[expect(missing_docs, reason = "the letters are their own names")]
pub enum Letter {
    C,
    D,
    E,
    F,
    G,
    A,
    B,
}

impl Letter {
    /// All seven, from C up.
    pub const ALL: [Letter; 7] = [Letter::C, Letter::D, Letter::E, Letter::F, Letter::G, Letter::A, Letter::B];

    /// Semitones above C of the plain letter.
    pub fn semitones(self) -> i32 {
        [0, 2, 4, 5, 7, 9, 11][self as usize]
    }

    /// The letter as a character.
    pub fn to_char(self) -> char {
        ['C', 'D', 'E', 'F', 'G', 'A', 'B'][self as usize]
    }

    /// The letter of an upper-case character.
    pub fn from_char(c: char) -> Option<Letter> {
        Letter::ALL.into_iter().find(|letter| letter.to_char() == c)
    }

    /// The letter `steps` further up the scale (down if negative), going round.
    pub fn up(self, steps: i32) -> Letter {
        Letter::ALL[(self as i32 + steps).rem_euclid(7) as usize]
    }
}

/// A note name without an octave: a letter and its sharps (positive) or flats (negative), -2 to 2.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Tone {
    /// The letter.
    pub letter: Letter,
    /// Semitones of sharpening; negative for flats.
    pub alter: i8,
}

impl Tone {
    /// A tone from its letter and its sharps or flats.
    pub fn new(letter: Letter, alter: i8) -> Self {
        Tone { letter, alter }
    }

    /// The pitch class that it sounds.
    pub fn class(self) -> PitchClass {
        PitchClass::new(self.letter.semitones() + i32::from(self.alter))
    }
}

impl fmt::Display for Tone {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.alter < 0 { "b" } else { "#" };
        write!(f, "{}{}", self.letter.to_char(), sign.repeat(usize::from(self.alter.unsigned_abs())))
    }
}

/// A note name with its octave, as written: `Gb4` and `F#4` are two names of one pitch.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct NoteName {
    /// Letter and accidental.
    pub tone: Tone,
    /// Octave by scientific pitch notation; C4 is middle C.
    pub octave: i8,
}

impl NoteName {
    /// The sounding pitch, or `None` outside MIDI's keys 0 to 127 (C-1 to G9).
    pub fn pitch(self) -> Option<Pitch> {
        let key = (i32::from(self.octave) + 1) * 12 + self.tone.letter.semitones() + i32::from(self.tone.alter);
        u8::try_from(key).ok().and_then(Pitch::new)
    }
}

impl fmt::Display for NoteName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.tone, self.octave)
    }
}

/// What is wrong with a text that should be a note name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoteNameError {
    /// It does not begin with a letter from A to G.
    Letter,
    /// More than two accidentals, or sharps and flats together.
    Accidental,
    /// The octave is missing.
    NoOctave,
    /// The octave is not a whole number from -1 to 9, or something follows it.
    Octave,
}

impl fmt::Display for NoteNameError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            NoteNameError::Letter => "a note name begins with a letter from A to G, in upper case",
            NoteNameError::Accidental => "a note has at most two sharps or two flats",
            NoteNameError::NoOctave => "a note name ends with its octave, as in `F#4`",
            NoteNameError::Octave => "the octave is a whole number from -1 to 9",
        })
    }
}

impl std::error::Error for NoteNameError {}

impl FromStr for NoteName {
    type Err = NoteNameError;

    /// Reads `C4`, `F#4`, `Bb3`, `C♯5`, `E♭4`, `Cb-1`.
    fn from_str(text: &str) -> Result<Self, NoteNameError> {
        let (tone, rest) = split_tone(text)?;
        if rest.is_empty() {
            return Err(NoteNameError::NoOctave);
        }
        let plain = rest.strip_prefix('-').unwrap_or(rest);
        if plain.len() != 1 || !plain.bytes().all(|b| b.is_ascii_digit()) {
            return Err(NoteNameError::Octave);
        }
        let octave: i8 = rest.parse().map_err(|_| NoteNameError::Octave)?;
        if octave < -1 {
            return Err(NoteNameError::Octave);
        }
        Ok(NoteName { tone, octave })
    }
}

/// Takes a letter and its accidentals off the front of a text; gives the tone and what follows.
///
/// # Errors
/// When the text does not begin with a letter A to G, or has more than two accidentals or both kinds.
pub fn split_tone(text: &str) -> Result<(Tone, &str), NoteNameError> {
    let mut chars = text.chars();
    let letter = chars.next().and_then(Letter::from_char).ok_or(NoteNameError::Letter)?;
    let rest = chars.as_str();
    let is_sharp = |c: char| matches!(c, '#' | '♯');
    let is_flat = |c: char| matches!(c, 'b' | '♭');
    let after = rest.trim_start_matches(|c| is_sharp(c) || is_flat(c));
    let marks = &rest[..rest.len() - after.len()];
    let sharps = marks.chars().filter(|c| is_sharp(*c)).count();
    let flats = marks.chars().count() - sharps;
    match (sharps, flats) {
        (s @ 0..=2, 0) => Ok((Tone::new(letter, s as i8), after)),
        (0, f @ 1..=2) => Ok((Tone::new(letter, -(f as i8)), after)),
        _ => Err(NoteNameError::Accidental),
    }
}

/// A sounding pitch, in semitones: MIDI key numbers, 0 to 127, middle C = 60.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Pitch(u8);

impl Pitch {
    /// The pitch of a MIDI key number, if it is at most 127.
    pub fn new(key: u8) -> Option<Pitch> {
        (key <= 127).then_some(Pitch(key))
    }

    /// The MIDI key number.
    pub fn key(self) -> u8 {
        self.0
    }

    /// The pitch class.
    pub fn class(self) -> PitchClass {
        PitchClass::new(i32::from(self.0))
    }

    /// The pitch `semitones` higher (lower if negative), if MIDI has it.
    pub fn up(self, semitones: i32) -> Option<Pitch> {
        u8::try_from(i32::from(self.0) + semitones).ok().and_then(Pitch::new)
    }

    /// Semitones from this pitch up to `other` (negative if it is lower).
    pub fn semitones_to(self, other: Pitch) -> i32 {
        i32::from(other.0) - i32::from(self.0)
    }

    /// The usual name on a pan: sharps for C and F, flats for the other black notes (`C#4 Eb4 F#4 Ab4 Bb4`).
    ///
    /// Makers stamp pans in many ways; this mixture is the one that the layouts in `pan/layouts` use.
    pub fn name(self) -> NoteName {
        const NAMES: [(Letter, i8); 12] = [
            (Letter::C, 0),
            (Letter::C, 1),
            (Letter::D, 0),
            (Letter::E, -1),
            (Letter::E, 0),
            (Letter::F, 0),
            (Letter::F, 1),
            (Letter::G, 0),
            (Letter::A, -1),
            (Letter::A, 0),
            (Letter::B, -1),
            (Letter::B, 0),
        ];
        let (letter, alter) = NAMES[usize::from(self.0 % 12)];
        NoteName { tone: Tone::new(letter, alter), octave: (self.0 / 12) as i8 - 1 }
    }
}

impl fmt::Display for Pitch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.name().fmt(f)
    }
}

impl FromStr for Pitch {
    type Err = NoteNameError;

    fn from_str(text: &str) -> Result<Self, NoteNameError> {
        text.parse::<NoteName>()?.pitch().ok_or(NoteNameError::Octave)
    }
}

/// One of the twelve notes, whatever its octave: 0 is C, 11 is B.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct PitchClass(u8);

impl PitchClass {
    /// The class of a number of semitones above any C.
    pub fn new(semitones: i32) -> Self {
        PitchClass(semitones.rem_euclid(12) as u8)
    }

    /// Semitones above C, 0 to 11.
    pub fn number(self) -> u8 {
        self.0
    }

    /// The class `semitones` higher.
    pub fn up(self, semitones: i32) -> Self {
        PitchClass::new(i32::from(self.0) + semitones)
    }

    /// The usual name on a pan, as [`Pitch::name`].
    pub fn tone(self) -> Tone {
        Pitch(self.0).name().tone
    }
}

impl fmt::Display for PitchClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.tone().fmt(f)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_sound() {
        for (name, key) in [("C4", 60), ("A4", 69), ("C-1", 0), ("G9", 127), ("Cb4", 59), ("B#3", 60), ("E♭3", 51)] {
            assert_eq!(name.parse::<Pitch>().map(Pitch::key), Ok(key), "{name}");
        }
        assert_eq!("Gb4".parse::<Pitch>(), "F♯4".parse::<Pitch>());
    }

    #[test]
    fn bad_names_say_why() {
        assert_eq!("H4".parse::<NoteName>(), Err(NoteNameError::Letter));
        assert_eq!("F".parse::<NoteName>(), Err(NoteNameError::NoOctave));
        assert_eq!("F###4".parse::<NoteName>(), Err(NoteNameError::Accidental));
        assert_eq!("F44".parse::<NoteName>(), Err(NoteNameError::Octave));
        assert_eq!("A9".parse::<Pitch>(), Err(NoteNameError::Octave));
    }

    #[test]
    fn every_pitch_round_trips_through_its_name() {
        for key in 0..=127 {
            let pitch = Pitch::new(key).expect("a key");
            assert_eq!(pitch.to_string().parse(), Ok(pitch));
        }
    }
}

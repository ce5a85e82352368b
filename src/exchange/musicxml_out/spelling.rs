//! Clefs, and which accidentals stand before notes.

use crate::music::pitch::Letter;
use crate::music::{Key, NoteName, Pitch};

/// A clef with its line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Clef {
    /// G on the second line.
    Treble,
    /// F on the fourth line.
    Bass,
    /// For what has no pitch.
    Percussion,
}

impl Clef {
    /// The clef in which a part's notes lie best: the bass clef when they lie below middle C on average (common
    /// practice, no source). Nothing at all is written in the treble clef.
    pub fn of(pitches: impl Iterator<Item = Pitch>) -> Clef {
        const MIDDLE_C: i64 = 60;
        let (sum, count) = pitches.fold((0, 0), |(sum, count), pitch| (sum + i64::from(pitch.key()), count + 1));
        if sum < MIDDLE_C * count { Clef::Bass } else { Clef::Treble }
    }

    /// MusicXML's sign and line.
    pub fn sign(self) -> (&'static str, Option<&'static str>) {
        match self {
            Clef::Treble => ("G", Some("2")),
            Clef::Bass => ("F", Some("4")),
            Clef::Percussion => ("percussion", None),
        }
    }
}

/// The accidentals that hold in a measure: the signature's, until a note has another.
pub struct Accidentals {
    key: Key,
    changed: Vec<((Letter, i8), i8)>,
}

impl Accidentals {
    /// The accidentals at the beginning of a measure.
    pub fn new(key: Key) -> Self {
        Accidentals { key, changed: Vec::new() }
    }

    /// The accidental that stands before a note, by its name in MusicXML; from then on it holds for its line.
    pub fn before(&mut self, name: NoteName) -> Option<&'static str> {
        let line = (name.tone.letter, name.octave);
        let of_key =
            || self.key.scale().iter().find(|tone| tone.letter == name.tone.letter).map_or(0, |tone| tone.alter);
        let holds =
            self.changed.iter().rev().find(|(changed, _)| *changed == line).map_or_else(of_key, |(_, alter)| *alter);
        if holds == name.tone.alter {
            return None;
        }
        self.changed.push((line, name.tone.alter));
        Some(match name.tone.alter {
            ..=-2 => "flat-flat",
            -1 => "flat",
            0 => "natural",
            1 => "sharp",
            2.. => "double-sharp",
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_accidental_holds_to_the_end_of_the_measure() {
        let mut accidentals = Accidentals::new("G".parse().expect("a key"));
        let mut before = |name: &str| accidentals.before(name.parse().expect(name));
        assert_eq!(before("F#4"), None);
        assert_eq!(before("F4"), Some("natural"));
        assert_eq!(before("F4"), None);
        assert_eq!(before("F5"), Some("natural"));
        assert_eq!(before("F#4"), Some("sharp"));
        assert_eq!(before("Bb3"), Some("flat"));
    }

    #[test]
    fn basses_are_written_in_the_bass_clef() {
        let clef = |names: &[&str]| Clef::of(names.iter().map(|name| name.parse().expect(name)));
        assert_eq!(clef(&["G2", "D2"]), Clef::Bass);
        assert_eq!(clef(&["G4", "F#5"]), Clef::Treble);
        assert_eq!(clef(&[]), Clef::Treble);
    }
}

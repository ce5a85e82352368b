//! Chord symbols: `G`, `D7`, `F#m7b5`, `C/E`, `N.C.`.
//!
//! Chords that MusicXML names have the tones that its list of chord kinds describes in words (W3C MusicXML 4.0,
//! `kind-value`); the others are undisputed handbook knowledge (from memory). The signs `-`, `°`, `ø` and the triangle are those
//! of its attribute `use-symbols`, with one exception: there a triangle alone is a plain major chord, and on charts it is
//! mostly the major seventh (common practice, no source), which is what is meant here, since nobody needs a sign for the plain chord.
//! `.ci/run` has a general-purpose musicology library confirm every symbol of the table.

use std::fmt;
use std::str::FromStr;

use super::pitch::{PitchClass, Tone, split_tone};

/// A kind of chord: how it is written after the root, and its tones.
#[derive(Debug, PartialEq, Eq)]
pub struct ChordKind {
    /// All ways to write it after the root, the usual one first, with the signs as the parser knows them. A `-` alone is not among
    /// them: in a row of chords it may as well be a hold that touches its chord.
    pub suffixes: &'static [&'static str],
    /// Semitones above the root, rising from 0, ninths and elevenths above the octave.
    pub tones: &'static [u8],
    /// MusicXML's name of the kind.
    pub musicxml: &'static str,
    /// Degrees that MusicXML needs beside the kind: value, alteration, and what happens to it.
    pub degrees: &'static [(u8, i8, DegreeType)],
}

/// What a degree that MusicXML needs beside a kind of chord does to it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DegreeType {
    /// It is added.
    Add,
    /// It belongs to the kind and is altered.
    Alter,
    /// It belongs to the kind and is left out.
    Subtract,
}

impl DegreeType {
    /// MusicXML's name of it.
    pub fn musicxml(self) -> &'static str {
        match self {
            DegreeType::Add => "add",
            DegreeType::Alter => "alter",
            DegreeType::Subtract => "subtract",
        }
    }
}

impl ChordKind {
    /// Whether nine semitones above its root are its seventh, and not its sixth: above a diminished triad.
    pub fn has_diminished_seventh(&self) -> bool {
        self.tones.starts_with(&[0, 3, 6, 9])
    }
}

macro_rules! kinds {
    ($($suffixes:expr, $tones:expr, $xml:expr, $degrees:expr;)*) => {
        &[$(ChordKind { suffixes: &$suffixes, tones: &$tones, musicxml: $xml, degrees: &$degrees }),*]
    };
}

/// Every kind of chord that is known.
pub static KINDS: &[ChordKind] = kinds! {
    ["", "maj", "M", "Maj", "MA", "ma"], [0, 4, 7], "major", [];
    ["m", "min", "mi", "MI"], [0, 3, 7], "minor", [];
    ["+", "aug"], [0, 4, 8], "augmented", [];
    ["dim", "o", "°"], [0, 3, 6], "diminished", [];
    ["7"], [0, 4, 7, 10], "dominant", [];
    ["maj7", "M7", "Maj7", "MA7", "ma7", "Δ7", "Δ"], [0, 4, 7, 11], "major-seventh", [];
    ["m7", "min7", "mi7", "MI7", "-7"], [0, 3, 7, 10], "minor-seventh", [];
    ["dim7", "o7", "°7"], [0, 3, 6, 9], "diminished-seventh", [];
    ["7#5", "+7", "aug7", "7+", "7+5", "7(#5)"], [0, 4, 8, 10], "augmented-seventh", [];
    ["m7b5", "m7(b5)", "m7-5", "min7b5", "mi7b5", "-7b5", "ø7", "ø"], [0, 3, 6, 10], "half-diminished", [];
    ["m(maj7)", "mmaj7", "mM7", "-maj7", "-M7", "mΔ7"], [0, 3, 7, 11], "major-minor", [];
    ["6"], [0, 4, 7, 9], "major-sixth", [];
    ["m6", "min6", "mi6", "-6"], [0, 3, 7, 9], "minor-sixth", [];
    ["9"], [0, 4, 7, 10, 14], "dominant-ninth", [];
    ["maj9", "M9", "Maj9", "MA9", "ma9", "Δ9"], [0, 4, 7, 11, 14], "major-ninth", [];
    ["m9", "min9", "mi9", "-9"], [0, 3, 7, 10, 14], "minor-ninth", [];
    ["11"], [0, 4, 7, 10, 14, 17], "dominant-11th", [];
    ["maj11", "M11", "Maj11", "MA11", "ma11", "Δ11"], [0, 4, 7, 11, 14, 17], "major-11th", [];
    ["m11", "min11", "mi11", "-11"], [0, 3, 7, 10, 14, 17], "minor-11th", [];
    ["13"], [0, 4, 7, 10, 14, 17, 21], "dominant-13th", [];
    ["maj13", "M13", "Maj13", "MA13", "ma13", "Δ13"], [0, 4, 7, 11, 14, 17, 21], "major-13th", [];
    ["m13", "min13", "mi13", "-13"], [0, 3, 7, 10, 14, 17, 21], "minor-13th", [];
    ["sus2"], [0, 2, 7], "suspended-second", [];
    ["sus4", "sus"], [0, 5, 7], "suspended-fourth", [];
    ["5"], [0, 7], "power", [];
    ["add9", "(add9)"], [0, 4, 7, 14], "major", [(9, 0, DegreeType::Add)];
    ["add2", "(add2)"], [0, 2, 4, 7], "major", [(2, 0, DegreeType::Add)];
    ["omit5", "(omit5)", "no5", "(no5)"], [0, 4], "major", [(5, 0, DegreeType::Subtract)];
    ["7omit5", "7(omit5)", "7no5", "7(no5)"], [0, 4, 10], "dominant", [(5, 0, DegreeType::Subtract)];
    ["m(add9)", "madd9"], [0, 3, 7, 14], "minor", [(9, 0, DegreeType::Add)];
    ["6/9", "69"], [0, 4, 7, 9, 14], "major-sixth", [(9, 0, DegreeType::Add)];
    ["7sus4", "7sus"], [0, 5, 7, 10], "suspended-fourth", [(7, 0, DegreeType::Add)];
    ["7b9", "7(b9)", "7-9"], [0, 4, 7, 10, 13], "dominant", [(9, -1, DegreeType::Add)];
    ["7#9", "7(#9)", "7+9"], [0, 4, 7, 10, 15], "dominant", [(9, 1, DegreeType::Add)];
    ["7b5", "7(b5)", "7-5"], [0, 4, 6, 10], "dominant", [(5, -1, DegreeType::Alter)];
    ["7#11", "7(#11)", "7+11"], [0, 4, 7, 10, 18], "dominant", [(11, 1, DegreeType::Add)];
};

/// A chord: root, kind, and the bass note if one is written after a slash.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Chord {
    /// The root as written.
    pub root: Tone,
    /// The kind.
    pub kind: &'static ChordKind,
    /// The bass as written after a slash.
    pub bass: Option<Tone>,
}

/// Why a text is not a chord symbol.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ChordError {
    /// It does not begin with a note letter.
    Root,
    /// What follows the root is no known kind of chord; the unknown text.
    Kind(String),
    /// What follows the slash is no note name; the unknown text.
    Bass(String),
}

impl fmt::Display for ChordError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ChordError::Root => f.write_str("a chord begins with a note letter from A to G, as in `G`, `D7`, `F#m`"),
            ChordError::Kind(text) => write!(f, "`{text}` is not a kind of chord"),
            ChordError::Bass(text) => write!(f, "the bass note after the slash must be a note name, not `{text}`"),
        }
    }
}

impl std::error::Error for ChordError {}

impl Chord {
    /// The pitch classes of the chord, root first, then rising; a slash bass that is no chord tone is not among them.
    ///
    /// ```
    /// # use panfold::music::Chord;
    /// let chord: Chord = "F#m7b5".parse().unwrap();
    /// let classes: Vec<u8> = chord.classes().map(|class| class.number()).collect();
    /// assert_eq!(classes, [6, 9, 0, 4]);
    /// ```
    pub fn classes(self) -> impl Iterator<Item = PitchClass> + Clone {
        let root = self.root.class();
        self.kind.tones.iter().map(move |tone| root.up(i32::from(*tone)))
    }

    /// Whether a pitch class belongs to the chord or is its written bass.
    pub fn has(self, class: PitchClass) -> bool {
        self.classes().any(|tone| tone == class) || self.bass.is_some_and(|bass| bass.class() == class)
    }

    /// Every tone with its usual spelling above the root (thirds on the third letter, and so on).
    pub fn spelled(self) -> Vec<Tone> {
        self.kind.tones.iter().map(|tone| self.spell(*tone)).collect()
    }

    fn spell(self, semitones: u8) -> Tone {
        // Letters above the root, by the degree that a number of semitones stands for in chord symbols.
        let letters = match semitones % 12 {
            0 => 0,
            1 | 2 => 1,
            3 if semitones == 15 => 1,
            3 | 4 => 2,
            5 => 3,
            6 if semitones == 18 => 3,
            6..=8 => 4,
            9 if !self.kind.has_diminished_seventh() => 5,
            9..=11 => 6,
            _ => unreachable!("a remainder below 12"),
        };
        let letter = self.root.letter.up(letters);
        let class = self.root.class().up(i32::from(semitones));
        let alter = (i32::from(class.number()) - letter.semitones() + 6).rem_euclid(12) - 6;
        Tone::new(letter, alter as i8)
    }
}

impl fmt::Display for Chord {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.root, self.kind.suffixes[0])?;
        match self.bass {
            Some(bass) => write!(f, "/{bass}"),
            None => Ok(()),
        }
    }
}

impl FromStr for Chord {
    type Err = ChordError;

    fn from_str(text: &str) -> Result<Self, ChordError> {
        let (root, rest) = split_tone(text).map_err(|_| ChordError::Root)?;
        if let Some(kind) = kind(rest) {
            return Ok(Chord { root, kind, bass: None });
        }
        // `6/9` has a slash of its own, so the bass is what follows the last one.
        let Some((suffix, bass)) = rest.rsplit_once('/') else {
            return Err(ChordError::Kind(rest.to_owned()));
        };
        let kind = kind(suffix).ok_or_else(|| ChordError::Kind(suffix.to_owned()))?;
        match split_tone(bass) {
            Ok((tone, "")) => Ok(Chord { root, kind, bass: Some(tone) }),
            _ => Err(ChordError::Bass(bass.to_owned())),
        }
    }
}

/// The kind that follows a root, with signs that only look different taken for each other.
fn kind(suffix: &str) -> Option<&'static ChordKind> {
    let plain: String = suffix.chars().map(plain_sign).collect();
    KINDS.iter().find(|kind| kind.suffixes.contains(&plain.as_str()))
}

/// The sign in the table for one that looks alike: triangles, crossed circles, rings and dashes come in many code points.
fn plain_sign(sign: char) -> char {
    match sign {
        '♯' => '#',
        '♭' => 'b',
        '∆' | '△' => 'Δ',
        'Ø' | '⌀' | '∅' => 'ø',
        'º' | '˚' => '°',
        '–' | '−' | '‐' | '‑' => '-',
        _ => sign,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_suffix_round_trips_on_every_root() {
        for root in ["C", "C#", "Db", "D", "Eb", "E", "F", "F#", "Gb", "G", "Ab", "A", "Bb", "B"] {
            for kind in KINDS {
                for suffix in kind.suffixes {
                    let chord: Chord = format!("{root}{suffix}").parse().expect("a chord");
                    assert_eq!(chord.kind, kind);
                    assert_eq!(chord.to_string().parse(), Ok(chord));
                    for (tone, spelled) in chord.classes().zip(chord.spelled()) {
                        assert_eq!(tone, spelled.class(), "{chord}");
                    }
                }
            }
        }
    }

    #[test]
    fn slashes_and_mistakes() {
        assert_eq!("C/E".parse::<Chord>().map(|c| c.to_string()).as_deref(), Ok("C/E"));
        assert_eq!("C6/9/G".parse::<Chord>().map(|c| c.to_string()).as_deref(), Ok("C6/9/G"));
        assert_eq!("Cfoo".parse::<Chord>(), Err(ChordError::Kind("foo".into())));
        assert_eq!("C/x".parse::<Chord>(), Err(ChordError::Bass("x".into())));
        assert_eq!("H7".parse::<Chord>(), Err(ChordError::Root));
    }

    #[test]
    fn the_signs_of_charts_are_taken() {
        let table = [
            ("C-7", "Cm7"),
            ("F#–7", "F#m7"),
            ("C-6", "Cm6"),
            ("Bb-7b5", "Bbm7b5"),
            ("Cø", "Cm7b5"),
            ("CØ7", "Cm7b5"),
            ("C∆", "Cmaj7"),
            ("C△7", "Cmaj7"),
            ("EbΔ9", "Ebmaj9"),
            ("C°", "Cdim"),
            ("C°7", "Cdim7"),
            ("Cº7", "Cdim7"),
            ("Cmi7", "Cm7"),
            ("CMaj7", "Cmaj7"),
            ("CMA7", "Cmaj7"),
            ("C7(b9)", "C7b9"),
            ("C7+9", "C7#9"),
            ("C7+", "C7#5"),
            ("C-7/G", "Cm7/G"),
        ];
        for (written, usual) in table {
            assert_eq!(written.parse::<Chord>().map(|chord| chord.to_string()).as_deref(), Ok(usual), "{written}");
        }
        // Minor, or a hold that touches its chord?
        assert!("C-".parse::<Chord>().is_err());
    }

    #[test]
    fn tones_are_spelled_by_letter() {
        let spelled = |text: &str| {
            let chord: Chord = text.parse().expect(text);
            chord.spelled().iter().map(ToString::to_string).collect::<Vec<_>>().join(" ")
        };
        assert_eq!(spelled("Cm7b5"), "C Eb Gb Bb");
        assert_eq!(spelled("Bdim7"), "B D F Ab");
        assert_eq!(spelled("G6"), "G B D E");
        assert_eq!(spelled("D7#9"), "D F# A C E#");
    }
}

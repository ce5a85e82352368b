//! Keys: tonic and mode, sharps or flats, the scale, and how notes are spelled in it.

use std::fmt;
use std::str::FromStr;

use super::pitch::{Letter, NoteName, Pitch, PitchClass, Tone, split_tone};

/// Major or minor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Mode {
    /// The major scale.
    Major,
    /// The natural minor scale.
    Minor,
}

/// A key with a usual key signature: at most seven sharps or flats.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Key {
    tonic: Tone,
    mode: Mode,
}

impl Default for Key {
    /// C major, as a Standard MIDI File without a key signature.
    fn default() -> Self {
        Key { tonic: Tone::new(Letter::C, 0), mode: Mode::Major }
    }
}

/// A text is not a key such as `G`, `Bb`, `F#m`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct KeyError;

impl fmt::Display for KeyError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(
            "a key is a note name, with `m` after it for minor, and at most seven sharps or flats: `G`, `Bb`, `F#m`",
        )
    }
}

impl std::error::Error for KeyError {}

impl Key {
    /// The key on a tonic; `None` when it would need more than seven sharps or flats.
    pub fn new(tonic: Tone, mode: Mode) -> Option<Key> {
        let key = Key { tonic, mode };
        (-7..=7).contains(&key.fifths_raw()).then_some(key)
    }

    /// The key with a signature of `fifths` sharps (negative: flats), -7 to 7.
    pub fn from_fifths(fifths: i8, mode: Mode) -> Option<Key> {
        if !(-7..=7).contains(&fifths) {
            return None;
        }
        // On the line of fifths F C G D A E B the major tonic of no sharps is C, the minor one A.
        let place = i32::from(fifths) + if mode == Mode::Major { 1 } else { 4 };
        let letter =
            [Letter::F, Letter::C, Letter::G, Letter::D, Letter::A, Letter::E, Letter::B][place.rem_euclid(7) as usize];
        Key::new(Tone::new(letter, place.div_euclid(7) as i8), mode)
    }

    /// The note that the key is named after.
    pub fn tonic(self) -> Tone {
        self.tonic
    }

    /// Major or minor.
    pub fn mode(self) -> Mode {
        self.mode
    }

    /// Sharps (positive) or flats (negative) in the signature, as MIDI's key signature and MusicXML count them.
    pub fn fifths(self) -> i8 {
        self.fifths_raw() as i8
    }

    fn fifths_raw(self) -> i32 {
        let place = [1, 3, 5, 0, 2, 4, 6][self.tonic.letter as usize] - 1 + 7 * i32::from(self.tonic.alter);
        if self.mode == Mode::Major { place } else { place - 3 }
    }

    /// The seven tones of the scale (natural minor in minor keys), from the tonic up.
    pub fn scale(self) -> [Tone; 7] {
        let fifths = self.fifths_raw();
        std::array::from_fn(|step| {
            let letter = self.tonic.letter.up(step as i32);
            // Sharps come in the order F C G D A E B; letter `order` is sharp when the signature reaches it.
            let order = [1, 3, 5, 0, 2, 4, 6][letter as usize];
            let alter = (fifths - order + 6).div_euclid(7);
            Tone::new(letter, alter as i8)
        })
    }

    /// The key `semitones` higher, spelled the usual way (the spelling with fewer sharps or flats; of six, F# and D#m
    /// become Gb and Ebm, since pans are stamped and spoken of in flats more often than in six sharps). A key that does not move
    /// keeps its name.
    pub fn up(self, semitones: i32) -> Key {
        if semitones == 0 {
            return self;
        }
        let class = self.tonic.class().up(semitones);
        let candidates = Letter::ALL.into_iter().flat_map(|letter| (-1..=1).map(move |alter| Tone::new(letter, alter)));
        let keys = candidates.filter(|tone| tone.class() == class).filter_map(|tone| Key::new(tone, self.mode));
        keys.min_by_key(|key| (key.fifths().abs(), key.fifths())).unwrap_or(self)
    }

    /// How a pitch is spelled in this key: as the scale has it; else sharp in sharp keys, flat in flat keys, with the
    /// raised seventh of minor keys sharp of its scale step.
    pub fn spell(self, pitch: Pitch) -> NoteName {
        let tone = self.spell_class(pitch.class());
        let plain = i32::from(pitch.key()) - i32::from(tone.alter);
        NoteName { tone, octave: (plain.div_euclid(12) - 1) as i8 }
    }

    /// How a pitch class is spelled in this key; see [`Key::spell`].
    pub fn spell_class(self, class: PitchClass) -> Tone {
        let scale = self.scale();
        if let Some(tone) = scale.iter().find(|tone| tone.class() == class) {
            return *tone;
        }
        let raised = Tone::new(scale[6].letter, scale[6].alter + 1);
        if self.mode == Mode::Minor && raised.class() == class && raised.alter.abs() <= 1 {
            return raised;
        }
        match self.fifths() {
            0 => class.tone(),
            sharps => {
                let wanted = if sharps > 0 { [0, 1] } else { [0, -1] };
                let tones = wanted.into_iter().flat_map(|alter| Letter::ALL.map(|letter| Tone::new(letter, alter)));
                tones.into_iter().find(|tone| tone.class() == class).unwrap_or_else(|| class.tone())
            }
        }
    }
}

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", self.tonic, if self.mode == Mode::Minor { "m" } else { "" })
    }
}

impl FromStr for Key {
    type Err = KeyError;

    fn from_str(text: &str) -> Result<Self, KeyError> {
        let (tonic, rest) = split_tone(text).map_err(|_| KeyError)?;
        let mode = match rest {
            "" => Mode::Major,
            "m" => Mode::Minor,
            _ => return Err(KeyError),
        };
        Key::new(tonic, mode).ok_or(KeyError)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn key(text: &str) -> Key {
        text.parse().expect(text)
    }

    #[test]
    fn signatures() {
        for (name, fifths) in
            [("C", 0), ("Cb", -7), ("C#", 7), ("Bb", -2), ("F#m", 3), ("Dm", -1), ("Abm", -7), ("A#m", 7)]
        {
            assert_eq!(key(name).fifths(), fifths, "{name}");
            assert_eq!(Key::from_fifths(fifths, key(name).mode()), Some(key(name)), "{name}");
        }
        assert_eq!("G#".parse::<Key>(), Err(KeyError));
        assert_eq!("g".parse::<Key>(), Err(KeyError));
    }

    #[test]
    fn scales_are_spelled() {
        let scale = |name: &str| key(name).scale().map(|tone| tone.to_string()).join(" ");
        assert_eq!(scale("F#"), "F# G# A# B C# D# E#");
        assert_eq!(scale("Ebm"), "Eb F Gb Ab Bb Cb Db");
    }

    #[test]
    fn spelling_follows_the_key() {
        let spell = |k: &str, p: &str| key(k).spell(p.parse().expect(p)).to_string();
        assert_eq!(spell("Gb", "B3"), "Cb4");
        assert_eq!(spell("C#", "C4"), "B#3");
        assert_eq!(spell("Am", "Ab4"), "G#4");
        assert_eq!(spell("Eb", "C#5"), "Db5");
        assert_eq!(spell("D", "Bb4"), "A#4");
        assert_eq!(key("G").up(3).to_string(), "Bb");
        assert_eq!(key("F").up(1).to_string(), "Gb");
    }
}

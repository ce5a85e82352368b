//! What a caller chooses: who is heard, at what sample rate, how loud, in which room.

use std::collections::BTreeMap;

use crate::performance::Voice;

/// Who is heard.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Mix {
    /// The whole band.
    #[default]
    Band,
    /// One part, by its number in the tune, alone (with the count-in).
    Alone(usize),
    /// One part in front, with the band behind it.
    Front(usize),
    /// The band without one part.
    Without(usize),
}

/// How far the band stands back behind a part in front: 9 dB, clearly softer yet easy to follow. Our own setting.
pub const BEHIND: f64 = -9.0;

impl Mix {
    /// The gain of a voice, as a factor; 0 when it is not heard. A count-in is always heard.
    pub fn gain(self, voice: &Voice) -> f64 {
        let Some(part) = voice.part else { return 1.0 };
        match self {
            Mix::Band => 1.0,
            Mix::Alone(own) => f64::from(u8::from(part == own)),
            Mix::Front(own) if part == own => 1.0,
            Mix::Front(_) => super::pan_voice::db(BEHIND),
            Mix::Without(own) => f64::from(u8::from(part != own)),
        }
    }

    /// Whether only one place in the room sounds, so that one channel says it all.
    pub fn is_alone(self) -> bool {
        matches!(self, Mix::Alone(_))
    }
}

/// How a track is made.
#[derive(Clone, Debug, PartialEq)]
pub struct Settings {
    /// Who is heard.
    pub mix: Mix,
    /// Samples a second.
    pub rate: u32,
    /// How samples are written.
    pub depth: Depth,
    /// Whether a light room is added.
    pub room: bool,
    /// The integrated loudness aimed at, in LUFS (ITU-R BS.1770).
    pub loudness: f64,
    /// The highest true peak allowed, in dBTP (ITU-R BS.1770).
    pub ceiling: f64,
    /// For parts (by number in the tune) the band's pan (by number) that sounds, where it is not the one that the
    /// performance names.
    pub pans: BTreeMap<usize, usize>,
    /// How many samples are worked at a time. It changes nothing in the result.
    pub block: usize,
}

impl Default for Settings {
    /// The whole band at 44,100 samples a second in 16 bits, dry, at -16 LUFS and at most -1 dBTP: what several music
    /// services and AES TD1008 recommend for tracks.
    fn default() -> Self {
        Settings {
            mix: Mix::Band,
            rate: 44_100,
            depth: Depth::Bits16,
            room: false,
            loudness: -16.0,
            ceiling: -1.0,
            pans: BTreeMap::new(),
            block: 8192,
        }
    }
}

/// How samples are written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Depth {
    /// Whole numbers of 16 bits.
    #[default]
    Bits16,
    /// Whole numbers of 24 bits.
    Bits24,
    /// 32-bit floating point.
    Float,
}

impl Depth {
    /// Bytes of a sample.
    pub fn bytes(self) -> u16 {
        match self {
            Depth::Bits16 => 2,
            Depth::Bits24 => 3,
            Depth::Float => 4,
        }
    }
}

/// The lowest and the highest sample rate that are taken, in hertz.
pub const RATES: std::ops::RangeInclusive<u32> = 8_000..=192_000;

//! What a caller chooses: who is heard, at what sample rate, how loud, in which room.

use std::collections::BTreeMap;

use super::give_way::Peaks;
use super::heard::Compared;
use super::parts::Parts;
use super::store::Store;
use crate::performance::Voice;

/// Who is heard.
#[derive(Clone, Debug, Default, PartialEq, Eq, Hash)]
pub enum Mix {
    /// The whole band.
    #[default]
    Band,
    /// One player's parts alone (with the count-in).
    Alone(Parts),
    /// One player's parts loud and the band soft, so that the parts are heard; see [`super::levels`].
    Loud(Parts),
    /// The band without one player's parts.
    Without(Parts),
}

impl Mix {
    /// Whether a voice is heard. A count-in always is.
    pub(crate) fn hears(&self, voice: &Voice) -> bool {
        match (self, voice.part) {
            (Mix::Alone(own), Some(part)) => own.has(part),
            (Mix::Without(own), Some(part)) => !own.has(part),
            _ => true,
        }
    }

    /// The parts that the track is made for.
    pub fn own(&self) -> Option<&Parts> {
        match self {
            Mix::Alone(own) | Mix::Loud(own) | Mix::Without(own) => Some(own),
            Mix::Band => None,
        }
    }

    /// Whether a voice is the player's own and heard: then it is lifted (see `lift`).
    pub fn features(&self, voice: &Voice) -> bool {
        matches!(self, Mix::Alone(own) | Mix::Loud(own) if voice.part.is_some_and(|part| own.has(part)))
    }

    /// Whether a voice stands behind the player's own.
    pub(crate) fn sets_back(&self, voice: &Voice) -> bool {
        matches!(self, Mix::Loud(own) if voice.part.is_some_and(|part| !own.has(part)))
    }

    /// Whether only one place in the room sounds, so that one channel says it all.
    pub(crate) fn is_alone(&self) -> bool {
        matches!(self, Mix::Alone(_))
    }
}

/// Where a player's own parts and the rest stand in a track for that player.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Standing {
    /// How far the rest stands behind, in dB (0 or less).
    pub behind: f64,
    /// Where peaks are held, before the track's gain; `None` where they are not.
    pub peaks: Option<Peaks>,
}

/// How a track is made.
#[derive(Clone, Debug, PartialEq)]
#[non_exhaustive]
pub struct Settings {
    /// Who is heard.
    pub mix: Mix,
    /// How loud the parts of [`Mix::Loud`] and the rest are beside each other; `None`: it is measured for the track.
    pub beside: Option<Compared>,
    /// Where they stand; `None`: it follows from how loud they are.
    pub standing: Option<Standing>,
    /// Samples a second.
    pub rate: u32,
    /// How samples are written.
    pub depth: Depth,
    /// Whether a light room is added.
    pub room: bool,
    /// Whether everybody stands in the middle, so that left and right are the same. An MP3 file then has one channel.
    pub mono: bool,
    /// The integrated loudness aimed at, in LUFS (ITU-R BS.1770).
    pub loudness: f64,
    /// The highest true peak allowed, in dBTP (ITU-R BS.1770).
    pub ceiling: f64,
    /// For parts (by number in the tune) the band's pan (by number) that sounds, where it is not the one that the
    /// performance names.
    pub pans: BTreeMap<usize, usize>,
    /// How many samples are worked at a time. It changes nothing in the result.
    pub block: usize,
    /// Where strokes are kept that other tracks can use. It changes nothing in the result either.
    pub strokes: Store,
}

impl Settings {
    /// The defaults, with others heard.
    pub fn of(mix: Mix) -> Settings {
        Settings { mix, ..Settings::default() }
    }
}

impl Default for Settings {
    /// The whole band at 44,100 samples a second in 16 bits, dry, at -16 LUFS and at most -1 dBTP: what several music
    /// services and AES TD1008 recommend for tracks.
    fn default() -> Self {
        Settings {
            mix: Mix::Band,
            beside: None,
            standing: None,
            rate: 44_100,
            depth: Depth::Bits16,
            room: false,
            mono: false,
            loudness: -16.0,
            ceiling: -1.0,
            pans: BTreeMap::new(),
            block: 8192,
            strokes: Store::default(),
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

/// The lowest and the highest sample rate that are taken, in hertz. Below 22,050 there is no room for what cymbals, shakers and the
/// iron sound like, most of which lies between 5,000 and 11,000 Hz.
pub const RATES: std::ops::RangeInclusive<u32> = 22_050..=192_000;

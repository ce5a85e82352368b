//! The engine room's instruments and the strokes that each allows.

use std::fmt;

use crate::notation::tree::Mark;

/// An instrument of the engine room.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Instrument {
    /// A struck brake drum, the band's time-keeper. `x` is the high stroke, `o` the low one that rings, `s` damped.
    Iron,
    /// Shaker or maracas: `x` forward, `o` backward.
    Shaker,
    /// Scraper (scratcher): `x` a short scrape, `o` a long one.
    Scraper,
    /// Congas, two drums: `x` a muffled stroke, `o` an open tone, `s` a slap.
    Conga,
    /// Bass drum of a drum set.
    Kick,
    /// Snare drum: `x` a stroke, `o` (rim stroke) and `s` (side stick).
    Snare,
    /// Hi-hat: `x` closed, `o` open.
    HiHat,
    /// Cowbell: `x` muffled, `o` open.
    Cowbell,
    /// Sticks struck together, as a count-in is given.
    Sticks,
}

impl Instrument {
    /// All of them.
    pub const ALL: [Instrument; 9] = [
        Instrument::Iron,
        Instrument::Shaker,
        Instrument::Scraper,
        Instrument::Conga,
        Instrument::Kick,
        Instrument::Snare,
        Instrument::HiHat,
        Instrument::Cowbell,
        Instrument::Sticks,
    ];

    /// The name in files and on screens.
    pub fn name(self) -> &'static str {
        self.names()[0]
    }

    /// All names that are taken for it, the one that panfold uses first (common practice, no source).
    pub fn names(self) -> &'static [&'static str] {
        match self {
            Instrument::Iron => &["iron", "irons", "brake-drum"],
            Instrument::Shaker => &["shaker", "shakers", "maracas", "shac-shac"],
            Instrument::Scraper => &["scraper", "scratcher", "guiro"],
            Instrument::Conga => &["conga", "congas"],
            Instrument::Kick => &["kick", "bass-drum"],
            Instrument::Snare => &["snare", "snare-drum"],
            Instrument::HiHat => &["hi-hat", "hihat"],
            Instrument::Cowbell => &["cowbell", "bell"],
            Instrument::Sticks => &["sticks", "claves"],
        }
    }

    /// The instrument of a name, whatever its case; spaces and underscores count as hyphens.
    pub fn from_name(name: &str) -> Option<Instrument> {
        let name: String = name.to_lowercase().replace([' ', '_'], "-");
        Instrument::ALL.into_iter().find(|instrument| instrument.names().contains(&name.as_str()))
    }

    /// The strokes that it allows.
    pub fn marks(self) -> &'static [Mark] {
        match self {
            Instrument::Iron | Instrument::Conga | Instrument::Snare => &[Mark::Stroke, Mark::Open, Mark::Slap],
            Instrument::Shaker | Instrument::Scraper | Instrument::HiHat | Instrument::Cowbell => {
                &[Mark::Stroke, Mark::Open]
            }
            Instrument::Kick | Instrument::Sticks => &[Mark::Stroke],
        }
    }
}

impl fmt::Display for Instrument {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

//! A band: its pans, its percussion, and its tuning.

use std::sync::Arc;

use super::costs::Costs;
use super::face::Pan;
use super::instrument::Instrument;
use super::level::Level;
use super::player::BandPlayer;
use crate::music::{Cents, Tuning};
use crate::text::{Source, Span};

/// How far a note may be off before `check` says so, in cents: 10.
///
/// About 10 cents is the just-noticeable change of an interval for amateurs (Hill & Summers, J. Acoust. Soc. Am. 121,
/// 2007); no published tolerance for pans was found. A band file may set its own.
pub const TOLERANCE: Cents = Cents(10.0);

/// A band.
#[derive(Clone, Debug)]
pub struct Band {
    /// Its name.
    pub name: String,
    /// What it is tuned to.
    pub tuning: Tuning,
    /// How far a note may be off before `check` says so.
    pub tolerance: Cents,
    /// The level of players for whom nothing else is set.
    pub level: Level,
    /// The levels of those who play parts of these names, on whichever pan.
    pub levels: Vec<PartLevel>,
    /// What changes to a tune cost.
    pub costs: Costs,
    /// The pans, in the order of the file.
    pub pans: Vec<BandPan>,
    /// The percussion, in the order of the file.
    pub percussion: Vec<Percussion>,
    /// The people whom the file names, in its order; see [`Band::everybody`].
    pub players: Vec<BandPlayer>,
    /// The band file, for places in messages.
    pub source: Arc<Source>,
}

/// A pan of the band and who plays it.
#[derive(Clone, Debug)]
pub struct BandPan {
    /// The pan.
    pub pan: Pan,
    /// The parts that the band usually gives it (its habit); empty: any part for its kind.
    pub plays: Vec<String>,
    /// The level of its player; `None`: as the band.
    pub level: Option<Level>,
    /// Where the band file names it.
    pub span: Span,
}

/// The level of whoever plays a part, as the table `[levels]` says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PartLevel {
    /// The name of the part.
    pub part: String,
    /// The level.
    pub level: Level,
    /// Where the band file names the part.
    pub span: Span,
}

/// What in the band file a level was set for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SetFor {
    /// The player, in their `[[player]]`.
    Player,
    /// The part, in `[levels]`.
    Part,
    /// The pan, in its `[[pan]]`.
    Pan,
    /// The whole band; also when the file sets no level at all.
    Band,
}

/// An instrument of the band's engine room.
#[derive(Clone, Debug)]
pub struct Percussion {
    /// Its name in the band.
    pub name: String,
    /// What it is.
    pub instrument: Instrument,
    /// The parts that the band usually gives it (its habit); empty: any part on that instrument.
    pub plays: Vec<String>,
    /// Where the band file names it.
    pub span: Span,
}

impl Band {
    /// The level of whoever plays a part on a pan (by number): a level set for the part counts before one set for the pan, and that
    /// before the band's.
    pub fn level(&self, part: &str, pan: usize) -> Level {
        self.level_set(part, pan).0
    }

    /// The same, and what it was set for.
    pub fn level_set(&self, part: &str, pan: usize) -> (Level, SetFor) {
        let of_part = self.levels.iter().find(|of| of.part == part);
        match (of_part, self.pans[pan].level) {
            (Some(of), _) => (of.level, SetFor::Part),
            (None, Some(level)) => (level, SetFor::Pan),
            (None, None) => (self.level, SetFor::Band),
        }
    }
}

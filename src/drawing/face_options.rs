//! What a picture of a pan shows beside the pan.

use std::collections::BTreeMap;

use super::look::State;
use crate::music::{Cents, Pitch};
use crate::notation::tree::Stick;
use crate::pan::Pan;
use crate::pan::band::TOLERANCE;

/// What to show on a pan besides itself.
#[derive(Clone, Debug)]
#[non_exhaustive]
pub struct Options {
    /// From how far off on a note is marked as out of tune.
    pub tolerance: Cents,
    /// Notes that a part asks for: those that the pan lacks are drawn beneath it, crossed out.
    pub wanted: Vec<Pitch>,
    /// Whether what has to be said about the drawing stands under it; else it is for the caller to say ([`captions`](super::captions)).
    pub captions: bool,
    /// Whether notes keep room for the stick's letter below their names; else names are as large as their notes allow.
    pub sticks: bool,
    /// Notes lit from the start, for a picture that nothing moves in.
    pub lit: Vec<(Pitch, State, Option<Stick>)>,
    /// How often notes are struck. Each gets a dark rim, the wider the more often, and the number; of those that are among
    /// `wanted` and not on the pan only the number.
    pub struck: BTreeMap<Pitch, u64>,
}

impl Default for Options {
    fn default() -> Self {
        Options {
            tolerance: TOLERANCE,
            wanted: Vec::new(),
            captions: true,
            sticks: true,
            lit: Vec::new(),
            struck: BTreeMap::new(),
        }
    }
}

pub(super) fn off(cents: Cents, tolerance: Cents) -> bool {
    cents.0.abs() > tolerance.0
}

/// What a part asks for and the pan neither has nor is said to lack, rising.
pub(super) fn absent(pan: &Pan, options: &Options) -> Vec<Pitch> {
    let dead = |pitch: Pitch| pan.drums.iter().any(|drum| drum.dead.iter().any(|note| note.pitch == pitch));
    let mut absent: Vec<Pitch> =
        options.wanted.iter().copied().filter(|pitch| pan.note(*pitch).is_none() && !dead(*pitch)).collect();
    absent.sort_unstable();
    absent.dedup();
    absent
}

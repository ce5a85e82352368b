//! How much of a part a pan plays: as written, after octave moves, and in another key.

use std::cmp::Reverse;

use super::need::Need;
use super::taken::Taken;
use crate::fit::octaves::{self, Octave};
use crate::fit::plan::FAR;
use crate::music::Key;
use crate::pan::Costs;
use crate::pan::NoteSet;

/// How many strokes of a part can be played.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Share {
    /// Strokes that can be played as they are written.
    pub as_written: u64,
    /// Strokes that can be played when notes may move by octaves.
    pub with_moves: u64,
}

/// A part on a pan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cover {
    /// The strokes of the part, with the form played out; a roll is one.
    pub strokes: u64,
    /// The notes that the part has.
    pub needed: NoteSet,
    /// Those that the pan does not have.
    pub missing: NoteSet,
    /// What can be played in the key written.
    pub share: Share,
    /// How many notes of the file move by octaves for that, by the least change of the line (see [`octaves::fit`]).
    pub moved: usize,
    /// The key in which most can be played, if more than in the one written.
    pub better: Option<InKey>,
}

/// A part on a pan in another key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct InKey {
    /// Semitones above the key written; negative below.
    pub semitones: i32,
    /// The key's usual name.
    pub key: Key,
    /// What can be played in it.
    pub share: Share,
    /// How many notes move by octaves for that.
    pub moved: usize,
}

impl Cover {
    /// Whether every stroke can be played as it is written.
    pub fn is_whole(&self) -> bool {
        self.share.as_written == self.strokes
    }

    /// Whether every stroke can be played when notes may move by octaves.
    pub(crate) fn is_whole_with_moves(&self) -> bool {
        self.share.with_moves == self.strokes
    }

    /// Whether at least half of the strokes can be played as written: with less, the part belongs to another sort of pan. The half
    /// is our own setting; no source gives one.
    pub fn is_in_reach(&self) -> bool {
        2 * self.share.as_written >= self.strokes
    }
}

/// How much of a part a pan plays.
///
/// - `set`: the pan's notes;
/// - `key`: the tune's key, for the name of a better one; it moves by at most [`FAR`] semitones either way. Better is where
///   more strokes can be played with octave moves, or as many and more of them as written; of equals the nearest, then the
///   lower.
///
/// A lead part in G, on a pan whose only F is natural, can be played in full a whole tone lower:
/// ```
/// # use panfold::cover::{Need, Stroke, Taken, cover};
/// let stroke = |name: &str| Stroke { notes: vec![name.parse().unwrap()], after_rest: false, times: 2, chosen: Default::default() };
/// let part = Taken::fixed(Need { strokes: ["G4", "F#4", "D5"].map(stroke).into() });
/// let pan = ["C4", "E4", "F4", "G4", "C5", "D5"].map(|name| name.parse().unwrap()).into_iter().collect();
/// let found = cover(&part, pan, "G".parse().unwrap());
/// assert_eq!((found.strokes, found.share.as_written), (6, 4));
/// let better = found.better.unwrap();
/// assert_eq!((better.key.to_string().as_str(), better.share.as_written), ("F", 6));
/// ```
pub fn cover(part: &Taken, set: NoteSet, key: Key) -> Cover {
    let need = part.need();
    let needed = need.set();
    let share = share(need, set);
    let rank = |share: Share| Reverse((share.with_moves, share.as_written));
    let others = (-FAR..=FAR).filter(|semitones| *semitones != 0).map(|semitones| {
        let up = part.up(semitones);
        (self::share(&up, set), semitones, up)
    });
    let best = others.min_by_key(|(share, semitones, _)| (rank(*share), semitones.abs(), *semitones));
    let better = best.filter(|(other, ..)| rank(*other) < rank(share));
    Cover {
        strokes: need.count(),
        needed,
        missing: needed.without(set),
        share,
        moved: moved(need, set),
        better: better.map(|(share, semitones, up)| InKey {
            semitones,
            key: key.up(semitones),
            share,
            moved: moved(&up, set),
        }),
    }
}

/// What can be played of a part in the key that it is in.
pub fn share(need: &Need, set: NoteSet) -> Share {
    let count = |able: &dyn Fn(&super::Stroke) -> bool| {
        need.strokes.iter().filter(|stroke| able(stroke)).map(|stroke| stroke.times).sum()
    };
    Share { as_written: count(&|stroke| stroke.is_on(set)), with_moves: count(&|stroke| stroke.is_near(set)) }
}

/// How many notes move in the least change of a line.
fn moved(need: &Need, set: NoteSet) -> usize {
    // Most lines stay where they are; no need to solve them.
    if need.strokes.iter().all(|stroke| stroke.is_on(set)) {
        return 0;
    }
    let line = need.line();
    let fitted = octaves::fit(&line, set, &Costs::default());
    let moves = |octaves: i32, octave: Octave| usize::from(octaves != 0 && octave != Octave::Open);
    let pairs = line.iter().zip(&fitted.moved).filter_map(|(written, moved)| Some((written, (*moved)?)));
    pairs.map(|(written, (top, low))| moves(top, written.octaves.0) + moves(low, written.octaves.1)).sum()
}

/// A share in per cent, as shown: 100 only for all of it, 0 only for nothing.
pub fn percent(part: u64, whole: u64) -> u64 {
    if part >= whole {
        return 100;
    }
    let rounded = (200 * part + whole) / (2 * whole);
    rounded.clamp(u64::from(part > 0), 99)
}

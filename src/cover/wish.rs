//! Which single notes a pan misses most, over many tunes.

use std::collections::BTreeMap;

use super::need::Need;
use super::share::{Cover, share};
use crate::music::Pitch;
use crate::pan::NoteSet;

/// A part that counts for the wishes, with what of it the pan plays.
#[derive(Clone, Copy, Debug)]
pub struct Wanted<'a> {
    /// What it needs.
    pub need: &'a Need,
    /// What the pan plays of it.
    pub cover: &'a Cover,
}

/// A note that a pan does not have.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wish {
    /// The note.
    pub note: Pitch,
    /// How many strokes have it.
    pub strokes: u64,
    /// How many of these lack nothing else.
    pub gained: u64,
    /// The parts, by their place in the list, that could be played whole as written with this note more.
    pub completes: Vec<usize>,
    /// The parts that could be played whole with octave moves with this note more, and can't without.
    pub completes_with_moves: Vec<usize>,
}

/// Every note that one of the parts has and the pan lacks; the one with most strokes first, of equals the one that completes
/// most, then the lower.
pub fn wishes(parts: &[Wanted], set: NoteSet) -> Vec<Wish> {
    let mut wishes: BTreeMap<Pitch, Wish> = BTreeMap::new();
    for (number, part) in parts.iter().enumerate() {
        for stroke in &part.need.strokes {
            let missing: Vec<Pitch> = stroke.notes.iter().copied().filter(|note| !set.has(*note)).collect();
            for note in &missing {
                let wish = wishes.entry(*note).or_insert_with(|| Wish::of(*note));
                wish.strokes += stroke.times;
                wish.gained += if missing.len() == 1 { stroke.times } else { 0 };
            }
        }
        for note in part.cover.missing.iter() {
            let Some(wish) = wishes.get_mut(&note) else { continue };
            let share = share(part.need, set.or([note].into_iter().collect()));
            if share.as_written == part.cover.strokes {
                wish.completes.push(number);
            }
            if share.with_moves == part.cover.strokes && !part.cover.is_whole_with_moves() {
                wish.completes_with_moves.push(number);
            }
        }
    }
    let mut wishes: Vec<Wish> = wishes.into_values().collect();
    wishes.sort_by_key(|wish| std::cmp::Reverse((wish.strokes, wish.completes.len(), std::cmp::Reverse(wish.note))));
    wishes
}

impl Wish {
    fn of(note: Pitch) -> Wish {
        Wish { note, strokes: 0, gained: 0, completes: Vec::new(), completes_with_moves: Vec::new() }
    }
}

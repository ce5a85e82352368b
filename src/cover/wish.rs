//! Which single missing notes a pan needs most, over many tunes.

use std::collections::BTreeMap;

use super::extra::with;
use super::share::Cover;
use super::taken::Taken;
use crate::music::Pitch;
use crate::pan::NoteSet;

/// A part that counts for the wishes, and what the pan plays of it.
#[derive(Clone, Copy, Debug)]
pub struct Wanted<'a> {
    /// The part, as the pan takes it.
    pub part: &'a Taken,
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
    /// How many of these strokes lack nothing else.
    pub gained: u64,
    /// The parts, by their place in the list, that could be played whole as written if the pan had this note.
    pub completes: Vec<usize>,
    /// The parts that could be played whole with octave moves if the pan had this note, and can't be now.
    pub completes_with_moves: Vec<usize>,
}

/// Every note that one of the parts has and the pan lacks; the one with most strokes first, of equals the one that completes
/// most, then the lower.
pub fn wishes(parts: &[Wanted], set: NoteSet) -> Vec<Wish> {
    let mut wishes: BTreeMap<Pitch, Wish> = BTreeMap::new();
    for stroke in parts.iter().flat_map(|part| &part.part.need().strokes) {
        for note in stroke.notes.iter().copied().filter(|note| !set.has(*note)) {
            wishes.entry(note).or_insert_with(|| Wish::of(note)).strokes += stroke.times;
        }
    }
    for (note, wish) in &mut wishes {
        for (number, Wanted { part, cover }) in parts.iter().enumerate() {
            // An open note is content with any octave of its name.
            let helps = |other: Pitch| other == *note || (!part.is_fixed() && other.class() == note.class());
            if !cover.missing.iter().any(helps) {
                continue;
            }
            let share = with(part, set, [*note].into_iter().collect());
            // A further note may move where open notes of a row lie that two parts share, and so cost a stroke.
            wish.gained += share.as_written.saturating_sub(cover.share.as_written);
            if share.as_written == cover.strokes && !cover.is_whole() {
                wish.completes.push(number);
            }
            if share.with_moves == cover.strokes && !cover.is_whole_with_moves() {
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

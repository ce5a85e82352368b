//! What a part needs of a pan: every stroke that is played, and how often.

use std::collections::BTreeMap;

use crate::fit::octaves::Written;
use crate::music::Pitch;
use crate::pan::NoteSet;
use crate::tune::Tune;
use crate::tune::model::{Event, Player, Struck};

/// A stroke of a part, as it is written once and played as often as the form asks for it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stroke {
    /// Its notes, each once, the highest first; never empty.
    pub notes: Vec<Pitch>,
    /// Whether a rest of at least a beat, or a section's start, lies before it.
    pub after_rest: bool,
    /// How often it is played with the form played out; at least once.
    pub times: u64,
}

/// All strokes of a part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Need {
    /// The strokes, in the order in which they are first played.
    pub strokes: Vec<Stroke>,
}

impl Need {
    /// What a part of a tune needs, those of its rows too that double another part or play a pattern. `None` for
    /// percussion. A section that is never played needs nothing.
    pub fn of(tune: &Tune, part: usize) -> Option<Need> {
        if !matches!(tune.parts[part].player, Player::Pans { .. }) {
            return None;
        }
        let mut order: Vec<(usize, u64)> = Vec::new();
        for (section, ..) in tune.passes() {
            match order.iter_mut().find(|(number, _)| *number == section) {
                Some((_, times)) => *times += 1,
                None => order.push((section, 1)),
            }
        }
        let mut strokes = Vec::new();
        for (number, times) in order {
            let section = &tune.sections[number];
            let mut last: Option<&Event> = None;
            for event in section.rows[part].iter().flat_map(|row| &row.events) {
                let beat = section.meter.beat();
                let after_rest = last.is_none_or(|last| event.start - (last.start + last.length) >= beat);
                last = Some(event);
                let Struck::Notes(notes) = &event.struck else { continue };
                let notes: NoteSet = notes.iter().map(|note| note.pitch).collect();
                strokes.push(Stroke { notes: notes.iter().rev().collect(), after_rest, times });
            }
        }
        Some(Need { strokes })
    }

    /// How many strokes there are with the form played out; a roll is one.
    pub fn count(&self) -> u64 {
        self.strokes.iter().map(|stroke| stroke.times).sum()
    }

    /// Every note that is needed, and how often it is struck.
    pub fn notes(&self) -> BTreeMap<Pitch, u64> {
        let mut notes = BTreeMap::new();
        for stroke in &self.strokes {
            for note in &stroke.notes {
                *notes.entry(*note).or_insert(0) += stroke.times;
            }
        }
        notes
    }

    /// The same as a set.
    pub fn set(&self) -> NoteSet {
        self.strokes.iter().flat_map(|stroke| stroke.notes.iter().copied()).collect()
    }

    /// The part some semitones higher. Strokes that MIDI's keys do not reach are left out.
    pub fn up(&self, semitones: i32) -> Need {
        let up = |stroke: &Stroke| {
            let notes: Option<Vec<Pitch>> = stroke.notes.iter().map(|note| note.up(semitones)).collect();
            Some(Stroke { notes: notes?, ..*stroke })
        };
        Need { strokes: self.strokes.iter().filter_map(up).collect() }
    }

    /// The line that octave moves are found for: the strokes of one or two notes. No octave helps more than two.
    pub fn line(&self) -> Vec<Written> {
        self.strokes.iter().filter_map(Stroke::written).collect()
    }
}

impl Stroke {
    /// The stroke as `fit` takes it; `None` when it has more than two notes.
    pub fn written(&self) -> Option<Written> {
        let low = match self.notes.as_slice() {
            [_] => None,
            [_, low] => Some(*low),
            _ => return None,
        };
        Some(Written { low, after_rest: self.after_rest, ..Written::note(self.notes[0]) })
    }

    /// Whether a pan has all its notes.
    pub fn is_on(&self, set: NoteSet) -> bool {
        self.notes.iter().all(|note| set.has(*note))
    }

    /// Whether a pan has all its notes in some octave, two notes of one name on two places. A stroke of more than two notes
    /// stays where it is.
    pub fn is_near(&self, set: NoteSet) -> bool {
        let octaves = |note: Pitch| set.octaves(note.class()).count();
        match self.notes.as_slice() {
            [note] => octaves(*note) > 0,
            [a, b] if a.class() == b.class() => octaves(*a) > 1,
            [a, b] => octaves(*a) > 0 && octaves(*b) > 0,
            _ => self.is_on(set),
        }
    }
}

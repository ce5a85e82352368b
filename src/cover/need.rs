//! What a part needs of a pan: every stroke that is played, and how often.

use std::collections::{BTreeMap, BTreeSet};

use crate::fit::octaves::{Octave, Written};
use crate::music::Pitch;
use crate::pan::NoteSet;
use crate::tune::Tune;
use crate::tune::model::{Event, Open, Player, Struck};

/// A stroke of a part, as it is written once and played as often as the form asks for it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stroke {
    /// Its notes, each once, the highest first; never empty.
    pub notes: Vec<Pitch>,
    /// Whether a rest of at least a beat, or a section's start, lies before it.
    pub after_rest: bool,
    /// How often it is played with the form played out; at least once.
    pub times: u64,
    /// Those of its notes that the tune leaves open, wholly or in their octave: they are put where they suit the pan, and moving
    /// them changes nothing that is written.
    pub chosen: NoteSet,
}

/// All strokes of a part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Need {
    /// The strokes, in the order in which they are first played.
    pub strokes: Vec<Stroke>,
}

impl Need {
    /// What a part of a tune needs, including its rows that double another part or play a pattern. `None` for
    /// percussion. A section that is never played needs nothing.
    ///
    /// - `open`: the tune as it is written;
    /// - `settled`: the same with every note of the part settled.
    pub fn of(open: &Tune<Open>, settled: &Tune, part: usize) -> Option<Need> {
        let strokes = |section: usize, event: &Event<Open>, written: NoteSet| {
            // A stroke that nothing could be found for is left out of the settled row.
            let row = settled.sections[section].rows[part].as_ref()?;
            let at = row.events.binary_search_by_key(&event.start, |event| event.start).ok()?;
            let Struck::Notes(notes) = &row.events[at].struck else { return None };
            let notes: NoteSet = notes.iter().map(|note| note.pitch).collect();
            Some((notes, notes.without(written)))
        };
        needed(open, part, strokes)
    }

    /// The same for a part that leaves nothing open in what is played; `None` when it does.
    pub fn written(open: &Tune<Open>, part: usize) -> Option<Need> {
        let played: BTreeSet<usize> = open.form.iter().map(|step| step.section).collect();
        let rows = played.iter().filter_map(|section| open.sections[*section].rows[part].as_ref());
        let is_open = |event: &Event<Open>| match &event.struck {
            Struck::Notes(notes) => notes.iter().any(|note| !matches!(note.pitch, Open::Pitch(_))),
            Struck::Mark(_) => false,
        };
        if rows.flat_map(|row| &row.events).any(is_open) {
            return None;
        }
        needed(open, part, |_, _, written| Some((written, NoteSet::EMPTY)))
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
            let chosen = stroke.chosen.iter().filter_map(|note| note.up(semitones)).collect();
            Some(Stroke { notes: notes?, chosen, ..*stroke })
        };
        Need { strokes: self.strokes.iter().filter_map(up).collect() }
    }

    /// The line for which octave moves are found: the strokes of one or two notes. More notes at once are never moved.
    pub fn line(&self) -> Vec<Written> {
        self.strokes.iter().filter_map(Stroke::written).collect()
    }
}

/// The strokes of a part that are played, with what `struck` makes of each: its notes, and those of them that were chosen. It is
/// given the section's number, the stroke, and the stroke's written notes.
fn needed(
    open: &Tune<Open>,
    part: usize,
    struck: impl Fn(usize, &Event<Open>, NoteSet) -> Option<(NoteSet, NoteSet)>,
) -> Option<Need> {
    if !matches!(open.parts[part].player, Player::Pans { .. }) {
        return None;
    }
    let mut order: Vec<(usize, u64)> = Vec::new();
    for (section, ..) in open.passes() {
        match order.iter_mut().find(|(number, _)| *number == section) {
            Some((_, times)) => *times += 1,
            None => order.push((section, 1)),
        }
    }
    let mut strokes = Vec::new();
    for (number, times) in order {
        let section = &open.sections[number];
        let mut last: Option<&Event<Open>> = None;
        for event in section.rows[part].iter().flat_map(|row| &row.events) {
            let after_rest = event.is_after_rest(last, section.meter);
            last = Some(event);
            let Struck::Notes(notes) = &event.struck else { continue };
            let written = notes.iter().filter_map(|note| match note.pitch {
                Open::Pitch(pitch) => Some(pitch),
                Open::Tone { .. } | Open::Strum | Open::Harmony { .. } => None,
            });
            let Some((notes, chosen)) = struck(number, event, written.collect()) else { continue };
            strokes.push(Stroke { notes: notes.iter().rev().collect(), after_rest, times, chosen });
        }
    }
    Some(Need { strokes })
}

impl Stroke {
    /// The stroke as `fit` takes it; `None` when it has more than two notes.
    pub fn written(&self) -> Option<Written> {
        let low = match self.notes.as_slice() {
            [_] => None,
            [_, low] => Some(*low),
            _ => return None,
        };
        let octave = |note: Pitch| if self.chosen.has(note) { Octave::Open } else { Octave::Moves };
        let octaves = (octave(self.notes[0]), low.map_or(Octave::Moves, octave));
        Some(Written { low, after_rest: self.after_rest, octaves, ..Written::note(self.notes[0]) })
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

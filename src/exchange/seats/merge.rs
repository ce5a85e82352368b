//! Rows that share a pan, made into one row: notes that begin together are one stroke, of at most two notes; a note that still sounds
//! when the next stroke begins ends there.

use std::collections::{BTreeMap, BTreeSet};

use super::seat::Seat;
use super::spare::all_but;
use crate::exchange::lost::{Lost, Weight, Where};
use crate::exchange::score::{Note, Part, Score, Struck};
use crate::exchange::voices::STICKS;
use crate::music::{Length, Pitch};

/// The score and its seats with the rows of each pan as one, which is named after the first of them; `None` when no pan is shared.
pub fn merged(score: &Score, seats: &[Seat], lost: &mut Lost) -> Option<(Score, Vec<Seat>)> {
    let mut of_pan: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (part, seat) in seats.iter().enumerate() {
        if let Some(pan) = seat.pan {
            of_pan.entry(pan).or_default().push(part);
        }
    }
    of_pan.retain(|_, parts| parts.len() > 1);
    if of_pan.is_empty() {
        return None;
    }
    let mut merged = score.clone();
    let mut gone = BTreeSet::new();
    for parts in of_pan.values() {
        let rows: Vec<&Part> = parts.iter().map(|part| &score.parts[*part]).collect();
        merged.parts[parts[0]].notes = as_one(&rows, lost);
        gone.extend(parts[1..].iter().copied());
    }
    merged.parts = all_but(merged.parts, |part| gone.contains(&part));
    Some((merged, all_but(seats.to_vec(), |part| gone.contains(&part))))
}

/// Rows as one.
fn as_one(rows: &[&Part], lost: &mut Lost) -> Vec<Note> {
    let mut begin: BTreeMap<(usize, Length), Vec<&Note>> = BTreeMap::new();
    for note in rows.iter().flat_map(|row| &row.notes) {
        begin.entry((note.measure, note.start)).or_default().push(note);
    }
    let moments: Vec<((usize, Length), Vec<&Note>)> = begin.into_iter().collect();
    let mut one: Vec<Note> = Vec::new();
    for (number, ((measure, start), notes)) in moments.iter().enumerate() {
        // What only goes on rings on, where it is not struck again by mistake.
        let struck: Vec<&Note> = notes.iter().copied().filter(|note| !note.tied).collect();
        let notes = if struck.is_empty() { notes } else { &struck };
        let (pitches, left_out) = outer(notes);
        for _ in 0..left_out {
            let measure = (measure + 1).to_string();
            let at = Where { part: &rows[0].name, measure: &measure, span: None };
            lost.tell(Weight::Heard, "a third note at once is left out: the player of the pan has two sticks", at);
        }
        let goes_on = one.last().is_some_and(|last| {
            last.open && last.measure + 1 == *measure && last.struck == Struck::Notes(pitches.clone())
        });
        if struck.is_empty() && !goes_on {
            continue;
        }
        if let Some(last) = one.last_mut().filter(|_| !struck.is_empty()) {
            last.open = false;
        }
        let next = moments.get(number + 1).filter(|((next, _), _)| next == measure).map(|((_, next), _)| *next);
        let end = notes.iter().map(|note| note.end()).max().unwrap_or(*start);
        let to = next.map_or(end, |next| next.min(end));
        one.push(Note {
            measure: *measure,
            start: *start,
            length: to - *start,
            struck: Struck::Notes(pitches),
            manner: notes.iter().skip(1).fold(notes[0].manner, |manner, note| manner.or(note.manner)),
            tied: struck.is_empty(),
            open: to == end && notes.iter().any(|note| note.open && note.end() == end),
        });
    }
    one
}

/// The highest and the lowest note of some strokes, and how many there are between.
fn outer(notes: &[&Note]) -> (Vec<Pitch>, usize) {
    let pitches = |note: &&Note| match &note.struck {
        Struck::Notes(pitches) => pitches.clone(),
        Struck::Mark(_) => Vec::new(),
    };
    let all: BTreeSet<Pitch> = notes.iter().flat_map(pitches).collect();
    let ends = [all.last(), all.first()].into_iter().flatten().copied();
    let mut outer: Vec<Pitch> = ends.collect();
    outer.dedup();
    let left_out = all.len().saturating_sub(STICKS);
    (outer, left_out)
}

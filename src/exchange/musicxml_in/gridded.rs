//! The times of a MusicXML score moved onto a grid, where that is asked for, and what that moved.
//!
//! The grid is counted from each bar line, and what begins in a measure stays in it: after a repeat the next measure played may not be
//! the next one written, so a note must not move across the bar line. A note that falls on the same note before it is left
//! out.

use std::collections::BTreeMap;

use crate::exchange::lost::{Lost, Weight, Where};
use crate::exchange::quantise::Grid;
use crate::exchange::score::{Measure, measure_at};
use crate::exchange::voices::Sounding;
use crate::music::Length;

/// What is moved.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum What {
    Beginning,
    End,
    Chord,
    Dynamic,
    /// A chord onto which another one falls.
    ChordTaken,
    /// A note that falls on the same note before it.
    NoteTaken,
    /// Notes that followed each other and are now struck together.
    Together,
}

/// Something that was moved.
struct Moved {
    what: What,
    part: String,
    /// The measure's number, from 1.
    measure: usize,
    by: Length,
}

/// Moves times onto a grid, and keeps what it moved.
pub struct Gridded<'a> {
    grid: &'a Grid,
    moved: Vec<Moved>,
}

impl<'a> Gridded<'a> {
    /// Nothing has been moved yet.
    pub fn new(grid: &'a Grid) -> Gridded<'a> {
        Gridded { grid, moved: Vec::new() }
    }

    /// Moves chords and dynamics.
    pub fn measures(&mut self, measures: &mut [Measure]) {
        for (number, measure) in measures.iter_mut().enumerate() {
            let (number, length) = (number + 1, measure.length);
            let mut chords: Vec<(Length, _)> = Vec::with_capacity(measure.chords.len());
            for (at, chord) in std::mem::take(&mut measure.chords) {
                let to = self.beginning(at, length);
                self.note_down(What::Chord, "", number, (at, to));
                if chords.last().is_some_and(|(before, _)| *before == to) {
                    chords.pop();
                    self.add(What::ChordTaken, "", number, Length::ZERO);
                }
                chords.push((to, chord));
            }
            measure.chords = chords;
            for (at, _) in &mut measure.dynamics {
                let to = self.beginning(*at, length);
                self.note_down(What::Dynamic, "", number, (*at, to));
                *at = to;
            }
        }
    }

    /// Moves the notes of a voice.
    ///
    /// - `part`: what the file calls its part; `starts`: when each measure begins, and when the last ends.
    pub fn notes(&mut self, part: &str, notes: &mut Vec<Sounding>, starts: &[Length]) {
        notes.sort_by_key(|note| note.at);
        let mut kept: Vec<Sounding> = Vec::with_capacity(notes.len());
        let mut was: Vec<Length> = Vec::with_capacity(notes.len());
        for note in notes.drain(..) {
            let (at, to) = (self.begins(note.at, starts), self.ends(note.at, note.at + note.length, starts));
            let measure = measure_at(starts, at);
            self.note_down(What::Beginning, part, measure, (note.at, at));
            self.note_down(What::End, part, measure, (note.at + note.length, to));
            let mut length = to - at;
            let beside = kept.iter_mut().zip(&was).rev().take_while(|(other, _)| other.at == at);
            let mut before: Vec<&mut Sounding> =
                beside.filter(|(_, was)| **was != note.at).map(|(other, _)| other).collect();
            if before.iter().any(|other| other.sound == note.sound) {
                self.add(What::NoteTaken, part, measure, Length::ZERO);
                continue;
            }
            if !before.is_empty() {
                // They become one stroke, and end together too: else they would need two players.
                length = before.iter().map(|other| other.length).fold(length, Length::max);
                before.iter_mut().for_each(|other| other.length = length);
                self.add(What::Together, part, measure, Length::ZERO);
            }
            was.push(note.at);
            kept.push(Sounding { at, length, ..note });
        }
        *notes = kept;
    }

    /// The place for what begins in a measure of a length.
    fn beginning(&self, at: Length, length: Length) -> Length {
        let place = self.grid.nearest(at);
        if place < length { place } else { self.grid.before(length).max(Length::ZERO) }
    }

    /// The place for a note's beginning.
    fn begins(&self, at: Length, starts: &[Length]) -> Length {
        let Some((from, to)) = around(at, starts) else { return at };
        from + self.beginning(at - from, to - from)
    }

    /// The place for the end of a note that begins at a time: after its own beginning, at the latest at a bar line.
    fn ends(&self, at: Length, end: Length, starts: &[Length]) -> Length {
        let place = around(end, starts).map_or(end, |(from, to)| (from + self.grid.nearest(end - from)).min(to));
        let begins = self.begins(at, starts);
        if place > begins {
            return place;
        }
        around(begins, starts).map_or(end, |(from, to)| (from + self.grid.after(begins - from)).min(to))
    }

    fn note_down(&mut self, what: What, part: &str, measure: usize, (from, to): (Length, Length)) {
        if from != to {
            self.add(what, part, measure, if from > to { from - to } else { to - from });
        }
    }

    fn add(&mut self, what: What, part: &str, measure: usize, by: Length) {
        self.moved.push(Moved { what, part: part.to_owned(), measure, by });
    }

    /// Reports what was moved, how far at most, and where.
    pub fn tell(&self, lost: &mut Lost) {
        let mut most: BTreeMap<What, Length> = BTreeMap::new();
        for moved in &self.moved {
            let furthest = most.entry(moved.what).or_default();
            *furthest = moved.by.max(*furthest);
        }
        for moved in &self.moved {
            let (weight, what) = said(moved.what, self.grid, most[&moved.what].as_f64());
            let measure = moved.measure.to_string();
            lost.tell(weight, what, Where { part: &moved.part, measure: &measure, span: None });
        }
    }
}

/// The measure that a time lies in: when it begins and ends.
fn around(at: Length, starts: &[Length]) -> Option<(Length, Length)> {
    let number = measure_at(starts, at);
    Some((*starts.get(number.checked_sub(1)?)?, *starts.get(number)?))
}

fn said(what: What, grid: &Grid, most: f64) -> (Weight, String) {
    let away = format!("at most {most:.3} of a quarter note away");
    match what {
        What::Beginning => (Weight::Otherwise, format!("a note begins elsewhere on the grid {grid}, {away}")),
        What::End => (Weight::Otherwise, format!("a note ends elsewhere on the grid {grid}, {away}")),
        What::Chord => (Weight::Otherwise, format!("a chord begins elsewhere on the grid {grid}, {away}")),
        What::Dynamic => (Weight::Otherwise, format!("a dynamic mark stands elsewhere on the grid {grid}, {away}")),
        What::ChordTaken => {
            (Weight::Heard, format!("two chords fall together on the grid {grid}; the second of them is written"))
        }
        What::NoteTaken => (
            Weight::Heard,
            format!(
                "a note falls on the same note before it on the grid {grid}, and is left out; a finer grid keeps both"
            ),
        ),
        What::Together => (
            Weight::Heard,
            format!("notes that follow each other fall together on the grid {grid}; a finer grid keeps them apart"),
        ),
    }
}

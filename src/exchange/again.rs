//! Stretches that are written out again, note for note, under the same name: they are one section that is played again.
//!
//! A score has a section written out each time the form plays it, so a form `verse chorus verse` has two verses on paper.

use std::collections::BTreeMap;

use super::score::{Note, Score};
use crate::music::{Chord, Length};

/// The most different stretches of one name with which a further one is compared.
const COMPARED: usize = 16;

/// A stretch of measures from one mark to the next.
#[derive(Clone, Copy, Debug)]
struct Run {
    first: usize,
    count: usize,
}

/// Where stretches have the same name and the same music, makes the order of playing come back to the first of them.
///
/// In a tune of panfold's own, stretches are the same even if they differ in the notes that sound on into them or out of them,
/// since `-` at a section's start holds whatever sounds. In other music they have to be equal there too.
pub fn fold(score: &mut Score) {
    let mut rolls = vec![None; score.parts.len()];
    let before = chords_before(score);
    let mut seen: BTreeMap<String, Vec<Run>> = BTreeMap::new();
    let mut instead: Vec<usize> = (0..score.measures.len()).collect();
    for run in runs(score) {
        let name = score.measures[run.first].mark.clone().unwrap_or_default();
        let earlier = seen.entry(name).or_default();
        let same = earlier.iter().take(COMPARED).copied().find(|earlier| {
            chords(score, *earlier, &before) == chords(score, run, &before) && is_same(score, *earlier, run, &rolls)
        });
        let Some(earlier) = same else {
            earlier.push(run);
            continue;
        };
        merge(score, earlier, run, &mut rolls);
        for number in 0..run.count {
            instead[run.first + number] = earlier.first + number;
        }
    }
    for number in &mut score.order {
        *number = instead[*number];
    }
}

fn runs(score: &Score) -> Vec<Run> {
    let marked: Vec<usize> =
        (0..score.measures.len()).filter(|number| score.measures[*number].mark.is_some()).collect();
    let ends = marked.iter().skip(1).copied().chain([score.measures.len()]);
    marked.iter().zip(ends).map(|(first, end)| Run { first: *first, count: end - first }).collect()
}

/// Which of the two halves of a note that goes on from stretch to stretch may lose its roll, since the other half keeps it: for
/// each part the half for which that was done first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Half {
    /// The one at a stretch's end.
    Ends,
    /// The one that goes on into a stretch.
    Carried,
}

fn is_same(score: &Score, a: Run, b: Run, rolls: &[Option<Half>]) -> bool {
    let settings = |run: Run| {
        score.measures[run.first..run.first + run.count]
            .iter()
            .map(|m| (m.length, m.meter, m.key, m.tempo, &m.words, &m.dynamics))
    };
    a.count == b.count
        && settings(a).eq(settings(b))
        && (0..score.parts.len()).all(|part| {
            let (one, other) = (Split::of(score, part, a), Split::of(score, part, b));
            one.is_same(&other, a, b, score.ours.then_some(rolls[part]))
        })
}

/// The chord that sounds when each measure begins, in the order written.
fn chords_before(score: &Score) -> Vec<Option<Chord>> {
    let mut now = None;
    let mut before = Vec::with_capacity(score.measures.len());
    for measure in &score.measures {
        before.push(now);
        now = measure.chords.last().map_or(now, |(_, chord)| *chord);
    }
    before
}

/// The chords of a stretch, with the one that sounds when it begins; no chord at its start is the same as nothing.
fn chords(score: &Score, run: Run, before: &[Option<Chord>]) -> Vec<(usize, Length, Option<Chord>)> {
    let of = |measure: usize| score.measures[measure].chords.iter();
    let mut chords: Vec<_> = (0..run.count)
        .flat_map(|number| of(run.first + number).map(move |(start, chord)| (number, *start, *chord)))
        .collect();
    let begins = chords.first().is_some_and(|(number, start, _)| *number == 0 && start.is_zero());
    if let Some(chord) = before[run.first].filter(|_| !begins) {
        chords.insert(0, (0, Length::ZERO, Some(chord)));
    }
    let silent = chords.iter().take_while(|(.., chord)| chord.is_none()).count();
    chords.drain(..silent);
    chords
}

/// A part's notes in a stretch: those that go on from before it, and the others.
struct Split<'a> {
    /// Where the notes begin among the part's.
    from: usize,
    carried: &'a [Note],
    struck: &'a [Note],
    /// From here on, the struck notes belong to a note that reaches the stretch's end.
    last: usize,
}

impl<'a> Split<'a> {
    fn of(score: &'a Score, part: usize, run: Run) -> Split<'a> {
        let notes = &score.parts[part].notes;
        let from = notes.partition_point(|note| note.measure < run.first);
        let to = notes.partition_point(|note| note.measure < run.first + run.count);
        let notes = &notes[from..to];
        let mut next = (run.first, Length::ZERO);
        let goes_on = |note: &&Note| {
            let is_next = note.tied && (note.measure, note.start) == next;
            let whole = note.end() == score.measures[note.measure].length;
            next = if whole { (note.measure + 1, Length::ZERO) } else { (usize::MAX, Length::ZERO) };
            is_next
        };
        let (carried, struck) = notes.split_at(notes.iter().take_while(goes_on).count());
        let last = (run.first + run.count).saturating_sub(1);
        let reaches = |note: &Note| note.measure == last && note.end() == score.measures[last].length;
        let held = struck.iter().rev().take_while(|note| note.tied && note.start.is_zero()).count();
        let reached = struck.last().is_some_and(reaches);
        let last = if reached { struck.len().saturating_sub(held + 1) } else { struck.len() };
        Split { from, carried, struck, last }
    }

    /// `ours`: in a tune of panfold's own, which halves of notes have lost their rolls.
    fn is_same(&self, other: &Split, a: Run, b: Run, ours: Option<Option<Half>>) -> bool {
        let may_lose = |half: Half| ours.is_some_and(|lost| lost.is_none_or(|lost| lost == half));
        let ours = ours.is_some();
        if self.ends_differ(other) && self.carried_differ(other) {
            return false;
        }
        let place = |note: &Note, run: Run| (note.measure - run.first, note.start, note.length);
        let count = self.struck.len();
        let struck = count == other.struck.len()
            && self.struck.iter().zip(other.struck).enumerate().all(|(number, (one, two))| {
                let ends = number >= self.last;
                let rolled = ends && may_lose(Half::Ends) || one.manner.rolled == two.manner.rolled;
                let mut manner = two.manner;
                manner.rolled = one.manner.rolled;
                place(one, a) == place(two, b)
                    && one.struck == two.struck
                    && (one.manner, one.tied) == (manner, two.tied)
                    && rolled
                    && (ends || one.open == two.open)
            });
        let empty = self.carried.is_empty() || other.carried.is_empty();
        let carried = self.carried.len() == other.carried.len()
            && self.carried.iter().zip(other.carried).all(|(one, two)| {
                place(one, a) == place(two, b)
                    && (may_lose(Half::Carried) || one.manner.rolled == two.manner.rolled)
                    && (ours || one.struck == two.struck && one.manner == two.manner)
            });
        struck && (carried || ours && empty)
    }

    /// Whether the last notes differ in being rolled.
    fn ends_differ(&self, other: &Split) -> bool {
        let rolled = |split: &Split| split.struck.last().map(|note| note.manner.rolled);
        rolled(self) != rolled(other)
    }

    /// Whether what goes on from before differs in being rolled.
    fn carried_differ(&self, other: &Split) -> bool {
        self.carried.iter().zip(other.carried).any(|(one, two)| one.manner.rolled != two.manner.rolled)
    }
}

/// Puts into the first stretch what both have: the notes that go on into either, and out of either. Where only one rolls a note
/// that goes on beyond the stretch, the other half of that note rolls it.
fn merge(score: &mut Score, a: Run, b: Run, rolls: &mut [Option<Half>]) {
    for (part, lost) in rolls.iter_mut().enumerate() {
        let (one, other) = (Split::of(score, part, a), Split::of(score, part, b));
        if one.ends_differ(&other) {
            *lost = Some(Half::Ends);
        } else if one.carried_differ(&other) {
            *lost = Some(Half::Carried);
        }
        let carried: Vec<Note> = other.carried.to_vec();
        let ends: Vec<Note> = other.struck[other.last..].to_vec();
        let (from, count, last) = (one.from, one.carried.len(), one.last);
        let notes = &mut score.parts[part].notes;
        for (note, other) in notes[from + count + last..].iter_mut().zip(&ends) {
            note.open |= other.open;
            note.manner.rolled &= other.manner.rolled;
        }
        for (note, other) in notes[from..from + count].iter_mut().zip(&carried) {
            note.open |= other.open;
            note.manner.rolled &= other.manner.rolled;
        }
        if count == 0 {
            let carried = carried.into_iter().map(|note| Note { measure: note.measure - b.first + a.first, ..note });
            notes.splice(from..from, carried);
        }
    }
}

//! The fewest notes to ask a tuner for, so that a pan plays a part.

use std::collections::BTreeMap;

use super::need::{Need, Stroke};
use super::share::Share;
use super::taken::Taken;
use crate::fit::octaves::{self, Written};
use crate::music::{Pitch, PitchClass};
use crate::pan::NoteSet;
use crate::pan::{Cost, Costs};

/// How many lines are solved at most while the octaves of the extra notes are chosen; after that the best choice so far counts.
/// With up to five missing notes of two or three octaves each the limit is never reached.
const SOLVES: usize = 4000;

/// The fewest extra notes with which a pan plays all of a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Extra {
    /// To play it as written: every note that is missing.
    pub as_written: NoteSet,
    /// To play it when notes may move by octaves. No smaller set is enough, and of all sets as small this one costs the line least.
    pub with_moves: NoteSet,
    /// What octave moves then cost.
    pub cost: Cost,
    /// Whether `cost` is proved to be the least. The number of notes always is.
    pub proved: bool,
}

/// Finds the fewest extra notes.
///
/// With moves allowed, any octave of a name will do, so each name needs as many notes as it lacks: one, or two when both sticks
/// strike it at once in two octaves (a stroke of more than two notes needs exactly its notes). Names do not help each other, so
/// the sum is the least. The octaves are those between the lowest and the highest note of pan and part, tried by branch and
/// bound; the bound is the cost with all octaves of the names not yet decided, and a choice can only raise it.
///
/// As written, each written note that is missing is needed; a note whose octave is open needs one of its name, unless a note that is
/// needed anyway has it. A strum for whose chord the pan has nothing needs the third.
#[expect(clippy::missing_panics_doc, reason = "a search always finishes its first way down")]
pub fn extra(part: &Taken, set: NoteSet) -> Extra {
    let need = part.need();
    let as_written = as_written(part, set);
    let wide = need.strokes.iter().filter(|stroke| stroke.notes.len() > 2);
    let forced = wide.flat_map(|stroke| stroke.notes.iter().copied()).collect::<NoteSet>().without(set);
    let base = set.or(forced);
    let line = need.line();
    let lacking = lacking(need, base);
    let mut search = Search { line: &line, lacking: &lacking, best: None, solves: 0 };
    search.from(0, base);
    let (cost, found) = search.best.expect("the first way down is always finished");
    Extra { as_written, with_moves: found.without(set), cost, proved: search.solves <= SOLVES }
}

/// The extra notes with which a part can be played as written.
fn as_written(part: &Taken, set: NoteSet) -> NoteSet {
    let mut extra =
        missing(part.need(), set, |stroke| stroke.notes.iter().copied().collect::<NoteSet>().without(stroke.chosen));
    if part.is_fixed() {
        return extra;
    }
    loop {
        let need = part.with(extra);
        let has = set.or(extra);
        let more = missing(&need, has, |stroke| stroke.notes.iter().copied().collect());
        // One a name that is not there: with it, the others of that name find their place, and so do the notes that are struck
        // together with them. What still lacks then is two octaves at once.
        let nameless = more.iter().filter(|note| has.octaves(note.class()).next().is_none());
        let mut named: BTreeMap<PitchClass, Pitch> = BTreeMap::new();
        for note in nameless {
            named.entry(note.class()).or_insert(note);
        }
        if named.is_empty() {
            named = more.iter().map(|note| (note.class(), note)).collect();
        }
        if named.is_empty() {
            return extra;
        }
        extra = extra.or(named.into_values().collect());
    }
}

/// Those of the chosen notes of all strokes that a set lacks.
fn missing(need: &Need, set: NoteSet, of: impl Fn(&Stroke) -> NoteSet) -> NoteSet {
    need.strokes.iter().map(of).fold(NoteSet::EMPTY, NoteSet::or).without(set)
}

/// What a pan with some more notes plays of a part.
pub fn with(part: &Taken, set: NoteSet, extra: NoteSet) -> Share {
    super::share::share(&part.with(extra), set.or(extra))
}

/// A name of missing notes: every choice of octaves, the most struck first.
struct Lacking {
    choices: Vec<NoteSet>,
    all: NoteSet,
}

fn lacking(need: &Need, set: NoteSet) -> Vec<Lacking> {
    let struck = need.notes();
    let both = set.or(need.set());
    let mut wanted: BTreeMap<PitchClass, usize> = BTreeMap::new();
    for stroke in need.strokes.iter().filter(|stroke| stroke.notes.len() <= 2) {
        for note in &stroke.notes {
            let twice = stroke.notes.iter().filter(|other| other.class() == note.class()).count();
            let most = wanted.entry(note.class()).or_insert(0);
            *most = twice.max(*most);
        }
    }
    let times = |pitch: &Pitch| struck.get(pitch).copied().unwrap_or(0);
    let mut lacking: Vec<(u64, Lacking)> = Vec::new();
    for (class, wanted) in wanted {
        let lacks = wanted.saturating_sub(set.octaves(class).count());
        if lacks == 0 {
            continue;
        }
        let (low, high) = (both.lowest().expect("a note"), both.highest().expect("a note"));
        let between = (low.key()..=high.key()).filter_map(Pitch::new);
        let mut pitches: Vec<Pitch> = between.filter(|pitch| pitch.class() == class && !set.has(*pitch)).collect();
        pitches.sort_by_key(|pitch| (std::cmp::Reverse(times(pitch)), *pitch));
        let choices = if lacks == 1 {
            pitches.iter().map(|pitch| [*pitch].into_iter().collect()).collect()
        } else {
            let pairs = pitches.iter().enumerate().flat_map(|(i, a)| pitches[i + 1..].iter().map(move |b| [*a, *b]));
            pairs.map(|pair| pair.into_iter().collect()).collect()
        };
        let all = pitches.iter().copied().collect();
        lacking.push((pitches.iter().map(times).sum(), Lacking { choices, all }));
    }
    // What is struck most decides most.
    lacking.sort_by_key(|(times, _)| std::cmp::Reverse(*times));
    lacking.into_iter().map(|(_, lacking)| lacking).collect()
}

struct Search<'a> {
    line: &'a [Written],
    lacking: &'a [Lacking],
    best: Option<(Cost, NoteSet)>,
    solves: usize,
}

impl Search<'_> {
    /// Tries every choice of the names from `depth` on, on top of a set.
    fn from(&mut self, depth: usize, set: NoteSet) {
        if self.solves > SOLVES && self.best.is_some() {
            return;
        }
        let open = self.lacking[depth..].iter().fold(set, |set, lacking| set.or(lacking.all));
        self.solves += 1;
        let least = octaves::cost(self.line, open, &Costs::default());
        if self.best.is_some_and(|(cost, _)| least >= cost) {
            return;
        }
        match self.lacking.get(depth) {
            None => self.best = Some((least, set)),
            Some(lacking) => lacking.choices.iter().for_each(|choice| self.from(depth + 1, set.or(*choice))),
        }
    }
}

#[cfg(test)]
#[path = "extra_tests.rs"]
mod tests;

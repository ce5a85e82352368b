//! Octave moves: the least change that puts a line on a pan.
//!
//! In: a line of written strokes of one or two notes, the notes that all pans of the part have, the [`Costs`]. Out: for each
//! stroke the notes that are struck, and every term of the cost. Exact by dynamic programming over the line; ties go to the
//! fewest moved notes, then to the smallest moves, then to the lower octave.

use crate::music::Pitch;
use crate::pan::{Cost, Costs, NoteSet};

/// Whether a note's octave may change.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Octave {
    /// It is written, and moving it costs something.
    #[default]
    Moves,
    /// It stays, whether a pan has it or not.
    Stays,
    /// It is open.
    Open,
}

/// A stroke as written: one note, or two for both sticks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Written {
    /// The note; of two the higher one. If its octave is open, that pitch class in any octave.
    pub top: Pitch,
    /// The lower note of two.
    pub low: Option<Pitch>,
    /// Whether a rest of at least a beat, or a section's start, lies before it.
    pub after_rest: bool,
    /// Whether the octaves of the top and the low note may change.
    pub octaves: (Octave, Octave),
    /// Where open notes gather.
    pub home: Option<Pitch>,
    /// The direction from the stroke before that the degrees of a chord ask for, if both are degrees of one chord: `1 5 8` rises on the
    /// pan, unless that can't be had.
    pub lean: Option<i8>,
    /// The lowest note of the higher parts that sound with it, unless it is above that already as written: higher up it would
    /// cross them.
    pub under: Option<Pitch>,
    /// The highest note of the lower parts that sound with it, unless it is below that already as written.
    pub over: Option<Pitch>,
}

impl Written {
    /// A single note within a phrase.
    pub fn note(pitch: Pitch) -> Self {
        let octaves = (Octave::Moves, Octave::Moves);
        Written { top: pitch, low: None, after_rest: false, octaves, home: None, lean: None, under: None, over: None }
    }

    /// The same stroke some semitones away, if MIDI's keys reach so far.
    pub fn up(self, semitones: i32) -> Option<Self> {
        let low = match self.low {
            Some(low) => Some(low.up(semitones)?),
            None => None,
        };
        let [under, over] = [self.under, self.over].map(|bound| bound.and_then(|bound| bound.up(semitones)));
        Some(Written { top: self.top.up(semitones)?, low, under, over, ..self })
    }

    /// Whether an octave of it is open.
    pub fn is_open(&self) -> bool {
        self.octaves.0 == Octave::Open || (self.low.is_some() && self.octaves.1 == Octave::Open)
    }
}

/// What a line costs, term by term, in the order of [`Costs`].
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Terms {
    /// Moved notes.
    pub moves: Cost,
    /// Jumps of an octave between neighbours within phrases.
    pub breaks: Cost,
    /// Jumps of an octave between neighbours across rests.
    pub breaks_at_rests: Cost,
    /// Lost directions.
    pub turns: Cost,
    /// Voices crossed.
    pub crossings: Cost,
    /// Leaps to and from notes whose octave is open, and how far these are from the middle of the pan.
    pub leaps: Cost,
    /// Missing pitch classes.
    pub missing: Cost,
}

impl Terms {
    /// Adds the terms of another stretch.
    pub fn add(&mut self, other: Terms) {
        self.moves += other.moves;
        self.breaks += other.breaks;
        self.breaks_at_rests += other.breaks_at_rests;
        self.turns += other.turns;
        self.crossings += other.crossings;
        self.leaps += other.leaps;
        self.missing += other.missing;
    }

    /// What it costs that the line is changed: all but the leaps of open notes, which are there in any case. Keys are compared by it, so
    /// that a tune that needs no change costs 0.
    pub fn changes(self) -> Cost {
        self.total() - self.leaps
    }

    /// The sum.
    pub fn total(self) -> Cost {
        self.moves + self.breaks + self.breaks_at_rests + self.turns + self.crossings + self.leaps + self.missing
    }
}

/// A stroke as it is played: octaves moved by its top and its low note; `None` when a pitch class is missing.
pub type Moved = Option<(i32, i32)>;

/// A fitted line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fitted {
    /// For each stroke, by how many octaves its notes move (the second is 0 for a single note).
    pub moved: Vec<Moved>,
    /// What it costs.
    pub terms: Terms,
}

/// A way to strike a stroke: octaves moved by the top and the low note.
#[derive(Clone, Copy, PartialEq, Eq)]
struct Choice {
    top: i32,
    low: i32,
}

/// What is compared: the cost, then how many notes move, then by how many octaves in all.
type Rank = (Cost, u32, u32);

/// The fitted line of least cost.
///
/// - `line`: the strokes in order. A stroke of two notes moves as a pair: its low note's neighbour is the low note of the
///   stroke before, or its only note; the direction is judged by the top notes.
/// - `set`: the notes that every pan of the part has. A stroke with a pitch class that is not among them costs `missing` for
///   each such note and is skipped: the strokes around it are neighbours.
///
/// Cost: O(strokes × choices²), where a note has a choice for each octave in which the pan has it.
///
/// A lead written an octave too high for a pan that stops at E6:
/// ```
/// # use panfold::{fit::octaves::{Written, fit}, pan::layout};
/// let set = layout("lead-c").unwrap().note_set();
/// let line: Vec<Written> = ["G6", "A6", "B6"].map(|name| Written::note(name.parse().unwrap())).into();
/// let fitted = fit(&line, set, &Default::default());
/// assert_eq!(fitted.moved, [Some((-1, 0)); 3]);
/// assert_eq!(fitted.terms.total(), 3000);
/// ```
pub fn fit(line: &[Written], set: NoteSet, costs: &Costs) -> Fitted {
    fit_each(line, |_| set, costs)
}

/// The same where each stroke has a set of its own, by its number: a stroke that other parts double must be on their pans
/// too.
pub(crate) fn fit_each(line: &[Written], set_of: impl Fn(usize) -> NoteSet, costs: &Costs) -> Fitted {
    let (solver, missing) = solved(line, set_of, costs);
    let moved = solver.back(line.len());
    let mut terms = Terms { missing, ..Terms::default() };
    by_stroke(line, &moved, costs).into_iter().for_each(|stroke| terms.add(stroke));
    Fitted { moved, terms }
}

/// The least cost alone, for comparing keys.
pub fn cost(line: &[Written], set: NoteSet, costs: &Costs) -> Cost {
    let is_alone = |written: &Written| written.under.or(written.over).is_none();
    if line.iter().all(|written| written.low.is_none() && written.octaves.0 == Octave::Moves && is_alone(written)) {
        return cost_of_singles(line, set, costs);
    }
    let (solver, missing) = solved(line, |_| set, costs);
    missing + solver.ranks.iter().min().map_or(0, |rank| rank.0)
}

/// The same for single written notes, which most lines are made of: nothing but costs, in arrays that stay in registers.
fn cost_of_singles(line: &[Written], set: NoteSet, costs: &Costs) -> Cost {
    // The pan's keys by pitch class; MIDI has eleven octaves.
    let mut keys = [([0i32; 11], 0usize); 12];
    for pitch in set.iter() {
        let (of_class, count) = &mut keys[usize::from(pitch.key() % 12)];
        of_class[*count] = i32::from(pitch.key());
        *count += 1;
    }
    let (mut missing, mut flag) = (0, false);
    let mut before: Option<(i32, &[i32])> = None;
    let mut ranks = [0 as Cost; 11];
    for written in line {
        flag |= written.after_rest;
        let key = i32::from(written.top.key());
        let (of_class, count) = &keys[(key % 12).unsigned_abs() as usize];
        let choices = &of_class[..*count];
        if choices.is_empty() {
            missing += costs.missing;
            continue;
        }
        let mut next = [0 as Cost; 11];
        for (slot, choice) in next.iter_mut().zip(choices) {
            let moved = (choice - key) / 12;
            let least = before.map_or(0, |(last, others)| {
                let ways = ranks.iter().zip(others).map(|(rank, other)| {
                    let torn = Cost::from((moved - (other - last) / 12).abs());
                    let turned = (choice - other).signum() != (key - last).signum();
                    rank + match flag {
                        true => costs.break_at_rest * torn,
                        false => costs.break_line * torn + if turned { costs.turn } else { 0 },
                    }
                });
                ways.min().unwrap_or(0)
            });
            *slot = least + costs.move_note * Cost::from(moved.abs());
        }
        ranks = next;
        before = Some((key, choices));
        flag = false;
    }
    let choices = before.map_or(0, |(_, choices)| choices.len());
    missing + ranks[..choices].iter().min().copied().unwrap_or(0)
}

/// The best rank of every choice along a line, and what its missing pitch classes cost.
fn solved<'a>(line: &[Written], set_of: impl Fn(usize) -> NoteSet, costs: &'a Costs) -> (Solver<'a>, Cost) {
    let mut solver = Solver::new(costs, line.len());
    let (mut missing, mut flag) = (0, false);
    let mut before: Option<Written> = None;
    for (number, written) in line.iter().enumerate() {
        flag |= written.after_rest;
        let start = solver.choices.len();
        let lacking = solver.offer(written, set_of(number));
        if lacking > 0 {
            missing += costs.missing * lacking;
            continue;
        }
        solver.advance(Stage { number, start, end: solver.choices.len(), flag }, before, *written);
        before = Some(*written);
        flag = false;
    }
    (solver, missing)
}

/// A stroke that is kept, and its choices: a stretch of the solver's list.
struct Stage {
    number: usize,
    start: usize,
    end: usize,
    flag: bool,
}

struct Solver<'a> {
    costs: &'a Costs,
    choices: Vec<Choice>,
    /// For each choice the best one of the stroke before, counted from that stroke's first.
    from: Vec<u16>,
    stages: Vec<Stage>,
    /// The best rank of each choice of the last stroke.
    ranks: Vec<Rank>,
    /// The same of the one before, while the last is worked out.
    earlier: Vec<Rank>,
}

impl<'a> Solver<'a> {
    fn new(costs: &'a Costs, strokes: usize) -> Self {
        let room = 4 * strokes;
        Solver {
            costs,
            choices: Vec::with_capacity(room),
            from: Vec::with_capacity(room),
            stages: Vec::with_capacity(strokes),
            ranks: Vec::new(),
            earlier: Vec::new(),
        }
    }

    /// Lists the choices of a stroke, the lower first; gives how many of its notes have no octave at all.
    fn offer(&mut self, written: &Written, set: NoteSet) -> Cost {
        let start = self.choices.len();
        let (top_octave, low_octave) = written.octaves;
        let Some(low) = written.low else {
            self.choices.extend(octaves(written.top, top_octave, set).map(|top| Choice { top, low: 0 }));
            return Cost::from(self.choices.len() == start);
        };
        let notes = [(written.top, top_octave), (low, low_octave)];
        let lacking = notes.iter().filter(|(pitch, octave)| octaves(*pitch, *octave, set).next().is_none()).count();
        for top in octaves(written.top, top_octave, set) {
            // Two sticks on one note are no pair.
            let apart = |octave: &i32| low_octave == Octave::Stays || low.up(12 * octave) != written.top.up(12 * top);
            self.choices.extend(octaves(low, low_octave, set).filter(apart).map(|low| Choice { top, low }));
        }
        // Two notes of one pitch class with one octave between them can't be struck together.
        if lacking == 0 && self.choices.len() == start { 1 } else { lacking as Cost }
    }

    /// Works out the best rank of each choice of a stage.
    fn advance(&mut self, stage: Stage, before: Option<Written>, now: Written) {
        std::mem::swap(&mut self.ranks, &mut self.earlier);
        self.ranks.clear();
        for choice in &self.choices[stage.start..stage.end] {
            let (moved, octaves) = distance(choice, &now);
            let moves = self.costs.move_note * Cost::from(octaves);
            let own = moves + crossed(self.costs, choice, &now) + away(self.costs, choice, &now);
            let own = (own, moved, octaves);
            let Some((before, last)) = before.zip(self.stages.last()) else {
                self.ranks.push(own);
                self.from.push(0);
                continue;
            };
            let mut least: Option<(Rank, u16)> = None;
            let previous = &self.choices[last.start..last.end];
            for (number, (rank, from)) in (0u16..).zip(self.earlier.iter().zip(previous)) {
                let between: Cost = step(self.costs, (from, &before), (choice, &now), stage.flag).iter().sum();
                let rank = (rank.0 + between, rank.1, rank.2);
                if least.is_none_or(|(other, _)| rank < other) {
                    least = Some((rank, number));
                }
            }
            let (rank, from) = least.expect("a stage before has choices");
            self.ranks.push((rank.0 + own.0, rank.1 + own.1, rank.2 + own.2));
            self.from.push(from);
        }
        self.stages.push(stage);
    }

    /// The choices of the best way, from the end back.
    fn back(&self, strokes: usize) -> Vec<Moved> {
        let mut moved = vec![None; strokes];
        let Some(mut at) = (0..self.ranks.len()).min_by_key(|i| self.ranks[*i]) else { return moved };
        for stage in self.stages.iter().rev() {
            let choice = self.choices[stage.start + at];
            moved[stage.number] = Some((choice.top, choice.low));
            at = usize::from(self.from[stage.start + at]);
        }
        moved
    }
}

/// The octaves by which a note can be moved onto the pans, rising; none but its own for a note that stays.
fn octaves(pitch: Pitch, octave: Octave, set: NoteSet) -> impl Iterator<Item = i32> {
    let class = pitch.key() % 12;
    let keys = (class..128).step_by(12);
    let own = i32::from(pitch.key() / 12);
    let stays = octave == Octave::Stays;
    let there = move |moved: &Pitch| if stays { *moved == pitch } else { set.has(*moved) };
    keys.filter_map(Pitch::new).filter(there).map(move |moved| i32::from(moved.key() / 12) - own)
}

/// How many written notes of a stroke move, and by how many octaves together.
fn distance(choice: &Choice, written: &Written) -> (u32, u32) {
    let of = |octaves: i32, octave: Octave| if octave == Octave::Open { 0 } else { octaves };
    let top = of(choice.top, written.octaves.0);
    let low = if written.low.is_some() { of(choice.low, written.octaves.1) } else { 0 };
    (u32::from(top != 0) + u32::from(low != 0), top.unsigned_abs() + low.unsigned_abs())
}

/// What it costs that the top note crosses other parts.
fn crossed(costs: &Costs, choice: &Choice, written: &Written) -> Cost {
    let above = |bound: Pitch| bound.semitones_to(written.top) + 12 * choice.top;
    let is_crossed =
        written.under.is_some_and(|under| above(under) > 0) || written.over.is_some_and(|over| above(over) < 0);
    costs.cross * Cost::from(is_crossed)
}

/// What it costs that open notes lie away from the middle of the pan.
fn away(costs: &Costs, choice: &Choice, written: &Written) -> Cost {
    let Some(home) = written.home else { return 0 };
    let of = |pitch: Pitch, octaves: i32, octave: Octave| match octave {
        Octave::Open => Cost::from((home.semitones_to(pitch) + 12 * octaves).abs()),
        Octave::Moves | Octave::Stays => 0,
    };
    let low = written.low.map_or(0, |low| of(low, choice.low, written.octaves.1));
    costs.home * (of(written.top, choice.top, written.octaves.0) + low)
}

/// The costs between neighbours: a jump of an octave in a phrase, one at a rest, direction lost, leaps of open notes.
fn step(costs: &Costs, from: (&Choice, &Written), to: (&Choice, &Written), flag: bool) -> [Cost; 4] {
    let ((a, before), (b, now)) = (from, to);
    // A single note stands in for the low note that is not there.
    let low = |choice: &Choice, written: &Written| if written.low.is_some() { choice.low } else { choice.top };
    let written = before.top.semitones_to(now.top);
    let played = written + 12 * (b.top - a.top);
    if before.is_open() || now.is_open() {
        let mut leap = played.abs();
        if now.low.is_some() || before.low.is_some() {
            let (from, to) = (before.low.unwrap_or(before.top), now.low.unwrap_or(now.top));
            leap += (from.semitones_to(to) + 12 * (low(b, now) - low(a, before))).abs();
        }
        let lost = !flag && now.lean.is_some_and(|lean| i32::from(lean) != played.signum());
        return [0, 0, if lost { costs.turn } else { 0 }, costs.leap * Cost::from(leap)];
    }
    let mut torn = Cost::from(a.top.abs_diff(b.top));
    if now.low.is_some() || before.low.is_some() {
        torn += Cost::from(low(a, before).abs_diff(low(b, now)));
    }
    if flag {
        return [0, costs.break_at_rest * torn, 0, 0];
    }
    let turned = if written.signum() == played.signum() { 0 } else { costs.turn };
    [costs.break_line * torn, 0, turned, 0]
}

/// The terms of a way through the line, stroke by stroke: a stroke's own, and those between it and the one before. Missing
/// notes are not among them.
pub fn by_stroke(line: &[Written], moved: &[Moved], costs: &Costs) -> Vec<Terms> {
    let mut before: Option<(Choice, Written)> = None;
    let mut flag = false;
    let one = |(written, moved): (&Written, &Moved)| {
        flag |= written.after_rest;
        let mut terms = Terms::default();
        let Some((top, low)) = *moved else { return terms };
        let choice = Choice { top, low };
        terms.moves = costs.move_note * Cost::from(distance(&choice, written).1);
        terms.crossings = crossed(costs, &choice, written);
        terms.leaps = away(costs, &choice, written);
        if let Some((from, last)) = before {
            let [torn, at_rest, turned, leap] = step(costs, (&from, &last), (&choice, written), flag);
            terms.breaks = torn;
            terms.breaks_at_rests = at_rest;
            terms.turns = turned;
            terms.leaps += leap;
        }
        before = Some((choice, *written));
        flag = false;
        terms
    };
    line.iter().zip(moved).map(one).collect()
}

#[cfg(test)]
#[path = "octaves_costs_tests.rs"]
mod costs_tests;
#[cfg(test)]
#[path = "octaves_tests.rs"]
mod tests;

//! Strum voicing: which two notes each strumming pan plays of every chord, chosen together over a whole section. Parts that are written
//! out do not count as covering a tone, since the arranger may change them.
//!
//! In: the parts that strum, with their notes and where these lie; the chords in order with what the leads play over them.
//! Out: for each part and chord a pair of notes, what the pans together leave out, and whether the choice is proven. The
//! solution itself is in [`voicing_solve`](super::voicing_solve).

use std::sync::Arc;

use super::voicing_problem::{COVERS, Chain, Choice, NEVER, Problem};
use super::voicing_solve::{ROOMS, Solution, solve_within};
use crate::hands::movement::{Hands, Place, SPAN};
use crate::music::{Chord, Pitch, PitchClass};
use crate::pan::{Cost, NoteSet};

/// What it costs, in thousandths, when no pan plays a tone of the chord. The third says whether a chord is major or minor, the
/// seventh where it wants to go; bass and ear supply root and fifth (common practice, no source; the figures are our own).
pub const LEFT_OUT: [(Role, Cost); 6] = [
    (Role::Third, 20_000),
    (Role::Seventh, 16_000),
    (Role::Sixth, 10_000),
    (Role::Root, 6_000),
    (Role::Fifth, 4_000),
    (Role::Other, 2_000),
];

/// A stick's way from one chord's note to the next, for each semitone. Our own setting.
const MOVE: Cost = 150;
/// Each millisecond that a stick comes late to the next chord, when the last stroke on the chord before comes right before it: the
/// pan may well have another pair within reach. Our own setting, well below a third that is left out.
const LATE: Cost = 20;
/// A note at or above what the lead plays meanwhile, and for each semitone above it. Our own settings.
const OVER_LEAD: (Cost, Cost) = (2_000, 200);
/// The pair's middle away from the middle of the pan, for each semitone. Our own setting.
const REGISTER: Cost = 60;
/// Two notes a whole tone apart grind; an octave is the same tone twice. Our own settings.
const SECOND: Cost = 1_500;
const OCTAVE: Cost = 800;
/// Each semitone beyond an octave between the two notes: the chord falls apart. Our own setting.
const WIDE: Cost = 400;
/// The way between the two notes on the pan, for each millimetre. Our own setting.
const APART: f64 = 1.0;

/// What a tone is in its chord.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Role {
    Root,
    Third,
    Fifth,
    Sixth,
    Seventh,
    Other,
}

impl Role {
    /// The role of a chord's tone, by its semitones above the root. The second or fourth of a suspended chord stands for its
    /// third; the sixth of a diminished seventh chord is its seventh.
    pub fn of(chord: Chord, semitones: u8) -> Role {
        match semitones {
            0 => Role::Root,
            2..=5 => Role::Third,
            6..=8 => Role::Fifth,
            9 if chord.kind.has_diminished_seventh() => Role::Seventh,
            9 => Role::Sixth,
            10 | 11 => Role::Seventh,
            _ => Role::Other,
        }
    }

    /// Its name in sentences.
    pub fn name(self) -> &'static str {
        match self {
            Role::Root => "root",
            Role::Third => "third",
            Role::Fifth => "fifth",
            Role::Sixth => "sixth",
            Role::Seventh => "seventh",
            Role::Other => "added tone",
        }
    }

    /// What it costs when no pan plays it.
    pub fn left_out(self) -> Cost {
        LEFT_OUT.iter().find(|(role, _)| *role == self).map_or(0, |(_, cost)| *cost)
    }
}

/// The tones of a chord with their roles, root first.
pub fn tones(chord: Chord) -> impl Iterator<Item = (PitchClass, Role)> {
    chord.classes().zip(chord.kind.tones).map(move |(class, semitones)| (class, Role::of(chord, *semitones)))
}

/// A part that strums.
#[derive(Clone, Debug)]
pub struct Strummer {
    /// Its notes.
    pub set: NoteSet,
    /// The middle of its notes.
    pub home: Pitch,
    /// Its player's hands, which know where the notes are.
    pub hands: Arc<Hands>,
}

/// A chord that is strummed.
#[derive(Clone, Debug)]
pub struct Moment {
    /// The chord.
    pub chord: Chord,
    /// The lowest note of the leads meanwhile.
    pub lead: Option<Pitch>,
    /// Which of the parts strum it.
    pub plays: Vec<bool>,
    /// For each part, the time from its last stroke before this chord to its first stroke on it, in microseconds; `None` when there is
    /// no stroke before.
    pub gaps: Vec<Option<i64>>,
}

/// The places of two notes, as far as they are known.
type Places = [Option<Place>; 2];

/// Two notes, the lower first; one where the pan has no more.
pub type Pair = (Pitch, Option<Pitch>);

/// What a part plays, chord by chord; `None` where it does not strum.
pub type Pairs = Vec<Option<Pair>>;

/// What a part may play of one chord; where it does not strum, what it may have played before, or `None` if it has not played yet.
type Options = Vec<Option<Pair>>;

/// A section voiced.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Voiced {
    /// What each part plays.
    pub pairs: Vec<Pairs>,
    /// By chord, the tones that no part plays.
    pub left_out: Vec<Vec<(PitchClass, Role)>>,
    /// What it costs.
    pub cost: Cost,
    /// No voicing costs less; equal to the cost when that is proven.
    pub bound: Cost,
}

impl Voiced {
    /// The thirds and sevenths that are left out although two sticks each could play them.
    pub fn lacking(&self) -> impl Iterator<Item = (usize, PitchClass, Role)> {
        let all = self.left_out.iter().enumerate();
        all.flat_map(|(moment, tones)| tones.iter().map(move |(class, role)| (moment, *class, *role)))
            .filter(|(_, _, role)| matches!(role, Role::Third | Role::Seventh))
    }
}

/// Voices the chords of a section.
pub fn voice(parts: &[Strummer], moments: &[Moment]) -> Voiced {
    voice_within(parts, moments, &ROOMS)
}

/// The same with other limits for the number of states.
fn voice_within(parts: &[Strummer], moments: &[Moment], rooms: &[usize]) -> Voiced {
    let options: Vec<Vec<Options>> = (0..parts.len()).map(|part| options(part, parts, moments)).collect();
    let problem = problem(parts, moments, &options);
    let Solution { chosen, cost, bound } = solve_within(&problem, rooms);
    let pairs: Vec<Pairs> = (0..parts.len())
        .map(|part| {
            let pair =
                |moment: usize| options[part][moment][chosen[part][moment]].filter(|_| moments[moment].plays[part]);
            (0..moments.len()).map(pair).collect()
        })
        .collect();
    let left_out = moments
        .iter()
        .enumerate()
        .map(|(number, moment)| {
            let notes = pairs.iter().filter_map(|part| part[number]);
            let played: Vec<PitchClass> =
                notes.flat_map(|(low, high)| [Some(low), high]).flatten().map(Pitch::class).collect();
            tones(moment.chord).filter(|(class, _)| !played.contains(class)).collect()
        })
        .collect();
    Voiced { pairs, left_out, cost, bound }
}

/// What a part may play at each moment.
fn options(part: usize, parts: &[Strummer], moments: &[Moment]) -> Vec<Options> {
    let mut options: Vec<Options> = Vec::with_capacity(moments.len());
    for moment in moments {
        let now = if moment.plays[part] {
            pairs(&parts[part], moment.chord).into_iter().map(Some).collect()
        } else {
            options.last().cloned().unwrap_or_else(|| vec![None])
        };
        options.push(now);
    }
    options
}

/// The pairs of a chord's tones that a player can strike, rising; single notes if the pan has no pair; if it has no tone of
/// the chord at all, the note that it would need.
fn pairs(part: &Strummer, chord: Chord) -> Vec<Pair> {
    let classes: Vec<PitchClass> = chord.classes().collect();
    let notes: Vec<Pitch> = part.set.iter().filter(|pitch| classes.contains(&pitch.class())).collect();
    let mut pairs = Vec::new();
    for (i, low) in notes.iter().enumerate() {
        for high in &notes[i + 1..] {
            let clash = matches!(low.semitones_to(*high), 1 | 13);
            let reached = part.apart(*low, *high).is_none_or(|way| way <= SPAN);
            if !clash && reached {
                pairs.push((*low, Some(*high)));
            }
        }
    }
    if pairs.is_empty() {
        pairs.extend(notes.iter().map(|note| (*note, None)));
    }
    if pairs.is_empty() {
        let wanted = tones(chord).find(|(_, role)| *role == Role::Third).unwrap_or((chord.root.class(), Role::Root));
        pairs.extend(super::line::nearest(wanted.0, part.home).map(|note| (note, None)));
    }
    pairs
}

impl Strummer {
    fn apart(&self, a: Pitch, b: Pitch) -> Option<f64> {
        Some(self.hands.apart(self.hands.place(a)?, self.hands.place(b)?))
    }

    /// The places of a pair's notes, as far as they are known.
    fn places(&self, pair: Option<Pair>) -> Places {
        let place = |note: Pitch| self.hands.place(note);
        pair.map_or([None; 2], |(low, high)| [place(low), high.and_then(place)])
    }

    /// What it costs when the sticks come late from one pair to the next: straight or crossed, whichever is better.
    fn late(&self, from: Places, to: Places, gap: i64) -> Cost {
        let need = |(from, to): (Option<Place>, Option<Place>)| match (from, to) {
            (Some(from), Some(to)) if from == to => self.hands.double(),
            (Some(from), Some(to)) => self.hands.need(from, to),
            _ => 0,
        };
        let way = |to: Places| from.into_iter().zip(to).map(need).max().unwrap_or(0);
        let least = way(to).min(way([to[1], to[0]]));
        LATE * ((least - gap).max(0) / 1000)
    }

    /// What a pair costs by itself.
    fn own(&self, (low, high): Pair, lead: Option<Pitch>) -> Cost {
        let over = |note: Pitch| match lead.map(|lead| lead.semitones_to(note)) {
            Some(semitones) if semitones >= 0 => OVER_LEAD.0 + OVER_LEAD.1 * Cost::from(semitones),
            _ => 0,
        };
        // Half semitones, so that the middle of a pair is a whole number.
        let twice = i32::from(low.key()) + i32::from(high.unwrap_or(low).key()) - 2 * i32::from(self.home.key());
        let mut cost = over(low) + high.map_or(0, over) + REGISTER * Cost::from(twice.abs()) / 2;
        if let Some(high) = high {
            let interval = low.semitones_to(high);
            cost += match interval {
                2 => SECOND,
                12 | 24 | 36 => OCTAVE,
                _ => 0,
            };
            cost += WIDE * Cost::from((interval - 12).max(0));
            cost += (self.apart(low, high).unwrap_or(0.0) * APART).round() as Cost;
        }
        cost
    }
}

/// The way of both sticks from pair to pair.
fn way(from: Pair, to: Pair) -> Cost {
    let upper = |pair: Pair| pair.1.unwrap_or(pair.0);
    let semitones = from.0.semitones_to(to.0).abs() + upper(from).semitones_to(upper(to)).abs();
    MOVE * Cost::from(semitones)
}

/// What is to be solved: a chain for each part, its choices the options of the part.
fn problem(parts: &[Strummer], moments: &[Moment], options: &[Vec<Options>]) -> Problem {
    let chain = |(number, (part, options)): (usize, (&Strummer, &Vec<Options>))| {
        let line = PartLine { part, number, moments, options };
        Chain {
            moments: (0..moments.len()).map(|moment| line.choices(moment)).collect(),
            steps: (1..moments.len()).map(|moment| line.steps(moment)).collect(),
        }
    };
    Problem {
        chains: parts.iter().zip(options).enumerate().map(chain).collect(),
        covers: moments.iter().map(|moment| covers(moment.chord)).collect(),
    }
}

/// A part on its way through the chords.
struct PartLine<'a> {
    part: &'a Strummer,
    number: usize,
    moments: &'a [Moment],
    /// By moment.
    options: &'a [Options],
}

impl PartLine<'_> {
    fn plays(&self, moment: usize) -> bool {
        self.moments[moment].plays[self.number]
    }

    /// What each option costs by itself, and what it covers; where the part does not strum, nothing.
    fn choices(&self, moment: usize) -> Vec<Choice> {
        let Moment { chord, lead, .. } = self.moments[moment];
        let choice = |pair: &Option<Pair>| match pair.filter(|_| self.plays(moment)) {
            Some(pair) => Choice { own: self.part.own(pair, lead), cover: cover(chord, pair) },
            None => Choice { own: 0, cover: 0 },
        };
        self.options[moment].iter().map(choice).collect()
    }

    /// What it costs to go from each option of the moment before (row) to each of this (column).
    fn steps(&self, moment: usize) -> Vec<Cost> {
        let (before, now) = (&self.options[moment - 1], &self.options[moment]);
        if !self.plays(moment) {
            return stays(now.len());
        }
        // Mostly there is time enough, whatever the pairs are: then no places need be looked up.
        let gap = self.moments[moment].gaps[self.number].filter(|gap| *gap < self.part.hands.longest());
        let places = |options: &Options| -> Vec<Places> {
            if gap.is_some() { options.iter().map(|pair| self.part.places(*pair)).collect() } else { Vec::new() }
        };
        let (starts, ends) = (places(before), places(now));
        let step = |from: usize, to: usize| match (before[from], now[to]) {
            (Some(a), Some(b)) => way(a, b) + gap.map_or(0, |gap| self.part.late(starts[from], ends[to], gap)),
            _ => 0,
        };
        let cells = (0..before.len()).flat_map(|from| (0..now.len()).map(move |to| (from, to)));
        cells.map(|(from, to)| step(from, to)).collect()
    }
}

/// The steps of a part that rests and keeps what it had: from each of so many options to itself, and to no other.
fn stays(options: usize) -> Vec<Cost> {
    let cells = (0..options).flat_map(|from| (0..options).map(move |to| from == to));
    cells.map(|is_same| if is_same { 0 } else { NEVER }).collect()
}

/// The tones of a chord that a pair plays, a bit each in the chord's order.
fn cover(chord: Chord, (low, high): Pair) -> u8 {
    let played = |class: PitchClass| low.class() == class || high.is_some_and(|high| high.class() == class);
    (0..).zip(chord.classes()).filter(|(_, class)| played(*class)).fold(0, |cover, (bit, _)| cover | 1 << bit)
}

/// What each set of covered tones costs.
fn covers(chord: Chord) -> [Cost; COVERS] {
    let weights: Vec<Cost> = tones(chord).map(|(_, role)| role.left_out()).collect();
    let mut costs = [0; COVERS];
    for (cover, cost) in costs.iter_mut().enumerate() {
        *cost = weights.iter().enumerate().filter(|(bit, _)| cover >> bit & 1 == 0).map(|(_, weight)| weight).sum();
    }
    costs
}

#[cfg(test)]
#[path = "voicing_costs_tests.rs"]
mod costs_tests;
#[cfg(test)]
#[path = "voicing_laws.rs"]
mod laws;
#[cfg(test)]
#[path = "voicing_tests.rs"]
mod tests;

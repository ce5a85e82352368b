//! Harmony lines: a line under or over a part, in thirds and sixths, on the pan's notes; exact by dynamic programming.
//!
//! In: the notes that the line moves with, each with its chord and key; the pan's notes. Out: a note for each. What the line
//! may play is a tone of the chord of the moment or of the key's scale; what it costs is named below.

use crate::music::{Chord, Key, Pitch, PitchClass};
use crate::pan::{Cost, NoteSet};

/// A note that the line moves with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Followed {
    /// What is struck; of two notes the one that is nearer to the line.
    pub pitch: Pitch,
    /// The chord of the moment.
    pub chord: Option<Chord>,
    /// The key.
    pub key: Key,
    /// Whether a rest of at least a beat, or a section's start, lies before it.
    pub after_rest: bool,
}

/// Which way the line lies.
pub use crate::tune::model::Side;

/// How far from the part the line may lie, in semitones: two octaves keep it within any pan.
const WIDEST: i32 = 24;

/// What an interval to the part costs, in thousandths, by semitones from 0 to 16: thirds first, then sixths, then tenths;
/// fourths and fifths where nothing better is there; seconds and sevenths rub (handbook knowledge of two-part writing, from
/// memory; the figures are our own).
pub const INTERVALS: [Cost; 17] =
    [12_000, 12_000, 8_000, 0, 0, 2_500, 4_000, 3_000, 600, 600, 6_000, 8_000, 4_000, 12_000, 8_000, 1_200, 1_200];
/// The same beyond a tenth.
const WIDER: Cost = 6_000;
/// A tone of the scale that is not in the chord.
pub const PASSING: Cost = 1_000;
/// Seconds, fifths, octaves or sevenths twice in a row.
pub const PARALLEL: Cost = 6_000;
/// The part goes up and the line goes down, or the other way; or one of them stands.
pub const AGAINST: Cost = 1_500;
/// Each semitone by which the line leaps more than the part does.
pub const LEAP: Cost = 250;
/// The part repeats its note and the line does not.
pub const RESTLESS: Cost = 2_000;

/// A harmony line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// For each note of the part the line's note; `None` where the pan has none on that side.
    pub notes: Vec<Option<Pitch>>,
    /// What it costs, the notes that are there.
    pub cost: Cost,
}

/// The line of least cost. A note for which the pan has nothing is passed over: those around it are neighbours. Of lines of
/// one cost the one that lies nearer to the part at the first difference, from the end, is taken.
///
/// Cost: O(notes × choices²).
pub fn line(part: &[Followed], set: NoteSet, side: Side) -> Line {
    let mut notes = vec![None; part.len()];
    // The notes that have choices, with their choices, their costs and where each came from.
    let mut stages: Vec<(usize, Vec<Pitch>, Vec<usize>)> = Vec::new();
    let mut costs: Vec<Cost> = Vec::new();
    let mut rest = false;
    for (number, followed) in part.iter().enumerate() {
        rest |= followed.after_rest;
        let choices = choices(followed, set, side);
        if choices.is_empty() {
            continue;
        }
        let mut next = Vec::with_capacity(choices.len());
        let mut back = Vec::with_capacity(choices.len());
        for choice in &choices {
            let own = own(followed, *choice);
            let ways = stages.last().map(|(before, others, _)| {
                let ways = others.iter().zip(&costs).enumerate();
                ways.map(|(from, (other, cost))| {
                    (cost + between((&part[*before], *other), (followed, *choice), rest), from)
                })
                .min()
                .expect("a stage has choices")
            });
            let (cost, from) = ways.unwrap_or((0, 0));
            next.push(cost + own);
            back.push(from);
        }
        costs = next;
        stages.push((number, choices, back));
        rest = false;
    }
    let Some(mut at) = (0..costs.len()).min_by_key(|i| costs[*i]) else { return Line { notes, cost: 0 } };
    let cost = costs[at];
    for (number, choices, back) in stages.iter().rev() {
        notes[*number] = Some(choices[at]);
        at = back[at];
    }
    Line { notes, cost }
}

/// What the line may play with a note, the nearest first: tones of the chord or of the scale that the pan has on that side.
pub fn choices(followed: &Followed, set: NoteSet, side: Side) -> Vec<Pitch> {
    let in_harmony = |class: PitchClass| is_chord(followed, class) || in_scale(followed.key, class);
    let on_side = |pitch: &Pitch| {
        let away = followed.pitch.semitones_to(*pitch) * if side == Side::Under { -1 } else { 1 };
        (1..=WIDEST).contains(&away)
    };
    let mut choices: Vec<Pitch> = set.iter().filter(on_side).filter(|pitch| in_harmony(pitch.class())).collect();
    choices.sort_by_key(|pitch| followed.pitch.semitones_to(*pitch).abs());
    choices
}

/// What to ask of a pan that has nothing: the third below or above in the scale.
pub fn wanted(followed: &Followed, side: Side) -> Pitch {
    let steps = if side == Side::Under { [-3, -4] } else { [4, 3] };
    let third = steps.iter().filter_map(|semitones| followed.pitch.up(*semitones));
    let in_scale = |pitch: &Pitch| is_chord(followed, pitch.class()) || in_scale(followed.key, pitch.class());
    third.clone().find(in_scale).or_else(|| third.clone().next()).unwrap_or(followed.pitch)
}

fn is_chord(followed: &Followed, class: PitchClass) -> bool {
    followed.chord.is_some_and(|chord| chord.has(class))
}

fn in_scale(key: Key, class: PitchClass) -> bool {
    key.scale().iter().any(|tone| tone.class() == class)
}

/// What a note costs with the note that it goes with.
pub fn own(followed: &Followed, choice: Pitch) -> Cost {
    let interval = followed.pitch.semitones_to(choice).unsigned_abs() as usize;
    let passing = if followed.chord.is_some() && !is_chord(followed, choice.class()) { PASSING } else { 0 };
    INTERVALS.get(interval).copied().unwrap_or(WIDER) + passing
}

/// What it costs to go from one note to the next; nothing but the leap after a rest.
pub fn between(from: (&Followed, Pitch), to: (&Followed, Pitch), rest: bool) -> Cost {
    let part = from.0.pitch.semitones_to(to.0.pitch);
    let line = from.1.semitones_to(to.1);
    let leap = LEAP * Cost::from((line.abs() - part.abs()).max(0));
    if rest {
        return leap;
    }
    let intervals = [from.0.pitch.semitones_to(from.1), to.0.pitch.semitones_to(to.1)].map(|n| n.abs() % 12);
    let rubs = |n: i32| matches!(n, 1 | 2 | 10 | 11);
    let parallel = part != 0
        && ((rubs(intervals[0]) && rubs(intervals[1]))
            || (intervals[0] == intervals[1] && matches!(intervals[0], 0 | 7)));
    let against = match (part.signum(), line.signum()) {
        (0, 0) => 0,
        (0, _) => RESTLESS,
        (a, b) if a == b => 0,
        _ => AGAINST,
    };
    leap + against + if parallel { PARALLEL } else { 0 }
}

#[cfg(test)]
#[path = "harmony_costs_tests.rs"]
mod costs_tests;
#[cfg(test)]
#[path = "harmony_tests.rs"]
mod tests;

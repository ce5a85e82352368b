//! Harmony lines: a line under or over a part, in thirds, fourths and sixths as the chord asks, on the pan's notes; exact by
//! dynamic programming.
//!
//! In: the notes that the line moves with, each with its chords and key; the pan's notes. Out: a note for each. The line may play
//! tones of the current chord or of the key's scale; the costs are listed below. On a beat it plays chord tones and rubs with
//! nothing; between beats it moves by step. What is held over beats must fit all their chords; what is struck
//! before a beat and held belongs to the chord of that beat. The rules are those of two-part writing as handbooks of harmony and
//! counterpoint have them (from memory), the figures are our own. With chord tones alone lines leapt twice as often as their parts; so a
//! line may stand, a fourth is cheaper than a fifth, and leaps are dear (`tests/outside/harmony_agrees.py` measures 29 melodies).

use crate::music::{Chord, Key, Pitch, PitchClass};
use crate::pan::{Cost, NoteSet};

/// A note that the line moves with.
#[derive(Clone, Debug, PartialEq)]
pub struct Followed {
    /// The note struck; of two notes the one that is nearer to the line.
    pub pitch: Pitch,
    /// Whether it sounds on a beat: it is struck there, or held over one.
    pub on_beat: bool,
    /// The chords of the beats on which it sounds, each once; between beats the current chord.
    pub chords: Vec<Chord>,
    /// The key.
    pub key: Key,
    /// Whether a rest of at least a beat, or a section's start, lies before it.
    pub after_rest: bool,
}

/// On which side of the part the line lies.
pub use crate::tune::model::Side;

/// How far from the part the line may lie, in semitones: two octaves keep it within any pan.
const WIDEST: i32 = 24;

/// What an interval to the part costs, in thousandths, by semitones from 0 to 16: thirds first, then sixths, then fourths, then
/// tenths; fifths where there is nothing better; seconds and sevenths rub (handbook knowledge of two-part writing, from
/// memory; the figures are our own). Between two parts alone the fourth is a dissonance; here strums and bass lie below, and a line
/// that may play it leaps less from chord tone to chord tone.
pub const INTERVALS: [Cost; 17] =
    [12_000, 12_000, 8_000, 0, 0, 1_000, 4_000, 3_000, 600, 600, 6_000, 8_000, 4_000, 12_000, 8_000, 1_200, 1_200];
/// The same beyond a tenth.
const WIDER: Cost = 6_000;
/// A tone of the scale that is not in the chord, between beats: passing notes are welcome there.
pub const PASSING: Cost = 1_000;
/// The same reached by a leap or after a rest, and again when it is left by a leap or for a rest: passing notes go by step (handbook
/// rule, from memory). It costs so much that a note of the chord a fourth or a sixth from the part is played instead.
pub const UNSTEPPED: Cost = 2_000;
/// The same on a beat, for each chord of its beats that it is not in. It costs more than any good interval and a leap to it, and less
/// than parallels or a note of the chord that rubs with the part: so 2 of 100 beats stay outside where the chord's notes lie badly
/// (`.ci/run` measures it).
pub const OUTSIDE: Cost = 5_000;
/// On a beat, a semitone from the part, in any octave; and, for each chord that the note is not in, a semitone from a note of that
/// chord. It costs more than everything else about a note and its two steps, so that a line rubs only where the pan has nothing else.
pub const RUB: Cost = 1_000_000;
/// Seconds, fifths, octaves or sevenths twice in a row.
pub const PARALLEL: Cost = 6_000;
/// The part goes up and the line goes down, or the other way: a harmony line is heard as one with its part.
pub const AGAINST: Cost = 1_500;
/// The part moves and the line stays: a note of both chords may stay (handbook rule, from memory), and the line needs smaller steps
/// that way.
pub const STANDING: Cost = 500;
/// Each semitone by which the line leaps further than the part. With half of this the lines that `.ci/run` measures leapt on 13 of
/// 100 steps, with this on 10 or 11; their parts leap on 9.
pub const LEAP: Cost = 500;
/// The part repeats its note and the line does not.
pub const RESTLESS: Cost = 2_000;

/// A step of more semitones than this is a leap; a whole step is not.
const STEP: i32 = 2;

/// A harmony line.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// For each note of the part the line's note; `None` where the pan has none on that side.
    pub notes: Vec<Option<Pitch>>,
    /// What its notes cost.
    pub cost: Cost,
}

/// The line of least cost. A note for which the pan has nothing is skipped: the notes around it are neighbours. Of lines with the
/// same cost it is the one that lies nearer to the part at the first difference, from the end.
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

/// What the line may play with a note: tones of the chord or of the scale that the pan has on that side, the nearest first.
pub fn choices(followed: &Followed, set: NoteSet, side: Side) -> Vec<Pitch> {
    let in_harmony =
        |class: PitchClass| followed.chords.iter().any(|chord| chord.has(class)) || in_scale(followed.key, class);
    let on_side = |pitch: &Pitch| {
        let away = followed.pitch.semitones_to(*pitch) * if side == Side::Under { -1 } else { 1 };
        (1..=WIDEST).contains(&away)
    };
    let mut choices: Vec<Pitch> = set.iter().filter(on_side).filter(|pitch| in_harmony(pitch.class())).collect();
    choices.sort_by_key(|pitch| followed.pitch.semitones_to(*pitch).abs());
    choices
}

/// The note that a pan with nothing suitable lacks: the one that would cost least with that note alone.
pub fn wanted(followed: &Followed, side: Side) -> Pitch {
    let every_pitch = (0..=u8::MAX).map_while(Pitch::new).collect();
    let choices = choices(followed, every_pitch, side).into_iter();
    choices.min_by_key(|choice| own(followed, *choice)).unwrap_or(followed.pitch)
}

fn in_scale(key: Key, class: PitchClass) -> bool {
    key.scale().iter().any(|tone| tone.class() == class)
}

/// The chords of a note that do not have a tone.
fn chords_without(followed: &Followed, class: PitchClass) -> impl Iterator<Item = &Chord> {
    followed.chords.iter().filter(move |chord| !chord.has(class))
}

/// What a note costs with the note that it goes with; after a rest it is reached from nowhere.
pub fn own(followed: &Followed, choice: Pitch) -> Cost {
    let interval = followed.pitch.semitones_to(choice).unsigned_abs() as usize;
    let beside = INTERVALS.get(interval).copied().unwrap_or(WIDER);
    let without: Vec<&Chord> = chords_without(followed, choice.class()).collect();
    let chords = |count: usize| count as Cost;
    if !followed.on_beat {
        let unstepped = if followed.after_rest && !without.is_empty() { UNSTEPPED } else { 0 };
        return beside + PASSING * chords(without.len()) + unstepped;
    }
    let next_to = |chord: &&&Chord| [-1, 1].iter().any(|semitone| chord.has(choice.class().up(*semitone)));
    let rubs = without.iter().filter(next_to).count() + usize::from(matches!(interval % 12, 1 | 11));
    beside + OUTSIDE * chords(without.len()) + RUB * chords(rubs)
}

/// What it costs to go from one note to the next; across a rest no more than the leap, and a passing note that goes nowhere.
pub fn between(from: (&Followed, Pitch), to: (&Followed, Pitch), rest: bool) -> Cost {
    let part = from.0.pitch.semitones_to(to.0.pitch);
    let line = from.1.semitones_to(to.1);
    let leap = LEAP * Cost::from((line.abs() - part.abs()).max(0));
    let passes = |(followed, note): (&Followed, Pitch)| {
        !followed.on_beat && chords_without(followed, note.class()).next().is_some()
    };
    let unstepped = |passing: bool| if passing { UNSTEPPED } else { 0 };
    if rest {
        return leap + unstepped(passes(from));
    }
    let by_leap = line.abs() > STEP;
    leap + unstepped(by_leap && passes(from))
        + unstepped(by_leap && passes(to))
        + moving(part, line)
        + parallel(part, from, to)
}

/// The cost of how the part and the line move.
fn moving(part: i32, line: i32) -> Cost {
    match (part.signum(), line.signum()) {
        (0, 0) => 0,
        (0, _) => RESTLESS,
        (_, 0) => STANDING,
        (a, b) if a == b => 0,
        _ => AGAINST,
    }
}

/// The cost when the part moves and the line keeps an interval that rubs or is hollow.
fn parallel(part: i32, from: (&Followed, Pitch), to: (&Followed, Pitch)) -> Cost {
    let [first, second] = [from, to].map(|(followed, note)| followed.pitch.semitones_to(note).abs() % 12);
    let rubs = |n: i32| matches!(n, 1 | 2 | 10 | 11);
    let is_parallel = part != 0 && (rubs(first) && rubs(second) || first == second && matches!(first, 0 | 7));
    if is_parallel { PARALLEL } else { 0 }
}

#[cfg(test)]
#[path = "harmony_costs_tests.rs"]
mod costs_tests;
#[cfg(test)]
#[path = "harmony_tests.rs"]
mod tests;

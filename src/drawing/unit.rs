//! What stays together on a line of a sheet: a bar, or a few that are played several times in a row; and bars that are wider than
//! the paper, cut at beats.

use std::ops::Range;

use super::font::Weight;
use super::rests::{Measure, Stretch};
use super::rows::{BarCells, SectionRows};

/// How many bars are kept on one line where they are played several times; more begin a line of their own.
const TOGETHER: usize = 2;

/// Measures that stay together on a line.
#[derive(Clone, Debug, PartialEq)]
pub struct Unit {
    /// The measures; at least one.
    pub measures: Vec<Measure>,
    /// What is played how often, for after the last of them: `same bar`, `× 8`.
    pub again: Option<[String; 2]>,
    /// How many bars they stand for.
    pub bars: usize,
}

/// Letters of what is played how often, and of the number of times below, in points; and the gaps before and after them.
pub const AGAIN: f64 = 8.0;
pub const TIMES: f64 = 12.0;
pub const AGAIN_GAP: f64 = 6.0;

impl Unit {
    /// The least width that its bars can be read in, in points: what is drawn wider where there is room.
    pub fn least(&self) -> f64 {
        self.measures.iter().map(Measure::least).sum()
    }

    /// The width of what stands after its bars, in points.
    pub fn after(&self) -> f64 {
        self.again.as_ref().map_or(0.0, wide)
    }
}

/// The width of what is played how often.
fn wide([what, times]: &[String; 2]) -> f64 {
    (AGAIN * Weight::Regular.width(what)).max(TIMES * Weight::Bold.width(times)) + 2.0 * AGAIN_GAP
}

/// Lines that have to be begun anew; each is broken for itself.
pub type Flow = Vec<Unit>;

/// The units of a section.
///
/// - `width`: of the lines.
pub fn flows(section: &SectionRows, stretches: &[Stretch], width: f64) -> Vec<Flow> {
    let mut flows: Vec<Flow> = Vec::new();
    // Whether the last of them can be gone on with.
    let mut open = false;
    for stretch in stretches {
        let bars: usize = stretch.measures.iter().map(Measure::bars).sum();
        let again = (stretch.times > 1).then(|| again(section, stretch, bars));
        let whole = Unit { measures: stretch.measures.clone(), again: again.clone(), bars: bars * stretch.times };
        if again.is_some() && bars <= TOGETHER && whole.least() + whole.after() <= width {
            put(&mut flows, open, whole);
            open = true;
            continue;
        }
        open &= again.is_none();
        // Any of its bars may have to share a line with it.
        let room = width - again.as_ref().map_or(0.0, wide);
        for measure in &stretch.measures {
            let unit = Unit { bars: measure.bars(), measures: vec![measure.clone()], again: None };
            let pieces = if unit.least() > room { pieces(measure, room) } else { Vec::new() };
            if pieces.is_empty() {
                put(&mut flows, open, unit);
                open = true;
            } else {
                flows.extend(pieces.into_iter().map(|piece| vec![piece]));
                open = false;
            }
        }
        if let Some(again) = again {
            let last = flows.last_mut().and_then(|flow| flow.last_mut());
            last.into_iter().for_each(|unit| unit.again = Some(again.clone()));
            open = false;
        }
    }
    flows
}

fn put(flows: &mut Vec<Flow>, open: bool, unit: Unit) {
    match flows.last_mut().filter(|_| open) {
        Some(flow) => flow.push(unit),
        None => flows.push(vec![unit]),
    }
}

/// `same bar` and `× 8`; where the bars are too many to be taken in at once, their numbers.
fn again(section: &SectionRows, stretch: &Stretch, bars: usize) -> [String; 2] {
    let first = section.first + stretch.measures[0].bar.number;
    let what = match bars {
        1 => "same bar".to_owned(),
        bars if bars <= TOGETHER => format!("same {bars} bars"),
        bars => format!("bars {first} to {}", first + bars - 1),
    };
    [what, format!("× {}", stretch.times)]
}

/// A bar that is wider than a line, in as few pieces as fit, of beats that are shared out evenly. Nothing where it has only one beat:
/// its cells are drawn narrower.
fn pieces(measure: &Measure, width: f64) -> Vec<Unit> {
    let beats = measure.bar.beats.len();
    let cut = |count: usize| -> Vec<Unit> {
        let each = beats.div_ceil(count);
        let ranges = (0..beats).step_by(each).map(|from| from..(from + each).min(beats));
        ranges.map(|range| piece(measure, range)).collect()
    };
    let fits = |units: &Vec<Unit>| units.iter().all(|unit| unit.least() <= width);
    (2..=beats).map(cut).find(|units| fits(units) || units.len() == beats).unwrap_or_default()
}

/// Some beats of a bar.
fn piece(measure: &Measure, beats: Range<usize>) -> Unit {
    let bar = &measure.bar;
    let cells = |beats: &[super::count::Beat]| beats.iter().map(|beat| beat.starts.len()).sum::<usize>();
    let before = cells(&bar.beats[..beats.start]);
    let here = before..before + cells(&bar.beats[beats.clone()]);
    let (from, to) = (bar.beats[beats.start].start, bar.beats.get(beats.end).map_or(bar.length, |beat| beat.start));
    let within = |entries: &[(crate::music::Length, String)]| {
        entries.iter().filter(|(at, _)| *at >= from && *at < to).cloned().collect()
    };
    let (opens, closes) = (beats.start == 0, beats.end == bar.beats.len());
    let piece = BarCells {
        rows: bar.rows.iter().map(|row| row[here.clone()].to_vec()).collect(),
        chords: within(&bar.chords),
        dynamics: within(&bar.dynamics),
        words: bar.words.clone().filter(|_| opens),
        beats: bar.beats[beats].to_vec(),
        ..bar.clone()
    };
    Unit { measures: vec![Measure { bar: piece, rests: None, opens, closes }], again: None, bars: usize::from(opens) }
}

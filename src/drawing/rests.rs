//! Bars of nothing but rests in a row, put together under one long-rest sign with their number, as printed parts have it (the
//! multi-bar rest of common practice, no source), so that nobody counts empty cells.
//!
//! A sign ends where something is said to the player: a cue or a dynamic begins a new one. Each section begins its own, and with it
//! whatever its heading says of key, meter and tempo.

use super::rows::{BarCells, Cell, Passage, SectionRows};
use crate::music::Length;

/// From how many bars on rests are put together: one bar of rests stands between others as cells, so that its beats can be counted.
const LONG: usize = 2;

/// What stands between two bar lines of a sheet: a bar, or a long rest.
#[derive(Clone, Debug, PartialEq)]
pub struct Measure {
    /// The bar; of a long rest its first one.
    pub bar: BarCells,
    /// For how many bars it stands; `None` for a bar that stands there in cells.
    pub rests: Option<usize>,
}

/// Measures of a section, and how often they are played in a row there.
#[derive(Clone, Debug, PartialEq)]
pub struct Stretch {
    /// The measures; at least one.
    pub measures: Vec<Measure>,
    /// How often.
    pub times: usize,
}

impl Measure {
    /// How many bars it stands for.
    pub fn bars(&self) -> usize {
        self.rests.unwrap_or(1)
    }
}

/// The bars of a section as a sheet shows them.
///
/// Where the player rests for the whole section, even one bar is a sign: there is no beat to count there.
pub fn stretches(section: &SectionRows) -> Vec<Stretch> {
    let long = if section.rests { 1 } else { LONG };
    let mut passages: Vec<Passage> = Vec::new();
    for passage in &section.passages {
        let (bars, times) = if passage.times > 1 && passage.bars.iter().all(is_rest) {
            (played_out(passage), 1)
        } else {
            (passage.bars.clone(), passage.times)
        };
        match passages.last_mut() {
            Some(last) if last.times == 1 && times == 1 => last.bars.extend(bars),
            _ => passages.push(Passage { bars, times }),
        }
    }
    let stretch =
        |passage: Passage| Stretch { measures: measures(&passage.bars, section.full, long), times: passage.times };
    passages.into_iter().map(stretch).collect()
}

/// Whether a section has a long rest somewhere.
pub fn any(section: &SectionRows) -> bool {
    stretches(section).iter().flat_map(|stretch| &stretch.measures).any(|measure| measure.rests.is_some())
}

fn is_rest(bar: &BarCells) -> bool {
    bar.cells().all(|cell| *cell == Cell::Rest)
}

/// The bars of a passage as often as they are played; what is said about them is said the first time.
fn played_out(passage: &Passage) -> Vec<BarCells> {
    let all = passage.bars.iter().fold(Length::ZERO, |all, bar| all + bar.length);
    let again = |(time, bar): (usize, &BarCells)| BarCells {
        number: bar.number + time * passage.bars.len(),
        start: bar.start + all * time as i64,
        words: bar.words.clone().filter(|_| time == 0),
        dynamics: if time == 0 { bar.dynamics.clone() } else { Vec::new() },
        ..bar.clone()
    };
    (0..passage.times).flat_map(|time| passage.bars.iter().map(move |bar| (time, bar))).map(again).collect()
}

/// Bars with their rests put together.
///
/// - `full`: how long a bar of the meter is: a pickup is no bar of a long rest.
/// - `long`: how many bars make a long rest.
fn measures(bars: &[BarCells], full: Length, long: usize) -> Vec<Measure> {
    let mut measures = Vec::new();
    // The chord that began within a rest goes on after it, so it is named where the player comes in.
    let mut chord: Option<String> = None;
    let mut rest = bars;
    while let Some(first) = rest.first() {
        let count = together(rest, full);
        if count >= long {
            let last = rest[..count].iter().rev().find_map(|bar| bar.chords.last());
            chord = last.map(|(_, name)| name.clone()).or(chord);
            let bar = BarCells { chords: Vec::new(), ..first.clone() };
            measures.push(Measure { bar, rests: Some(count) });
            rest = &rest[count..];
            continue;
        }
        let mut bar = first.clone();
        if let Some(name) = chord.take().filter(|_| bar.chords.first().is_none_or(|(at, _)| !at.is_zero())) {
            bar.chords.insert(0, (Length::ZERO, name));
        }
        measures.push(Measure { bar, rests: None });
        rest = &rest[1..];
    }
    measures
}

/// How many of the bars, from the first on, one sign can stand for. What is said where the first begins stands over the sign.
fn together(bars: &[BarCells], full: Length) -> usize {
    let rests = |bar: &&BarCells| is_rest(bar) && bar.length == full;
    let says_nothing = |bar: &&BarCells| bar.words.is_none() && bar.dynamics.is_empty();
    let Some(first) = bars.first().filter(rests) else { return 0 };
    if first.dynamics.iter().any(|(at, _)| !at.is_zero()) {
        return 0;
    }
    1 + bars[1..].iter().take_while(|bar| rests(bar) && says_nothing(bar)).count()
}

//! Bars of nothing but rests in a row, put together under one long-rest sign with their number, as printed parts have it (the
//! multi-bar rest of common practice, no source), so that nobody counts empty cells.
//!
//! A sign ends where something is said to the player: a cue or a dynamic begins a new one. Each section begins its own, and with it
//! whatever its heading says of key, meter and tempo.

use super::lettering::PRINT;
use super::rows::{BarCells, Passage, SectionRows};
use crate::music::Length;

/// From how many bars on rests are put together: one bar of rests stands between others as cells, so that its beats can be counted.
const LONG: usize = 2;

/// The least width of a long rest, in points: room for three figures and the ends of its line.
const LEAST_REST: f64 = 40.0;

/// What stands between two bar lines of a sheet: a bar, or a long rest.
#[derive(Clone, Debug, PartialEq)]
pub struct Measure {
    /// The bar; of a long rest its first one.
    pub bar: BarCells,
    /// For how many bars it stands; `None` for a bar that stands there in cells.
    pub rests: Option<usize>,
    /// Whether the bar begins and whether it ends here: a bar that is wider than the paper goes on in the next line.
    pub opens: bool,
    /// See `opens`.
    pub closes: bool,
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
    /// A bar from its beginning to its end.
    fn whole(bar: BarCells) -> Measure {
        Measure { bar, rests: None, opens: true, closes: true }
    }

    /// The least width that it can be read in on paper, in points.
    pub fn least(&self) -> f64 {
        if self.rests.is_some() { LEAST_REST } else { PRINT.bar(&self.bar) }
    }

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
        let (bars, times) = if passage.times > 1 && passage.bars.iter().all(BarCells::is_rest) {
            (passage.played_out(), 1)
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
            measures.push(Measure { rests: Some(count), ..Measure::whole(bar) });
            rest = &rest[count..];
            continue;
        }
        let mut bar = first.clone();
        if let Some(name) = chord.take().filter(|_| bar.chords.first().is_none_or(|(at, _)| !at.is_zero())) {
            bar.chords.insert(0, (Length::ZERO, name));
        }
        measures.push(Measure::whole(bar));
        rest = &rest[1..];
    }
    measures
}

/// How many of the bars, from the first on, one sign can stand for. What is said where the first begins stands over the sign.
fn together(bars: &[BarCells], full: Length) -> usize {
    let rests = |bar: &&BarCells| bar.is_rest() && bar.length == full;
    let says_nothing = |bar: &&BarCells| bar.words.is_none() && bar.dynamics.is_empty();
    let Some(first) = bars.first().filter(rests) else { return 0 };
    if first.dynamics.iter().any(|(at, _)| !at.is_zero()) {
        return 0;
    }
    1 + bars[1..].iter().take_while(|bar| rests(bar) && says_nothing(bar)).count()
}

//! What is played again and again in a section is shown once.

use super::bar_cells::{BarCells, Passage};
use crate::music::Length;

/// Whether a bar is played as another one is: the same strokes to the same chords.
fn same(a: &BarCells, b: &BarCells) -> bool {
    (&a.rows, &a.beats, &a.chords) == (&b.rows, &b.beats, &b.chords)
}

/// Whether nothing is said about a bar that would be lost if it were shown once for several.
fn is_silent(bar: &BarCells) -> bool {
    bar.words.is_none() && bar.dynamics.is_empty()
}

/// How often the first `period` of the bars are played before something else comes.
fn again(bars: &[BarCells], period: usize) -> usize {
    let next = |bar: usize| same(&bars[bar], &bars[bar - period]) && is_silent(&bars[bar]);
    let same = (period..bars.len()).take_while(|bar| next(*bar)).count();
    1 + same / period
}

/// The bars of a pan: folded only when the whole section is the same bars again and again, so that phrases stay visible.
pub fn whole(bars: Vec<BarCells>) -> Vec<Passage> {
    let folds = |period: &usize| bars.len().is_multiple_of(*period) && again(&bars, *period) * period == bars.len();
    let period = (1..=bars.len() / 2).find(folds).unwrap_or(bars.len());
    passage(bars, period).into_iter().collect()
}

/// The longest pattern that is folded wherever it is repeated, in bars: it has to stand on one line.
const PATTERN: usize = 2;

/// The bars of percussion: a pattern that is played again and again stands there once.
pub fn patterns(bars: Vec<BarCells>) -> Vec<Passage> {
    let mut passages: Vec<Passage> = Vec::new();
    let mut rest = &bars[..];
    while let Some(bar) = rest.first() {
        let most = (1..=PATTERN.min(rest.len())).map(|period| (period, again(rest, period)));
        let best =
            most.max_by_key(|(period, times)| if *times > 1 { (period * times, usize::MAX - period) } else { (0, 0) });
        let (period, times) = best.filter(|(_, times)| *times > 1).unwrap_or((1, 1));
        match passages.last_mut() {
            Some(last) if times == 1 && last.times == 1 => last.bars.push(bar.clone()),
            _ => passages.push(Passage { bars: rest[..period].to_vec(), times }),
        }
        rest = &rest[period * times..];
    }
    passages
}

fn passage(mut bars: Vec<BarCells>, period: usize) -> Option<Passage> {
    let times = bars.len().checked_div(period)?;
    bars.truncate(period);
    Some(Passage { bars, times })
}

/// The longest phrase that a sheet folds, in bars.
const PHRASE: usize = 8;

/// The bars of a section as a sheet shows them: what is played again and again in a row stands there once, as long as the same chords
/// sound. Rests are left to [`rests`](super::rests).
///
/// - `saved`: how many bars a fold has to save at least. A pan's phrases stay visible where it would be only one.
pub fn printed(bars: &[BarCells], saved: usize) -> Vec<Passage> {
    let chords = sounding(bars);
    let same = |a: usize, b: usize| {
        (&bars[a].rows, &bars[a].beats, &chords[a]) == (&bars[b].rows, &bars[b].beats, &chords[b])
            && is_silent(&bars[a])
    };
    // What is said within a phrase is said once, so such a phrase is not folded; what is said where it begins is said of all of it.
    let says_nothing = |bars: &[BarCells]| bars.iter().all(is_silent);
    let again = |from: usize, period: usize| {
        if !says_nothing(&bars[from + 1..from + period]) {
            return 0;
        }
        (from + period..bars.len()).take_while(|bar| same(*bar, *bar - period)).count() / period
    };
    let mut passages: Vec<Passage> = Vec::new();
    let mut from = 0;
    while from < bars.len() {
        let folds = (1..=PHRASE.min((bars.len() - from) / 2)).map(|period| (period * again(from, period), period));
        // Of those that save as much, the shortest phrase.
        let best = folds.max_by_key(|(saves, period)| (*saves, usize::MAX - period));
        let rests = bars[from].is_rest();
        match best.filter(|(saves, _)| *saves >= saved.max(1) && !rests) {
            Some((saves, period)) => {
                passages.push(Passage { bars: bars[from..from + period].to_vec(), times: 1 + saves / period });
                from += period + saves;
            }
            None => {
                match passages.last_mut() {
                    Some(last) if last.times == 1 => last.bars.push(bars[from].clone()),
                    _ => passages.push(Passage { bars: vec![bars[from].clone()], times: 1 }),
                }
                from += 1;
            }
        }
    }
    passages
}

/// The chords that sound in each bar: those that are named in it, and the one that goes on from before.
fn sounding(bars: &[BarCells]) -> Vec<Vec<(Length, &str)>> {
    let mut current: Option<&str> = None;
    bars.iter()
        .map(|bar| {
            let mut all: Vec<(Length, &str)> = current.map(|name| (Length::ZERO, name)).into_iter().collect();
            for (at, name) in &bar.chords {
                all.retain(|(other, _)| other != at);
                if all.last().is_none_or(|(_, last)| last != name) {
                    all.push((*at, name));
                }
            }
            current = all.last().map(|(_, name)| *name).or(current);
            all
        })
        .collect()
}

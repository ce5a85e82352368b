//! What is played again and again in a section is shown once.

use super::bar_cells::{BarCells, Passage};

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

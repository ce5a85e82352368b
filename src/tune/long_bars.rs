//! Bars with at least twice as many cells as the others of their row: bar lines seem to be missing in them.

use std::borrow::Cow;

use super::cuts::most_common;
use crate::notation::tree::{Bar, BarContent, Cell, ChordCell};

/// A row that has too few bars, and one or more bars with at least twice as many cells as the others.
pub(super) struct Long {
    /// Those bars, and how many bars each should become.
    pub(super) bars: Vec<(usize, usize)>,
    /// The cells of the other bars.
    pub(super) usual: usize,
}

impl Long {
    /// How many bar lines would make all bars alike.
    pub(super) fn missing(&self) -> usize {
        self.bars.iter().map(|(_, parts)| parts - 1).sum()
    }
}

/// How many bar lines a row of cells seems to lack.
pub fn missing_in_cells(bars: &[Cow<Bar<Cell>>]) -> usize {
    long(bars, 2).map_or(0, |long| long.missing())
}

/// How many bar lines a row of chords seems to lack.
pub fn missing_in_chords(bars: &[Cow<Bar<ChordCell>>]) -> usize {
    long(bars, 1).map_or(0, |long| long.missing())
}

/// The bars that have at least twice as many cells as most others; `least`: how many cells a bar must have for a judgement. A bar that
/// says how many cells it has (`16:`) is left alone.
pub(super) fn long<C: Clone>(bars: &[Cow<Bar<C>>], least: usize) -> Option<Long> {
    let cells = |bar: &Cow<Bar<C>>| match &bar.content {
        BarContent::Cells(cells) if bar.meant.is_none() => Some(cells.len()),
        _ => None,
    };
    let mut sorted: Vec<usize> = bars.iter().filter_map(cells).collect();
    // Of two as common the smaller is meant: a bar without its line is the longer one.
    sorted.sort_unstable();
    let usual = most_common(sorted.into_iter()).filter(|usual| *usual >= least)?;
    let parts =
        |bar| cells(bar).filter(|cells| *cells > usual && cells.is_multiple_of(usual)).map(|cells| cells / usual);
    let bars: Vec<(usize, usize)> =
        bars.iter().enumerate().filter_map(|(number, bar)| Some((number, parts(bar)?))).collect();
    (!bars.is_empty()).then_some(Long { bars, usual })
}

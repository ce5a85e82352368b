//! The rows `chords`, `words` and `dynamics` of a section, counted out.

use std::borrow::Cow;
use std::sync::Arc;

use super::findings::{NOTHING_TO_HOLD, NOTHING_TO_REPEAT};
use super::model::{ChordAt, DynamicAt, DynamicChange, WordsAt};
use super::section::Lines;
use crate::music::Length;
use crate::notation::tree::{Bar, BarContent, ChordCell, ChordCellKind, DynamicCell, DynamicCellKind};
use crate::text::{Finding, Source, Span, Spanned};

/// When the bars of a section begin and when the last ends.
#[derive(Clone, Copy)]
pub struct Grid<'a> {
    /// The text, for findings.
    pub source: &'a Arc<Source>,
    /// When each bar begins.
    pub starts: &'a [Length],
    /// When the last one ends.
    pub end: Length,
}

impl Grid<'_> {
    /// Every cell of a row with the time at which it begins; bars beyond the section's are left out.
    fn cells<'c, C: Clone>(self, bars: &'c [Cow<Bar<C>>], findings: &mut Vec<Finding>) -> Vec<(Length, &'c C)> {
        let mut cells = Vec::new();
        let mut before: Option<&[C]> = None;
        for (number, bar) in bars.iter().take(self.starts.len()).enumerate() {
            let start = self.starts[number];
            let length = self.starts.get(number + 1).copied().unwrap_or(self.end) - start;
            let now: &[C] = match &bar.content {
                BarContent::Cells(cells) => cells,
                BarContent::Again => before.unwrap_or_else(|| {
                    findings.push(nothing_to_repeat(self.source, bar.span));
                    &[]
                }),
                BarContent::Broken => &[],
            };
            cells.extend(now.iter().enumerate().map(|(i, cell)| (start + length.fraction(i, now.len()), cell)));
            before = Some(now);
        }
        cells
    }
}

/// A finding for a `%` in a row's first bar.
pub fn nothing_to_repeat(source: &Arc<Source>, span: Span) -> Finding {
    Finding::error(&NOTHING_TO_REPEAT, "there is no bar before this `%` to play again")
        .at(source, span)
        .help("write the section's first bar out")
}

/// The chords, rising in time.
pub fn chords(row: &Lines<Bar<ChordCell>>, grid: Grid, findings: &mut Vec<Finding>) -> Vec<ChordAt> {
    let mut chords = Vec::new();
    for (start, cell) in grid.cells(&row.bars, findings) {
        let chord = match &cell.kind {
            ChordCellKind::Chord(chord) => Some(*chord),
            ChordCellKind::None => None,
            // What asks for a chord here rests, for there is one that could not be understood.
            ChordCellKind::Broken if chords.is_empty() => None,
            ChordCellKind::Hold if start.is_zero() => {
                findings.push(
                    Finding::error(&NOTHING_TO_HOLD, "there is no chord before this `-` to hold")
                        .at(grid.source, cell.span)
                        .help("write the section's first chord, or `N.C.` for none"),
                );
                continue;
            }
            ChordCellKind::Hold | ChordCellKind::Broken => continue,
        };
        chords.push(ChordAt { start, chord, span: cell.span });
    }
    chords
}

/// The words, an entry for each bar that has any.
pub fn words(row: &Lines<Spanned<String>>, bars: usize) -> Vec<WordsAt> {
    let numbered = (0u32..).zip(row.bars.iter().take(bars));
    let filled = numbered.filter(|(_, text)| !text.value.is_empty());
    filled.map(|(bar, text)| WordsAt { bar, text: text.value.clone(), span: text.span }).collect()
}

/// The dynamic marks, rising in time.
pub fn dynamics(row: &Lines<Bar<DynamicCell>>, grid: Grid, findings: &mut Vec<Finding>) -> Vec<DynamicAt> {
    let cells = grid.cells(&row.bars, findings);
    let change = |kind| match kind {
        DynamicCellKind::Mark(mark) => Some(DynamicChange::Mark(mark)),
        DynamicCellKind::Growing => Some(DynamicChange::Growing),
        DynamicCellKind::Falling => Some(DynamicChange::Falling),
        DynamicCellKind::Hold | DynamicCellKind::Broken => None,
    };
    let marks = cells.into_iter().filter_map(|(start, cell)| Some((start, cell.span, change(cell.kind)?)));
    marks.map(|(start, span, change)| DynamicAt { start, change, span }).collect()
}

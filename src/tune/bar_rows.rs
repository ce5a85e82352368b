//! The rows of a section that are written out in bars, and how many bars each has.

use std::sync::Arc;

use super::long_bars::{missing_in_cells, missing_in_chords};
use super::written_section::{Written, WrittenBody};
use crate::notation::tree::{Bar, BarContent};
use crate::text::{Source, Span, words};

/// A row that is written out in bars.
pub struct BarRow<'a> {
    /// Its name.
    pub name: &'a str,
    /// Where that stands first.
    pub span: Span,
    /// How many bars it has.
    pub bars: usize,
    /// How many bar lines it seems to lack.
    pub missing: usize,
    /// Whether its bar lines are not in order, which has been told.
    pub broken: bool,
}

/// The rows with bars in the order of the file.
pub fn rows<'a>(section: &Written, source: &'a Arc<Source>) -> Vec<BarRow<'a>> {
    let mut rows: Vec<(Span, usize, usize, bool)> = Vec::new();
    rows.extend(section.rows.iter().flatten().filter_map(|row| match &row.body {
        WrittenBody::Cells(bars) => {
            let broken = bars.iter().any(|bar| is_broken(bar, source));
            Some((row.name.span, bars.len(), missing_in_cells(bars), broken))
        }
        WrittenBody::Instruction(_) | WrittenBody::AsPart(_) => None,
    }));
    let chords = &section.chords.bars;
    let broken = || chords.iter().any(|bar| is_broken(bar, source));
    rows.extend(section.chords.name.map(|span| (span, chords.len(), missing_in_chords(chords), broken())));
    rows.extend(section.words.name.map(|span| {
        let after = section.words.bars.last().map_or("|", |bar| &source.text()[bar.span.end as usize..]);
        (span, section.words.bars.len(), 0, !after.trim_start_matches([' ', '\t']).starts_with('|'))
    }));
    rows.extend(section.dynamics.name.map(|span| {
        let bars = &section.dynamics.bars;
        (span, bars.len(), 0, bars.iter().any(|bar| is_broken(bar, source)))
    }));
    rows.sort();
    let row = |(span, bars, missing, broken)| BarRow { name: source.slice(span), span, bars, missing, broken };
    rows.into_iter().map(row).collect()
}

/// Whether a bar could not be read as one, or has no bar line after it.
fn is_broken<C>(bar: &Bar<C>, source: &Source) -> bool {
    let after = &source.text()[bar.span.end as usize..];
    matches!(bar.content, BarContent::Broken) || !after.trim_start_matches([' ', '\t']).starts_with('|')
}

/// What to do about a row that has so many bars too few or too many.
pub fn help(row: &BarRow, missing: usize, is_short: bool) -> String {
    if is_short && row.missing > 0 {
        format!("add {}, or see whether a bar line is missing in one of its long bars", words::count(missing, "bar"))
    } else if is_short {
        let empty = match row.name {
            "chords" | "dynamics" => "`| - |` for each bar without a change",
            "words" => "`| |` for each bar without words",
            _ => "`| . |` for each bar of rest",
        };
        format!("add {}, or {empty}", words::count(missing, "bar"))
    } else {
        format!("take {} out, or see whether a bar line is too many", words::count(missing, "bar"))
    }
}

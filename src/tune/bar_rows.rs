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
    /// Where the name is written first.
    pub span: Span,
    /// How many bars it has.
    pub bars: usize,
    /// How many bar lines it seems to lack.
    pub missing: usize,
    /// Whether something is wrong with its bar lines, which has been reported.
    pub broken: bool,
}

/// The rows with bars in the order of the file.
pub fn rows<'a>(section: &Written, source: &'a Arc<Source>) -> Vec<BarRow<'a>> {
    let row = |span: Span, bars: usize| BarRow { name: source.slice(span), span, bars, missing: 0, broken: false };
    let mut rows: Vec<BarRow> = Vec::new();
    rows.extend(section.rows.iter().flatten().filter_map(|written| match &written.body {
        WrittenBody::Cells(bars) => {
            let broken = bars.iter().any(|bar| is_broken(bar, source));
            Some(BarRow { missing: missing_in_cells(bars), broken, ..row(written.name.span, bars.len()) })
        }
        WrittenBody::Instruction(_) | WrittenBody::AsPart(_) => None,
    }));
    rows.extend(section.chords.name.map(|span| {
        let bars = &section.chords.bars;
        let broken = bars.iter().any(|bar| is_broken(bar, source));
        BarRow { missing: missing_in_chords(bars), broken, ..row(span, bars.len()) }
    }));
    rows.extend(section.words.name.map(|span| {
        let bars = &section.words.bars;
        let broken = bars.last().is_some_and(|bar| !is_closed(bar.span, source));
        BarRow { broken, ..row(span, bars.len()) }
    }));
    rows.extend(section.dynamics.name.map(|span| {
        let bars = &section.dynamics.bars;
        BarRow { broken: bars.iter().any(|bar| is_broken(bar, source)), ..row(span, bars.len()) }
    }));
    rows.sort_by_key(|row| row.span);
    rows
}

/// Whether a bar could not be read as one, or has no bar line after it.
fn is_broken<C>(bar: &Bar<C>, source: &Source) -> bool {
    matches!(bar.content, BarContent::Broken) || !is_closed(bar.span, source)
}

/// Whether a bar line comes right after a bar.
fn is_closed(bar: Span, source: &Source) -> bool {
    let after = &source.text()[bar.end as usize..];
    after.trim_start_matches([' ', '\t']).starts_with('|')
}

/// What to do about a row with that many bars too few or too many.
pub fn help(row: &BarRow, missing: usize, is_short: bool) -> String {
    if is_short && row.missing > 0 {
        format!("add {}, or see whether a bar line is missing in one of its long bars", words::count(missing, "bar"))
    } else if is_short {
        let empty = match row.name {
            "chords" | "dynamics" => "write `| - |` for each bar without a change",
            "words" => "write `| |` for each bar without words",
            _ => "write `| . |` for each bar of rest",
        };
        format!("add {}, or {empty}", words::count(missing, "bar"))
    } else {
        format!("take {} out, or see whether there is a bar line too many", words::count(missing, "bar"))
    }
}

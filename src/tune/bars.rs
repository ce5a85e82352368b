//! How many bars a section has, and when each begins.

use std::sync::Arc;

use super::bar_lines::{missing_in_cells, missing_in_chords};
use super::blocks;
use super::findings::BARS_DIFFER;
use super::section::{Written, WrittenBody};
use crate::music::{Length, Meter};
use crate::notation::tree::{Bar, BarContent, Instruction, PatternLine};
use crate::text::{Finding, Source, Span, words};

/// The number of bars of a section: what most of its rows have, of two as common numbers the one that comes first. Rows
/// that differ become findings. A section without any written bar takes the bars of the first pattern that it plays.
pub fn count(section: &Written, patterns: &[&PatternLine], source: &Arc<Source>, findings: &mut Vec<Finding>) -> usize {
    let rows = rows(section, source);
    let Some(count) = most_common(&rows) else { return pattern_bars(section, patterns) };
    let model = rows.iter().find(|row| row.bars == count).expect("one row has the most common number");
    let mut differing = rows.iter().filter(|row| row.bars != count && !row.broken).peekable();
    let lines = if differing.peek().is_some() { lines(section, source) } else { Vec::new() };
    let blocks = blocks::blocks(&lines, source);
    for row in differing {
        let in_block = blocks::differs(row, model, &blocks, &section.name.value, source);
        findings.push(in_block.unwrap_or_else(|| differs(row, model, count, &section.name.value, source)));
    }
    count
}

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

/// The lines of all rows with bars, in the order of the file: name, line and number of bars.
fn lines<'a>(section: &Written, source: &'a Source) -> Vec<blocks::Line<'a>> {
    let mut starts: Vec<(usize, Span)> = Vec::new();
    let mut add = |name: Span, bars: &mut dyn Iterator<Item = Span>| {
        starts.extend(bars.map(|bar| (source.line_of(bar.start), name)));
    };
    for row in section.rows.iter().flatten() {
        if let WrittenBody::Cells(bars) = &row.body {
            add(row.name.span, &mut bars.iter().map(|bar| bar.span));
        }
    }
    let (chords, words, dynamics) = (&section.chords, &section.words, &section.dynamics);
    chords.name.iter().for_each(|name| add(*name, &mut chords.bars.iter().map(|bar| bar.span)));
    words.name.iter().for_each(|name| add(*name, &mut words.bars.iter().map(|bar| bar.span)));
    dynamics.name.iter().for_each(|name| add(*name, &mut dynamics.bars.iter().map(|bar| bar.span)));
    starts.sort_unstable();
    let alike = starts.chunk_by(|one, other| one == other);
    alike
        .map(|bars| blocks::Line { line: bars[0].0, name: bars[0].1, text: source.slice(bars[0].1), bars: bars.len() })
        .collect()
}

/// Whether a bar could not be read as one, or has no bar line after it.
fn is_broken<C>(bar: &Bar<C>, source: &Source) -> bool {
    let after = &source.text()[bar.span.end as usize..];
    matches!(bar.content, BarContent::Broken) || !after.trim_start_matches([' ', '\t']).starts_with('|')
}

fn most_common(rows: &[BarRow]) -> Option<usize> {
    let votes = |bars: usize| rows.iter().filter(|row| row.bars == bars).count();
    // `max_by_key` takes the last of equals, so the first comes last.
    rows.iter().rev().map(|row| row.bars).max_by_key(|bars| votes(*bars))
}

fn pattern_bars(section: &Written, patterns: &[&PatternLine]) -> usize {
    let played = section.rows.iter().flatten().filter_map(|row| match row.body {
        WrittenBody::Instruction(instruction) => match &instruction.value {
            Instruction::Play(name) | Instruction::Strum(name) => super::patterns::find(patterns, &name.value),
            _ => None,
        },
        WrittenBody::Cells(_) | WrittenBody::AsPart(_) => None,
    });
    played.map(|pattern| pattern.bars().len()).next().unwrap_or(0)
}

fn differs(row: &BarRow, model: &BarRow, count: usize, section: &str, source: &Arc<Source>) -> Finding {
    let (has, wants) = (words::count(row.bars, "bar"), words::count(count, "bar"));
    let message =
        format!("the row `{}` of section `{section}` has {has}, the row `{}` has {wants}", row.name, model.name);
    let missing = count.abs_diff(row.bars);
    let help = help(row, missing, row.bars < count);
    Finding::error(&BARS_DIFFER, message).at(source, row.span).label(has).help(help).part(row.name)
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

/// When each of `count` bars begins, and when the last ends. A pickup shortens the first.
pub fn starts(count: usize, meter: Meter, pickup: Option<Length>) -> (Vec<Length>, Length) {
    let first = pickup.unwrap_or(meter.bar());
    let start = |bar: usize| if bar == 0 { Length::ZERO } else { first + meter.bar() * (bar as i64 - 1) };
    ((0..count).map(start).collect(), start(count))
}

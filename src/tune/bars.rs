//! How many bars a section has, and when each begins.

use std::sync::Arc;

use super::bar_rows::{BarRow, help, rows};
use super::blocks;
use super::findings::BARS_DIFFER;
use super::written_section::{Written, WrittenBody};
use crate::music::{Length, Meter};
use crate::notation::tree::{Instruction, PatternLine};
use crate::text::{Finding, Source, Span, words};

/// The number of bars of a section: what most of its rows have; of two equally common numbers the one that comes first. Rows
/// that differ become findings. `meter`: the section's. A section without any written bar takes the bars of the first pattern that it plays.
pub fn count(
    section: &Written,
    meter: Meter,
    patterns: &[&PatternLine],
    source: &Arc<Source>,
    findings: &mut Vec<Finding>,
) -> usize {
    let rows = rows(section, source);
    let Some(count) = most_common(&rows) else { return pattern_bars(section, meter, patterns) };
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

/// The lines of all rows with bars, in the order of the file: name, line and number of bars.
fn lines(section: &Written, source: &Source) -> Vec<blocks::Line> {
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
    alike.map(|bars| blocks::Line { line: bars[0].0, name: bars[0].1, bars: bars.len() }).collect()
}

fn most_common(rows: &[BarRow]) -> Option<usize> {
    let votes = |bars: usize| rows.iter().filter(|row| row.bars == bars).count();
    // `max_by_key` takes the last of equals, so the first comes last.
    rows.iter().rev().map(|row| row.bars).max_by_key(|bars| votes(*bars))
}

fn pattern_bars(section: &Written, meter: Meter, patterns: &[&PatternLine]) -> usize {
    let played = section.rows.iter().flatten().filter_map(|row| match row.body {
        WrittenBody::Instruction(instruction) => match &instruction.value {
            Instruction::Play(name) | Instruction::Strum(name) => super::patterns::find(patterns, &name.value, meter),
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

/// When each of `count` bars begins, and when the last ends. A pickup shortens the first.
pub fn starts(count: usize, meter: Meter, pickup: Option<Length>) -> (Vec<Length>, Length) {
    let first = pickup.unwrap_or(meter.bar());
    let start = |bar: usize| if bar == 0 { Length::ZERO } else { first + meter.bar() * (bar as i64 - 1) };
    ((0..count).map(start).collect(), start(count))
}

//! The blocks of a section whose rows continue over several lines, and the block in which a row lacks a bar.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::bar_rows::{BarRow, help};
use super::findings::BARS_DIFFER;
use crate::text::{Finding, Source, Span, words};

/// A line of a row.
#[derive(Clone, Copy)]
pub struct Line {
    /// Its number.
    pub line: usize,
    /// Where the row's name is written first.
    pub name: Span,
    /// How many bars it has.
    pub bars: usize,
}

/// A finding for a row that differs from another in one block only; `None` where the section has just one block, or where that does
/// not explain the difference.
pub fn differs(
    row: &BarRow,
    model: &BarRow,
    blocks: &[&[Line]],
    section: &str,
    source: &Arc<Source>,
) -> Option<Finding> {
    let bars = |block: &[Line], name: Span| of(block, name).map_or(0, |line| line.bars);
    let mut unlike = blocks.iter().filter(|block| bars(block, row.span) != bars(block, model.span));
    let block = unlike.next().filter(|_| blocks.len() > 1)?;
    let beside = of(block, model.span)?;
    if unlike.next().is_some() {
        return None;
    }
    let wanted = words::count(beside.bars, "bar");
    let (name, other) = (row.name, model.name);
    let finding = |message: String| Finding::error(&BARS_DIFFER, message).part(name);
    let Some(line) = of(block, row.span) else {
        let message = format!(
            "section `{section}` has no line of `{name}` to go with line {}, where `{other}` has {wanted}",
            beside.line
        );
        let help = format!("write a row `{name}` of {wanted} there, as in the rest of the section");
        return Some(finding(message).at(source, name_of(source, beside.line)).help(help));
    };
    let has = words::count(line.bars, "bar");
    let message = format!(
        "line {} of section `{section}` has {has} of `{name}`, and `{other}` on line {} has {wanted}",
        line.line, beside.line
    );
    let help = help(row, line.bars.abs_diff(beside.bars), line.bars < beside.bars);
    Some(finding(message).at(source, name_of(source, line.line)).label(has).help(help))
}

/// The line of a row in a block.
fn of(block: &[Line], name: Span) -> Option<Line> {
    block.iter().find(|line| line.name == name).copied()
}

/// The blocks: a new one begins where a name comes again, or at the blank line before that.
///
/// - `lines`: of all rows, in the order of the file.
pub fn blocks<'b>(lines: &'b [Line], source: &Source) -> Vec<&'b [Line]> {
    let mut blocks = Vec::new();
    let mut names: BTreeSet<Span> = BTreeSet::new();
    let mut start = 0;
    for (at, line) in lines.iter().enumerate() {
        if !names.insert(line.name) {
            let blank = (start + 1..=at).rev().find(|before| is_apart(&lines[before - 1..=*before], source));
            let begin = blank.unwrap_or(at);
            blocks.push(&lines[start..begin]);
            start = begin;
            names = lines[start..=at].iter().map(|line| line.name).collect();
        }
    }
    blocks.push(&lines[start..]);
    blocks
}

/// Whether a blank line stands between two lines.
fn is_apart(lines: &[Line], source: &Source) -> bool {
    (lines[0].line + 1..lines[1].line).any(|line| source.slice(source.line_span(line)).trim().is_empty())
}

/// The place of the name that a line begins with.
fn name_of(source: &Source, line: usize) -> Span {
    let span = source.line_span(line);
    let text = source.slice(span);
    let start = span.start as usize + (text.len() - text.trim_start().len());
    let length = text.trim_start().find(|c: char| c.is_whitespace() || c == '|').unwrap_or(0);
    Span::new(start, start + length)
}

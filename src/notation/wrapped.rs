//! Rows that a mail program broke over two lines: the second line is read as part of the first.

use super::cell;
use super::findings::UNKNOWN_LINE;
use crate::text::{Finding, Source, Span};

/// How many of the lines after a row's line (from 1) belong to it.
pub fn rest_of(source: &std::sync::Arc<Source>, line: usize, last: usize) -> usize {
    let text = |line: usize| source.slice(source.line_span(line));
    if !is_row(text(line)) {
        return 0;
    }
    (line + 1..=last).take_while(|line| is_rest(text(*line))).count()
}

/// Whether a line is a row of bars, without a comment behind it.
fn is_row(line: &str) -> bool {
    let after = line.trim_start().trim_start_matches(|c: char| c.is_alphanumeric() || c == '-').trim_start();
    after.starts_with('|') && !line.contains(" #")
}

/// Whether a line begins with a cell where the name of a row would stand, and goes on as bars up to a bar line.
fn is_rest(line: &str) -> bool {
    let first = line.split_whitespace().next().unwrap_or_default();
    let is_note =
        cell::cell(first, 0).is_some() && first.starts_with(|c: char| matches!(c, 'A'..='G')) && first.len() > 1;
    let next = line.split_whitespace().nth(1).unwrap_or_default();
    let is_cell = is_note || cell::cell(first, 0).is_some() && cell::cell(next, 0).is_some();
    is_cell && line.contains('|') && !line.contains(" #") && !line.contains('=')
}

/// The finding for all such lines of a tune, if there are any.
pub fn told(source: &std::sync::Arc<Source>, lines: &[Span]) -> Option<Finding> {
    if lines.is_empty() {
        return None;
    }
    let finding =
        Finding::error(&UNKNOWN_LINE, "this looks like the rest of the row above: a row must stay on one line");
    Some(finding.more(source, lines).help("join it to the line above; mail programs break long lines"))
}

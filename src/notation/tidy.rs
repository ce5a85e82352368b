//! A tree back as text, with the cells of a section's rows lined up under each other.
//!
//! Rows without a blank line between them are one block. In a block all names are as wide as the widest, all bars with the same
//! number are as wide as the widest of them, and the rows that have as many cells in a bar have these cells in the same
//! columns. Words, comments and lines that can't be understood stay as they are.

use std::borrow::Cow;
use std::collections::BTreeMap;

use unicode_width::UnicodeWidthStr;

use super::tree::{Bar, BarContent, Line, Row, RowBody, Statement, Tree};
use crate::text::{Source, Span};

/// The text of a tree, tidied. Line ends stay as they are; the caller keeps a byte-order mark.
pub fn tidy(tree: &Tree) -> String {
    let source = &tree.source;
    let mut text = String::with_capacity(source.text().len() + source.text().len() / 4);
    let mut at = 0;
    while at < tree.lines.len() {
        let end = block_end(tree, at);
        let rows = layout(source, &tree.lines[at..end]);
        for (line, row) in tree.lines[at..end].iter().zip(rows) {
            text.push_str(&whole_line(source, line, row));
            text.push_str(line_end(source, line));
        }
        at = end;
    }
    // Lines beyond the limit were not read; they are kept.
    let read = tree.lines.last().map_or(0, |line| line.span.end as usize + line_end(source, line).len());
    text.push_str(&source.text()[read..]);
    text
}

/// The line after the block that begins at `at`: the rows, comments and broken lines up to the next other line.
fn block_end(tree: &Tree, at: usize) -> usize {
    let in_block = |line: &Line| matches!(line.statement, Some(Statement::Row(_)));
    if !in_block(&tree.lines[at]) {
        return at + 1;
    }
    let rest = tree.lines[at..].iter().take_while(|line| in_block(line) || is_inner_comment(line));
    at + rest.count().max(1)
}

/// A comment of its own between rows does not part them.
fn is_inner_comment(line: &Line) -> bool {
    line.statement.is_none() && line.comment.is_some()
}

fn line_end(source: &Source, line: &Line) -> &'static str {
    let rest = &source.text()[line.span.end as usize..];
    ["\r\n", "\n", "\r"].into_iter().find(|end| rest.starts_with(*end)).unwrap_or_default()
}

/// A line: its statement, laid out if it is of a kind that is, else as written; then its comment.
fn whole_line(source: &Source, line: &Line, row: Option<String>) -> String {
    let written = source.slice(line.span);
    let Some(row) = row.or_else(|| statement(source, line)).filter(|_| !line.mended) else {
        return written.trim_end().to_owned();
    };
    match line.comment {
        Some(comment) => format!("{}  {}", row.trim_end(), source.slice(comment).trim_end()),
        None => row.trim_end().to_owned(),
    }
}

/// Statements other than rows: words one space apart, a section at the left margin, what belongs to it two to the right.
fn statement(source: &Source, line: &Line) -> Option<String> {
    match line.statement.as_ref()? {
        Statement::Section(_) => Some(content(source, line).split_whitespace().collect::<Vec<_>>().join(" ")),
        _ => None,
    }
}

/// What a line says without its comment.
fn content<'a>(source: &'a Source, line: &Line) -> &'a str {
    let end = line.comment.map_or(line.span.end, |comment| comment.start);
    source.slice(Span { start: line.span.start, end }).trim()
}

/// The rows of a block as text; `None` for lines that are no rows.
fn layout(source: &Source, lines: &[Line]) -> Vec<Option<String>> {
    let rows: Vec<Option<&Row>> = lines
        .iter()
        .map(|line| match &line.statement {
            Some(Statement::Row(row)) if !line.mended && is_whole(source, line, row) => Some(row),
            _ => None,
        })
        .collect();
    let name_width = rows.iter().flatten().map(|row| name(row).width()).max().unwrap_or(0);
    let bars: Vec<RowTexts> = rows.iter().map(|row| row.map_or_else(Vec::new, |row| cells(source, row))).collect();
    let columns = Columns::of(&bars);
    let texts = rows.iter().zip(&bars).map(|(row, bars)| {
        let row = (*row)?;
        let name = pad(&name(row), name_width);
        Some(match &row.body {
            RowBody::Instruction(instruction) => format!(
                "  {name} = {}",
                source.slice(instruction.span).split_whitespace().collect::<Vec<_>>().join(" ")
            ),
            _ => format!("  {name} {}", columns.row(bars)),
        })
    });
    texts.collect()
}

/// A row's name, with the pan whose own row it is.
fn name(row: &Row) -> String {
    match &row.pan {
        None => row.name.value.clone(),
        Some(pan) => format!("{} for {}", row.name.value, pan.value.split_whitespace().collect::<Vec<_>>().join(" ")),
    }
}

/// A row whose last bar line is missing or whose bar lines touch, or whose instruction is not understood, stays as it is.
fn is_whole(source: &Source, line: &Line, row: &Row) -> bool {
    match &row.body {
        RowBody::Instruction(instruction) => instruction.value != super::tree::Instruction::Broken,
        RowBody::Words(_) => content(source, line).ends_with('|'),
        _ => content(source, line).ends_with('|') && !content(source, line).contains("||") && !has_broken_bar(row),
    }
}

fn has_broken_bar(row: &Row) -> bool {
    fn any<C>(bars: &[Bar<C>]) -> bool {
        bars.iter().any(|bar| matches!(bar.content, BarContent::Broken))
    }
    match &row.body {
        RowBody::Cells(bars) => any(bars),
        RowBody::Chords(bars) => any(bars),
        RowBody::Dynamics(bars) => any(bars),
        RowBody::Words(_) | RowBody::Instruction(_) => false,
    }
}

/// The cells of a bar, as they are written.
type BarTexts<'a> = Vec<Cow<'a, str>>;

/// The bars of a row; none where a line is no row.
type RowTexts<'a> = Vec<BarTexts<'a>>;

/// The cells of each bar as written; a bar of words is one cell.
fn cells<'a>(source: &'a Source, row: &Row) -> RowTexts<'a> {
    match &row.body {
        RowBody::Cells(bars) => bars.iter().map(|bar| words(source, bar)).collect(),
        RowBody::Chords(bars) => bars.iter().map(|bar| words(source, bar)).collect(),
        RowBody::Dynamics(bars) => bars.iter().map(|bar| words(source, bar)).collect(),
        RowBody::Words(bars) => bars.iter().map(|bar| vec![source.slice(bar.span).into()]).collect(),
        RowBody::Instruction(_) => Vec::new(),
    }
}

/// The cells of a bar; a `7:` before them goes with the first, so that they stand under the cells of other rows.
fn words<'a, C>(source: &'a Source, bar: &Bar<C>) -> BarTexts<'a> {
    let Some(meant) = &bar.meant else { return source.slice(bar.span).split_whitespace().map(Cow::from).collect() };
    let cells = source.slice(Span { start: meant.span.end, ..bar.span });
    let mut words = cells.split_whitespace().map(Cow::from);
    let between = if cells.starts_with(char::is_whitespace) { " " } else { "" };
    let first = format!("{}{between}{}", source.slice(meant.span), words.next().unwrap_or_default());
    std::iter::once(first.into()).chain(words).collect()
}

/// How wide the cells and bars of a block are.
struct Columns {
    bars: Vec<BarColumns>,
}

/// How wide a bar and its cells are.
struct BarColumns {
    /// By how many cells a row has in the bar, the widths of these cells.
    cells: BTreeMap<usize, Vec<usize>>,
    /// The width of the bar.
    width: usize,
}

impl Columns {
    fn of(rows: &[RowTexts]) -> Columns {
        let count = rows.iter().map(Vec::len).max().unwrap_or(0);
        let mut bars = Vec::with_capacity(count);
        for number in 0..count {
            let mut widths: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
            for cells in rows.iter().filter_map(|row| row.get(number)) {
                let widest = widths.entry(cells.len()).or_insert_with(|| vec![0; cells.len()]);
                for (width, cell) in widest.iter_mut().zip(cells) {
                    *width = (*width).max(cell.width());
                }
            }
            let total = |cells: &Vec<usize>| cells.iter().sum::<usize>() + cells.len().saturating_sub(1);
            let width = widths.values().map(total).max().unwrap_or(0);
            bars.push(BarColumns { cells: widths, width });
        }
        Columns { bars }
    }

    fn row(&self, bars: &[BarTexts]) -> String {
        let mut text = String::from("|");
        for (cells, bar) in bars.iter().zip(&self.bars) {
            let columns = &bar.cells[&cells.len()];
            let padded: Vec<String> = cells.iter().zip(columns).map(|(cell, width)| pad(cell, *width)).collect();
            text.push_str(&format!(" {} |", pad(&padded.join(" "), bar.width)));
        }
        text
    }
}

fn pad(text: &str, width: usize) -> String {
    format!("{text}{}", " ".repeat(width.saturating_sub(text.width())))
}

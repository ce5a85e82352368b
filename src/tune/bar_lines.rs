//! Bar lines that were forgotten within a row: which bar is really two, and how the row was meant.

use std::borrow::Cow;
use std::sync::Arc;

use super::bar_rows::{BarRow, rows};
use super::findings::MISSING_BAR_LINE;
use super::long_bars::{Long, long};
use super::slips::few;
use super::written_section::{Written, WrittenBody};
use crate::notation::tree::{Bar, BarContent, Cell, ChordCell};
use crate::text::{Edit, Finding, Source, Span, words};

/// The longest bars that a finding repeats, in letters.
const SHORT: usize = 70;

/// Puts in the bar lines without which a row is too short, where only one place for them makes sense, so that nothing follows
/// from the mistake; each is reported as an error.
///
/// - `first`: the number of the section's first bar: 1, or 0 for a pickup.
pub fn mend(section: &mut Written, first: usize, source: &Arc<Source>, findings: &mut Vec<Finding>) {
    let Some((wanted, model)) = wanted(section, source) else { return };
    let model = format!("`{model}` has {wanted}");
    let section_name = &section.name.value;
    for row in section.rows.iter_mut().flatten() {
        let WrittenBody::Cells(bars) = &mut row.body else { continue };
        let Some(long) = long(bars, 2).filter(|long| bars.len() + long.missing() == wanted) else { continue };
        let told = Told { source, section: section_name, first, row: &row.name.value, noun: "cell", model: &model };
        findings.push(told.finding(bars, &long, |cell: &Cell| cell.span).part(&row.name.value));
        part(bars, &long, |cell: &Cell| cell.span);
    }
    let bars = &mut section.chords.bars;
    if let Some(long) = long(bars, 1).filter(|long| bars.len() + long.missing() == wanted) {
        let told = Told { source, section: section_name, first, row: "chords", noun: "chord", model: &model };
        findings.push(told.finding(bars, &long, |cell: &ChordCell| cell.span));
        part(bars, &long, |cell: &ChordCell| cell.span);
    }
}

/// The number of bars that most rows have, or would have with the bar lines that they lack, and a row that has it; `None` where
/// nothing needs fixing. Of two equally common numbers, the one that more rows have as they are, or else the first.
fn wanted<'a>(section: &Written, source: &'a Arc<Source>) -> Option<(usize, &'a str)> {
    let rows = rows(section, source);
    let short: Vec<&BarRow> = rows.iter().filter(|row| row.missing > 0).collect();
    if short.is_empty() {
        return None;
    }
    let as_it_is = |bars: usize| rows.iter().filter(|row| row.bars == bars).count();
    let mended = |bars: usize| short.iter().filter(|row| row.bars + row.missing == bars).count();
    // `max_by_key` takes the last of equals, so the first comes last.
    let best = |row: &&BarRow| (as_it_is(row.bars) + mended(row.bars), as_it_is(row.bars));
    let model = rows.iter().rev().max_by_key(best)?;
    (mended(model.bars) > 0).then_some((model.bars, model.name))
}

/// Divides the long bars of a row.
fn part<C: Clone>(bars: &mut Vec<Cow<Bar<C>>>, long: &Long, span: impl Fn(&C) -> Span) {
    let mut whole = Vec::with_capacity(bars.len() + long.missing());
    for (number, bar) in std::mem::take(bars).into_iter().enumerate() {
        match &bar.content {
            BarContent::Cells(cells) if long.bars.iter().any(|(long, _)| *long == number) => {
                whole.extend(cells.chunks(long.usual).map(|cells| {
                    let span = span(&cells[0]).to(span(&cells[cells.len() - 1]));
                    Cow::Owned(Bar { span, meant: None, content: BarContent::Cells(cells.to_vec()) })
                }));
            }
            _ => whole.push(bar),
        }
    }
    *bars = whole;
}

/// What a finding is about.
struct Told<'a> {
    source: &'a Arc<Source>,
    section: &'a str,
    /// The number of its first bar.
    first: usize,
    row: &'a str,
    /// What the row's cells are.
    noun: &'a str,
    /// A row with the right number of bars.
    model: &'a str,
}

impl Told<'_> {
    fn finding<C: Clone>(&self, bars: &[Cow<Bar<C>>], long: &Long, span: impl Fn(&C) -> Span) -> Finding {
        let all: Vec<(Span, Vec<Span>)> =
            long.bars.iter().map(|(number, _)| (bars[*number].span, gaps(&bars[*number], long.usual, &span))).collect();
        let (first, parts) = long.bars[0];
        let has = words::count(parts * long.usual, self.noun);
        let after = ordinal(long.usual);
        let message = match long.bars.as_slice() {
            [_] if long.usual == 1 && parts > 2 => format!(
                "bar {} of `{}` has {has}, most bars of the row have 1: are bar lines missing between them?",
                first + self.first,
                self.section,
            ),
            [_] if parts == 2 => format!(
                "bar {} of `{}` has {has}, most bars of the row have {}: is a bar line missing after the {after}?",
                first + self.first,
                self.section,
                long.usual,
            ),
            [_] => format!(
                "bar {} of `{}` has {has}, most bars of the row have {}: are bar lines missing after every {after}?",
                first + self.first,
                self.section,
                long.usual,
            ),
            many => {
                let numbers: Vec<usize> = many.iter().map(|(number, _)| number + self.first).collect();
                let bars = few(&numbers);
                format!(
                    "bars {bars} of `{}` are longer than most of the row: are bar lines missing in them after every {after} {}?",
                    self.section, self.noun,
                )
            }
        };
        let spans: Vec<Span> = all.iter().map(|(span, _)| *span).collect();
        let gaps: Vec<Span> = all.into_iter().flat_map(|(_, gaps)| gaps).collect();
        let edit = self.edit(&gaps);
        let finding = Finding::error(&MISSING_BAR_LINE, message).more(self.source, &spans);
        let finding = match self.whole(&bars[first], long.usual, &span).filter(|_| parts > 2) {
            Some(whole) => finding.help(format!("write `{whole}`")),
            None => finding.help(format!("put it here: `{}`", self.around(gaps[0]))),
        };
        finding
            .help(format!("without it `{}` has {}, and {}", self.row, words::count(bars.len(), "bar"), self.model))
            .edit(edit)
    }

    /// A long bar with all of its bar lines, if that is short enough to be read.
    fn whole<C: Clone>(&self, bar: &Bar<C>, usual: usize, span: &impl Fn(&C) -> Span) -> Option<String> {
        let BarContent::Cells(cells) = &bar.content else { return None };
        let part = |cells: &[C]| cells.iter().map(|cell| self.source.slice(span(cell))).collect::<Vec<_>>().join(" ");
        let whole = format!("| {} |", cells.chunks(usual).map(part).collect::<Vec<_>>().join(" | "));
        (whole.chars().count() <= SHORT).then_some(whole)
    }

    /// Two words on each side of a gap, with the bar line between them.
    fn around(&self, gap: Span) -> String {
        let text = self.source.text();
        let line = self.source.line_span(self.source.line_of(gap.start)).range();
        let before = text[line.start..gap.start as usize].rsplit('|').next().unwrap_or_default();
        let after = text[gap.end as usize..line.end.max(gap.end as usize)].split('|').next().unwrap_or_default();
        let mut last: Vec<&str> = before.split_whitespace().rev().take(2).collect();
        last.reverse();
        let first: Vec<&str> = after.split_whitespace().take(2).collect();
        format!("{} | {}", last.join(" "), first.join(" "))
    }

    /// One change that puts in all bar lines.
    fn edit(&self, gaps: &[Span]) -> Edit {
        let whole = gaps[0].to(gaps[gaps.len() - 1]);
        let mut text = String::new();
        let mut at = whole.start as usize;
        for gap in gaps {
            text.push_str(self.source.slice(Span::new(at, gap.start as usize)));
            text.push_str(" | ");
            at = gap.end as usize;
        }
        Edit::new(whole, text)
    }
}

/// The white space in a long bar where bar lines belong.
fn gaps<C: Clone>(bar: &Bar<C>, usual: usize, span: &impl Fn(&C) -> Span) -> Vec<Span> {
    let BarContent::Cells(cells) = &bar.content else { return Vec::new() };
    let starts = (usual..cells.len()).step_by(usual);
    starts.map(|at| Span { start: span(&cells[at - 1]).end, end: span(&cells[at]).start }).collect()
}

/// `1st`, `2nd`, `8th`.
fn ordinal(n: usize) -> String {
    let ending = match (n % 10, n % 100) {
        (1, teens) if teens != 11 => "st",
        (2, teens) if teens != 12 => "nd",
        (3, teens) if teens != 13 => "rd",
        _ => "th",
    };
    format!("{n}{ending}")
}

//! Where a place lies in the band's own terms: `bar 3 of groove, guitar` in a tune, a pan's name in a band file.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use crate::notation;
use crate::notation::tree::{RowBody, Statement};
use crate::text::{Source, Span, words};

/// How many further rows and lines are listed.
const FURTHER: usize = 8;

/// The rows of a text, if it is a tune.
pub struct Whereabouts {
    source: Arc<Source>,
    rows: Vec<Row>,
}

/// One line with bars.
pub struct Row {
    /// The number of the line.
    line: usize,
    /// The beginning of the line: the row's name, and the pan that it is for.
    name: String,
    /// The section, or `the pattern`.
    of: String,
    /// The number of the first bar on this line. Bars count from 1, and a pickup is bar 0.
    first: usize,
    /// The bars.
    bars: Vec<Span>,
}

impl Whereabouts {
    /// Searches a text for its rows.
    pub fn new(source: &Arc<Source>) -> Whereabouts {
        let rows = if source.name().ends_with(".toml") { Vec::new() } else { rows(source) };
        Whereabouts { source: Arc::clone(source), rows }
    }

    /// Whether they belong to a text.
    pub fn is_of(&self, source: &Arc<Source>) -> bool {
        Arc::ptr_eq(&self.source, source)
    }

    /// The row on whose line a place begins, and the number of the bar there, from 0, if it is in a bar.
    pub fn row(&self, span: Span) -> Option<(&Row, Option<usize>)> {
        let line = self.source.line_of(span.start);
        let row = &self.rows[self.rows.binary_search_by_key(&line, |row| row.line).ok()?];
        Some((row, row.bars.iter().rposition(|bar| bar.start <= span.start && span.start <= bar.end)))
    }

    /// `jetty-jam.tune, line 32: bar 3 of groove, guitar`.
    pub fn headline(&self, span: Span) -> String {
        let line = self.source.line_of(span.start);
        let place = format!("{}, line {line}", self.source.name());
        let more = match self.row(span) {
            Some((row, bar)) => Some(row.place(bar)),
            None => self.entry(line),
        };
        more.map_or(place.clone(), |more| format!("{place}: {more}"))
    }

    /// In a band or pan file, the name of the pan, the percussion or the player that a line is about.
    fn entry(&self, line: usize) -> Option<String> {
        if !self.source.name().ends_with(".toml") {
            return None;
        }
        let text = |line: usize| self.source.slice(self.source.line_span(line)).trim();
        let head = (1..=line).rev().find(|line| text(*line).starts_with('['))?;
        let within = (head + 1..=self.source.line_count()).take_while(|line| !text(*line).starts_with('['));
        let name = within.map(text).find_map(|text| text.strip_prefix("name")?.trim_start().strip_prefix('='))?;
        let name = name.split('#').next().unwrap_or_default().trim().trim_matches('"');
        (!name.is_empty()).then(|| name.to_owned())
    }

    /// `bars 5 and 7 of groove, guitar; line 40`: further places, those of each row together, and without the name for the row that
    /// has been named already.
    pub fn further(&self, first: Span, more: &[Span]) -> Option<String> {
        let here = self.row(first);
        let named = here.map(|(row, _)| (row.name.as_str(), row.of.as_str()));
        let is_here =
            |row: &Row, bar: usize| here.is_some_and(|(of, in_bar)| of.line == row.line && in_bar == Some(bar));
        let mut groups: Vec<((&str, &str), Vec<usize>)> = Vec::new();
        let mut lines: BTreeSet<usize> = BTreeSet::new();
        let mut on_this_line = 0;
        for span in more {
            match self.row(*span) {
                // The mark leads there already.
                Some((row, Some(bar))) if is_here(row, bar) => {}
                Some((row, Some(bar))) => {
                    let (of, bar) = ((row.name.as_str(), row.of.as_str()), row.first + bar);
                    match groups.iter_mut().find(|(row, _)| *row == of) {
                        Some((_, bars)) if bars.last() == Some(&bar) => {}
                        Some((_, bars)) => bars.push(bar),
                        None => groups.push((of, vec![bar])),
                    }
                }
                _ if self.source.line_of(span.start) == self.source.line_of(first.start) => on_this_line += 1,
                _ => drop(lines.insert(self.source.line_of(span.start))),
            }
        }
        let mut told: Vec<String> = groups.iter().map(|(row, bars)| group(*row, bars, named)).collect();
        if on_this_line > 0 {
            told.push(format!("{} on this line", words::count(on_this_line, "more place")));
        }
        if !lines.is_empty() {
            told.push(numbers("line", &lines.into_iter().collect::<Vec<_>>()));
        }
        if told.len() > FURTHER {
            let rest = words::count(told.len() - FURTHER, "more row");
            told.truncate(FURTHER);
            told.push(rest);
        }
        (!told.is_empty()).then(|| told.join("; "))
    }
}

impl Row {
    /// `bar 3 of groove, guitar`.
    fn place(&self, bar: Option<usize>) -> String {
        match bar {
            Some(bar) => format!("bar {} of {}, {}", self.first + bar, self.of, self.name),
            None => format!("{}, {}", self.of, self.name),
        }
    }

    /// `bars 3 to 5 of groove, guitar`, or `bar 3 of …` for one.
    pub fn places(&self, from: usize, to: usize) -> String {
        let (first, last) = (self.first + from, self.first + to);
        match to - from {
            0 => self.place(Some(from)),
            1 => format!("bars {first} and {last} of {}, {}", self.of, self.name),
            _ => format!("bars {first} to {last} of {}, {}", self.of, self.name),
        }
    }

    /// The stretch of the line that holds the bars from one to another.
    pub fn bars(&self, from: usize, to: usize) -> Span {
        Span { start: self.bars[from].start, end: self.bars[to].end }
    }

    /// The row's name, and the stretch of the line that holds some bars; whether bars before and after them are left out.
    pub fn around(&self, bar: usize, neighbours: usize) -> (&str, Span, bool, bool) {
        let from = bar.saturating_sub(neighbours);
        let to = (bar + neighbours).min(self.bars.len() - 1);
        let span = Span { start: self.bars[from].start, end: self.bars[to].end };
        (&self.name, span, from > 0, to + 1 < self.bars.len())
    }
}

/// `bars 5 and 7 of groove, guitar`.
fn group(row: (&str, &str), bars: &[usize], named: Option<(&str, &str)>) -> String {
    let bars = numbers("bar", bars);
    let (name, of) = row;
    match named {
        Some(named) if named == row => bars,
        Some((same, _)) if same == name => format!("{bars} of {of}"),
        _ => format!("{bars} of {of}, {name}"),
    }
}

/// `bars 5, 7, and 9`.
fn numbers(what: &str, numbers: &[usize]) -> String {
    let mut named: Vec<String> = numbers.iter().take(FURTHER).map(ToString::to_string).collect();
    if numbers.len() > FURTHER {
        named.push(format!("{} more", numbers.len() - FURTHER));
    }
    format!("{what}{} {}", if numbers.len() == 1 { "" } else { "s" }, words::and(&named))
}

fn rows(source: &Arc<Source>) -> Vec<Row> {
    let (tree, _) = notation::parse(source);
    let with_pickup = tree.with_pickup();
    let mut rows = Vec::new();
    let mut section = String::new();
    let mut before: BTreeMap<String, usize> = BTreeMap::new();
    for line in &tree.lines {
        let number = source.line_of(line.span.start);
        match &line.statement {
            Some(Statement::Section(name)) => {
                section.clone_from(&name.value);
                before.clear();
            }
            Some(Statement::Pattern(pattern)) => rows.push(Row {
                line: number,
                name: pattern.name.value.clone(),
                of: "the pattern".to_owned(),
                first: 1,
                bars: pattern.bars.iter().map(|bar| bar.span).collect(),
            }),
            Some(Statement::Row(row)) => {
                let bars: Vec<Span> = match &row.body {
                    RowBody::Cells(bars) => bars.iter().map(|bar| bar.span).collect(),
                    RowBody::Chords(bars) => bars.iter().map(|bar| bar.span).collect(),
                    RowBody::Dynamics(bars) => bars.iter().map(|bar| bar.span).collect(),
                    RowBody::Words(bars) => bars.iter().map(|bar| bar.span).collect(),
                    RowBody::Instruction(_) => Vec::new(),
                };
                let pan = row.pan.as_ref().map_or_else(String::new, |pan| format!(" for {}", pan.value));
                let name = format!("{}{pan}", row.name.value);
                let count = before.entry(name.clone()).or_default();
                let first = *count + usize::from(with_pickup != Some(section.as_str()));
                *count += bars.len();
                rows.push(Row { line: number, name, of: section.clone(), first, bars });
            }
            _ => {}
        }
    }
    rows
}

#[cfg(test)]
mod tests {
    use super::*;

    const TUNE: &str =
        "section groove\n lead | C5 | D5 | E5 |\n bass | C2 | C2 | C2 |\n\n lead | F5 | G5 |\n bass | C2 | C2 |\n";

    fn spans(source: &Source, text: &str) -> Vec<Span> {
        source.text().match_indices(text).map(|(at, text)| Span::new(at, at + text.len())).collect()
    }

    #[test]
    fn a_place_is_a_bar_of_a_row() {
        let source = Source::new("a.tune", TUNE);
        let places = Whereabouts::new(&source);
        for (text, expected) in [
            ("D5", "a.tune, line 2: bar 2 of groove, lead"),
            ("G5", "a.tune, line 5: bar 5 of groove, lead"),
            ("lead", "a.tune, line 2: groove, lead"),
            ("section", "a.tune, line 1"),
        ] {
            assert_eq!(places.headline(spans(&source, text)[0]), expected);
        }
    }

    #[test]
    fn a_pickup_is_bar_0_of_the_section_that_opens_the_form() {
        let rows = "section a\n lead | G4 | D5 |\n\n lead | E5 |\nsection b\n lead | G4 | F5 |\n";
        let places = |head: &str| {
            let source = Source::new("a.tune", format!("{head}{rows}"));
            let places = Whereabouts::new(&source);
            let bar = |text: &str| {
                let headline = places.headline(spans(&source, text)[0]);
                headline.split_once(": ").map(|(_, place)| place.to_owned()).unwrap_or_default()
            };
            ["D5", "E5", "F5"].map(bar)
        };
        assert_eq!(places("pickup 1\n"), ["bar 1 of a, lead", "bar 2 of a, lead", "bar 2 of b, lead"]);
        assert_eq!(places("pickup 1\nform b a\n"), ["bar 2 of a, lead", "bar 3 of a, lead", "bar 1 of b, lead"]);
        assert_eq!(places(""), ["bar 2 of a, lead", "bar 3 of a, lead", "bar 2 of b, lead"]);
    }

    #[test]
    fn further_places_are_gathered() {
        let source = Source::new("a.tune", TUNE);
        let places = Whereabouts::new(&source);
        let (lead, bass) = (spans(&source, "D5")[0], spans(&source, "C2"));
        assert_eq!(places.further(lead, &bass).as_deref(), Some("bars 1, 2, 3, 4, and 5 of groove, bass"));
        assert_eq!(places.further(bass[0], &bass[1..2]).as_deref(), Some("bar 2"));
        assert_eq!(places.further(bass[0], &[spans(&source, "section")[0]]).as_deref(), Some("line 1"));
        assert_eq!(places.further(bass[0], &[]), None);
    }

    #[test]
    fn in_a_band_file_the_pan_is_named() {
        let source = Source::new("b.toml", "name = \"B\"\n[[pan]]\nlayout = \"lead-c\"\nname = \"Red rim\" # old\n");
        let places = Whereabouts::new(&source);
        assert_eq!(places.headline(spans(&source, "lead-c")[0]), "b.toml, line 3: Red rim");
        assert_eq!(places.headline(spans(&source, "\"B\"")[0]), "b.toml, line 1");
    }
}

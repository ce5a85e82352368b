//! A section of the tree: its settings, and its rows, the lines of each row joined.

use std::borrow::Cow;
use std::collections::BTreeSet;
use std::sync::Arc;

use super::bar_rows;
use super::cuts::most_common;
use super::findings::{NOTHING_TO_PLAY, ROW_TWICE};
use super::header::{RESERVED, Settings, twice, version_name};
use super::model::Part;
use super::no_part::{nearest, unknown_part};
use super::versions::same_name;
pub use super::written_section::{Lines, Written, WrittenBody, WrittenRow};
use crate::notation::tree::{Row, RowBody, Statement, Tree};
use crate::pan::Band;
use crate::text::{Finding, Source, Span, Spanned};

impl<T: Clone> Default for Lines<'_, T> {
    fn default() -> Self {
        Lines { name: None, bars: Vec::new() }
    }
}

impl<'a, T: Clone> Lines<'a, T> {
    fn add(&mut self, name: Span, bars: &'a [T]) {
        self.name.get_or_insert(name);
        self.bars.extend(bars.iter().map(Cow::Borrowed));
    }
}

/// The sections of a tree. `lost` names the parts that could not be understood: their rows are skipped.
pub fn sections<'a>(
    tree: &'a Tree,
    parts: &[Part],
    lost: &[String],
    band: &Band,
    findings: &mut Vec<Finding>,
) -> Vec<Written<'a>> {
    let mut sections: Vec<Written> = Vec::new();
    // Lines of a section whose name is taken are still looked at, but the section itself is left out.
    let mut aside: Option<Written> = None;
    for line in &tree.lines {
        let Some(statement) = &line.statement else { continue };
        if let Statement::Section(name) = statement {
            let first = sections.iter().find(|section| section.name.value == name.value);
            aside = first.map(|first| {
                findings.push(twice(&tree.source, "section", name, first.name.span));
                Written::new(name, parts.len())
            });
            if aside.is_none() {
                sections.push(Written::new(name, parts.len()));
            }
            continue;
        }
        let Some(section) = aside.as_mut().or(sections.last_mut()) else { continue };
        match statement {
            Statement::Setting(setting) => section.settings.take(&setting.value),
            Statement::Row(row) => section.row(row, &Names { source: &tree.source, parts, lost, band }, findings),
            Statement::Broken => section.has_lines = true,
            _ => {}
        }
    }
    for section in &mut sections {
        section.take_meant(&tree.source);
        section.versions(parts);
    }
    for section in sections.iter().filter(|section| !section.has_lines) {
        let message = format!("the section `{}` has no rows", section.name.value);
        let finding = Finding::error(&NOTHING_TO_PLAY, message).at(&tree.source, section.name.span);
        findings.push(finding.help("write at least one row below it, for example `iron | x . x . |`"));
    }
    sections
}

/// Where the names of rows are looked up.
struct Names<'a> {
    source: &'a Arc<Source>,
    parts: &'a [Part],
    lost: &'a [String],
    band: &'a Band,
}

impl Names<'_> {
    /// The number of the part whose row it is: a pan's own row is the row of its version of the part.
    fn part(&self, row: &Row) -> Option<usize> {
        let Some(pan) = &row.pan else { return self.parts.iter().position(|part| part.name == row.name.value) };
        let name = version_name(&row.name.value, &pan.value);
        self.parts.iter().position(|part| part.version.is_some() && same_name(&part.name, &name))
    }
}

impl<'a> Written<'a> {
    fn new(name: &'a Spanned<String>, parts: usize) -> Self {
        Written {
            name,
            settings: Settings::default(),
            rows: (0..parts).map(|_| None).collect(),
            chords: Lines::default(),
            words: Lines::default(),
            dynamics: Lines::default(),
            has_lines: false,
            meant: Vec::new(),
        }
    }

    fn row(&mut self, row: &'a Row, names: &Names, findings: &mut Vec<Finding>) {
        self.has_lines = true;
        match &row.body {
            RowBody::Chords(bars) => self.chords.add(row.name.span, bars),
            RowBody::Words(bars) => self.words.add(row.name.span, bars),
            RowBody::Dynamics(bars) => self.dynamics.add(row.name.span, bars),
            RowBody::Cells(_) | RowBody::Instruction(_) => {
                let name = &row.name.value;
                match names.part(row) {
                    Some(part) => self.part_row(part, row, names.source, findings),
                    None if row.pan.is_some() && names.parts.iter().any(|part| part.name == *name) => {}
                    None if names.lost.contains(name) => {}
                    None => {
                        let known = (names.parts, &RESERVED[..]);
                        let finding = unknown_part(names.source, &row.name, known, names.band, findings);
                        findings.extend(finding);
                        let near = nearest(name, names.parts).filter(|_| row.pan.is_none());
                        let part = near.and_then(|near| names.parts.iter().position(|part| part.name == near));
                        self.meant.extend(part.map(|part| (part, row)));
                    }
                }
            }
        }
    }

    /// Gives rows to the parts whose names they nearly have, where the bars show that they belong there, so that nothing follows
    /// from the slip.
    fn take_meant(&mut self, source: &Arc<Source>) {
        let meant = std::mem::take(&mut self.meant);
        let parts: BTreeSet<usize> = meant.iter().map(|(part, _)| *part).collect();
        for part in parts {
            let rows: Vec<&Row> = meant.iter().filter(|(of, _)| *of == part).map(|(_, row)| *row).collect();
            if self.rows[part].is_none() || self.wants(part, &rows, source) {
                let told = &mut Vec::new();
                rows.into_iter().for_each(|row| self.part_row(part, row, source, told));
            }
            if let Some(WrittenBody::Cells(bars)) = self.rows[part].as_mut().map(|row| &mut row.body) {
                bars.sort_by_key(|bar| bar.span);
            }
        }
    }

    /// Whether a part's row has as many bars as most others if the bars of these rows are added.
    fn wants(&self, part: usize, rows: &[&Row], source: &Arc<Source>) -> bool {
        let Some(WrittenRow { name, body: WrittenBody::Cells(own) }) = &self.rows[part] else { return false };
        let more = rows.iter().map(|row| if let RowBody::Cells(bars) = &row.body { bars.len() } else { 0 });
        let all = own.len() + more.sum::<usize>();
        let others = bar_rows::rows(self, source).into_iter().filter(|row| row.span != name.span);
        most_common(others.map(|row| row.bars)) == Some(all)
    }

    /// Where a pan has no row of its own, it plays what everybody plays.
    fn versions(&mut self, parts: &[Part]) {
        for (number, part) in parts.iter().enumerate() {
            let Some(version) = part.version else { continue };
            if let (None, Some(row)) = (&self.rows[number], &self.rows[version.of]) {
                self.rows[number] = Some(WrittenRow { name: row.name, body: WrittenBody::AsPart(version.of) });
            }
        }
    }

    fn part_row(&mut self, part: usize, row: &'a Row, source: &Arc<Source>, findings: &mut Vec<Finding>) {
        let Some(first) = &mut self.rows[part] else {
            let body = match &row.body {
                RowBody::Cells(bars) => WrittenBody::Cells(bars.iter().map(Cow::Borrowed).collect()),
                RowBody::Instruction(instruction) => WrittenBody::Instruction(instruction),
                _ => return,
            };
            self.rows[part] = Some(WrittenRow { name: &row.name, body });
            return;
        };
        if let (WrittenBody::Cells(all), RowBody::Cells(bars)) = (&mut first.body, &row.body) {
            all.extend(bars.iter().map(Cow::Borrowed));
            return;
        }
        let line = source.position(first.name.span.start).line;
        let message = format!("`{}` has been told what to play already, on line {line}", row.name.value);
        findings.push(
            Finding::error(&ROW_TWICE, message)
                .at(source, row.name.span)
                .part(&row.name.value)
                .help("keep one of the two: cells, or one instruction for the whole section"),
        );
    }
}

//! From tree and band to tune: names looked up, lengths counted out.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use rayon::prelude::*;

use super::cells::Harmony;
use super::findings::{
    LONG_PICKUP, NOTE_OR_DEGREE, ODD_CELLS, PICKUP_BAR, UNKNOWN_PART, UNKNOWN_PATTERN, WRONG_STROKE,
};
use super::forgotten;
use super::form::{self, Steps};
use super::header::{self, Settings};
use super::marks::{self, Grid};
use super::model::{FormStep, Open, Part, RollFrom, Section, Tune};
use super::patterns::{self, Played};
use super::rows::Rows;
use super::section::{self, Written};
use super::slips::{self, Looked};
use super::versions;
use super::{bar_lines, bars};
use crate::music::{Key, Length, Meter};
use crate::notation::merge;
use crate::notation::tree::{PatternLine, Statement, Tree, Value};
use crate::pan::Band;
use crate::text::{Finding, Source, Span, signs};

/// From how many beats on a note is rolled when the header does not say: 2.
///
/// Rolls are taught from notes of two beats up (common practice, no source); with 1 every quarter note would be rolled.
pub const ROLL_FROM_BEATS: i64 = 2;

/// The tune that a tree describes, for a band, with what it leaves open; and everything that is wrong with it. Who plays what is
/// left open too: see `people::resolve`, and `fit::resolve` for a tune with every note settled.
///
/// What can't be understood becomes rests, so that a tune with mistakes can still be looked at: before playing it, ask
/// whether there is a finding of severity error. Cost: linear in the size of the tree, plus the form played out a part.
pub fn resolve(tree: &Tree, band: &Arc<Band>) -> (Tune<Open>, Vec<Finding>) {
    let mut findings = Vec::new();
    let settings = settings(tree);
    let people = Arc::new(band.everybody());
    let (mut parts, lost) = header::parts(tree, band, &people, &mut findings);
    if parts.is_empty() && lost.is_empty() {
        findings.push(header::nothing_to_play(&tree.source, "part", "part lead on lead"));
    }
    versions::add(tree, band, &mut parts, &mut findings);
    let patterns = header::patterns(tree, &mut findings);
    let mut written = section::sections(tree, &parts, &lost, band, &mut findings);
    let with_pickup = tree.with_pickup();
    for section in &mut written {
        let first = usize::from(with_pickup != Some(section.name.value.as_str()));
        bar_lines::mend(section, first, &tree.source, &mut findings);
    }
    if written.is_empty() {
        findings.push(header::nothing_to_play(&tree.source, "section", "section verse"));
    }
    let Steps { steps: mut form, opening_lost } = form::steps(tree, &written, &mut findings);
    let meter = |section: &Written| section.settings.meter.or(settings.meter).unwrap_or_default();
    let meters: Vec<Meter> = written.iter().map(meter).collect();
    let played = patterns::played(&written, &meters, &parts);
    let head = Head { source: &tree.source, settings: &settings, parts: &parts, patterns: &patterns, played: &played };
    // Which bar is the pickup nobody knows where the section that opens the form is not there.
    let pickup = if opening_lost { None } else { head.pickup(&form, &written, &mut findings) };
    let opening = form.first().map(|step| step.section);
    let counted = |(number, section)| {
        let mut findings = Vec::new();
        (head.section(section, pickup.filter(|_| Some(number) == opening), &mut findings), findings)
    };
    let counted: Vec<_> = if tree.source.is_long() {
        written.par_iter().enumerate().map(counted).collect()
    } else {
        written.iter().enumerate().map(counted).collect()
    };
    let (sections, found): (Vec<Section<Open>>, Vec<_>) = counted.into_iter().unzip();
    findings.extend(found.into_iter().flatten());
    let roll = settings.roll.unwrap_or(Some(ROLL_FROM_BEATS.into())).map(|beats| RollFrom { beats });
    form::limit(&mut form, &sections, roll, &tree.source, &mut findings);
    findings.extend(form::carries(&form, &sections, &parts, &tree.source));
    let whole = findings.iter_mut().find(|finding| *finding.kind == PICKUP_BAR);
    let again = slips::comes_back(&form, &sections, pickup, whole.is_some(), &tree.source);
    match (again, whole) {
        // The pickup itself is what is missing, and that has been told.
        (Some(again), Some(whole)) => whole.help.extend(again.help),
        (again, _) => findings.extend(again),
    }
    if !opening_lost {
        let asked = forgotten::pickup(tree, &form, &written, &meters);
        // The number of its cells follows from that.
        findings.retain(|odd| *odd.kind != ODD_CELLS || asked.as_ref().is_none_or(|asked| asked.place != odd.place));
        findings.extend(asked);
    }
    once(&mut findings);
    let findings = merge::merged(findings, &[&UNKNOWN_PART, &UNKNOWN_PATTERN]);
    let tune = Tune {
        source: Arc::clone(&tree.source),
        band: Arc::clone(band),
        title: title(settings.title.as_deref(), tree.source.name()),
        by: settings.by.as_deref().map(signs::plain),
        key: settings.key.unwrap_or_default(),
        keys: keys(tree),
        meter: settings.meter.unwrap_or_default(),
        tempo: settings.tempo.unwrap_or_default(),
        swing: settings.swing.unwrap_or((1, 1)),
        pickup,
        roll,
        parts,
        sections,
        form,
        people,
        seats: Vec::new(),
    };
    (tune, findings)
}

/// Keeps only the first of the same questions about a pattern that several sections play.
fn once(findings: &mut Vec<Finding>) {
    let mut told = BTreeSet::new();
    findings.retain(|finding| {
        let place = finding.place.as_ref().map(|place| place.span);
        match finding.kind {
            kind if [&ODD_CELLS, &NOTE_OR_DEGREE, &WRONG_STROKE].contains(&kind) => told.insert((kind.name, place)),
            _ => true,
        }
    });
}

/// The settings before the first section.
fn settings(tree: &Tree) -> Settings {
    let mut settings = Settings::default();
    let header = tree.lines.iter().filter_map(|line| line.statement.as_ref());
    for statement in header.take_while(|statement| !matches!(statement, Statement::Section(_))) {
        if let Statement::Setting(setting) = statement {
            settings.take(&setting.value);
        }
    }
    settings
}

/// Every key that is written.
fn keys(tree: &Tree) -> Vec<(Span, Key)> {
    let statements = tree.lines.iter().filter_map(|line| line.statement.as_ref());
    statements
        .filter_map(|statement| match statement {
            Statement::Setting(setting) => match setting.value.value {
                Value::Key(key) => Some((setting.value.span, key)),
                _ => None,
            },
            _ => None,
        })
        .collect()
}

/// The title, without invisible signs; the file's name if the tune has no title.
fn title(written: Option<&str>, file: &str) -> String {
    let written = written.map(signs::plain).filter(|title| !title.is_empty());
    written.unwrap_or_else(|| signs::plain(&file_title(file)))
}

/// A title from a file's name: `sea-grape-road` of `tunes/sea-grape-road.tune`.
fn file_title(name: &str) -> String {
    let file = name.rsplit(['/', '\\']).next().unwrap_or(name);
    file.strip_suffix(".tune").unwrap_or(file).to_owned()
}

/// Everything before the sections.
struct Head<'a> {
    source: &'a Arc<Source>,
    settings: &'a Settings,
    parts: &'a [Part],
    patterns: &'a [&'a PatternLine],
    played: &'a BTreeMap<&'a str, Played>,
}

impl Head<'_> {
    fn meter(&self, section: &Written) -> Meter {
        section.settings.meter.or(self.settings.meter).unwrap_or_default()
    }

    /// The length of the pickup, if there is one and it is shorter than its bar.
    fn pickup(&self, form: &[FormStep], sections: &[Written], findings: &mut Vec<Finding>) -> Option<Length> {
        let pickup = self.settings.pickup.as_ref()?;
        let opening = &sections[form.first()?.section];
        let meter = self.meter(opening);
        let length = meter.beat() * pickup.value;
        if length < meter.bar() {
            return Some(length);
        }
        let message = format!("a pickup of {} beats is as long as a bar of {meter}, or longer", pickup.value);
        let finding = Finding::error(&LONG_PICKUP, message).at(self.source, pickup.span);
        findings.push(finding.help(format!("a bar of {meter} has {} beats: write a smaller number", meter.beats())));
        None
    }

    fn section(&self, written: &Written, pickup: Option<Length>, findings: &mut Vec<Finding>) -> Section<Open> {
        let meter = self.meter(written);
        let count = bars::count(written, meter, self.patterns, self.source, findings);
        let (bar_starts, length) = bars::starts(count, meter, pickup.filter(|_| count > 0));
        let grid = Grid { source: self.source, starts: &bar_starts, end: length };
        let chords = marks::chords(&written.chords, grid, findings);
        let key = written.settings.key.or(self.settings.key).unwrap_or_default();
        let harmony = Harmony { chords: &chords, key, rests: false };
        let rows = Rows {
            parts: self.parts,
            patterns: self.patterns,
            section: written,
            meter,
            harmony,
            grid,
            played: self.played,
        };
        let rows = rows.resolve(findings);
        let pickup_at = self.settings.pickup.as_ref().map(|pickup| pickup.span);
        let looked = Looked { source: self.source, section: written, meter, pickup, pickup_at, bars: count };
        findings.extend(looked.findings());
        let words = marks::words(&written.words, count);
        let dynamics = marks::dynamics(&written.dynamics, grid, findings);
        Section {
            name: written.name.value.clone(),
            span: written.name.span,
            key,
            meter,
            tempo: written.settings.tempo.or(self.settings.tempo).unwrap_or_default(),
            bar_starts,
            length,
            rows,
            chords,
            words,
            dynamics,
        }
    }
}

//! `panfold check`: tunes against the pans of their band.
//!
//! The findings come first, then a table of the parts, then one line that sums up; read aloud, that line alone says enough.
//! A tune without findings gets only that line.

mod explain;
mod watch;

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use serde_json::Value;

use self::watch::Watched;
use super::args::CheckArgs;
use super::console::Console;
use super::many::{self, Done, Way};
use super::screen::{called, printable};
use super::table;
use super::{Outcome, Stop};
use crate::check::form::NEVER_PLAYED;
use crate::check::sticks::{CROSSED_HANDS, TOO_FAST};
use crate::check::{self, Options, PartSummary};
use crate::door::findings_json::{self, Checked};
use crate::door::json::write_json;
use crate::door::kinds::{UNREADABLE, WRONG_CHOICE};
use crate::door::loaded::Loaded;
use crate::music::{Cents, Pitch};
use crate::text::finding::{at_most, shortened, worst};
use crate::text::{Finding, Kind, Severity, Source, Span, words};
use crate::tune::Tune;
use crate::tune::findings::{ODD_CELLS, PICKUP_BAR, SHORT_PICKUP};
use crate::tune::model::Row;

/// Checks every tune that the arguments name, once or at every save.
pub fn run(args: &CheckArgs, console: &mut Console) -> Result<Outcome, Stop> {
    let mut files: BTreeSet<PathBuf> = args.tunes.iter().chain(&args.band).cloned().collect();
    loop {
        // What is saved while it is looked through is seen by the next look.
        let before = args.watch.then(|| Watched::new(files.clone()));
        let outcome = once(args, console, &mut files)?;
        let Some(before) = before else { return Ok(outcome) };
        let watched = before.and(Watched::new(files.clone()));
        console.flush()?;
        console.say("(looks again when you save; Ctrl-C ends it)\n")?;
        watched.wait();
    }
}

/// How several tunes are handled.
const WAY: Way = Way { fine: "without problems", headed: false, in_turn: false };

/// Checks every tune once; adds the files that were read to `files`.
fn once(args: &CheckArgs, console: &mut Console, files: &mut BTreeSet<PathBuf>) -> Result<Outcome, Stop> {
    let mut all = many::each(WAY, &args.tunes, console, |path, console, _| one(args, path, console))?;
    let mut entries = Vec::new();
    for (_, (entry, read)) in all.iter_mut().flatten() {
        entries.extend(entry.take());
        files.extend(read.drain(..));
    }
    if args.json {
        write_json(console.out(), &findings_json::document(&entries))?;
    }
    many::ended(WAY, &args.tunes, all, console)
}

/// Checks a tune; returns its JSON if that is asked for, and the files that were read.
fn one(args: &CheckArgs, path: &Path, console: &mut Console) -> Done<(Option<Value>, Vec<PathBuf>)> {
    let (mut files, mut chosen) = (Vec::new(), None);
    let checked = match Loaded::read(path, args.band.as_deref()) {
        Ok(loaded) => {
            files.clone_from(&loaded.files);
            chosen = args.explain.then(|| (explain::text(&loaded), explain::as_json(&loaded)));
            Whole::of(loaded, args)
        }
        Err(finding) => Whole::unread(path.display().to_string(), *finding),
    };
    let outcome = checked.outcome();
    if args.json {
        let mut entry = findings_json::tune(&checked.entry());
        if let Some((_, chosen)) = chosen {
            entry["chosen"] = chosen;
        }
        return Ok((outcome, (Some(entry), files)));
    }
    console.show(&checked.findings)?;
    write!(console.out(), "{}", checked.report(args.table))?;
    if let Some((text, _)) = chosen {
        write!(console.out(), "\n{}", printable(&text))?;
    }
    Ok((outcome, (None, files)))
}

/// Everything there is to say about one tune.
#[derive(Debug)]
pub struct Whole {
    file: String,
    title: Option<String>,
    band: Option<String>,
    /// What reading and checking found.
    pub findings: Vec<Finding>,
    parts: Vec<PartSummary>,
}

impl Whole {
    /// Checks a tune that was read. Without a band there is nothing to check against, and only what reading found is
    /// reported.
    pub fn of(loaded: Loaded, args: &CheckArgs) -> Whole {
        let options = Options { tolerance: args.tolerance.map(Cents) };
        Whole::checked(&loaded, &options)
    }

    /// Checks a tune that was read, with other options than the command line's.
    pub fn checked(loaded: &Loaded, options: &Options) -> Whole {
        let mut findings = loaded.findings.clone();
        let mut parts = Vec::new();
        if loaded.band.is_some() && !loaded.band_has_errors() {
            let report = check::check(&loaded.tune, options);
            let known = |finding: &Finding| (!loaded.has_errors() || !waits(finding)) && !follows(finding, loaded);
            findings.extend(report.findings.into_iter().filter(known));
            findings = at_most(findings);
            parts = report.parts;
            for part in &mut parts {
                part.found = found(&part.name, &findings, loaded);
                part.name = shortened(std::mem::take(&mut part.name));
            }
        }
        Whole {
            file: loaded.tune.source.name().to_owned(),
            title: Some(loaded.tune.title.clone()),
            band: loaded.band.as_ref().map(|band| band.name.clone()),
            findings,
            parts,
        }
    }

    fn unread(file: String, finding: Finding) -> Whole {
        Whole { file, title: None, band: None, findings: vec![finding], parts: Vec::new() }
    }

    /// Failed if the tune's or the band's file could not be read; else the worst finding decides.
    pub fn outcome(&self) -> Outcome {
        let is_no_band = |finding: &Finding| *finding.kind == UNREADABLE || *finding.kind == WRONG_CHOICE;
        let is_unread = || self.findings.iter().any(is_no_band);
        match worst(&self.findings) {
            _ if self.title.is_none() || (self.band.is_none() && is_unread()) => Outcome::Failed,
            Some(Severity::Error) => Outcome::Mend,
            _ => Outcome::Fine,
        }
    }

    fn entry(&self) -> Checked<'_> {
        Checked {
            file: self.file.clone(),
            title: self.title.as_deref(),
            band: self.band.as_deref(),
            findings: &self.findings,
            parts: &self.parts,
        }
    }

    /// The table of the parts, if there are findings or it is asked for, and the line that sums up.
    pub fn report(&self, always: bool) -> String {
        let mut out = String::new();
        if !self.parts.is_empty() && (always || !self.findings.is_empty()) {
            out.push_str(&self.table());
            out.push('\n');
        }
        out.push_str(&self.summary());
        printable(&out) + "\n"
    }

    fn summary(&self) -> String {
        let Some(title) = &self.title else { return format!("{}: could not be read", self.file) };
        let Some(band) = &self.band else {
            return format!("{title}: {}; not yet checked, because there is no band", tally(&self.findings));
        };
        if self.parts.is_empty() && !self.findings.is_empty() {
            return format!("{title} on {band}: {}; not yet checked against the pans", tally(&self.findings));
        }
        if self.findings.is_empty() {
            let parts = words::count(self.parts.len(), "part");
            return format!("{title} on {band}: no problems found in {parts}");
        }
        format!("{title} on {band}: {}", tally(&self.findings))
    }

    fn table(&self) -> String {
        let heading = ["part", "on", "played by", "strokes", "different notes", "range", "report"];
        let mut rows = vec![heading.map(String::from).to_vec()];
        rows.extend(self.parts.iter().map(row));
        table::lines(&rows, &[3, 4])
    }
}

/// How many of the findings are about a part: those that say so, and those of reading on a line of the part's row.
fn found(part: &str, findings: &[Finding], loaded: &Loaded) -> [usize; 3] {
    let source = &loaded.tree.source;
    let is_on_its_row = |finding: &Finding| {
        let place = finding.place.as_ref().filter(|place| place.source == *source);
        place.is_some_and(|place| row_of(source, place.span) == Some(part))
    };
    let is_about = |finding: &&Finding| match &finding.part {
        Some(of) => of == part,
        None => is_on_its_row(finding),
    };
    let count = |severity| findings.iter().filter(is_about).filter(|finding| finding.severity == severity).count();
    [Severity::Error, Severity::Warning, Severity::Advice].map(count)
}

/// The name of the row on whose line a place is, if it is a line of a row.
fn row_of(source: &Source, place: Span) -> Option<&str> {
    let line = source.slice(source.line_span(source.line_of(place.start))).trim_start();
    let (name, rest) = line.split_at(line.find(|c: char| c.is_whitespace() || matches!(c, '|' | '='))?);
    rest.trim_start().starts_with(['|', '=']).then_some(name)
}

/// Whether a finding is held back while the text has errors, since it may only follow from one of them.
fn waits(finding: &Finding) -> bool {
    finding.severity == Severity::Advice || *finding.kind == NEVER_PLAYED
}

/// Whether a finding about the sticks only follows from a bar whose cells are asked about: all of its places are in such a bar or in
/// the one after it, where the sticks arrive late.
fn follows(finding: &Finding, loaded: &Loaded) -> bool {
    let Some(place) = finding.place.as_ref().filter(|_| *finding.kind == TOO_FAST || *finding.kind == CROSSED_HANDS)
    else {
        return false;
    };
    let asks = |kind: &Kind| [&ODD_CELLS, &PICKUP_BAR, &SHORT_PICKUP].contains(&kind);
    let asked = loaded.findings.iter().filter(|asked| asks(asked.kind));
    let of_pickup = asked.clone().any(|asked| *asked.kind != ODD_CELLS);
    let asked = asked.filter_map(|asked| Some((asked.place.as_ref()?, &asked.more)));
    let mut bars: Vec<Span> = Vec::new();
    for (at, more) in asked.filter(|(at, _)| at.source == place.source) {
        bars.extend(std::iter::once(at.span).chain(more.iter().copied()).map(|bar| with_next(&place.source, bar)));
    }
    if of_pickup {
        bars.extend(after_pickup(&loaded.tune));
    }
    // A bar later in its row ends later, so that of all that begin before a place the last is enough to look at.
    bars.sort_unstable();
    let inside = |span: &Span| {
        let before = &bars[..bars.partition_point(|bar| bar.start <= span.start)];
        before.last().is_some_and(|bar| span.end <= bar.end)
    };
    !bars.is_empty() && std::iter::once(&place.span).chain(&finding.more).all(inside)
}

/// The first bars of what is played after the section with the pickup, a row each.
fn after_pickup(tune: &Tune) -> Vec<Span> {
    let Some(step) = tune.form.get(1) else { return Vec::new() };
    let first = |row: &Row<Pitch>| {
        let mut spans = row.events.iter().take_while(|event| event.bar == 0).map(|event| event.span);
        let first = spans.next()?;
        Some(spans.fold(first, Span::to))
    };
    tune.sections[step.section].rows.iter().flatten().filter_map(first).collect()
}

/// A bar and the bar after it on its line.
fn with_next(source: &Source, bar: Span) -> Span {
    let line = source.line_span(source.line_of(bar.start));
    let rest = source.slice(Span { start: bar.end, ..line });
    let end = rest.match_indices('|').nth(1).map_or(line.end, |(at, _)| bar.end + at as u32);
    Span { end, ..bar }
}

fn row(part: &PartSummary) -> Vec<String> {
    let range = match part.range {
        Some((low, high)) => format!("{low} to {high}"),
        None => "-".to_owned(),
    };
    let players = if part.players.is_empty() { "nobody".to_owned() } else { part.players.join(", ") };
    let found = match counts(part.found) {
        text if text.is_empty() => "none".to_owned(),
        text => text,
    };
    vec![
        part.name.clone(),
        part.word.clone(),
        players,
        part.strokes.to_string(),
        part.distinct.to_string(),
        range,
        found,
    ]
}

/// `1 problem, 2 possible problems, and 1 piece of advice`.
fn tally(findings: &[Finding]) -> String {
    let count = |severity| findings.iter().filter(|finding| finding.severity == severity).count();
    match counts([Severity::Error, Severity::Warning, Severity::Advice].map(count)) {
        text if text.is_empty() => "no problems".to_owned(),
        text => text,
    }
}

/// Numbers of errors, warnings and advice, those that are not zero.
fn counts([errors, warnings, advice]: [usize; 3]) -> String {
    let advice_noun = if advice == 1 { "1 piece of advice".to_owned() } else { format!("{advice} pieces of advice") };
    let all = [
        (errors, words::count(errors, called(Severity::Error))),
        (warnings, words::count(warnings, called(Severity::Warning))),
        (advice, advice_noun),
    ];
    let said: Vec<String> = all.into_iter().filter(|(n, _)| *n > 0).map(|(_, text)| text).collect();
    words::and(&said)
}

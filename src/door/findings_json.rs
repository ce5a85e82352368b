//! What a check found, as JSON for other programs.
//!
//! ```text
//! { "tunes": [ {
//!     "file": "sea-grape-road.tune",          the tune as it was named
//!     "title": "Sea-Grape Road",
//!     "band": "Lantern Quay",                 null when there is none, or it can't be read
//!     "errors": 1, "warnings": 0, "advice": 2,
//!     "findings": [ {
//!         "kind": "missing-note",             one of those that `panfold findings` lists
//!         "severity": "error",                "error", "warning" or "advice"
//!         "message": "...",                   one sentence
//!         "label": "...",                     the words beside the mark; may be empty
//!         "help": [ "..." ],                  what to do, best first
//!         "part": "lead",                     null when it is about no part
//!         "place": PLACE,                     null when it is about no place
//!         "more": [ PLACE ],                  further places where the same was found: the first hundred
//!         "more_count": 12,                   how many further places there are
//!         "edits": [ { "place": PLACE, "text": "E5" } ]   changes that would fix it, best first: any one will do
//!     } ],
//!     "parts": [ {
//!         "name": "lead", "on": "lead",
//!         "players": [ "Red rim" ],           pans or instruments that play it
//!         "strokes": 112,                     with the form played out; a roll is one
//!         "different": 14,                    different notes, or percussion strokes
//!         "lowest": "D4", "highest": "E6",    null for percussion and silent parts
//!         "errors": 1, "warnings": 0, "advice": 0
//!     } ]                                     empty when there is no band to check against
//! } ] }
//!
//! PLACE: { "file": "...", "line": 14, "column": 9, "end_line": 14, "end_column": 11, "text": "E6" }
//! ```
//!
//! Lines and columns count from 1, columns in characters; an end is just after the last character.

use serde::Serialize;
use serde_json::Value;

use super::json::value;
use crate::check::PartSummary;
use crate::text::finding::shortened;
use crate::text::{Finding, Severity, Source, Span};

/// How many further places of a finding are written; more would help nobody.
const MOST_PLACES: usize = 100;

/// What there is to say about one tune.
#[derive(Debug)]
pub struct Checked<'a> {
    /// The tune's file as it was named.
    pub file: String,
    /// Its title; `None` when it could not be read.
    pub title: Option<&'a str>,
    /// The band's name.
    pub band: Option<&'a str>,
    /// What was found.
    pub findings: &'a [Finding],
    /// The parts.
    pub parts: &'a [PartSummary],
}

#[derive(Serialize)]
struct TuneEntry<'a> {
    file: &'a str,
    title: Option<&'a str>,
    band: Option<&'a str>,
    errors: usize,
    warnings: usize,
    advice: usize,
    findings: Vec<FindingEntry<'a>>,
    parts: Vec<PartEntry<'a>>,
}

#[derive(Serialize)]
struct FindingEntry<'a> {
    kind: &'static str,
    severity: &'static str,
    message: &'a str,
    label: &'a str,
    help: &'a [String],
    part: Option<&'a str>,
    place: Option<PlaceEntry<'a>>,
    more: Vec<PlaceEntry<'a>>,
    more_count: usize,
    edits: Vec<EditEntry<'a>>,
}

#[derive(Serialize)]
struct PlaceEntry<'a> {
    file: &'a str,
    line: usize,
    column: usize,
    end_line: usize,
    end_column: usize,
    text: String,
}

#[derive(Serialize)]
struct EditEntry<'a> {
    place: PlaceEntry<'a>,
    text: &'a str,
}

#[derive(Serialize)]
struct PartEntry<'a> {
    name: &'a str,
    on: &'static str,
    players: &'a [String],
    strokes: u64,
    different: usize,
    lowest: Option<String>,
    highest: Option<String>,
    errors: usize,
    warnings: usize,
    advice: usize,
}

/// The document for all tunes that were checked.
pub fn document(tunes: &[Value]) -> Value {
    serde_json::json!({ "tunes": tunes })
}

/// Findings by themselves.
pub fn list(findings: &[Finding]) -> Value {
    value(findings.iter().map(finding).collect::<Vec<_>>())
}

/// The entry of one tune.
pub fn tune(checked: &Checked) -> Value {
    let count = |severity| checked.findings.iter().filter(|finding| finding.severity == severity).count();
    let entry = TuneEntry {
        file: &checked.file,
        title: checked.title,
        band: checked.band,
        errors: count(Severity::Error),
        warnings: count(Severity::Warning),
        advice: count(Severity::Advice),
        findings: checked.findings.iter().map(finding).collect(),
        parts: checked.parts.iter().map(part).collect(),
    };
    value(entry)
}

/// Findings alone.
pub fn findings(findings: &[Finding]) -> Value {
    let entries: Vec<FindingEntry> = findings.iter().map(finding).collect();
    value(entries)
}

fn finding(finding: &Finding) -> FindingEntry<'_> {
    let source = finding.place.as_ref().map(|place| &*place.source);
    let places =
        |spans: &[Span]| source.map_or(Vec::new(), |source| spans.iter().map(|span| place(source, *span)).collect());
    let edits =
        finding.edits.iter().filter_map(|edit| Some(EditEntry { place: place(source?, edit.span), text: &edit.text }));
    FindingEntry {
        kind: finding.kind.name,
        severity: finding.severity.word(),
        message: &finding.message,
        label: &finding.label,
        help: &finding.help,
        part: finding.part.as_deref(),
        place: finding.place.as_ref().map(|at| place(&at.source, at.span)),
        more: places(&finding.more[..finding.more.len().min(MOST_PLACES)]),
        more_count: finding.more.len(),
        edits: edits.collect(),
    }
}

fn place(source: &Source, span: Span) -> PlaceEntry<'_> {
    let (start, end) = (source.position(span.start), source.position(span.end));
    PlaceEntry {
        file: source.name(),
        line: start.line,
        column: start.column,
        end_line: end.line,
        end_column: end.column,
        text: shortened(source.slice(span).to_owned()),
    }
}

fn part(part: &PartSummary) -> PartEntry<'_> {
    let [errors, warnings, advice] = part.found;
    PartEntry {
        name: &part.name,
        on: part.on,
        players: &part.players,
        strokes: part.strokes,
        different: part.distinct,
        lowest: part.range.map(|(low, _)| low.to_string()),
        highest: part.range.map(|(_, high)| high.to_string()),
        errors,
        warnings,
        advice,
    }
}

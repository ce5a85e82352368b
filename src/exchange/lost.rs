//! What a tune can't say about the music that it comes from, gathered with its places while a file is read.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::findings::{NOT_CARRIED, ODD_MIDI_FILE, WRITTEN_OTHERWISE};
use crate::text::{Finding, Severity, Source, Span, words};

/// How many measures a finding lists before the rest are only counted.
const NAMED: usize = 8;

/// How much it matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// The file is damaged, and music may be missing.
    Broken,
    /// It would be heard.
    Heard,
    /// Everything is there, but in another form.
    Otherwise,
    /// The file breaks its standard, but everything is there.
    Odd,
    /// It would be seen or felt at most.
    Slight,
}

/// What a tune can't say, kind by kind: one finding each, with all its places.
#[derive(Clone, Debug, Default)]
pub struct Lost {
    entries: BTreeMap<(Weight, String), Entry>,
}

#[derive(Clone, Debug, Default)]
struct Entry {
    count: usize,
    /// The parts that it is about, in the order of the file, each with the printed numbers of its measures.
    parts: Vec<(String, Vec<String>)>,
    spans: Vec<Span>,
}

/// Where something is written.
#[derive(Clone, Copy, Debug)]
pub struct Where<'a> {
    /// The part's name; empty when it is about none.
    pub part: &'a str,
    /// The measure's printed number; empty when it is about none.
    pub measure: &'a str,
    /// The stretch of the source, if the file is text.
    pub span: Option<Span>,
}

impl Lost {
    /// Notes something down. `what` is a noun for one such thing, and what becomes of it: `grace note is left out`.
    pub fn tell(&mut self, weight: Weight, what: impl Into<String>, at: Where) {
        let entry = self.entries.entry((weight, what.into())).or_default();
        entry.count += 1;
        let known = entry.parts.iter().position(|(part, _)| part == at.part).unwrap_or_else(|| {
            entry.parts.push((at.part.to_owned(), Vec::new()));
            entry.parts.len() - 1
        });
        let (_, measures) = &mut entry.parts[known];
        if !at.measure.is_empty() && measures.last().is_none_or(|last| last != at.measure) {
            measures.push(at.measure.to_owned());
        }
        entry.spans.extend(at.span);
    }

    /// Whether there is nothing to report.
    pub fn is_empty(&self) -> bool {
        self.entries.is_empty()
    }

    /// The findings, what is heard first. `file` is what messages call the file; `source` its text, if it is one.
    pub fn findings(&self, file: &str, source: Option<&Arc<Source>>) -> Vec<Finding> {
        self.entries.iter().map(|((weight, what), entry)| finding(file, source, *weight, what, entry)).collect()
    }
}

fn finding(file: &str, source: Option<&Arc<Source>>, weight: Weight, what: &str, entry: &Entry) -> Finding {
    let (severity, kind) = match weight {
        Weight::Broken => (Severity::Warning, &ODD_MIDI_FILE),
        Weight::Heard => (Severity::Warning, &NOT_CARRIED),
        Weight::Otherwise => (Severity::Advice, &WRITTEN_OTHERWISE),
        Weight::Odd => (Severity::Advice, &ODD_MIDI_FILE),
        Weight::Slight => (Severity::Advice, &NOT_CARRIED),
    };
    let times = if entry.count > 1 { format!(" ({} times)", entry.count) } else { String::new() };
    let only = match &entry.parts[..] {
        [(part, _)] if !part.is_empty() => Some(part),
        _ => None,
    };
    let message = format!("`{file}`{}: {what}{times}", places(&entry.parts));
    let mut finding = Finding::new(severity, kind, message);
    if let Some(source) = source {
        finding = finding.more(source, &entry.spans);
    }
    if let Some(part) = only { finding.part(part) } else { finding }
}

/// Where it is: `, part `lead`, measures 3 and 5`; of several parts `, parts `lead` (measure 3) and `bass` (measures 1 and 2)`.
fn places(parts: &[(String, Vec<String>)]) -> String {
    if let [(part, numbers)] = parts {
        let whose = if part.is_empty() { String::new() } else { format!(", part `{part}`") };
        return whose + &measures(numbers);
    }
    let named = parts.iter().filter(|(part, _)| !part.is_empty());
    let mut named: Vec<String> = named
        .map(|(part, numbers)| match measures(numbers).strip_prefix(", ") {
            Some(measures) => format!("`{part}` ({measures})"),
            None => format!("`{part}`"),
        })
        .collect();
    if named.len() > NAMED {
        let more = named.split_off(NAMED).len();
        named.push(format!("{more} more"));
    }
    let word = if named.len() == 1 { "part" } else { "parts" };
    format!(", {word} {}", words::and(&named))
}

/// `, measures 3, 5, and 2 more`.
fn measures(numbers: &[String]) -> String {
    let mut named: Vec<String> = numbers.iter().take(NAMED).cloned().collect();
    if numbers.len() > NAMED {
        named.push(format!("{} more", numbers.len() - NAMED));
    }
    match named.len() {
        0 => String::new(),
        1 => format!(", measure {}", named[0]),
        _ => format!(", measures {}", words::and(&named)),
    }
}

//! What a tune can't say of the music that it comes from, gathered while a file is read, with its places.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::findings::{NOT_CARRIED, WRITTEN_OTHERWISE};
use crate::text::{Finding, Severity, Source, Span, words};

/// How many measures a finding names before the rest are only counted.
const NAMED: usize = 8;

/// How much it matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weight {
    /// It would be heard.
    Heard,
    /// All is there, but in another shape.
    Otherwise,
    /// It would be seen or felt at most.
    Slight,
}

/// What a tune can't say, by what it is and whose it is.
#[derive(Clone, Debug, Default)]
pub struct Lost {
    entries: BTreeMap<(Weight, String, String), Entry>,
}

#[derive(Clone, Debug, Default)]
struct Entry {
    count: usize,
    measures: Vec<String>,
    spans: Vec<Span>,
}

/// Where something stands.
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
    /// Notes something down. `what` is a noun for one of it and what becomes of it: `grace note is left out`.
    pub fn tell(&mut self, weight: Weight, what: impl Into<String>, at: Where) {
        let entry = self.entries.entry((weight, at.part.to_owned(), what.into())).or_default();
        entry.count += 1;
        if !at.measure.is_empty() && entry.measures.last().is_none_or(|last| last != at.measure) {
            entry.measures.push(at.measure.to_owned());
        }
        entry.spans.extend(at.span);
    }

    /// Whether there is nothing to tell.
    pub fn is_empty(&self) -> bool {
        self.entries.is_empty()
    }

    /// The findings, what is heard first. `file` is what messages call the file; `source` its text, if it is one.
    pub fn findings(&self, file: &str, source: Option<&Arc<Source>>) -> Vec<Finding> {
        self.entries
            .iter()
            .map(|((weight, part, what), entry)| finding(file, source, *weight, part, what, entry))
            .collect()
    }
}

fn finding(file: &str, source: Option<&Arc<Source>>, weight: Weight, part: &str, what: &str, entry: &Entry) -> Finding {
    let (severity, kind) = match weight {
        Weight::Heard => (Severity::Warning, &NOT_CARRIED),
        Weight::Otherwise => (Severity::Advice, &WRITTEN_OTHERWISE),
        Weight::Slight => (Severity::Advice, &NOT_CARRIED),
    };
    let times = if entry.count > 1 { format!(" ({} times)", entry.count) } else { String::new() };
    let whose = if part.is_empty() { String::new() } else { format!(", part `{part}`") };
    let message = format!("`{file}`{whose}{}: {what}{times}", measures(&entry.measures));
    let mut finding = Finding::new(severity, kind, message);
    if let Some(source) = source {
        finding = finding.more(source, &entry.spans);
    }
    if part.is_empty() { finding } else { finding.part(part) }
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

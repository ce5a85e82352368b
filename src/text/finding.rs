//! One thing that the tool has to say: what, where, how serious, and what to do about it.
//!
//! A finding is data. Screens are made from it in `cli/` and JSON in `door/`, and nowhere else.

use std::error::Error;
use std::fmt;
use std::sync::Arc;

use super::edit::Edit;
use super::source::{Position, Source};
use super::span::Span;

/// How much a finding matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Worth knowing; the tune can be played as it is.
    Advice,
    /// Likely not what was meant, or not how the band will want it.
    Warning,
    /// It can't be played, or can't be understood.
    Error,
}

impl Severity {
    /// The word that screens and JSON use.
    pub fn word(self) -> &'static str {
        match self {
            Severity::Advice => "advice",
            Severity::Warning => "warning",
            Severity::Error => "error",
        }
    }
}

/// A kind of finding, documented where it is found. Each is a `static` beside the code that reports it.
#[derive(Debug, PartialEq, Eq)]
pub struct Kind {
    /// Its name in JSON and in `panfold findings`: words with hyphens, for example `missing-note`.
    pub name: &'static str,
    /// One sentence: what has been found.
    pub what: &'static str,
    /// Why it matters and what usually helps.
    pub why: &'static str,
}

/// A stretch of a source.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// The text.
    pub source: Arc<Source>,
    /// The stretch of it.
    pub span: Span,
}

impl Place {
    /// Line and column of the first character.
    pub fn position(&self) -> Position {
        self.source.position(self.span.start)
    }
}

/// One thing that the tool has to say.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// What kind of thing it is.
    pub kind: &'static Kind,
    /// How much it matters.
    pub severity: Severity,
    /// Where it is; `None` when it is about no place in a text.
    pub place: Option<Place>,
    /// Further places of the same source where the same was found.
    pub more: Vec<Span>,
    /// The words beside the mark under the place; may be empty.
    pub label: String,
    /// One sentence in lower case, names in backticks, no full stop.
    pub message: String,
    /// What to do: each a sentence without a full stop, best first.
    pub help: Vec<String>,
    /// Changes of the source that would fix it, best first, each complete in itself.
    pub edits: Vec<Edit>,
    /// The part that it is about, if it is about one.
    pub part: Option<String>,
}

/// `error: sea-grape-road.tune:12:9: the pan lacks E6; try E5`: all in one line, for logs and programs. The program's own
/// screen shows the line of the tune as well.
impl fmt::Display for Finding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: ", self.severity.word())?;
        if let Some(place) = &self.place {
            let Position { line, column } = place.position();
            write!(f, "{}:{line}:{column}: ", place.source.name())?;
        }
        f.write_str(&self.message)?;
        self.help.iter().try_for_each(|help| write!(f, "; {help}"))
    }
}

impl Error for Finding {}

/// Why something could not be done: one finding at least, of severity error.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal(pub Vec<Finding>);

/// Its findings, a line each.
impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let lines: Vec<String> = self.0.iter().map(Finding::to_string).collect();
        f.write_str(&lines.join("\n"))
    }
}

impl Error for Refusal {}

impl From<Box<Finding>> for Refusal {
    fn from(finding: Box<Finding>) -> Refusal {
        Refusal(vec![*finding])
    }
}

impl Finding {
    /// A finding of a severity, without a place so far.
    pub fn new(severity: Severity, kind: &'static Kind, message: impl Into<String>) -> Self {
        Finding {
            kind,
            severity,
            place: None,
            more: Vec::new(),
            label: String::new(),
            message: shortened(message.into()),
            help: Vec::new(),
            edits: Vec::new(),
            part: None,
        }
    }

    /// A finding of severity [`Severity::Error`].
    pub fn error(kind: &'static Kind, message: impl Into<String>) -> Self {
        Finding::new(Severity::Error, kind, message)
    }

    /// A finding of severity [`Severity::Warning`].
    pub fn warning(kind: &'static Kind, message: impl Into<String>) -> Self {
        Finding::new(Severity::Warning, kind, message)
    }

    /// A finding of severity [`Severity::Advice`].
    pub fn advice(kind: &'static Kind, message: impl Into<String>) -> Self {
        Finding::new(Severity::Advice, kind, message)
    }

    /// Sets the place.
    pub fn at(mut self, source: &Arc<Source>, span: Span) -> Self {
        self.place = Some(Place { source: Arc::clone(source), span });
        self
    }

    /// Sets the place if there is none yet, and adds further places of the same source.
    pub fn more(mut self, source: &Arc<Source>, spans: &[Span]) -> Self {
        let mut spans = spans.iter().copied();
        if self.place.is_none() {
            self.place = spans.next().map(|span| Place { source: Arc::clone(source), span });
        }
        self.more.extend(spans);
        self
    }

    /// Sets the words beside the mark.
    pub fn label(mut self, label: impl Into<String>) -> Self {
        self.label = shortened(label.into());
        self
    }

    /// Adds a sentence on what to do.
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help.push(shortened(help.into()));
        self
    }

    /// Adds a change that would fix it.
    pub fn edit(mut self, edit: Edit) -> Self {
        self.edits.push(edit);
        self
    }

    /// Names the part that it is about.
    pub fn part(mut self, part: impl Into<String>) -> Self {
        self.part = Some(shortened(part.into()));
        self
    }
}

/// The longest text of a finding, in bytes: far more than a finding about names of people and notes needs.
const LONGEST: usize = 1000;

/// How many findings of a kind are reported; more would help nobody.
const MOST_OF_A_KIND: usize = 100;

/// A very long text without its middle: whoever wrote 20 megabytes where a name belongs knows the text by its ends.
pub fn shortened(mut text: String) -> String {
    if text.len() > LONGEST {
        let (from, to) = (text.floor_char_boundary(LONGEST / 2), text.ceil_char_boundary(text.len() - LONGEST / 4));
        text.replace_range(from..to, " … ");
    }
    text
}

/// The findings without those beyond a hundred of their kind; the last one that stays says how many there are.
pub fn at_most(findings: Vec<Finding>) -> Vec<Finding> {
    let mut told: Vec<(&'static Kind, usize, usize)> = Vec::new();
    let mut kept: Vec<Finding> = Vec::with_capacity(findings.len().min(MOST_OF_A_KIND));
    for finding in findings {
        match told.iter_mut().find(|(kind, ..)| *kind == finding.kind) {
            Some((_, count, _)) if *count >= MOST_OF_A_KIND => *count += 1,
            Some((_, count, last)) => {
                (*count, *last) = (*count + 1, kept.len());
                kept.push(finding);
            }
            None => {
                told.push((finding.kind, 1, kept.len()));
                kept.push(finding);
            }
        }
    }
    for (_, count, last) in told.into_iter().filter(|(_, count, _)| *count > MOST_OF_A_KIND) {
        let more = count - MOST_OF_A_KIND;
        kept[last].help.push(format!("there are {more} more of this kind, which are not shown: fix these first"));
    }
    kept
}

/// The worst severity in a list, if there is any finding.
pub fn worst(findings: &[Finding]) -> Option<Severity> {
    findings.iter().map(|finding| finding.severity).max()
}

//! Changes of a source: replace a stretch by other text, many at once, everything else byte for byte.

use super::source::Source;
use super::span::Span;

/// Replace the text under `span` by `text`.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Edit {
    /// What is replaced; empty to insert.
    pub span: Span,
    /// The text that is there afterwards.
    pub text: String,
}

impl Edit {
    /// The edit that puts `text` in the place of `span`.
    pub fn new(span: Span, text: impl Into<String>) -> Self {
        Edit { span, text: text.into() }
    }
}

/// The source's text with all edits made. Edits may come in any order.
///
/// ```
/// # use panfold::text::{edit, Edit, Source, Span};
/// let source = Source::new("a.tune", "D5 G5 B5");
/// let edits = [Edit::new(Span::new(6, 8), "B4"), Edit::new(Span::new(0, 2), "D4")];
/// assert_eq!(edit::apply(&source, &edits), "D4 G5 B4");
/// ```
///
/// # Panics
/// When two edits overlap: whoever makes them settles that first.
pub fn apply(source: &Source, edits: &[Edit]) -> String {
    let mut sorted: Vec<&Edit> = edits.iter().collect();
    sorted.sort_by_key(|edit| edit.span);
    let mut out = String::with_capacity(source.text().len() + 16 * edits.len());
    let mut done = 0;
    for edit in sorted {
        let range = edit.span.range();
        assert!(range.start >= done, "edits do not overlap");
        out.push_str(&source.text()[done..range.start]);
        out.push_str(&edit.text);
        done = range.end;
    }
    out.push_str(&source.text()[done..]);
    out
}

//! How a finding looks on a screen: the sentence, the place, the line with a mark under it, and what to do.

use std::ops::Range;

use annotate_snippets::{Annotation, AnnotationKind, Group, Level, Message, Origin, Renderer, Snippet};

use crate::text::signs::steers;
use crate::text::{Finding, Place, Severity, Source, Span, words};

/// How many bytes of a line are shown on either side of the mark at most; what lies further out is left off. The screen
/// cuts a line to its width anyway; this keeps a file of one endless line from being looked through again and again.
const AROUND: usize = 400;

/// How many lines of further places are named.
const FURTHER: usize = 8;

/// A screen of some width.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Screen {
    /// Whether it takes colours.
    pub colours: bool,
    /// Columns.
    pub width: usize,
}

impl Screen {
    /// A finding as several lines, without a line end at the end.
    pub fn finding(self, finding: &Finding) -> String {
        let level = match finding.severity {
            Severity::Error => Level::ERROR,
            Severity::Warning => Level::WARNING,
            Severity::Advice => Level::NOTE,
        };
        let level = level.with_name(finding.severity.word());
        let label = printable(&finding.label);
        let title = level.primary_title(printable(&finding.message)).id(finding.kind.name);
        let mut group = Group::with_title(title);
        if let Some(place) = &finding.place {
            let at = place.position();
            group = match Shown::of(place) {
                None => group.element(origin(place)),
                // What is left off in front would make the column wrong, so it is written above.
                Some(shown) if shown.cut => group.element(origin(place)).element(shown.snippet(at.line, &label)),
                Some(shown) => group.element(shown.snippet(at.line, &label).path(printable(place.source.name()))),
            };
            if let Some(more) = further(&place.source, at.line, &finding.more) {
                group = group.element(note(more));
            }
        }
        let group = finding.help.iter().fold(group, |group, help| group.element(Level::HELP.message(printable(help))));
        // The renderer leaves some signs in the lines of the source. Its own colours are the only ones that may begin with an escape.
        let is_left = |c: char| steers(c) && c != '\n' && !(self.colours && c == '\x1b');
        let rendered = self.renderer().render(&[group]);
        if rendered.contains(is_left) { rendered.replace(is_left, "\u{fffd}") } else { rendered }
    }

    fn renderer(self) -> Renderer {
        let renderer = if self.colours { Renderer::styled().hyperlink(false) } else { Renderer::plain() };
        renderer.term_width(self.width)
    }
}

/// A text with every sign that would steer the terminal, or turn the direction of writing, replaced by one that is seen.
/// Line ends stay.
pub fn printable(text: &str) -> String {
    let seen = |c: char| match c {
        '\n' => c,
        '\0'..='\x1f' => char::from_u32(0x2400 + u32::from(c)).unwrap_or(char::REPLACEMENT_CHARACTER),
        c if steers(c) => char::REPLACEMENT_CHARACTER,
        _ => c,
    };
    text.chars().map(seen).collect()
}

fn note(text: String) -> Message<'static> {
    Level::NOTE.with_name("also").message(text)
}

/// The stretch of a source that is shown, and the mark in it.
struct Shown<'a> {
    text: &'a str,
    mark: Range<usize>,
    /// Whether the line begins further to the left.
    cut: bool,
}

impl<'a> Shown<'a> {
    /// The line of a place, as far as it lies near the mark; nothing for an empty source.
    fn of(place: &'a Place) -> Option<Shown<'a>> {
        let source = &place.source;
        if source.text().is_empty() {
            return None;
        }
        // A mark stays on its line; under an empty span the screen puts one sign.
        let line = source.line_span(source.line_of(place.span.start)).range();
        let start = (place.span.start as usize).clamp(line.start, line.end);
        let end = (place.span.end as usize).clamp(start, line.end);
        let from = boundary(source, start.saturating_sub(AROUND).max(line.start));
        let to = boundary(source, (end.min(start + AROUND) + AROUND).min(line.end));
        let mark = start - from..end.min(to) - from;
        Some(Shown { text: &source.text()[from..to], mark, cut: from > line.start })
    }

    fn snippet(self, line: usize, label: &'a str) -> Snippet<'a, Annotation<'a>> {
        let mark = AnnotationKind::Primary.span(self.mark).label(Some(label).filter(|label| !label.is_empty()));
        Snippet::source(self.text).line_start(line).annotation(mark)
    }
}

fn origin(place: &Place) -> Origin<'static> {
    let at = place.position();
    Origin::path(printable(place.source.name())).line(at.line).char_column(at.column)
}

fn boundary(source: &Source, mut at: usize) -> usize {
    while !source.text().is_char_boundary(at) {
        at -= 1;
    }
    at
}

/// `3 more places: lines 12, 15, and 20`.
fn further(source: &Source, first: usize, spans: &[Span]) -> Option<String> {
    if spans.is_empty() {
        return None;
    }
    let mut lines: Vec<usize> = spans.iter().map(|span| source.line_of(span.start)).collect();
    lines.dedup();
    let places = words::count(spans.len(), "more place");
    if lines == [first] {
        return Some(format!("{places} on this line"));
    }
    let mut named: Vec<String> = lines.iter().take(FURTHER).map(ToString::to_string).collect();
    if lines.len() > FURTHER {
        named.push(format!("{} more", lines.len() - FURTHER));
    }
    let noun = if lines.len() == 1 { "line" } else { "lines" };
    Some(format!("{places}: {noun} {}", words::and(&named)))
}

/// A text broken into lines of at most `width` letters, each set in.
pub fn in_lines(text: &str, indent: usize, width: usize) -> String {
    let mut lines: Vec<String> = vec![" ".repeat(indent)];
    for word in text.split_whitespace() {
        let line = lines.last_mut().expect("at least one line");
        if line.chars().count() + 1 + word.chars().count() > width && line.len() > indent {
            lines.push(" ".repeat(indent) + word);
        } else {
            line.push_str(if line.len() > indent { " " } else { "" });
            line.push_str(word);
        }
    }
    lines.join("\n")
}

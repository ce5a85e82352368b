//! How a finding looks on a screen: where it is in the band's own terms, the row with a mark under the place, what is wrong, and what
//! to try.

use std::fmt::Write;

use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

use super::whereabouts::Whereabouts;
use crate::text::signs::steers;
use crate::text::{Finding, Place, Severity, Span};

/// The most bytes of a line that are shown on either side of the mark. The screen cuts a line to its width anyway; this avoids searching
/// a file of one endless line again and again.
const AROUND: usize = 400;

/// How many sentences on what to do are shown; JSON has all of them.
const HELP: usize = 3;

/// How far the row and the sentences are indented.
const ROW: usize = 4;
const SENTENCE: usize = 2;

/// A screen of some width.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Screen {
    /// Whether it takes colours.
    pub colours: bool,
    /// Columns.
    pub width: usize,
}

impl Screen {
    /// Findings, several lines each, without a line end at the end.
    pub fn findings(self, findings: &[Finding]) -> Vec<String> {
        let mut known: Vec<Whereabouts> = Vec::new();
        findings.iter().map(|finding| self.finding(finding, &mut known)).collect()
    }

    fn finding(self, finding: &Finding, known: &mut Vec<Whereabouts>) -> String {
        let kind = finding.kind.name;
        let called = called(finding.severity);
        let sentence = sentence(&printable(&finding.message));
        let Some(place) = &finding.place else {
            let head = format!("{}:", capital(called));
            let text = wrapped(&format!("{head} {sentence} ({kind})"), 0, SENTENCE, self.width);
            return text.replacen(&head, &self.coloured(finding.severity, &head), 1) + &self.help(finding);
        };
        let number = known.iter().position(|known| known.is_of(&place.source)).unwrap_or_else(|| {
            known.push(Whereabouts::new(&place.source));
            known.len() - 1
        });
        let whereabouts = &known[number];
        let headline = printable(&whereabouts.headline(place.span));
        let mut out = format!("{headline} ({}: {kind})", self.coloured(finding.severity, called));
        if let Some(row) = self.row(place, whereabouts, &finding.label) {
            write!(out, "\n{row}").expect("text takes text");
        }
        write!(out, "\n{}", wrapped(&sentence, SENTENCE, SENTENCE, self.width)).expect("text takes text");
        out.push_str(&self.help(finding));
        if let Some(more) = whereabouts.further(place.span, &finding.more) {
            let more = wrapped(&format!("also in: {}", printable(&more)), SENTENCE, SENTENCE + 2, self.width);
            write!(out, "\n{more}").expect("text takes text");
        }
        out
    }

    /// What to do: `try:` before the first, unless it is a question.
    fn help(self, finding: &Finding) -> String {
        let mut out = String::new();
        for (number, help) in finding.help.iter().take(HELP).enumerate() {
            let help = printable(help);
            let text = match number {
                _ if help.ends_with('?') => sentence(&help),
                0 => format!("try: {help}"),
                _ => format!("     {help}"),
            };
            let indent = SENTENCE + text.len() - text.trim_start().len();
            write!(out, "\n{}", wrapped(text.trim_start(), indent, SENTENCE + 5, self.width)).expect("text takes text");
        }
        out
    }

    /// The bar of the place with the bars beside it, or the line if it is not in a bar, and under it the mark with its label.
    fn row(self, place: &Place, whereabouts: &Whereabouts, label: &str) -> Option<String> {
        let shown = Shown::of(place, whereabouts, self.width.saturating_sub(ROW))?;
        if shown.text.trim().is_empty() {
            return None;
        }
        // The headline names the bar already.
        let label = if label.starts_with("bar ") { "" } else { label };
        let mark = format!("{}{} {}", " ".repeat(shown.column), mark(shown.wide), printable(label));
        let indent = " ".repeat(ROW);
        Some(format!("{indent}{}\n{indent}{}", shown.text.trim_end(), self.bright(mark.trim_end())))
    }

    fn coloured(self, severity: Severity, text: &str) -> String {
        let colour = match severity {
            Severity::Error => 31,
            Severity::Warning => 33,
            Severity::Advice => 36,
        };
        if self.colours { format!("\x1b[1;{colour}m{text}\x1b[0m") } else { text.to_owned() }
    }

    fn bright(self, text: &str) -> String {
        if self.colours { format!("\x1b[1m{text}\x1b[0m") } else { text.to_owned() }
    }
}

/// What a screen calls a severity.
pub fn called(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "problem",
        Severity::Warning => "possible problem",
        Severity::Advice => "advice",
    }
}

/// `Problem`.
fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

/// A message as a sentence: with a capital letter, unless it begins with a name, and a full stop.
fn sentence(text: &str) -> String {
    let stop = if text.ends_with(['.', '?', '!', ':']) { "" } else { "." };
    capital(text) + stop
}

/// The mark under something this wide: a cup.
fn mark(wide: usize) -> String {
    match wide {
        0 | 1 => "↑".to_owned(),
        wide => format!("└{}┘", "─".repeat(wide - 2)),
    }
}

/// The stretch of a line that is shown, and where the mark goes.
struct Shown {
    text: String,
    /// Columns before the mark.
    column: usize,
    /// Columns of the mark.
    wide: usize,
}

impl Shown {
    /// `None` for an empty text.
    fn of(place: &Place, whereabouts: &Whereabouts, width: usize) -> Option<Shown> {
        let source = &place.source;
        if source.text().is_empty() {
            return None;
        }
        // A mark stays on its line.
        let line = source.line_span(source.line_of(place.span.start));
        let start = place.span.start.clamp(line.start, line.end);
        let span = Span { start, end: place.span.end.clamp(start, line.end) };
        if let Some((row, Some(bar))) = whereabouts.row(span) {
            for neighbours in [1, 0] {
                let (name, bars, before, after) = row.around(bar, neighbours);
                let head = format!("{name} {}| ", if before { "… " } else { "" });
                let tail = if after { " | …" } else { " |" };
                let bars = Span { start: bars.start.min(span.start), end: bars.end.max(span.end) };
                let shown = Shown::new(place, &printable(&head), bars, span, tail);
                if shown.text.width() <= width {
                    return Some(shown);
                }
            }
        }
        let text = source.text();
        let from = text.floor_char_boundary((span.start as usize).saturating_sub(AROUND).max(line.start as usize));
        let to = (span.end as usize).min(span.start as usize + AROUND) + AROUND;
        let to = text.floor_char_boundary(to.min(line.end as usize));
        let lead = text[from..span.start as usize].len() - text[from..span.start as usize].trim_start().len();
        let whole = Span::new(from + lead, to.max(from + lead));
        Some(Shown::new(place, "", whole, span, "").cut(width))
    }

    /// - `part`: the stretch of the source that is shown, between `head` and `tail`; `marked`: the text above the mark.
    fn new(place: &Place, head: &str, part: Span, marked: Span, tail: &str) -> Shown {
        let slice = |start: u32, end: u32| {
            let end = end.max(start);
            printable(&place.source.slice(Span { start, end }).replace('\t', " "))
        };
        let marked = Span { start: marked.start.max(part.start), end: marked.end.min(part.end).max(marked.start) };
        let before = head.to_owned() + &slice(part.start, marked.start);
        let (middle, after) = (slice(marked.start, marked.end), slice(marked.end, part.end));
        let (column, wide) = (before.width(), middle.width());
        Shown { text: before + &middle + after.trim_end() + tail, column, wide }
    }

    /// Cuts the line to a width around the mark.
    fn cut(mut self, width: usize) -> Shown {
        self.wide = self.wide.min(width);
        let all = self.text.width();
        if all <= width {
            return self;
        }
        let from = self.column.saturating_sub(width.saturating_sub(self.wide + 2) / 2).min(all - width);
        let mut column = 0;
        let mut text = String::new();
        for letter in self.text.chars() {
            let (here, wide) = (column, letter.width().unwrap_or(0));
            column += wide;
            match here {
                here if here < from => {}
                here if here == from && from > 0 => text.push('…'),
                here if here + wide > from + width - 1 && all > from + width => {
                    text.push('…');
                    break;
                }
                _ => text.push(letter),
            }
        }
        Shown { text, column: self.column - from, wide: self.wide }
    }
}

/// A text with every sign that would steer the terminal, or turn the direction of writing, replaced by a visible one.
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

/// A text broken into lines of at most `width` columns: the first indented by `first`, the others by `rest`. Text in backticks is not
/// broken, so that it can be copied.
pub fn wrapped(text: &str, first: usize, rest: usize, width: usize) -> String {
    set(words_of(text).into_iter(), first, rest, width)
}

/// A text broken into lines of at most `width` columns, each indented.
pub fn in_lines(text: &str, indent: usize, width: usize) -> String {
    set(text.split_whitespace(), indent, indent, width)
}

/// Words in lines of at most `width` columns; one that is longer has a line of its own.
fn set<'a>(words: impl Iterator<Item = &'a str>, first: usize, rest: usize, width: usize) -> String {
    let mut lines = vec![" ".repeat(first)];
    for (number, word) in words.enumerate() {
        let line = lines.last_mut().expect("at least one line");
        if number > 0 && line.width() + 1 + word.width() > width {
            lines.push(" ".repeat(rest) + word);
        } else {
            line.push_str(if number > 0 { " " } else { "" });
            line.push_str(word);
        }
    }
    lines.join("\n")
}

/// The words of a text; text in backticks is one word.
fn words_of(text: &str) -> Vec<&str> {
    let mut quoted = false;
    let is_between = |letter: char| {
        quoted ^= letter == '`';
        letter.is_whitespace() && !quoted
    };
    text.split(is_between).filter(|word| !word.is_empty()).collect()
}

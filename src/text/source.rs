//! A file's text, its name, and the way from a byte to a line and column.

use std::sync::Arc;

use super::span::{Span, range_of};

/// The largest text that is read, in bytes: 32 MiB, for MusicXML; a symphony takes half of that. So 32 bits are enough for spans.
pub const MAX_SOURCE_BYTES: usize = 32 << 20;

/// The largest tune, band or pan file that is read, in bytes: 2 MiB. A thousand bars of forty parts are about that; whatever
/// is written there, it is looked through in two seconds.
pub const MAX_TEXT_BYTES: usize = 2 << 20;

/// A text with a name, cut into lines once.
///
/// A byte-order mark at the front is removed; line ends may be LF, CRLF, or CR alone
/// (old Macs), and are kept as they are.
#[derive(Debug, PartialEq, Eq)]
pub struct Source {
    name: String,
    text: String,
    bom: bool,
    line_starts: Vec<u32>,
}

/// A place for people: line and column, both counted from 1, the column in characters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Position {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1; a tab is one character.
    pub column: usize,
}

/// From how many bytes on a source is long: a tune of ten minutes has a tenth of that.
const LONG: usize = 1 << 17;

impl Source {
    /// Whether it is so long that work on it is worth sharing among threads: an evening of tunes in one file.
    pub fn is_long(&self) -> bool {
        self.text.len() > LONG
    }

    /// A source from text that is known to be good. `name` is what messages call it, usually its path.
    ///
    /// # Panics
    /// When the text is larger than [`MAX_SOURCE_BYTES`]; use [`Source::from_bytes`] for text from outside.
    pub fn new(name: impl Into<String>, text: impl Into<String>) -> Arc<Source> {
        let mut text: String = text.into();
        assert!(text.len() <= MAX_SOURCE_BYTES, "a source of at most {MAX_SOURCE_BYTES} bytes");
        let bom = text.starts_with('\u{feff}');
        if bom {
            text.drain(..'\u{feff}'.len_utf8());
        }
        let end = if text.contains('\n') { b'\n' } else { b'\r' };
        let starts = text.bytes().enumerate().filter(|(_, b)| *b == end).map(|(i, _)| i as u32 + 1);
        let line_starts = std::iter::once(0).chain(starts).collect();
        Arc::new(Source { name: name.into(), text, bom, line_starts })
    }

    /// The name that messages use, usually the path as the user typed it.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The text, without a byte-order mark.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Whether the file began with a byte-order mark, so that a rewritten file can keep it.
    pub fn has_bom(&self) -> bool {
        self.bom
    }

    /// The text under a span.
    pub fn slice(&self, span: Span) -> &str {
        &self.text[span.range()]
    }

    /// The span of a piece of the text, as [`Source::slice`] gives it or any part of that.
    ///
    /// # Panics
    /// When it is not a piece of this source's own text, even if it reads the same.
    pub fn span_of(&self, piece: &str) -> Span {
        let range = range_of(&self.text, piece);
        Span::new(range.start, range.end)
    }

    /// How many lines there are; a text that ends with a line end has an empty last line.
    pub fn line_count(&self) -> usize {
        self.line_starts.len()
    }

    /// The line (from 1) that a byte is on.
    pub fn line_of(&self, offset: u32) -> usize {
        self.line_starts.partition_point(|start| *start <= offset)
    }

    /// The span of a line (from 1), without its line end.
    pub fn line_span(&self, line: usize) -> Span {
        let start = self.line_starts[line - 1] as usize;
        let end = self.line_starts.get(line).map_or(self.text.len(), |next| *next as usize - 1);
        let end = if end > start && self.text.as_bytes()[end - 1] == b'\r' { end - 1 } else { end };
        Span::new(start, end)
    }

    /// Line and column of a byte. Cost: a binary search and one walk along the line.
    pub fn position(&self, offset: u32) -> Position {
        let line = self.line_of(offset);
        let start = self.line_starts[line - 1] as usize;
        let mut end = (offset as usize).min(self.text.len());
        while !self.text.is_char_boundary(end) {
            end -= 1;
        }
        Position { line, column: self.text[start..end].chars().count() + 1 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn positions_count_characters_from_one() {
        let s = Source::new("a", "åb\r\n\tc");
        assert_eq!(s.position(0), Position { line: 1, column: 1 });
        assert_eq!(s.position(2), Position { line: 1, column: 2 });
        assert_eq!(s.position(6), Position { line: 2, column: 2 });
        assert_eq!(s.slice(s.line_span(1)), "åb");
        assert_eq!(s.line_count(), 2);
    }

    #[test]
    fn a_piece_is_found_where_it_lies() {
        let s = Source::new("a", "lead lead");
        let words: Vec<Span> = s.text().split(' ').map(|word| s.span_of(word)).collect();
        assert_eq!(words, [Span::new(0, 4), Span::new(5, 9)]);
        assert_eq!(s.span_of(s.text()[9..].trim()), Span::new(9, 9));
    }

    #[test]
    fn old_line_ends_end_lines() {
        let s = Source::new("a", "title A\rkey G\r");
        assert_eq!(s.line_count(), 3);
        assert_eq!(s.slice(s.line_span(2)), "key G");
        // Where there are others, such a sign is no line end.
        assert_eq!(Source::new("a", "a\rb\nc").line_count(), 2);
    }

    #[test]
    fn a_bad_byte_is_placed() {
        let error = Source::from_bytes("x.tune", b"title A\n\xff".to_vec()).unwrap_err();
        let place = error.place.expect("a place");
        assert_eq!(place.position(), Position { line: 2, column: 1 });
    }

    #[test]
    fn a_byte_order_mark_is_no_text() {
        let s = Source::new("a", "\u{feff}title x");
        assert!(s.has_bom());
        assert_eq!(s.text(), "title x");
    }
}

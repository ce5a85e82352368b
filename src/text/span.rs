//! A stretch of bytes in a source.

use std::ops::Range;

/// A half-open stretch of bytes, `start..end`, counted from the beginning of a [`Source`](super::Source)'s text.
///
/// Four bytes a side: sources are limited to [`MAX_SOURCE_BYTES`](super::source::MAX_SOURCE_BYTES), far below 4 GiB.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Span {
    /// First byte.
    pub start: u32,
    /// The byte after the last.
    pub end: u32,
}

impl Span {
    /// The span from byte `start` up to, not including, byte `end`.
    ///
    /// # Panics
    /// When an offset does not fit in 32 bits, which the size limit of a source rules out.
    pub fn new(start: usize, end: usize) -> Self {
        let narrow = |n: usize| u32::try_from(n).expect("sources are smaller than 4 GiB");
        Span { start: narrow(start), end: narrow(end.max(start)) }
    }

    /// The span as a range for slicing.
    pub fn range(self) -> Range<usize> {
        self.start as usize..self.end as usize
    }

    /// The number of bytes covered.
    pub fn len(self) -> usize {
        (self.end - self.start) as usize
    }

    /// Whether the span covers nothing: a place between two bytes.
    pub fn is_empty(self) -> bool {
        self.start == self.end
    }

    /// The smallest span that holds both.
    pub fn to(self, other: Span) -> Span {
        Span { start: self.start.min(other.start), end: self.end.max(other.end) }
    }
}

/// Where a piece of a text lies in it, in bytes.
///
/// # Panics
/// When it is not a piece of that text itself.
pub fn range_of(whole: &str, piece: &str) -> Range<usize> {
    let start = (piece.as_ptr() as usize).checked_sub(whole.as_ptr() as usize);
    let range = start.map(|start| start..start + piece.len()).filter(|range| range.end <= whole.len());
    range.expect("a piece of the text")
}

/// A value together with the place in the source where it is written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Spanned<T> {
    /// The value.
    pub value: T,
    /// Where it is written.
    pub span: Span,
}

impl<T> Spanned<T> {
    /// Binds a value to its place.
    pub fn new(value: T, span: Span) -> Self {
        Spanned { value, span }
    }
}

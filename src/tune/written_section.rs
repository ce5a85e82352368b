//! A section as its lines say it, the lines of each row joined.

use std::borrow::Cow;

use super::header::Settings;
use crate::notation::tree::{Bar, Cell, ChordCell, DynamicCell, Instruction, Row};
use crate::text::{Span, Spanned};

/// A section as written.
pub struct Written<'a> {
    /// Its name.
    pub name: &'a Spanned<String>,
    /// Its own settings.
    pub settings: Settings,
    /// What each part plays, by the part's number.
    pub rows: Vec<Option<WrittenRow<'a>>>,
    /// The bars of the row `chords`.
    pub chords: Lines<'a, Bar<ChordCell>>,
    /// The bars of the row `words`.
    pub words: Lines<'a, Spanned<String>>,
    /// The bars of the row `dynamics`.
    pub dynamics: Lines<'a, Bar<DynamicCell>>,
    /// Whether it has any line, even one that could not be understood.
    pub has_lines: bool,
    /// Rows whose names are nearly those of parts, with the parts' numbers.
    pub(super) meant: Vec<(usize, &'a Row)>,
}

/// What a part plays in a section, as written.
pub struct WrittenRow<'a> {
    /// The row's name, where it is written first.
    pub name: &'a Spanned<String>,
    /// Its cells or its instruction.
    pub body: WrittenBody<'a>,
}

/// Cells or an instruction.
pub enum WrittenBody<'a> {
    /// The bars of all lines of that name.
    Cells(Vec<Cow<'a, Bar<Cell>>>),
    /// What follows the `=`.
    Instruction(&'a Spanned<Instruction>),
    /// Nothing of its own: a pan's version of the part of this number, in a section where it has no row of its own.
    AsPart(usize),
}

/// The bars of all lines of a reserved row.
pub struct Lines<'a, T: Clone> {
    /// Where the row is written first; `None` when there is no such row.
    pub name: Option<Span>,
    /// Its bars.
    pub bars: Vec<Cow<'a, T>>,
}

//! What a tune file says, statement by statement. Every node has its place in the source.
//!
//! The tree is close to the text: a `%` is still a `%`, a hold over a bar line is still a hold in the next bar, and names are
//! not looked up yet.

use std::sync::Arc;

use num_rational::Ratio;

use crate::music::force::Dynamic;
use crate::music::{Chord, Degree, Key, Meter, NoteName, Tempo, Tone};
use crate::text::{Source, Span, Spanned};

/// A whole tune file.
#[derive(Clone, Debug)]
pub struct Tree {
    /// The text that the tree was read from.
    pub source: Arc<Source>,
    /// Every line of the file in order, blank ones and comments too.
    pub lines: Vec<Line>,
}

impl Tree {
    /// The name of the section whose first bar is a pickup, if the tune begins with one: the section that opens the form, or the first.
    pub fn with_pickup(&self) -> Option<&str> {
        let mut pickup = false;
        let (mut opens, mut first) = (None, None);
        for statement in self.lines.iter().filter_map(|line| line.statement.as_ref()) {
            match statement {
                Statement::Setting(setting) => pickup |= matches!(setting.value.value, Value::Pickup(_)),
                Statement::Form(form) => opens = opens.or(form.steps.first().map(|step| step.section.value.as_str())),
                Statement::Section(name) => first = first.or(Some(name.value.as_str())),
                _ => {}
            }
        }
        opens.or(first).filter(|_| pickup)
    }
}

/// One line of the file.
#[derive(Clone, Debug)]
pub struct Line {
    /// The line without its line end.
    pub span: Span,
    /// What it says; `None` for a blank line or one with only a comment.
    pub statement: Option<Statement>,
    /// The comment at its end, from `#` on.
    pub comment: Option<Span>,
    /// Whether it was read as what was most likely meant; its finding has been made, and its text is left as it is.
    pub mended: bool,
}

impl Line {
    /// A line that has been read as part of another one.
    pub fn broken(span: Span) -> Line {
        Line { span, statement: Some(Statement::Broken), comment: None, mended: true }
    }
}

/// One statement.
#[derive(Clone, Debug)]
pub enum Statement {
    /// A setting such as `key G`, in the header or in a section.
    Setting(Setting),
    /// `part lead on lead`.
    Part(PartLine),
    /// A `part` line that could not be understood, with the part's name as far as there is one; its finding has been made.
    LostPart(Spanned<String>),
    /// `pattern offbeat | . x . x |`.
    Pattern(PatternLine),
    /// `form intro verse x2 chorus`; a form may go on in a second `form` line.
    Form(FormLine),
    /// `section verse`.
    Section(Spanned<String>),
    /// A row of a section: `lead | … |` or `lead = with second`.
    Row(Row),
    /// A line that could not be understood; its finding has been made.
    Broken,
}

/// A setting: the word and its value.
#[derive(Clone, Debug)]
pub struct Setting {
    /// The word, for example `key`.
    pub word: Span,
    /// The value, and where it is written.
    pub value: Spanned<Value>,
}

/// The value of a setting.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// `title` and the text to the end of the line.
    Title(String),
    /// `by`: who made the tune or the arrangement.
    By(String),
    /// `band`: path of the band file, relative to the tune.
    Band(String),
    /// `key`.
    Key(Key),
    /// `meter`.
    Meter(Meter),
    /// `tempo`.
    Tempo(Tempo),
    /// `swing 2:1`: the first part of a beat to the second.
    Swing(u8, u8),
    /// `pickup`: how many beats the first bar has.
    Pickup(Ratio<i64>),
    /// `roll`: from how many beats on a note is rolled; `None` for `roll none`.
    Roll(Option<Ratio<i64>>),
    /// The value could not be understood; its finding has been made.
    Broken,
}

/// `part NAME on KIND`, and `part NAME on KIND for WHOM`.
#[derive(Clone, Debug)]
pub struct PartLine {
    /// The part's name.
    pub name: Spanned<String>,
    /// What it is played on: a kind of pan or of percussion, as written.
    pub kind: Spanned<String>,
    /// Who plays it in this tune: names of pans, of percussion or of players, in the order written. Empty: whoever in the band
    /// can play it.
    pub whom: Vec<Spanned<String>>,
}

/// `pattern NAME | … |`.
#[derive(Clone, Debug)]
pub struct PatternLine {
    /// The pattern's name.
    pub name: Spanned<String>,
    /// Its bars.
    pub bars: Vec<Bar<Cell>>,
}

/// `form a b x2 c`.
#[derive(Clone, Debug)]
pub struct FormLine {
    /// The sections in playing order.
    pub steps: Vec<FormStep>,
}

/// A section of the form and how often it is played in a row.
#[derive(Clone, Debug)]
pub struct FormStep {
    /// The section's name.
    pub section: Spanned<String>,
    /// How often; at least 1.
    pub times: u32,
}

/// A row of a section.
#[derive(Clone, Debug)]
pub struct Row {
    /// The part's name, or `chords`, `words`, `dynamics`.
    pub name: Spanned<String>,
    /// The pan whose own row it is (`lead for Green rim | … |`); `None`: the row of everybody who plays the part.
    pub pan: Option<Spanned<String>>,
    /// What the row says.
    pub body: RowBody,
}

/// What a row says.
#[derive(Clone, Debug)]
pub enum RowBody {
    /// Bars of cells, for a part.
    Cells(Vec<Bar<Cell>>),
    /// Bars of chord symbols (row `chords`).
    Chords(Vec<Bar<ChordCell>>),
    /// A text a bar (row `words`).
    Words(Vec<Spanned<String>>),
    /// Bars of dynamic marks (row `dynamics`).
    Dynamics(Vec<Bar<DynamicCell>>),
    /// `= with lead` and the like.
    Instruction(Spanned<Instruction>),
}

/// What follows `=` in a row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Instruction {
    /// `play PATTERN`: the pattern again and again, to the end of the section.
    Play(Spanned<String>),
    /// `with PART`: the same notes as that part.
    With(Spanned<String>),
    /// `strum PATTERN`: the pattern's strokes with two notes of the current chord.
    Strum(Spanned<String>),
    /// `under PART`: a harmony line below that part.
    Under(Spanned<String>),
    /// `over PART`: a harmony line above that part.
    Over(Spanned<String>),
    /// `rest`.
    Rest,
    /// It could not be understood; its finding has been made.
    Broken,
}

/// A bar of a row.
#[derive(Clone, Debug)]
pub struct Bar<C> {
    /// Everything between the bar lines, without the white space at both ends (an empty span in an empty bar).
    pub span: Span,
    /// `7:` first in the bar says that it has seven cells on purpose; the number, and where it is written.
    pub meant: Option<Spanned<usize>>,
    /// What it holds.
    pub content: BarContent<C>,
}

/// What a bar holds.
#[derive(Clone, Debug)]
pub enum BarContent<C> {
    /// Cells of equal length; at least one.
    Cells(Vec<C>),
    /// `%`: the bar before, again.
    Again,
    /// It could not be understood as a whole; its finding has been made. Counts as a bar.
    Broken,
}

/// A cell of a part's row.
#[derive(Clone, Debug)]
pub struct Cell {
    /// Where it is written.
    pub span: Span,
    /// What shares the cell evenly; mostly one.
    pub slots: Slots,
}

/// What shares a cell.
#[derive(Clone, Debug)]
pub enum Slots {
    /// The whole cell.
    One(Slot),
    /// `A5/B5`: two or more, of equal length.
    Many(Box<[Spanned<Slot>]>),
}

/// One slice of time.
#[derive(Clone, Debug)]
pub enum Slot {
    /// `.`: no stroke.
    Rest,
    /// `-`: the note goes on sounding.
    Hold,
    /// `~`: the note goes on as a roll.
    Roll,
    /// A stroke begins.
    Strike(Strike),
    /// It could not be understood; its finding has been made. Counts as a rest.
    Broken,
}

/// A stroke as written.
#[derive(Clone, Debug)]
pub struct Strike {
    /// What is struck.
    pub notes: Notes,
    /// `>` after it, or the mark `X`.
    pub accent: bool,
    /// `'` after it.
    pub damped: bool,
    /// `L` or `R` after a note: the stick that strikes the first note (of two, the other stick strikes the other).
    pub stick: Option<Stick>,
}

/// What a stroke strikes.
#[derive(Clone, Debug)]
pub enum Notes {
    /// One note or percussion stroke.
    One(Written),
    /// `G4+B4`: both sticks together; two or more (it is for `check` to say that a player has two sticks).
    Together(Box<[Spanned<Written>]>),
}

/// A note or percussion stroke as written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Written {
    /// `G4`.
    Note(NoteName),
    /// `G`: in whichever octave suits the line.
    Tone(Tone),
    /// `5`: of the current chord, in whichever octave suits the line.
    Degree(Degree),
    /// `x`, `X`, `o`, `s`; the accent of `X` is in [`Strike::accent`].
    Mark(Mark),
}

/// A stick, by its letter.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Stick {
    /// The left one.
    L,
    /// The right one.
    R,
}

impl Stick {
    /// Its letter in the notation.
    pub fn to_char(self) -> char {
        match self {
            Stick::L => 'L',
            Stick::R => 'R',
        }
    }

    /// The other one.
    pub fn other(self) -> Stick {
        match self {
            Stick::L => Stick::R,
            Stick::R => Stick::L,
        }
    }
}

/// A percussion stroke.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Mark {
    /// `x` (`X` with an accent): the ordinary stroke.
    Stroke,
    /// `o`: open, long.
    Open,
    /// `s`: slap.
    Slap,
}

impl Mark {
    /// The letter in the notation.
    pub fn to_char(self) -> char {
        match self {
            Mark::Stroke => 'x',
            Mark::Open => 'o',
            Mark::Slap => 's',
        }
    }
}

/// A cell of the row `chords`.
#[derive(Clone, Debug)]
pub struct ChordCell {
    /// Where it is written.
    pub span: Span,
    /// What it says.
    pub kind: ChordCellKind,
}

/// What a cell of the row `chords` says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ChordCellKind {
    /// A chord symbol.
    Chord(Chord),
    /// `-`: the chord holds.
    Hold,
    /// `N.C.`: no chord.
    None,
    /// It could not be understood; its finding has been made. Counts as a hold.
    Broken,
}

/// A cell of the row `dynamics`.
#[derive(Clone, Debug)]
pub struct DynamicCell {
    /// Where it is written.
    pub span: Span,
    /// What it says.
    pub kind: DynamicCellKind,
}

/// What a cell of the row `dynamics` says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DynamicCellKind {
    /// A mark from `pp` to `ff`.
    Mark(Dynamic),
    /// `<`: getting louder until the next mark.
    Growing,
    /// `>`: getting softer until the next mark.
    Falling,
    /// `-`: goes on.
    Hold,
    /// It could not be understood; its finding has been made. Counts as a hold.
    Broken,
}

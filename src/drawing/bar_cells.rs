//! Bars as a sheet shows them: the cells of each row, and stretches of bars that come again.

use super::count::Beat;
use crate::music::Length;
use crate::notation::tree::Stick;

/// Bars of a section, and how often they are played in a row there.
#[derive(Clone, Debug, PartialEq)]
pub struct Passage {
    /// The bars; at least one.
    pub bars: Vec<BarCells>,
    /// How often; 1 mostly.
    pub times: usize,
}

/// A bar.
#[derive(Clone, Debug, PartialEq)]
pub struct BarCells {
    /// Its number in the section, from 0.
    pub number: usize,
    /// When it begins, from the start of the section.
    pub start: Length,
    /// How long it is.
    pub length: Length,
    /// Its beats with their count.
    pub beats: Vec<Beat>,
    /// The cells of each row, in order: as many as the beats have counts. A row for each part, at least one.
    pub rows: Vec<Vec<Cell>>,
    /// Chord names, each where it begins, from the start of the bar; `N.C.` where there is no chord any more.
    pub chords: Vec<(Length, String)>,
    /// The cue or the words of the bar.
    pub words: Option<String>,
    /// Dynamics, each where it begins, from the start of the bar.
    pub dynamics: Vec<(Length, String)>,
}

impl BarCells {
    /// The cells of all rows.
    pub fn cells(&self) -> impl Iterator<Item = &Cell> {
        self.rows.iter().flatten()
    }
}

/// A cell.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// Nothing sounds.
    Rest,
    /// A stroke.
    Struck {
        /// What is struck: note names from the lowest up, or the letter of a percussion stroke.
        names: Vec<Name>,
        /// Whether it is accented.
        accent: bool,
        /// Whether it is damped.
        damped: bool,
        /// Whether it is rolled.
        rolled: bool,
        /// Whether it goes on in the next cell.
        on: bool,
    },
    /// The stroke before goes on.
    Held {
        /// Whether it is rolled.
        rolled: bool,
        /// Whether it goes on in the next cell.
        on: bool,
    },
}

/// A name in a cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Name {
    /// Note letter with sharp or flat, or the letter of a stroke.
    pub text: String,
    /// The octave; empty for percussion.
    pub octave: String,
    /// The MIDI key; `None` for percussion.
    pub key: Option<u8>,
    /// Whether the pan has it.
    pub there: bool,
    /// The stick that strikes it, if that is shown.
    pub stick: Option<Stick>,
}

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

impl Passage {
    /// The bars as often as they are played; what is said about them is said the first time.
    pub fn played_out(&self) -> Vec<BarCells> {
        let all = self.bars.iter().fold(Length::ZERO, |all, bar| all + bar.length);
        let again = |(time, bar): (usize, &BarCells)| BarCells {
            number: bar.number + time * self.bars.len(),
            start: bar.start + all * time as i64,
            words: bar.words.clone().filter(|_| time == 0),
            dynamics: if time == 0 { bar.dynamics.clone() } else { Vec::new() },
            ..bar.clone()
        };
        (0..self.times).flat_map(|time| self.bars.iter().map(move |bar| (time, bar))).map(again).collect()
    }
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

    /// How many cells each row has.
    pub fn columns(&self) -> usize {
        self.beats.iter().map(|beat| beat.starts.len()).sum()
    }

    /// Whether nothing sounds in it.
    pub fn is_rest(&self) -> bool {
        self.cells().all(|cell| *cell == Cell::Rest)
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

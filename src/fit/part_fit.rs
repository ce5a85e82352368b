//! A fitted part: its line, and where each stroke goes.

use std::collections::BTreeMap;

use super::line::{Line, Placed};
use super::octaves::{Moved, Octave, Terms};

/// A fitted part.
#[derive(Clone, Debug)]
pub struct PartFit {
    /// The part's number.
    pub part: usize,
    /// Its strokes as written, and where they are played.
    pub line: Line,
    /// By how many octaves each moves, after the change of key.
    pub moved: Vec<Moved>,
    /// What it costs.
    pub terms: Terms,
}

impl PartFit {
    /// How many written notes move by how many octaves.
    pub fn moves(&self) -> BTreeMap<i32, usize> {
        let mut moves = BTreeMap::new();
        for (placed, moved) in self.strokes() {
            let Some((top, low)) = moved else { continue };
            let (top_octave, low_octave) = placed.written.octaves;
            let low = placed.written.low.map(|_| (low, low_octave));
            let all = [Some((top, top_octave)), low].into_iter().flatten();
            for (octaves, _) in all.filter(|(octaves, octave)| *octaves != 0 && *octave == Octave::Moves) {
                *moves.entry(octaves).or_insert(0) += 1;
            }
        }
        moves
    }

    /// How many strokes have an octave that is open.
    pub fn open(&self) -> usize {
        self.line.strokes.iter().filter(|placed| placed.written.is_open()).count()
    }

    /// The strokes with a note that the pans have in no octave.
    pub fn missing(&self) -> impl Iterator<Item = &Placed> {
        self.strokes().filter(|(_, moved)| moved.is_none()).map(|(placed, _)| placed)
    }

    /// The strokes, and how they move.
    pub fn strokes(&self) -> impl Iterator<Item = (&Placed, Moved)> {
        self.line.strokes.iter().zip(self.moved.iter().copied())
    }
}

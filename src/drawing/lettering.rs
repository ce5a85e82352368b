//! How large names stand in cells, and how wide cells have to be for them. Units are points (1/72 inch).

use super::font::Weight;
use super::picture::SMALL;
use super::rows::{BarCells, Cell, Name};

/// The letters of names in cells.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Letters {
    /// The largest, which are taken where the cell is wide enough.
    name: f64,
    /// The letters of percussion strokes, which are small ones.
    mark: f64,
    /// The least that can be read.
    least: f64,
    /// The size of octaves, as a share of the names'.
    pub octave: f64,
    /// Whether cells are as wide as the widest name in their bar in the largest letters; else of one width in all bars.
    by_name: bool,
}

/// On a screen: cells are narrow, since a phone is, and what is written in them is heard as well.
pub const SCREEN: Letters = Letters { name: 9.5, mark: 9.5, least: 6.5, octave: SMALL, by_name: false };

/// On paper: every name in the same letters, and octaves of 8 points at least.
pub const PRINT: Letters = Letters { name: 9.5, mark: 11.5, least: 4.0, octave: 8.0 / 9.5, by_name: true };

/// The least width of a cell, for notes and for percussion letters: on a screen a name of three signs in the least letters.
const LEAST_CELL: (f64, f64) = (12.5, 8.5);

/// Room beside a name in its cell.
const BESIDE: f64 = 2.6;

impl Letters {
    /// The least width of the cells of a bar. All have one width.
    fn cell(&self, bar: &BarCells) -> f64 {
        let struck = || {
            bar.cells().filter_map(|cell| match cell {
                Cell::Struck { names, damped, .. } => Some(names.iter().map(|name| (name, *damped))),
                _ => None,
            })
        };
        let percussion = struck().flatten().all(|(name, _)| name.key.is_none());
        let least = if percussion { LEAST_CELL.1 } else { LEAST_CELL.0 };
        if !self.by_name {
            return least;
        }
        let widest = struck().flatten().map(|(name, damped)| self.largest(name) * self.ems(name, &small(name, damped)));
        widest.map(|wide| wide + BESIDE).fold(least, f64::max)
    }

    /// The least width that a bar can be read in. All its cells are of one width, so that a beat with more strokes is drawn wider: the
    /// count over the cells tells the time.
    pub fn bar(&self, bar: &BarCells) -> f64 {
        bar.columns() as f64 * self.cell(bar)
    }

    /// How large a name is written in a cell of a width.
    pub fn size(&self, name: &Name, small: &str, wide: f64) -> f64 {
        // A hair is given away, so that a cell that was made for the name has room for it.
        ((wide - BESIDE + 0.01) / self.ems(name, small)).clamp(self.least, self.largest(name))
    }

    fn largest(&self, name: &Name) -> f64 {
        if name.key.is_some() { self.name } else { self.mark }
    }

    /// How wide a name is in letters of one unit.
    fn ems(&self, name: &Name, small: &str) -> f64 {
        Weight::Bold.width(&name.text) + self.octave * Weight::Bold.width(small)
    }
}

/// What stands after a name in smaller letters: its octave, and the sign of damping.
pub fn small(name: &Name, damped: bool) -> String {
    format!("{}{}", name.octave, if damped { "'" } else { "" })
}

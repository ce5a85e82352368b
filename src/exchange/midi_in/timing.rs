//! Ticks as musical time: those of written music exactly, those of played music on plain cells or on a grid (see `scatter`), and
//! where a note is meant to end when a finger let go of it.

use std::collections::{BTreeMap, BTreeSet};

use num_rational::Ratio;

use super::scatter::{Cells, most, near_end};
use crate::exchange::lost::{Lost, Weight, Where};
use crate::exchange::quantise::{Grid, written};
use crate::exchange::score::measure_at;
use crate::midi::file::Note;
use crate::music::Length;
use crate::text::words;

/// The shortest note that a file without any length gets: a sixteenth.
const SHORTEST: (i64, i64) = (1, 4);

/// The pieces of a quarter in which written notes end wherever they begin: sixteenths, and triplets.
const USUAL_ENDS: [i64; 2] = [4, 3];

/// A note that ends in the last fourth of its way to the next stroke is meant to last until then, and so is one that goes on
/// beyond that stroke by less than two fifths (common practice, no source: players let go of keys early, or bind them).
const EARLY: (i64, i64) = (1, 4);
const LATE: (i64, i64) = (2, 5);

/// How far notes are from the grid on average, in quarters, when they do not keep to its beat: notes at random times are 0.049 from
/// sixteenths and triplets. With only a few notes nothing is reported.
const OFF_BEAT: f64 = 0.04;
const ENOUGH: usize = 16;

/// How ticks become musical time.
pub struct Timing {
    ticks: u16,
    way: Way,
    /// Whether the grid was chosen here, not asked for.
    chosen: bool,
    /// When each note begins.
    starts: Vec<Length>,
    /// Into how many pieces of a quarter the beginnings of notes fall.
    pieces: BTreeSet<i64>,
}

/// What decides where a tick belongs.
enum Way {
    /// A grid onto which everything is moved.
    Grid(Grid),
    /// The cells of written music, which the ticks are, or lie near to.
    Cells(Cells),
}

impl Timing {
    /// The timing of a file's notes. `asked`: the grid, if one is asked for.
    pub fn of(notes: &[Note], ticks: u16, asked: Option<&Grid>) -> Timing {
        let cells = if asked.is_none() { Cells::of(notes, ticks) } else { None };
        let (way, starts) = cells.map_or_else(
            || {
                let grid = asked.cloned().unwrap_or_default();
                let starts = notes.iter().map(|note| grid.nearest(exact(note.tick, ticks))).collect();
                (Way::Grid(grid), starts)
            },
            |(cells, starts)| (Way::Cells(cells), starts),
        );
        let pieces = starts.iter().map(|at: &Length| *at.ratio().denom()).collect();
        Timing { ticks, way, chosen: asked.is_none(), starts, pieces }
    }

    /// The grid that everything is moved onto, if there is one.
    fn grid(&self) -> Option<&Grid> {
        match &self.way {
            Way::Grid(grid) => Some(grid),
            Way::Cells(_) => None,
        }
    }

    /// The musical time of a tick at which no note begins.
    pub fn at(&self, tick: u64) -> Length {
        match &self.way {
            Way::Grid(grid) => grid.nearest(self.exact(tick)),
            Way::Cells(cells) => cells.at(tick),
        }
    }

    /// When each note begins, and how long it is.
    pub fn places(&self, notes: &[Note]) -> Vec<(Length, Length)> {
        // When something is struck, by track and channel; the notes rise by tick, and so do their places.
        let mut struck: BTreeMap<(usize, u8), Vec<(u64, Length)>> = BTreeMap::new();
        for (note, at) in notes.iter().zip(&self.starts) {
            let starts = struck.entry((note.track, note.channel)).or_default();
            if starts.last().is_none_or(|(tick, _)| *tick != note.tick) {
                starts.push((note.tick, *at));
            }
        }
        let of = |(number, note): (usize, &Note)| self.place(number, note, &struck[&(note.track, note.channel)]);
        notes.iter().enumerate().map(of).collect()
    }

    /// When a note begins, and how long it is; `number`: its place among the notes; `struck`: when something is struck on its
    /// channel.
    ///
    /// An end that is not a written one comes from a finger, not from a note value. Where it comes a little before or after the next
    /// stroke, the note is meant to last until then.
    fn place(&self, number: usize, note: &Note, struck: &[(u64, Length)]) -> (Length, Length) {
        let at = self.starts[number];
        let end = self.at_stroke(number, note, struck).or_else(|| self.written_end(number, note));
        let end = end.unwrap_or_else(|| self.end(at, self.exact(note.tick + note.length), struck));
        let shortest = self.grid().map_or_else(|| Length::quarters(SHORTEST.0, SHORTEST.1), Grid::piece);
        if end > at { (at, end - at) } else { (at, shortest) }
    }

    /// The place of the stroke with which a note ends: on its tick, or near it where ends scatter as beginnings do.
    fn at_stroke(&self, number: usize, note: &Note, struck: &[(u64, Length)]) -> Option<Length> {
        let Way::Cells(_) = &self.way else { return None };
        let (tick, at) = (note.tick + note.length, self.starts[number]);
        let later = &struck[struck.partition_point(|(_, start)| *start <= at)..];
        if let Ok(stroke) = later.binary_search_by_key(&tick, |(tick, _)| *tick) {
            return Some(later[stroke].1);
        }
        let end = self.exact(tick);
        let (_, near) = later.get(later.partition_point(|(_, start)| *start + most() < end))?;
        (distance(*near, end) <= most() && self.scatters(number, note)).then_some(*near)
    }

    /// The end of a note of written music: one of the usual pieces of a quarter, or half a piece in which notes begin. `number`: its
    /// place among the notes.
    pub fn written_end(&self, number: usize, note: &Note) -> Option<Length> {
        let Way::Cells(_) = &self.way else { return None };
        let tick = note.tick + note.length;
        let pieces = USUAL_ENDS.into_iter().chain(self.pieces.iter().map(|piece| 2 * piece));
        if self.scatters(number, note) {
            return near_end(self.exact(tick), pieces);
        }
        let divides = |end: &Length| pieces.clone().any(|pieces| pieces % *end.ratio().denom() == 0);
        written(tick, self.ticks).filter(divides)
    }

    /// Whether a note's end may lie as far from where it is meant to be as its beginning may.
    fn scatters(&self, number: usize, note: &Note) -> bool {
        let Way::Cells(cells) = &self.way else { return false };
        !cells.exact || distance(self.exact(note.tick), self.starts[number]) > self.half_a_tick()
    }

    /// Where a note is meant to end that a finger let go.
    fn end(&self, at: Length, end: Length, struck: &[(u64, Length)]) -> Length {
        let from = |place: usize| struck.get(place).map(|(_, start)| *start);
        let next = from(struck.partition_point(|(_, start)| *start <= at));
        let until_next = next.filter(|next| {
            let whole = (*next - at).ratio();
            // Played notes may begin early as well, by less than the grid's shortest piece.
            let early = self.grid().map_or_else(|| 0.into(), |grid| grid.piece().ratio() * Ratio::new(2, 3));
            let (off, (above, below)) = if end > *next { (end - *next, LATE) } else { (*next - end, EARLY) };
            off.ratio() <= (whole * Ratio::new(above, below)).max(early)
        });
        // Of an end that leaves notes between, the next after it.
        let after = from(struck.partition_point(|(_, start)| *start < end));
        let near = after.filter(|after| *after - end < self.piece());
        let usual = Grid::default();
        until_next.or(near).unwrap_or_else(|| self.grid().unwrap_or(&usual).nearest(end))
    }

    /// The shortest piece of the grid.
    fn piece(&self) -> Length {
        self.grid().map_or_else(|| Grid::default().piece(), Grid::piece)
    }

    fn half_a_tick(&self) -> Length {
        Length::quarters(1, 2 * i64::from(self.ticks))
    }

    fn exact(&self, tick: u64) -> Length {
        exact(tick, self.ticks)
    }

    /// Reports what was moved.
    pub fn tell(&self, notes: &[Note], placed: &[(Length, Length)], starts: &[Length], lost: &mut Lost) {
        let half_a_tick = self.half_a_tick();
        let (mut furthest, mut moved_in_all) = (Length::ZERO, 0.0);
        let (mut begins, mut ends) = (0usize, 0usize);
        let mut first = None;
        for (number, (note, (at, length))) in notes.iter().zip(placed).enumerate() {
            let moved = distance(self.exact(note.tick), *at);
            moved_in_all += moved.as_f64();
            if moved > half_a_tick {
                begins += 1;
                furthest = furthest.max(moved);
                first.get_or_insert(*at);
            }
            // Of an end that scatters as beginnings do nothing more is told.
            let little = if self.scatters(number, note) { most() } else { half_a_tick };
            ends += usize::from(distance(self.exact(note.tick + note.length), *at + *length) > little);
        }
        let nowhere = Where { part: "", measure: "", span: None };
        if self.chosen && notes.len() >= ENOUGH && moved_in_all > OFF_BEAT * notes.len() as f64 {
            let what = "the notes do not lie on the beats of the file's tempo, as if it was played without a click: their rhythm \
                        can't be read from it; play it again to a click, or set the tempo to what was played";
            lost.tell(Weight::Heard, what, nowhere);
        }
        if begins > 0 {
            let measure = first.map_or(0, |at| measure_at(starts, at)).to_string();
            let what = self.moved(begins, notes.len(), furthest);
            lost.tell(Weight::Otherwise, what, Where { measure: &measure, ..nowhere });
        }
        if ends > 0 {
            let what = format!(
                "{ends} of {} notes end elsewhere, on the nearest note value or with the next note",
                notes.len()
            );
            lost.tell(Weight::Otherwise, what, nowhere);
        }
    }

    /// What to report about notes that begin elsewhere now.
    fn moved(&self, moved: usize, all: usize, furthest: Length) -> String {
        let most = furthest.as_f64();
        let how = if self.chosen { "; another grid can be asked for with `--grid`" } else { "" };
        match &self.way {
            Way::Grid(grid) => {
                format!(
                    "{moved} of {all} notes begin elsewhere on the grid {grid}, at most {most:.3} of a quarter note away{how}"
                )
            }
            Way::Cells(_) => {
                let (lie, are) = if moved == 1 { ("lies", "is") } else { ("lie", "are") };
                let ticks = (furthest.ratio() * i64::from(self.ticks)).round();
                let ticks = words::count(ticks.to_integer().unsigned_abs() as usize, "tick");
                format!(
                    "{moved} of {all} notes {lie} a little off the cells of the beat and {are} moved onto them, by at most {ticks} \
                     ({most:.3} of a quarter note){how}"
                )
            }
        }
    }
}

fn exact(tick: u64, ticks: u16) -> Length {
    Length::quarters(tick as i64, i64::from(ticks))
}

fn distance(a: Length, b: Length) -> Length {
    if a > b { a - b } else { b - a }
}

#[cfg(test)]
#[path = "timing_tests.rs"]
mod tests;

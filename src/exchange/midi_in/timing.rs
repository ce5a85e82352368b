//! Ticks as musical time: those of written music exactly, those of played music on a grid, with what a finger means by the end
//! of a note.

use std::collections::{BTreeMap, BTreeSet};

use num_rational::Ratio;

use crate::exchange::lost::{Lost, Weight, Where};
use crate::exchange::quantise::{Grid, written};
use crate::exchange::score::measure_at;
use crate::midi::file::Note;
use crate::music::Length;

/// How many of a hundred beginnings must be written ones, so that a file counts as written.
const WRITTEN_PERCENT: usize = 95;

/// The shortest note that a file without any length gets: a sixteenth.
const SHORTEST: (i64, i64) = (1, 4);

/// The pieces of a quarter in which written notes end wherever they begin: sixteenths, and triplets.
const USUAL_ENDS: [i64; 2] = [4, 3];

/// A note that ends within a fourth of its way before the next stroke is meant to last until then, and so is one that goes on
/// beyond that stroke by less than two fifths (common practice, no source: keys are let go early, or bound).
const EARLY: (i64, i64) = (1, 4);
const LATE: (i64, i64) = (2, 5);

/// How far off the grid notes are on the average when they do not keep to its beat, in quarters: notes at any time are 0.049 off
/// sixteenths and triplets. With fewer notes nothing is said.
const OFF_BEAT: f64 = 0.04;
const ENOUGH: usize = 16;

/// How ticks become musical time.
pub struct Timing {
    ticks: u16,
    /// The grid that everything is moved onto; `None` when the ticks are those of written music.
    grid: Option<Grid>,
    /// Whether the grid was chosen here, not asked for.
    chosen: bool,
    /// Into how many pieces of a quarter the beginnings of notes fall.
    pieces: BTreeSet<i64>,
}

impl Timing {
    /// The timing of a file's notes. `asked`: the grid, if one is asked for.
    pub fn of(notes: &[Note], ticks: u16, asked: Option<&Grid>) -> Timing {
        let exact: Vec<Length> = notes.iter().filter_map(|note| written(note.tick, ticks)).collect();
        let played = exact.len() * 100 < notes.len() * WRITTEN_PERCENT;
        let grid = asked.cloned().or_else(|| played.then(Grid::default));
        let pieces = exact.iter().map(|at| *at.ratio().denom()).collect();
        Timing { ticks, grid, chosen: asked.is_none(), pieces }
    }

    /// The musical time of a tick.
    pub fn at(&self, tick: u64) -> Length {
        let exact = self.exact(tick);
        match &self.grid {
            Some(grid) => grid.nearest(exact),
            None => written(tick, self.ticks).unwrap_or_else(|| {
                let pieces = (exact.ratio() * 48).round().to_integer();
                Length::quarters(pieces, 48)
            }),
        }
    }

    /// When each note begins, and how long it is.
    pub fn places(&self, notes: &[Note]) -> Vec<(Length, Length)> {
        // When something is struck, by track and channel; the notes rise by tick, and so do their places.
        let mut struck: BTreeMap<(usize, u8), Vec<Length>> = BTreeMap::new();
        for note in notes {
            let starts = struck.entry((note.track, note.channel)).or_default();
            let at = self.at(note.tick);
            if starts.last() != Some(&at) {
                starts.push(at);
            }
        }
        notes.iter().map(|note| self.place(note, &struck[&(note.track, note.channel)])).collect()
    }

    /// When a note begins, and how long it is; `struck`: when something is struck on its channel.
    ///
    /// An end that is no written one is that of a finger, not of a note value. Where it comes a little before or after the next
    /// stroke, the note is meant to last until then.
    fn place(&self, note: &Note, struck: &[Length]) -> (Length, Length) {
        let at = self.at(note.tick);
        let tick = note.tick + note.length;
        let end = self.written_end(tick).unwrap_or_else(|| self.end(at, self.exact(tick), struck));
        let shortest = if self.grid.is_some() { self.piece() } else { Length::quarters(SHORTEST.0, SHORTEST.1) };
        if end > at { (at, end - at) } else { (at, shortest) }
    }

    /// The end of a note of written music: one of the usual pieces of a quarter, or half a piece in which notes begin.
    pub fn written_end(&self, tick: u64) -> Option<Length> {
        let end = written(tick, self.ticks).filter(|_| self.grid.is_none())?;
        let denominator = *end.ratio().denom();
        let usual = USUAL_ENDS.iter().any(|pieces| pieces % denominator == 0)
            || self.pieces.iter().any(|piece| 2 * piece % denominator == 0);
        usual.then_some(end)
    }

    /// What is meant by a finger's end.
    fn end(&self, at: Length, end: Length, struck: &[Length]) -> Length {
        let next = struck.get(struck.partition_point(|start| *start <= at)).copied();
        let until_next = next.filter(|next| {
            let whole = (*next - at).ratio();
            // Played notes may begin early as well, by less than the grid's shortest piece.
            let early = self.grid.as_ref().map_or_else(|| 0.into(), |grid| grid.piece().ratio() * Ratio::new(2, 3));
            let (off, (above, below)) = if end > *next { (end - *next, LATE) } else { (*next - end, EARLY) };
            off.ratio() <= (whole * Ratio::new(above, below)).max(early)
        });
        // Of an end that leaves notes between, the next after it.
        let after = struck.get(struck.partition_point(|start| *start < end)).copied();
        let near = after.filter(|after| *after - end < self.piece());
        let usual = Grid::default();
        until_next.or(near).unwrap_or_else(|| self.grid.as_ref().unwrap_or(&usual).nearest(end))
    }

    /// The shortest piece of the grid.
    fn piece(&self) -> Length {
        self.grid.as_ref().map_or_else(|| Grid::default().piece(), Grid::piece)
    }

    fn exact(&self, tick: u64) -> Length {
        Length::quarters(tick as i64, i64::from(self.ticks))
    }

    /// Tells what was moved.
    pub fn tell(&self, notes: &[Note], placed: &[(Length, Length)], starts: &[Length], lost: &mut Lost) {
        let half_a_tick = Length::quarters(1, 2 * i64::from(self.ticks));
        let off = |a: Length, b: Length| if a > b { a - b } else { b - a };
        let (mut furthest, mut moved_in_all) = (Length::ZERO, 0.0);
        let (mut begins, mut ends) = (0usize, 0usize);
        let mut first = None;
        for (note, (at, length)) in notes.iter().zip(placed) {
            let moved = off(self.exact(note.tick), *at);
            moved_in_all += moved.as_f64();
            if moved > half_a_tick {
                begins += 1;
                furthest = furthest.max(moved);
                first.get_or_insert(*at);
            }
            ends += usize::from(off(self.exact(note.tick + note.length), *at + *length) > half_a_tick);
        }
        if self.chosen && notes.len() >= ENOUGH && moved_in_all > OFF_BEAT * notes.len() as f64 {
            let what = "the notes do not lie on the beats of the file's tempo, as if it was played without a click: their rhythm \
                        can't be read from it; play it again to a click, or set the tempo to what was played";
            lost.tell(Weight::Heard, what, Where { part: "", measure: "", span: None });
        }
        if begins > 0 {
            let measure = first.map_or(0, |at| measure_at(starts, at)).to_string();
            let (all, most) = (notes.len(), furthest.as_f64());
            let grid = self.grid.as_ref().map_or_else(|| "192".to_owned(), ToString::to_string);
            let how = if self.chosen { "; another grid can be asked for with `--grid`" } else { "" };
            let what = format!(
                "{begins} of {all} notes begin elsewhere on the grid {grid}, at most {most:.3} of a quarter note away{how}"
            );
            lost.tell(Weight::Otherwise, what, Where { part: "", measure: &measure, span: None });
        }
        if ends > 0 {
            let what = format!(
                "{ends} of {} notes end elsewhere, on the nearest note value or with the next note",
                notes.len()
            );
            lost.tell(Weight::Otherwise, what, Where { part: "", measure: "", span: None });
        }
    }
}

#[cfg(test)]
#[path = "timing_tests.rs"]
mod tests;

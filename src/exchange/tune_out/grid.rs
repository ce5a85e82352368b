//! How many cells a bar has, and which of them are divided: the simplest cells that are exact.
//!
//! Players count beats, so cells that meet the beats are tried first; an odd ornament divides its own cell with `/` and leaves the
//! others as they are.

use num_integer::Integer;
use num_rational::Ratio;

use crate::music::{Length, Meter};
use crate::notation::limits::{MAX_CELLS, MAX_SLOTS};

/// What cells cost, in quarters of a plain cell. Our own setting: a row of plain cells is easier to count than divided ones.
const PLAIN: usize = 4;
/// Cells that do not meet the beats, together.
const ACROSS: usize = 16;
/// A cell that `/` divides, besides its pieces.
const PARTED: usize = 4;
/// Each piece of it.
const PIECE: usize = 5;
/// How much more it costs from three pieces on.
const THREE: usize = 2;
/// Each piece beyond three: many pieces are no cell any more.
const MANY: usize = 6;
/// How much more it costs if nothing is struck at its pieces, and only something ends.
const ENDS: usize = 12;

/// A bar that is to be cut.
#[derive(Clone, Copy, Debug)]
pub struct Shape {
    /// How long it is; shorter than its meter's bar in a pickup.
    pub length: Length,
    /// Its meter.
    pub meter: Meter,
    /// Whether its beats are swung. Notes on the halves and quarters of a beat are then kept out of cells that cut the beat in
    /// thirds, since those are played straight.
    pub swings: bool,
}

/// Where something goes on in a bar, as fractions of the bar.
#[derive(Clone, Copy, Debug)]
pub struct Span {
    /// From when.
    pub from: Ratio<i64>,
    /// Until when.
    pub to: Ratio<i64>,
    /// Whether it is struck there, and does not go on from before.
    pub struck: bool,
}

/// The cheapest cells whose edges, or whose pieces' edges, meet all cuts: for each cell, how many pieces it has.
/// `None` when nothing within the limits is exact.
pub fn grid(shape: &Shape, cuts: &[Ratio<i64>], spans: &[Span]) -> Option<Vec<usize>> {
    let beats = (shape.swings && !shape.meter.is_compound()).then(|| Beats::of(shape));
    let swinging = beats.and_then(|beats| cheapest(shape, cuts, spans, |cells| beats.swing(spans, cells)));
    swinging.or_else(|| cheapest(shape, cuts, spans, |_| true))
}

/// Where the pieces of cells begin, as fractions of the bar.
pub fn edges(cells: &[usize]) -> impl Iterator<Item = Ratio<i64>> + '_ {
    let count = cells.len() as i64;
    let of = move |(cell, parts): (usize, &usize)| {
        let parts = *parts as i64;
        (0..parts).map(move |part| Ratio::new(cell as i64 * parts + part, count * parts))
    };
    cells.iter().enumerate().flat_map(of)
}

fn cheapest(
    shape: &Shape,
    cuts: &[Ratio<i64>],
    spans: &[Span],
    is_fine: impl Fn(&[usize]) -> bool,
) -> Option<Vec<usize>> {
    let mut best: Option<(usize, Vec<usize>)> = None;
    for count in counts(cuts, shape) {
        if best.as_ref().is_some_and(|(cost, _)| count * PLAIN >= *cost) {
            break;
        }
        let Some(cells) = parted(cuts, count) else { continue };
        let across = if meets(&cells, shape) { 0 } else { ACROSS };
        let cost = across + cost(&cells, spans);
        if best.as_ref().is_none_or(|(least, _)| cost < *least) && is_fine(&cells) {
            best = Some((cost, cells));
        }
    }
    best.map(|(_, cells)| cells)
}

fn cost(cells: &[usize], spans: &[Span]) -> usize {
    let count = Ratio::from_integer(cells.len() as i64);
    let mut struck = vec![false; cells.len()];
    for place in spans.iter().filter(|span| span.struck).map(|span| span.from * count) {
        let cell = usize::try_from(place.to_integer()).ok().and_then(|cell| struck.get_mut(cell));
        if let Some(cell) = cell.filter(|_| !place.is_integer()) {
            *cell = true;
        }
    }
    let of = |(pieces, struck): (&usize, &bool)| {
        let many = match *pieces {
            1 => return PLAIN,
            2 => 0,
            more => THREE + MANY * (more - 3),
        };
        PARTED + PIECE * pieces + many + if *struck { 0 } else { ENDS }
    };
    cells.iter().zip(&struck).map(of).sum()
}

/// Whether all beats begin with a cell, and a beat of three is divided in three; or all cells begin with a beat, and none is divided.
/// In a bar that is no whole number of beats all cells count as meeting the beats.
fn meets(cells: &[usize], shape: &Shape) -> bool {
    let beats = shape.length.per(shape.meter.beat());
    let a_beat = Ratio::from_integer(cells.len() as i64) / beats;
    let parted = a_beat.is_integer()
        && (!shape.meter.is_compound() || a_beat == 1.into() || (a_beat / Ratio::from_integer(3)).is_integer());
    let whole = a_beat.recip().is_integer() && cells.iter().all(|pieces| *pieces == 1);
    !beats.is_integer() || parted || whole
}

/// How many cells are worth trying, rising: the divisors of the least number of equal cells that is exact and meets the beats,
/// if that is within limits; all numbers else.
fn counts(cuts: &[Ratio<i64>], shape: &Shape) -> Vec<usize> {
    let beats = shape.length.per(shape.meter.beat());
    let beats = if beats.is_integer() { beats.to_integer() } else { 1 };
    let counted = if shape.meter.is_compound() { 3 * beats } else { beats };
    let exact = cuts.iter().try_fold(counted, |all, cut| {
        (all / all.gcd(cut.denom())).checked_mul(*cut.denom()).filter(|all| *all <= 1 << 40)
    });
    let divides = |count: &usize| exact.is_none_or(|exact| exact % *count as i64 == 0);
    (1..=MAX_CELLS).filter(divides).collect()
}

/// How many pieces each of `count` cells has; `None` when that is too many.
fn parted(cuts: &[Ratio<i64>], count: usize) -> Option<Vec<usize>> {
    let mut cells = vec![1i64; count];
    for cut in cuts {
        let place = *cut * Ratio::from_integer(count as i64);
        let cell = usize::try_from(place.to_integer()).ok().filter(|cell| *cell < count);
        let Some(cell) = cell else { continue };
        let within = place.fract();
        let all = cells[cell].lcm(within.denom());
        if all > MAX_SLOTS as i64 {
            return None;
        }
        cells[cell] = all;
    }
    Some(cells.into_iter().map(|pieces| pieces.unsigned_abs() as usize).collect())
}

/// The beats of a bar that is swung, as fractions of the bar.
#[derive(Clone, Copy, Debug)]
struct Beats {
    /// How long a beat is.
    beat: Ratio<i64>,
    /// Where the first whole beat begins: not 0 after a pickup of part of a beat.
    offset: Ratio<i64>,
}

impl Beats {
    fn of(shape: &Shape) -> Beats {
        let (beat, length) = (shape.meter.beat(), shape.length);
        Beats { beat: beat.per(length), offset: (beat * length.per(beat).fract()).per(length) }
    }

    /// Whether a length is a third of a beat, a sixth and so on: cells of it are played straight.
    fn in_thirds(self, length: Ratio<i64>) -> bool {
        (length / self.beat).denom() % 3 == 0
    }

    /// Whether something at this time is bent by the swing, so that no straight cell may say it.
    fn bends(self, at: Ratio<i64>) -> bool {
        let beats = (at - self.offset) / self.beat;
        !beats.is_integer() && beats.denom() % 3 != 0
    }

    /// Whether cells let everything begin and end where the swing has it: the cell in which a note begins decides whether both are
    /// straight.
    fn swing(self, spans: &[Span], cells: &[usize]) -> bool {
        let count = cells.len() as i64;
        let is_straight = |at: Ratio<i64>| {
            let cell = (at * Ratio::from_integer(count)).to_integer();
            let parts = usize::try_from(cell).ok().and_then(|cell| cells.get(cell)).copied().unwrap_or(1);
            self.in_thirds(Ratio::new(1, count)) || self.in_thirds(Ratio::new(1, count * parts as i64))
        };
        spans.iter().all(|span| {
            if is_straight(span.from) {
                !self.bends(span.from) && !self.bends(span.to)
            } else {
                !self.in_thirds(span.to - self.offset)
            }
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The cells of a bar for notes that begin and end at these shares of it, in 48ths.
    fn cells(meter: (u8, u8), notes: &[(i64, i64)]) -> Vec<usize> {
        let meter = Meter::new(meter.0, meter.1).expect("a meter");
        let shape = Shape { length: meter.bar(), meter, swings: false };
        let span =
            |(from, to): &(i64, i64)| Span { from: Ratio::new(*from, 48), to: Ratio::new(*to, 48), struck: true };
        let spans: Vec<Span> = notes.iter().map(span).collect();
        let cuts: Vec<Ratio<i64>> = spans.iter().flat_map(|span| [span.from, span.to]).collect();
        grid(&shape, &cuts, &spans).expect("cells")
    }

    #[test]
    fn cells_meet_the_beats() {
        // One note for the whole bar, quarters, eighths.
        assert_eq!(cells((4, 4), &[(0, 48)]), [1]);
        assert_eq!(cells((4, 4), &[(0, 12), (12, 24), (24, 36), (36, 48)]), [1; 4]);
        assert_eq!(cells((4, 4), &[(0, 6), (6, 12), (18, 24), (30, 36)]), [1; 8]);
        // Two halves of 6/8 are its beats; a jig's eighths are three a beat.
        assert_eq!(cells((6, 8), &[(0, 24), (24, 48)]), [1; 2]);
        assert_eq!(cells((6, 8), &[(0, 16), (16, 24), (24, 48)]), [1; 6]);
    }

    #[test]
    fn an_ornament_parts_its_own_cell() {
        assert_eq!(cells((4, 4), &[(0, 4), (4, 8), (8, 12), (12, 24), (24, 36), (36, 48)]), [3, 1, 1, 1]);
    }

    #[test]
    fn an_end_parts_none() {
        // Three beats and a half: eight plain cells, and not a fourth of four that is parted.
        assert_eq!(cells((4, 4), &[(0, 42)]), [1; 8]);
    }
}

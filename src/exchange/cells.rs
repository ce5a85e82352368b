//! A bar as cells: the fewest that say exactly when every stroke begins and ends.
//!
//! An odd ornament parts its own cell with `/` and leaves the others as they are.

use num_rational::Ratio;

use super::bars::InBar;
use super::score::Struck;
use crate::music::{Key, Length, NoteName, Pitch};
use crate::notation::limits::{MAX_CELLS, MAX_SLOTS};

/// How much a cell that `/` parts costs beside its pieces, in quarters of a cell, and each of its pieces. A row of plain
/// cells is easier to count, so a few more of them are better than a parted one.
const PARTED: usize = 4;
const PIECE: usize = 5;

/// What is written in a bar where nothing is struck.
pub const SILENCE: &str = ".";

/// What is written where a roll goes on.
const ROLL: &str = "~";

/// A bar in cells.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Written {
    /// The cells as text, one space apart.
    pub text: String,
    /// Whether cells could not say it exactly, so that something is moved by less than half a piece of the finest cell.
    pub moved: bool,
}

/// The beats of a bar that is swung, as fractions of the bar.
#[derive(Clone, Copy, Debug)]
pub struct Beats {
    /// How long a beat is.
    pub beat: Ratio<i64>,
    /// Where the first whole beat begins: not 0 after a pickup of part of a beat.
    pub offset: Ratio<i64>,
}

impl Beats {
    /// Whether a length is a third of a beat, a sixth and so on: cells of it are played straight.
    fn in_thirds(self, length: Ratio<i64>) -> bool {
        (length / self.beat).denom() % 3 == 0
    }

    /// Whether something at this time is bent by the swing, so that no straight cell may say it.
    fn bends(self, at: Ratio<i64>) -> bool {
        let beats = (at - self.offset) / self.beat;
        !beats.is_integer() && beats.denom() % 3 != 0
    }
}

/// A stretch of a bar in which one thing goes on, as fractions of the bar.
#[derive(Clone, Debug)]
struct Piece {
    from: Ratio<i64>,
    to: Ratio<i64>,
    begins: String,
    goes_on: &'static str,
}

/// Writes a part's bar.
///
/// - `lasting`: whether strokes of percussion are written as long as they are meant. That is not heard, unless they are
///   rolled, so a bar reads more easily without it.
/// - `swung`: the beats of the bar, if they are swung. What stands on the halves and quarters of a beat is then kept out of
///   cells that cut the beat in thirds, since those are played straight.
pub fn bar(notes: &[InBar], length: Length, key: Key, lasting: bool, swung: Option<Beats>) -> Written {
    let pieces = pieces(notes, length, key, lasting);
    if pieces.is_empty() {
        return Written { text: SILENCE.to_owned(), moved: false };
    }
    let mut cuts: Vec<Ratio<i64>> = pieces.iter().flat_map(|piece| [piece.from, piece.to]).collect();
    let mut grid = grid(&cuts, &pieces, swung);
    // A roll shows from its second cell on. Each round cuts at least one that no round has cut.
    loop {
        let shows = |piece: &Piece| {
            let within = |grid: &Vec<usize>| edges(grid).any(|edge| piece.from < edge && edge < piece.to);
            piece.goes_on != ROLL || piece.begins == ROLL || grid.as_ref().is_none_or(within)
        };
        let hidden = pieces.iter().filter(|piece| !shows(piece)).map(|piece| (piece.from + piece.to) / 2);
        let hidden: Vec<Ratio<i64>> = hidden.collect();
        if hidden.is_empty() {
            break;
        }
        cuts.extend(hidden);
        grid = self::grid(&cuts, &pieces, swung);
    }
    let (grid, moved) = match grid {
        Some(grid) => (grid, false),
        None => (vec![MAX_SLOTS; MAX_SLOTS * 3], true),
    };
    Written { text: write(&pieces, &grid), moved }
}

/// Where the pieces of cells begin and end, as fractions of the bar.
fn edges(grid: &[usize]) -> impl Iterator<Item = Ratio<i64>> + '_ {
    let count = grid.len() as i64;
    let of = move |(cell, parts): (usize, &usize)| {
        let parts = *parts as i64;
        (0..parts).map(move |part| Ratio::new(cell as i64 * parts + part, count * parts))
    };
    grid.iter().enumerate().flat_map(of)
}

/// The strokes of a bar as pieces.
fn pieces(notes: &[InBar], length: Length, key: Key, lasting: bool) -> Vec<Piece> {
    let share = |at: Length| at.per(length);
    let mut pieces: Vec<Piece> = Vec::with_capacity(notes.len());
    for one in notes {
        let (begins, goes_on) = signs(one, key);
        let from = share(one.start);
        let to = match one.note.struck {
            Struck::Mark(_) if !lasting && !one.note.manner.rolled => from,
            _ => share(one.start + one.note.length),
        };
        pieces.push(Piece { from, to, begins, goes_on });
    }
    pieces
}

/// What is written where a note begins, and where it goes on.
fn signs(one: &InBar, key: Key) -> (String, &'static str) {
    let manner = one.note.manner;
    let goes_on = if manner.rolled { ROLL } else { "-" };
    if one.held {
        return (goes_on.to_owned(), goes_on);
    }
    let mut begins = match &one.note.struck {
        Struck::Notes(pitches) => {
            pitches.iter().rev().map(|pitch| spelled(*pitch, key).to_string()).collect::<Vec<_>>().join("+")
        }
        Struck::Mark(mark) if manner.accent && *mark == crate::notation::tree::Mark::Stroke => "X".to_owned(),
        Struck::Mark(mark) => mark.to_char().to_string(),
    };
    if let (Some(stick), Struck::Notes(_)) = (manner.stick, &one.note.struck) {
        // The letter stands right after the first of the notes, which is the lowest.
        let first = begins.find('+').unwrap_or(begins.len());
        begins.insert(first, stick.to_char());
    }
    if manner.accent && begins != "X" {
        begins.push('!');
    }
    if manner.damped {
        begins.push('\'');
    }
    (begins, goes_on)
}

/// A note as the key has it; the lowest notes by their usual names, since there is no octave below -1.
fn spelled(pitch: Pitch, key: Key) -> NoteName {
    Some(key.spell(pitch)).filter(|name| name.octave >= -1).unwrap_or_else(|| pitch.name())
}

/// The cheapest cells whose edges, or whose pieces' edges, are all cuts: for each cell, in how many pieces it is parted.
/// `None` when nothing within the limits is exact.
fn grid(cuts: &[Ratio<i64>], pieces: &[Piece], swung: Option<Beats>) -> Option<Vec<usize>> {
    let swinging = swung.and_then(|beats| cheapest(cuts, |cells| swings(pieces, cells, beats)));
    swinging.or_else(|| cheapest(cuts, |_| true))
}

/// Whether cells let everything begin and end as the swing has it: the cell in which a note begins says whether both are
/// straight.
fn swings(pieces: &[Piece], cells: &[usize], beats: Beats) -> bool {
    let count = cells.len() as i64;
    let is_straight = |at: Ratio<i64>| {
        let cell = (at * Ratio::from_integer(count)).to_integer();
        let parts = usize::try_from(cell).ok().and_then(|cell| cells.get(cell)).copied().unwrap_or(1);
        beats.in_thirds(Ratio::new(1, count)) || beats.in_thirds(Ratio::new(1, count * parts as i64))
    };
    pieces.iter().all(|piece| {
        let straight = is_straight(piece.from);
        if straight {
            !beats.bends(piece.from) && !beats.bends(piece.to)
        } else {
            !beats.in_thirds(piece.to - beats.offset)
        }
    })
}

fn cheapest(cuts: &[Ratio<i64>], is_fine: impl Fn(&[usize]) -> bool) -> Option<Vec<usize>> {
    let mut best: Option<(usize, Vec<usize>)> = None;
    for count in counts(cuts) {
        if best.as_ref().is_some_and(|(cost, _)| count * 4 >= *cost) {
            break;
        }
        let Some(cells) = parted(cuts, count) else { continue };
        let cost = |pieces: &usize| if *pieces == 1 { 4 } else { PARTED + PIECE * pieces };
        let cost: usize = cells.iter().map(cost).sum();
        if best.as_ref().is_none_or(|(least, _)| cost < *least) && is_fine(&cells) {
            best = Some((cost, cells));
        }
    }
    best.map(|(_, cells)| cells)
}

/// How many cells are worth trying, rising: the divisors of the exact number of equal cells, if that is within limits; all
/// numbers else.
fn counts(cuts: &[Ratio<i64>]) -> Vec<usize> {
    let exact = cuts.iter().try_fold(1i64, |all, cut| {
        let gcd = gcd(all, *cut.denom());
        (all / gcd).checked_mul(*cut.denom()).filter(|all| *all <= 1 << 40)
    });
    let divides = |count: &usize| exact.is_none_or(|exact| exact % *count as i64 == 0);
    (1..=MAX_CELLS).filter(divides).collect()
}

fn gcd(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { gcd(b, a % b) }
}

/// In how many pieces each of `count` cells is parted; `None` when that is too many.
fn parted(cuts: &[Ratio<i64>], count: usize) -> Option<Vec<usize>> {
    let mut cells = vec![1i64; count];
    for cut in cuts {
        let place = *cut * Ratio::from_integer(count as i64);
        let cell = usize::try_from(place.to_integer()).ok().filter(|cell| *cell < count);
        let Some(cell) = cell else { continue };
        let within = place.fract();
        let all = cells[cell] / gcd(cells[cell], *within.denom()) * within.denom();
        if all > MAX_SLOTS as i64 {
            return None;
        }
        cells[cell] = all;
    }
    Some(cells.into_iter().map(|pieces| pieces as usize).collect())
}

/// The cells as text.
fn write(pieces: &[Piece], grid: &[usize]) -> String {
    let mut words: Vec<String> = Vec::with_capacity(grid.len());
    let count = grid.len() as i64;
    let mut next = 0;
    let mut state = SILENCE;
    let mut until = Ratio::from_integer(0);
    for (cell, parts) in grid.iter().enumerate() {
        let parts = *parts as i64;
        let mut slots: Vec<String> = Vec::with_capacity(parts as usize);
        for part in 0..parts {
            let at = Ratio::new(cell as i64 * parts + part, count * parts);
            let middle = Ratio::new(2 * (cell as i64 * parts + part) + 1, 2 * count * parts);
            if middle > until {
                state = SILENCE;
            }
            let mut slot = state.to_owned();
            // More than one can begin here only where cells are not exact; then the last counts.
            while let Some(piece) = pieces.get(next).filter(|piece| piece.from <= at || piece.from < middle) {
                slot.clone_from(&piece.begins);
                (state, until) = (piece.goes_on, piece.to);
                next += 1;
            }
            slots.push(slot);
        }
        words.push(slots.join("/"));
    }
    words.join(" ")
}

/// Things that begin at some times of a bar, as cells; `hold` where nothing begins. Used for chords and dynamics.
pub fn marks(marks: &[(Length, String)], length: Length, hold: &str) -> Written {
    let mut at: Vec<Ratio<i64>> = marks.iter().map(|(start, _)| start.per(length)).collect();
    at.sort_unstable();
    let exact =
        (1..=MAX_CELLS).find(|count| at.iter().all(|at| (*at * Ratio::from_integer(*count as i64)).is_integer()));
    let count = exact.unwrap_or(MAX_CELLS);
    let mut cells = vec![hold.to_owned(); count];
    for (start, text) in marks {
        let cell = (start.per(length) * Ratio::from_integer(count as i64)).to_integer();
        if let Some(cell) = usize::try_from(cell).ok().and_then(|cell| cells.get_mut(cell)) {
            cell.clone_from(text);
        }
    }
    Written { text: cells.join(" "), moved: exact.is_none() }
}

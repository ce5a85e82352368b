//! A bar as cells, as text, once [`grid`] has found how many cells say exactly when every stroke begins and ends.

use num_rational::Ratio;

use super::bars::InBar;
use super::grid::{self, Shape, Span};
use crate::exchange::score::Struck;
use crate::music::{Key, Length, NoteName, Pitch};
use crate::notation::limits::{MAX_CELLS, MAX_SLOTS};

/// What is written in a bar where nothing is struck.
pub const SILENCE: &str = ".";

/// What is written where a roll goes on.
const ROLL: &str = "~";

/// A bar in cells.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Written {
    /// The cells as text, one space apart.
    pub text: String,
    /// Whether no cells were exact, so that something is moved by less than half a piece of the finest cell.
    pub moved: bool,
}

/// A stretch of a bar in which one sound or rest lasts.
#[derive(Clone, Debug)]
struct Piece {
    span: Span,
    begins: String,
    goes_on: &'static str,
}

impl Piece {
    /// Whether a second cell has to show that it is rolled.
    fn shows_later(&self) -> bool {
        self.goes_on == ROLL && self.begins != ROLL
    }
}

/// Writes a part's bar.
///
/// - `lasting`: whether strokes of percussion are written with their full length. Nobody hears that unless they are rolled, and
///   a bar is easier to read without it.
pub fn bar(notes: &[InBar], shape: &Shape, key: Key, lasting: bool) -> Written {
    let pieces = pieces(notes, shape.length, key, lasting);
    if pieces.is_empty() {
        return Written { text: SILENCE.to_owned(), moved: false };
    }
    let spans: Vec<Span> = pieces.iter().map(|piece| piece.span).collect();
    let mut cuts: Vec<Ratio<i64>> = spans.iter().flat_map(|span| [span.from, span.to]).collect();
    let mut cells = grid::grid(shape, &cuts, &spans);
    // A roll shows from its second cell on. Each round cuts at least one that no round has cut.
    while let Some(grid) = &cells {
        let shows = |span: &Span| grid::edges(grid).any(|edge| span.from < edge && edge < span.to);
        let hidden = pieces.iter().filter(|piece| piece.shows_later() && !shows(&piece.span));
        let halves: Vec<Ratio<i64>> = hidden.map(|piece| (piece.span.from + piece.span.to) / 2).collect();
        if halves.is_empty() {
            break;
        }
        cuts.extend(halves);
        cells = grid::grid(shape, &cuts, &spans);
    }
    let (cells, moved) = match cells {
        Some(cells) => (cells, false),
        None => (vec![MAX_SLOTS; MAX_SLOTS * 3], true),
    };
    Written { text: write(&pieces, &cells), moved }
}

/// The strokes of a bar as pieces.
fn pieces(notes: &[InBar], length: Length, key: Key, lasting: bool) -> Vec<Piece> {
    let share = |at: Length| at.per(length);
    let mut pieces: Vec<Piece> = Vec::with_capacity(notes.len());
    for one in notes {
        let rings = matches!(one.note.struck, Struck::Mark(_)) && !one.note.manner.rolled && !lasting;
        if rings && one.held {
            continue;
        }
        let (begins, goes_on) = signs(one, key);
        let from = share(one.start);
        let to = if rings { from } else { share(one.start + one.note.length) };
        pieces.push(Piece { span: Span { from, to, struck: !one.held }, begins, goes_on });
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
        begins.push('>');
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

/// The cells as text.
fn write(pieces: &[Piece], grid: &[usize]) -> String {
    let mut words: Vec<String> = Vec::with_capacity(grid.len());
    let count = grid.len() as i64;
    let mut next = 0;
    let mut state = SILENCE;
    let mut until = Ratio::from_integer(0);
    for (cell, parts) in grid.iter().enumerate() {
        let parts = *parts as i64;
        let mut slots: Vec<String> = Vec::with_capacity(parts.unsigned_abs() as usize);
        for part in 0..parts {
            let at = Ratio::new(cell as i64 * parts + part, count * parts);
            let middle = Ratio::new(2 * (cell as i64 * parts + part) + 1, 2 * count * parts);
            if middle > until {
                state = SILENCE;
            }
            let mut slot = state.to_owned();
            // More than one can begin here only where cells are not exact; then the last counts.
            while let Some(piece) = pieces.get(next).filter(|piece| piece.span.from <= at || piece.span.from < middle) {
                slot.clone_from(&piece.begins);
                (state, until) = (piece.goes_on, piece.span.to);
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

//! Measures: a part's notes, cut at bar lines and into note values, so that every measure is exactly full.

use num_integer::Integer;
use num_rational::Ratio;

use super::timeline::{Held, Stretch};
use super::values::{Tuplet, Value, is_even, notes_from};
use crate::music::{Length, Moment};

/// A measure on paper.
#[derive(Clone, Copy, Debug)]
pub struct Measure {
    /// Which stretch it belongs to.
    pub stretch: usize,
    /// The number of the bar in its section, from 0.
    pub bar: usize,
    /// When it begins on paper.
    pub at: Moment,
    /// How long it is.
    pub length: Length,
    /// Its beat.
    pub beat: Length,
    /// Whether it is as long as its meter says; a pickup is not.
    pub whole: bool,
}

/// The measures of stretches, in order.
pub fn measures(stretches: &[Stretch]) -> Vec<Measure> {
    let of = |(number, stretch): (usize, &Stretch)| {
        let Stretch { section, at, .. } = *stretch;
        let measure = move |bar: usize| Measure {
            stretch: number,
            bar,
            at: at + section.bar_starts[bar],
            length: section.bar_length(bar),
            beat: section.meter.beat(),
            whole: section.bar_length(bar) == section.meter.bar(),
        };
        (0..section.bars()).map(measure).collect::<Vec<_>>()
    };
    stretches.iter().enumerate().flat_map(of).collect()
}

/// A note or rest in a measure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Piece {
    /// When it begins, counted from the measure's start.
    pub start: Length,
    /// How long it sounds.
    pub length: Length,
    /// The number of the note that it belongs to, among the part's; `None`: a rest.
    pub note: Option<usize>,
    /// Whether the note began before.
    pub goes_on: bool,
    /// Whether the note goes on after.
    pub holds: bool,
    /// How it is written; `None` for a rest of a whole measure, and for what is too short to have a name.
    pub value: Option<Value>,
    /// The tuplet that it is in, and whether it opens and closes it.
    pub tuplet: Option<(Tuplet, Edges)>,
}

/// Whether something is the first or the last of a group.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Edges {
    /// It is the first.
    pub opens: bool,
    /// It is the last.
    pub closes: bool,
    /// How long the whole group sounds.
    pub group: Length,
}

/// What fills a stretch of a measure: a note or a rest, with its start and its end from the measure's start.
#[derive(Clone, Copy, Debug)]
struct Filling {
    note: Option<usize>,
    start: Length,
    end: Length,
}

/// A part on paper: by measure, the pieces that fill it.
pub type FilledPart = Vec<Vec<Piece>>;

/// The pieces of every measure.
///
/// - `notes`: a part's, rising in time; none begins before the one before it ends.
pub fn fill(measures: &[Measure], notes: &[Held]) -> FilledPart {
    let mut first = 0;
    let mut filled = Vec::with_capacity(measures.len());
    for measure in measures {
        let end = measure.at + measure.length;
        while notes.get(first).is_some_and(|note| note.end <= measure.at) {
            first += 1;
        }
        let sounding = notes[first..].iter().take_while(|note| note.at < end);
        let fillings = fillings(measure, (first..).zip(sounding));
        filled.push(pieces(measure, &fillings, notes));
    }
    filled
}

fn fillings<'a>(measure: &Measure, sounding: impl Iterator<Item = (usize, &'a Held<'a>)>) -> Vec<Filling> {
    let mut fillings = Vec::new();
    let mut now = Length::ZERO;
    for (number, note) in sounding {
        let start = note.at.max(measure.at) - measure.at;
        let end = (note.end - measure.at).min(measure.length);
        if start > now {
            fillings.push(Filling { note: None, start: now, end: start });
        }
        fillings.push(Filling { note: Some(number), start, end });
        now = end;
    }
    if now < measure.length && !(measure.whole && fillings.is_empty()) {
        fillings.push(Filling { note: None, start: now, end: measure.length });
    }
    fillings
}

/// A rest of a whole measure has no note value. In a pickup it has one, since readers take a rest without a value for a whole bar.
fn whole_rest(measure: &Measure) -> Piece {
    Piece {
        start: Length::ZERO,
        length: measure.length,
        note: None,
        goes_on: false,
        holds: false,
        value: None,
        tuplet: None,
    }
}

fn pieces(measure: &Measure, fillings: &[Filling], notes: &[Held]) -> Vec<Piece> {
    if fillings.is_empty() {
        return vec![whole_rest(measure)];
    }
    let cut = cut_at_beats(measure, fillings);
    let mut pieces = Vec::new();
    let mut from = 0;
    for (number, filling) in cut.iter().enumerate() {
        if is_even(filling.end) || number + 1 == cut.len() {
            group(&cut[from..=number], &mut pieces);
            from = number + 1;
        }
    }
    for piece in &mut pieces {
        let Some(note) = piece.note.map(|note| &notes[note]) else { continue };
        let at = measure.at + piece.start;
        piece.goes_on = note.at < at;
        piece.holds = at + piece.length < note.end;
    }
    pieces
}

/// Cuts notes and rests that cross beats where that makes a tuplet shorter and easier to read: not three halves in the
/// time of four quarters, but a triplet eighth that is held for three beats.
fn cut_at_beats(measure: &Measure, fillings: &[Filling]) -> Vec<Filling> {
    let mut cuts = Vec::new();
    let mut from = 0;
    for (number, filling) in fillings.iter().enumerate() {
        if is_even(filling.end) || number + 1 == fillings.len() {
            cuts.extend(cuts_in(measure, &fillings[from..=number]));
            from = number + 1;
        }
    }
    let mut cuts = cuts.into_iter().peekable();
    let mut cut = Vec::with_capacity(fillings.len());
    for filling in fillings {
        let mut filling = *filling;
        while let Some(at) = cuts.next_if(|at| *at < filling.end) {
            cut.push(Filling { end: at, ..filling });
            filling.start = at;
        }
        cut.push(filling);
    }
    cut
}

/// The beats at which a stretch that begins and ends evenly, but has other lengths in between, is cut.
fn cuts_in(measure: &Measure, stretch: &[Filling]) -> Vec<Length> {
    let ([first, .., last], Some(grid)) = (stretch, grid(stretch)) else { return Vec::new() };
    let (start, end) = (first.start, last.end);
    // A pickup's beats are counted from its end, where the first whole bar begins.
    let offset = measure.beat * measure.length.per(measure.beat).fract();
    let beats = measure.length.per(measure.beat).ceil().to_integer();
    let beats = (0..=beats).map(|beat| offset + measure.beat * beat).filter(|at| start < *at && *at < end);
    let on_grid = beats.filter(|at| (*at - start).per(grid).is_integer());
    let marks: Vec<Length> = [start].into_iter().chain(on_grid).chain([end]).collect();
    // Only what has uneven lengths in it needs to be cut off from the rest.
    let uneven = |from: Length, to: Length| stretch.iter().any(|f| from < f.end && f.end < to);
    let wanted = marks.windows(3).filter(|marks| uneven(marks[0], marks[1]) || uneven(marks[1], marks[2]));
    // Where a note begins anyway there is nothing to cut.
    wanted.map(|marks| marks[1]).filter(|at| stretch.iter().all(|filling| filling.end != *at)).collect()
}

/// The longest length of which all the lengths of a stretch are multiples.
fn grid(stretch: &[Filling]) -> Option<Length> {
    let lengths = || stretch.iter().map(|filling| (filling.end - filling.start).ratio());
    let denominator = lengths().fold(1, |all: i64, length| all.lcm(length.denom()));
    let numerator = lengths().map(|length| (length * denominator).to_integer()).reduce(|a, b| a.gcd(&b))?;
    Some(Length::quarters(1, 1) * Ratio::new(numerator, denominator))
}

/// Writes a stretch that begins and ends evenly: as it is, or as a tuplet.
fn group(stretch: &[Filling], pieces: &mut Vec<Piece>) {
    let [first, .., last] = stretch else {
        write(&stretch[0], None, Length::ZERO, pieces);
        return;
    };
    let tuplet = Tuplet::of(stretch.iter().map(|filling| filling.end - filling.start));
    let from = pieces.len();
    for filling in stretch {
        write(filling, tuplet, first.start, pieces);
    }
    let Some(tuplet) = tuplet else { return };
    if pieces[from..].iter().any(|piece| piece.value.is_none()) {
        // Half a tuplet would mislead: the lengths alone tell the time.
        pieces[from..].iter_mut().for_each(|piece| piece.value = None);
        return;
    }
    let (to, group) = (pieces.len() - 1, last.end - first.start);
    for (number, piece) in (from..).zip(&mut pieces[from..]) {
        piece.tuplet = Some((tuplet, Edges { opens: number == from, closes: number == to, group }));
    }
}

/// Writes a note or rest, tied from several if necessary; `origin` is where the tuplet begins.
fn write(filling: &Filling, tuplet: Option<Tuplet>, origin: Length, pieces: &mut Vec<Piece>) {
    let length = filling.end - filling.start;
    let piece = |start: Length, length: Length, value: Option<Value>| Piece {
        start,
        length,
        note: filling.note,
        goes_on: false,
        holds: false,
        value,
        tuplet: None,
    };
    let written = |length: Length| tuplet.map_or(length, |tuplet| tuplet.written(length));
    let sounding = |length: Length| tuplet.map_or(length, |tuplet| tuplet.sounding(length));
    let from = if tuplet.is_some() { written(filling.start - origin) } else { filling.start };
    let Some(values) = notes_from(from, written(length)) else {
        pieces.push(piece(filling.start, length, None));
        return;
    };
    let mut now = filling.start;
    for value in values {
        let length = sounding(value.length());
        pieces.push(piece(now, length, Some(value)));
        now += length;
    }
}

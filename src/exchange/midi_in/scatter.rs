//! Where notes are meant to begin: the plainest cells within the scatter of the player's timing.
//!
//! A file is looked at beat by beat, each track and channel separately. Where nearly all ticks are those of written music, they are
//! exact, and only slips among them are moved. Otherwise the notes near plain cells show how far the file scatters; and if nearly all
//! its beats can be read with that scatter, each note is moved onto the plainest cells within it.

use std::collections::{BTreeMap, BTreeSet};

use num_rational::Ratio;

use crate::exchange::quantise::written;
use crate::midi::file::Note;
use crate::music::Length;

/// How many of a hundred notes must be written ones, or in beats that can be read, for the whole file to count as such. Own setting.
const MOST_PERCENT: usize = 95;

/// The pieces of a quarter that plain cells are: 32nds, and triplets of sixteenths.
const PLAIN: [i64; 2] = [8, 6];

/// How far from a plain cell a note may lie and still mean it, in quarters: half of the way between the two cells that are nearest to
/// each other, at an eighth and at a sixth of a quarter. At 120 quarters a minute that is 10 ms.
const NEAR: (i64, i64) = (1, 48);

/// The pieces of a quarter onto which a slip among exact notes goes where nothing else decides: triplets of 128ths.
const FINE: i64 = 48;

/// Finer pieces of a quarter, the plainest first: triplets of 32nds, quintuplets, 64ths, septuplets, and so on.
const FINER: [i64; 6] = [12, 5, 16, 7, 9, 10];

/// How many times as long as the scatter a finer piece must be; else a note at any time would be near one of them. Own setting: with
/// it, one note in four is.
const CLEAR: i64 = 8;

/// How many notes of a beat must lie off the plain cells before a finer piece is believed: a tuplet has more than one.
const WITNESSES: usize = 2;

/// The finest piece of a quarter at which a single note may begin where all others of its beat are on plain cells; at a finer place,
/// near a plain cell, it is a slip.
const FINEST_ALONE: i64 = 16;

/// The notes of a track and channel that begin within a quarter.
struct Beat {
    /// The quarters before it.
    quarters: i64,
    /// The notes' numbers.
    notes: Vec<usize>,
    /// Where they begin in the quarter, each place once, rising.
    offsets: Vec<Ratio<i64>>,
    /// The same as places of written music, if all of them are.
    written: Option<Vec<Ratio<i64>>>,
}

/// What is meant by ticks that lie near the cells of written music.
#[derive(Clone, Copy, Debug)]
pub struct Cells {
    ticks: u16,
    /// Whether the ticks are those of written music.
    pub exact: bool,
    /// How far notes scatter, in quarters: at least a tick, and half a tick more, since places are rounded to ticks.
    scatter: Ratio<i64>,
}

impl Cells {
    /// The cells of a file, and where each of its notes begins; `None` when they are played too freely for that.
    pub fn of(notes: &[Note], ticks: u16) -> Option<(Cells, Vec<Length>)> {
        let written = notes.iter().filter(|note| written(note.tick, ticks).is_some()).count();
        let exact = is_most(written, notes.len());
        let beats = beats(notes, ticks);
        let scatter = beats.iter().filter(|beat| !(exact && beat.is_written())).filter_map(Beat::scatter).max();
        let tick = Ratio::new(1, i64::from(ticks));
        let cells = Cells { ticks, exact, scatter: scatter.map_or(tick, |scatter| scatter.max(tick)) + tick / 2 };
        let mut starts = vec![Length::ZERO; notes.len()];
        let mut read = 0;
        for beat in &beats {
            let places = cells.places(beat);
            read += if places.is_some() { beat.notes.len() } else { 0 };
            let places = places.unwrap_or_else(|| cells.nearest(beat));
            for number in &beat.notes {
                let place = beat.offsets.partition_point(|at| *at < cells.offset(notes[*number].tick));
                starts[*number] = Length::quarters(beat.quarters, 1) + length(places[place]);
            }
        }
        (exact || is_most(read, notes.len())).then_some((cells, starts))
    }

    /// Where the notes of a beat are meant to begin; `None` when no cells fit.
    fn places(&self, beat: &Beat) -> Option<Vec<Ratio<i64>>> {
        let exact = if self.exact { self.exact_places(beat) } else { None };
        exact.or_else(|| beat.plain(near())).or_else(|| beat.tuplet(self.scatter))
    }

    /// The places of written music, rounded to a tick.
    fn exact_places(&self, beat: &Beat) -> Option<Vec<Ratio<i64>>> {
        let half_a_tick = Ratio::new(1, 2 * i64::from(self.ticks));
        let plain = beat.plain(half_a_tick).or_else(|| beat.tuplet(half_a_tick));
        plain.or_else(|| beat.written.clone().filter(|_| beat.is_written()))
    }

    /// Where the notes of a beat begin if no cells fit, such as a roll of eleven: exact notes where they are, each of the others on the
    /// nearest cell. No note moves before the one before it.
    fn nearest(&self, beat: &Beat) -> Vec<Ratio<i64>> {
        let mut latest = Ratio::from_integer(0);
        let place = |at: &Ratio<i64>| {
            latest = latest.max(self.nearest_of(*at));
            latest
        };
        beat.offsets.iter().map(place).collect()
    }

    /// The nearest place of a quarter for a note by itself.
    fn nearest_of(&self, at: Ratio<i64>) -> Ratio<i64> {
        if self.exact { self.written(at).unwrap_or_else(|| on(at, FINE)) } else { plain(at).0 }
    }

    /// The place of a tick that is not a note of a beat: of a meter, a word, a grace note.
    pub fn at(&self, tick: u64) -> Length {
        let offset = self.offset(tick);
        let (plain, off) = plain(offset);
        let written = if self.exact { self.written(offset) } else { None };
        let place = written.unwrap_or_else(|| if off <= near() { plain } else { self.nearest_of(offset) });
        Length::quarters((tick / u64::from(self.ticks)) as i64, 1) + length(place)
    }

    fn written(&self, at: Ratio<i64>) -> Option<Ratio<i64>> {
        let tick = (at * i64::from(self.ticks)).to_integer().unsigned_abs();
        written(tick, self.ticks).map(Length::ratio)
    }

    fn offset(&self, tick: u64) -> Ratio<i64> {
        Ratio::new((tick % u64::from(self.ticks)) as i64, i64::from(self.ticks))
    }
}

impl Beat {
    /// Whether its notes lie where written music has them, and none of them is a slip of a tick or a few.
    fn is_written(&self) -> bool {
        self.written.as_ref().is_some_and(|written| {
            let mut others = written.iter().filter(|at| plain(**at).0 != **at);
            let is_slip = |one: &Ratio<i64>| *one.denom() > FINEST_ALONE && plain(*one).1 <= near();
            !others.next().is_some_and(is_slip) || others.next().is_some()
        })
    }

    /// The plain cells of its notes, if all of them are that near to one.
    fn plain(&self, near: Ratio<i64>) -> Option<Vec<Ratio<i64>>> {
        let place = |at: &Ratio<i64>| Some(plain(*at)).filter(|(_, off)| *off <= near).map(|(place, _)| place);
        self.offsets.iter().map(place).collect()
    }

    /// The pieces of a finer cut on which all its notes lie within a scatter.
    fn tuplet(&self, scatter: Ratio<i64>) -> Option<Vec<Ratio<i64>>> {
        let witnesses = self.offsets.iter().filter(|at| plain(**at).1 > scatter).count();
        let is_clear = |pieces: &i64| witnesses >= WITNESSES && scatter * (pieces * CLEAR) <= 1.into();
        FINER.into_iter().filter(is_clear).find_map(|pieces| {
            let place = |at: &Ratio<i64>| Some(on(*at, pieces)).filter(|place| distance(*place, *at) <= scatter);
            self.offsets.iter().map(place).collect()
        })
    }

    /// How far its notes lie from plain cells at most, if all of them lie near one.
    fn scatter(&self) -> Option<Ratio<i64>> {
        self.offsets.iter().map(|at| plain(*at).1).max().filter(|off| *off <= near())
    }
}

/// The end of a note that scatters too: on one of these pieces of a quarter, if it is near one.
pub fn near_end(end: Length, pieces: impl Iterator<Item = i64>) -> Option<Length> {
    let place = pieces.map(|pieces| on(end.ratio(), pieces)).find(|place| distance(*place, end.ratio()) <= near());
    place.map(length)
}

/// The most that anything may scatter.
pub fn most() -> Length {
    Length::quarters(NEAR.0, NEAR.1)
}

fn near() -> Ratio<i64> {
    most().ratio()
}

/// The notes by track, channel and quarter.
fn beats(notes: &[Note], ticks: u16) -> Vec<Beat> {
    let mut groups: BTreeMap<(usize, u8, u64), Vec<usize>> = BTreeMap::new();
    for (number, note) in notes.iter().enumerate() {
        groups.entry((note.track, note.channel, note.tick / u64::from(ticks))).or_default().push(number);
    }
    let beat = |((_, _, quarter), numbers): ((usize, u8, u64), Vec<usize>)| {
        let places: BTreeSet<u64> = numbers.iter().map(|number| notes[*number].tick % u64::from(ticks)).collect();
        let offsets = places.iter().map(|at| Ratio::new(*at as i64, i64::from(ticks))).collect();
        let written = places.iter().map(|at| written(*at, ticks).map(|at| at.ratio())).collect();
        Beat { quarters: quarter as i64, notes: numbers, offsets, written }
    };
    groups.into_iter().map(beat).collect()
}

fn is_most(some: usize, all: usize) -> bool {
    some * 100 >= all * MOST_PERCENT
}

/// The plain cell nearest to a place within a quarter, and how far it is.
fn plain(at: Ratio<i64>) -> (Ratio<i64>, Ratio<i64>) {
    let [first, second] = PLAIN.map(|pieces| on(at, pieces)).map(|place| (place, distance(place, at)));
    if second.1 < first.1 { second } else { first }
}

/// The nearest place of a quarter that is cut into so many pieces.
fn on(at: Ratio<i64>, pieces: i64) -> Ratio<i64> {
    (at * pieces).round() / pieces
}

fn distance(a: Ratio<i64>, b: Ratio<i64>) -> Ratio<i64> {
    if a > b { a - b } else { b - a }
}

fn length(quarters: Ratio<i64>) -> Length {
    Length::quarters(*quarters.numer(), *quarters.denom())
}

#[cfg(test)]
#[path = "scatter_tests.rs"]
mod tests;

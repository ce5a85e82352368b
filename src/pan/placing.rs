//! Finding room for the notes on a drum's face: ovals, wider for lower notes, none over another, none over the rim.
//!
//! A maker fits real note areas with a hammer; here they are fitted by giving way. Every note first takes the width that its
//! pitch asks for; notes that overlap shrink a little, again and again, until none does; then each takes back what room is
//! left.

use std::collections::HashMap;
use std::f64::consts::TAU;
use std::sync::{LazyLock, Mutex, PoisonError};

use super::face::{NoteArea, Ring};
use super::shape::{Area, Outline, Point};
use crate::music::Pitch;

/// The widest span of the area of middle C, in mm, and over how many semitones it halves.
///
/// Fitted to measured pans: a lead's notes span 165 mm (C4) to 51 (E6), a double second's 241 (F#3) to 58 (B5), a triple
/// guitar's 343 (A2) to 109 (Grinnell College Musical Instrument Collection, items 2407, 2408, 2410; which notes those are
/// follows from the compass), a tenor bass's G2 395 (Kronman, Steel Pan Tuning, 1991, appendix A). Within 15 % of each.
const WIDTH_OF_MIDDLE_C: f64 = 170.0;
const HALVES_EVERY: f64 = 16.0;

/// The least room between two areas, and between an area and the rim, in mm: the groove (6 to 7 mm wide on the tenor bass
/// that Kronman measured).
pub const GROOVE: f64 = 6.0;

/// Depth to width of an outer note that has all the room it wants. Kronman measured 0.65 to 0.9 on a tenor bass; the inner
/// notes there are round.
const OUTER_DEPTH: f64 = 0.8;

/// Half the greatest depth of an outer note as a share of the radius, by the number of rings. With three rings a lead's
/// outer notes come out 110 mm deep (110 to 150 from memory).
const OUTER_SHARE: [f64; 3] = [0.46, 0.30, 0.20];

/// How far out the middle and inner notes lie as a share of the radius: about half and a fifth on a lead (from memory). Inner
/// notes lie further out when neighbours among them need the room; a full inner ring without a middle one takes its place.
const MIDDLE_AT: f64 = 0.47;
const INNER_AT: f64 = 0.2;
const INNER_ALONE_AT: f64 = 0.3;
const FULL_RING: usize = 7;

/// By how much an area gives way at a time, and how often at most.
const GIVE: f64 = 0.98;
const ROUNDS: usize = 400;

/// Half the greatest width of an area as a share of the radius. A drum with a note that asks for more has all its notes made
/// smaller alike, so that lower notes stay larger.
const WIDEST_SHARE: f64 = 0.6;

/// How many times wider than deep, or deeper than wide, an area may become (a name has to stand in it).
const STRETCH: f64 = 1.7;

/// The least half width or depth of an area, in mm: a note that gets no more has no room, and the drum is drawn otherwise.
const LEAST: f64 = 9.0;

/// How many points of an oval's edge are looked at; between two of 48 the edge strays by 0.2 % of its half width.
const EDGE: usize = 48;

/// The widest span that the area of a note has on a pan with room for it, in mm.
pub fn widest(pitch: Pitch) -> f64 {
    WIDTH_OF_MIDDLE_C * ((60.0 - f64::from(pitch.key())) / HALVES_EVERY).exp2()
}

/// An oval on a face: `along` the rim, `deep` towards the middle, `out` from the middle at `angle`.
#[derive(Clone, Copy, Debug)]
pub struct Oval {
    ring: Ring,
    /// Degrees clockwise from the place nearest to the player.
    angle: f64,
    /// Sine and cosine of the angle.
    round: (f64, f64),
    along: f64,
    deep: f64,
    out: f64,
    /// Its size if there were room enough.
    wish: (f64, f64),
}

impl Oval {
    /// Its middle from the drum's middle, and its area, with the drum turned clockwise by `turn` degrees.
    pub fn seen(&self, turn: f64) -> (Point, Area) {
        let turn = self.angle + turn;
        let (sin, cos) = turn.to_radians().sin_cos();
        let centre = Point { x: -self.out * sin, y: self.out * cos };
        (centre, Area::Oval { along: self.along, deep: self.deep, turn: (turn + 180.0).rem_euclid(360.0) - 180.0 })
    }

    /// The point of its edge in a direction: `(sin, cos)` of the way round from its outermost point, as seen without a turn.
    fn edge(&self, (sin_t, cos_t): (f64, f64)) -> Point {
        let (along, out) = (self.along * sin_t, self.out + self.deep * cos_t);
        let (sin, cos) = self.round;
        Point { x: along * cos - out * sin, y: along * sin + out * cos }
    }

    /// Whether a point lies in it or within a groove of it.
    fn holds(&self, point: Point) -> bool {
        let (sin, cos) = self.round;
        let along = point.x * cos + point.y * sin;
        let out = -point.x * sin + point.y * cos - self.out;
        (along / (self.along + GROOVE)).powi(2) + (out / (self.deep + GROOVE)).powi(2) < 1.0
    }

    /// Its middle, as seen without a turn.
    fn middle(&self) -> Point {
        let (sin, cos) = self.round;
        Point { x: -self.out * sin, y: self.out * cos }
    }

    /// Whether it lies over another one, or nearer to it than a groove.
    fn meets(&self, other: &Oval) -> bool {
        let reach = self.along.max(self.deep) + other.along.max(other.deep) + GROOVE;
        self.middle().distance(other.middle()) < reach
            && directions().any(|t| other.holds(self.edge(t)) || self.holds(other.edge(t)))
    }

    /// Whether it reaches over a circle round the drum's middle.
    fn leaves(&self, radius: f64) -> bool {
        let bound = radius * radius;
        let mut is_close = false;
        // One side is as far out as the other; that they differ by a last digit matters only where it is close.
        for (sin, cos) in directions().take(EDGE / 2 + 1) {
            let (along, out) = (self.along * sin, self.out + self.deep * cos);
            let square = along * along + out * out;
            if (square - bound).abs() < bound * 1e-9 {
                is_close = true;
            } else if square > bound {
                return true;
            }
        }
        is_close && directions().any(|t| self.edge(t).distance(Point::default()) > radius)
    }

    /// Moves an outer note as far out as the rim allows.
    fn settle(&mut self, radius: f64) {
        if self.ring != Ring::Outer {
            return;
        }
        let (mut inside, mut outside) = (0.0, radius - GROOVE - self.deep);
        self.out = outside;
        if !self.leaves(radius - GROOVE) {
            return;
        }
        for _ in 0..24 {
            self.out = (inside + outside) / 2.0;
            if self.leaves(radius - GROOVE) { outside = self.out } else { inside = self.out }
        }
        self.out = inside;
    }

    /// Gives way a little: along the ring to a neighbour on it, in depth to a note of another ring; in both when it would
    /// become a sliver.
    fn give(&mut self, same_ring: bool) {
        let (along, deep) =
            if same_ring { (true, self.along < self.deep / 1.3) } else { (self.deep < self.along / STRETCH, true) };
        self.along *= if along { GIVE } else { 1.0 };
        self.deep *= if deep { GIVE } else { 1.0 };
    }
}

/// Directions all the way round, as `(sin, cos)`.
fn directions() -> impl Iterator<Item = (f64, f64)> {
    static ALL: LazyLock<[(f64, f64); EDGE]> =
        LazyLock::new(|| std::array::from_fn(|i| (TAU * i as f64 / EDGE as f64).sin_cos()));
    ALL.iter().copied()
}

/// What the ovals of a drum depend on: ring, angle and pitch of each note, and the drum's radius.
type Question = (Vec<(Option<Ring>, Option<u64>, Pitch)>, u64);

/// How many drums are remembered; a band of 500 pans has fewer kinds of drums.
const REMEMBERED: usize = 1000;

/// The ovals of a drum's notes, in their order; `None` when there is none, when one has no ring or angle, or when they do not
/// fit beside each other at the places given.
///
/// Finding them takes half a millisecond, and the same drums are asked for again and again, by every part and every tune: so they are
/// remembered.
pub fn ovals(notes: &[NoteArea], radius: f64) -> Option<Vec<Oval>> {
    static KNOWN: LazyLock<Mutex<HashMap<Question, Option<Vec<Oval>>>>> = LazyLock::new(Mutex::default);
    let known = || KNOWN.lock().unwrap_or_else(PoisonError::into_inner);
    let of_note = |note: &NoteArea| (note.ring, note.angle.map(f64::to_bits), note.pitch);
    let question = (notes.iter().map(of_note).collect(), radius.to_bits());
    if let Some(answer) = known().get(&question) {
        return answer.clone();
    }
    // Others may look for the same meanwhile, and find the same.
    let answer = found(notes, radius);
    let mut known = known();
    if known.len() >= REMEMBERED {
        known.clear();
    }
    known.insert(question, answer.clone());
    answer
}

fn found(notes: &[NoteArea], radius: f64) -> Option<Vec<Oval>> {
    let mut ovals = notes.iter().map(|note| wish(note, notes, radius)).collect::<Option<Vec<Oval>>>()?;
    if ovals.is_empty() || !part(&mut ovals, radius) {
        return None;
    }
    take_back(&mut ovals, radius);
    ovals.iter().all(|oval| oval.along >= LEAST && oval.deep >= LEAST).then_some(ovals)
}

/// What a note would have if it were alone.
fn wish(note: &NoteArea, all: &[NoteArea], radius: f64) -> Option<Oval> {
    let (ring, angle) = (note.ring?, note.angle?);
    let on = |ring| all.iter().filter(move |note| note.ring == Some(ring)).count();
    let rings = Ring::ALL.into_iter().filter(|ring| on(*ring) > 0).count();
    let lowest = all.iter().map(|note| note.pitch).min()?;
    let half = widest(note.pitch) / 2.0 * (radius * WIDEST_SHARE / (widest(lowest) / 2.0)).min(1.0);
    let (along, deep, out) = match ring {
        Ring::Outer => (half, (half * OUTER_DEPTH).min(radius * OUTER_SHARE[rings - 1]), 0.0),
        Ring::Inner if on(Ring::Middle) == 0 && on(Ring::Inner) >= FULL_RING => (half, half, radius * MIDDLE_AT),
        Ring::Inner => (half, half, inner(all, radius)),
        Ring::Middle => (half, half, radius * MIDDLE_AT),
    };
    let round = angle.to_radians().sin_cos();
    let mut oval = Oval { ring, angle, round, along, deep, out, wish: (along, deep) };
    oval.settle(radius);
    Some(oval)
}

/// How far out the inner notes lie: none when there is but one, else as far as the closest two need, within bounds.
fn inner(all: &[NoteArea], radius: f64) -> f64 {
    let mut notes: Vec<(f64, f64)> = all
        .iter()
        .filter(|note| note.ring == Some(Ring::Inner))
        .filter_map(|note| Some((note.angle?, widest(note.pitch) / 2.0)))
        .collect();
    notes.sort_by(|a, b| a.0.total_cmp(&b.0));
    let next = notes.iter().cycle().skip(1);
    let most = if all.iter().any(|note| note.ring == Some(Ring::Middle)) { INNER_AT } else { INNER_ALONE_AT };
    let needs = notes.iter().zip(next).map(|(a, b)| {
        let apart = (b.0 - a.0).rem_euclid(360.0).min((a.0 - b.0).rem_euclid(360.0));
        (a.1 + b.1 + GROOVE) / (2.0 * (apart.to_radians() / 2.0).sin()).max(0.01)
    });
    if notes.len() < 2 { 0.0 } else { needs.fold(0.0, f64::max).clamp(radius * INNER_AT, radius * most) }
}

/// Lets areas that meet give way until none does; `false` when they don't come apart.
fn part(ovals: &mut [Oval], radius: f64) -> bool {
    for _ in 0..ROUNDS {
        let mut gives: Vec<Option<bool>> = vec![None; ovals.len()];
        for a in 0..ovals.len() {
            for b in a + 1..ovals.len() {
                if ovals[a].meets(&ovals[b]) {
                    let same = ovals[a].ring == ovals[b].ring;
                    gives[a] = Some(gives[a].unwrap_or(false) || same);
                    gives[b] = Some(gives[b].unwrap_or(false) || same);
                }
            }
        }
        if gives.iter().all(Option::is_none) {
            return true;
        }
        for (oval, same_ring) in ovals.iter_mut().zip(gives) {
            if let Some(same_ring) = same_ring {
                oval.give(same_ring);
                oval.settle(radius);
            }
        }
    }
    false
}

/// Lets every area take back what room there is, up to what it wished for; round by round, so that all get their share.
fn take_back(ovals: &mut [Oval], radius: f64) {
    for _ in 0..ROUNDS / 10 {
        let mut any = false;
        for i in 0..ovals.len() {
            for (along, deep) in [(1.0 / GIVE, 1.0), (1.0, 1.0 / GIVE)] {
                let mut larger = ovals[i];
                larger.along *= along;
                larger.deep *= deep;
                larger.settle(radius);
                let stretched = larger.along > STRETCH * larger.deep || larger.deep > STRETCH * larger.along;
                let too_much = stretched || larger.along > larger.wish.0 || larger.deep > larger.wish.1;
                if too_much || larger.leaves(radius - GROOVE + 0.01) {
                    continue;
                }
                if (0..ovals.len()).all(|other| other == i || !larger.meets(&ovals[other])) {
                    ovals[i] = larger;
                    any = true;
                }
            }
        }
        if !any {
            return;
        }
    }
}

/// Half the width and height of a tile, and the room from one tile's middle to the next.
const TILE: (f64, f64) = (38.0, 30.0);
const TILE_STEP: (f64, f64) = (86.0, 72.0);

/// The most tiles in a row.
const ROW: usize = 7;

/// Tiles for notes without places: rows of up to seven, rising from left to right, the lowest row nearest
/// to the player. The outline, and each tile's place from its middle, in the order of the notes.
pub fn rows(notes: &[NoteArea]) -> (Outline, Vec<(Point, Area)>) {
    let rank = |note: &NoteArea| notes.iter().filter(|other| other.pitch < note.pitch).count();
    let (columns, lines) = (notes.len().clamp(1, ROW), notes.len().div_ceil(ROW).max(1));
    // The rows are filled evenly: ten notes are five and five.
    let columns = columns.min(notes.len().div_ceil(lines).max(1));
    let place = |note: &NoteArea| {
        let (row, column) = (rank(note) / columns, rank(note) % columns);
        let x = (column as f64 - (columns as f64 - 1.0) / 2.0) * TILE_STEP.0;
        let y = ((lines as f64 - 1.0) / 2.0 - row as f64) * TILE_STEP.1;
        (Point { x, y }, Area::Tile { half_width: TILE.0, half_height: TILE.1 })
    };
    let half_width = TILE_STEP.0 * columns as f64 / 2.0 + GROOVE;
    let half_height = TILE_STEP.1 * lines as f64 / 2.0 + GROOVE;
    (Outline::Rows { half_width, half_height }, notes.iter().map(place).collect())
}

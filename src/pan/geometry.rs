//! Where a pan's drums hang and its notes lie, as plain numbers: for drawing a pan, and for judging how far the sticks travel.
//!
//! Everything is seen from above. Lengths are in millimetres; the player stands at the origin, `x` grows to the player's
//! right, `y` towards (and behind) the player, so a picture with `y` downwards has the player at the bottom.
//!
//! Drums hang side by side in twos, and round the player in an arc or a horseshoe from three on; each turns its near side to
//! the player from three on (common practice, no source). Drums that players hang upright are laid flat here.

use super::face::{Drum, NoteArea, Pan};
use super::placing;
pub use super::shape::{Area, Outline, Point};
use crate::music::{Cents, NoteName, Pitch};

/// Inside radius of a drum: half of 571.5 mm, the inside diameter of the 55 US gallon drums that pans are made from (dealers'
/// data sheets; ISO 15750 and ANSI MH2 describe the drum).
pub(crate) const DRUM_RADIUS: f64 = 571.5 / 2.0;

/// From the middle of one drum to the middle of the next, in mm: the drum, its rim and room to swing (common practice, no
/// source).
pub(crate) const DRUM_SPACING: f64 = 610.0;

/// From the player to the near rim of drums that hang in front, in mm (common practice, no source).
pub(crate) const REACH: f64 = 150.0;

/// The widest angle between neighbouring drums round the player, in degrees; and how far round the player a horseshoe
/// goes: three quarters; the rest is the way in (common practice, no source).
const WIDEST_STEP: f64 = 60.0;
const HORSESHOE: f64 = 270.0;

/// A pan laid out.
#[derive(Clone, Debug, PartialEq)]
pub struct Geometry {
    /// Its drums, in the pan's order.
    pub drums: Vec<DrumPlace>,
    /// Its notes, drum by drum in the pan's order; dead ones (see [`Drum::dead`]) after the drum's others.
    pub notes: Vec<NotePlace>,
}

/// Where a drum hangs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DrumPlace {
    /// Its middle.
    pub centre: Point,
    /// What it looks like from above.
    pub outline: Outline,
}

/// Where a note lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NotePlace {
    /// The number of its drum, from 0.
    pub drum: usize,
    /// What it sounds.
    pub pitch: Pitch,
    /// The name that the pan gives it.
    pub name: NoteName,
    /// Its middle.
    pub centre: Point,
    /// Its area.
    pub area: Area,
    /// Whether it lies there but cannot be played.
    pub dead: bool,
    /// How far out of tune it is, as measured.
    pub cents: Cents,
}

impl Geometry {
    /// Lays a pan out.
    ///
    /// A drum is round when its notes have rings and angles and fit beside each other; else its notes are tiles in rows. A
    /// single note without a place on a round drum is a tile in a row under the drums. Cost: O(notes²) a drum.
    pub fn of(pan: &Pan) -> Geometry {
        let mut geometry = Geometry { drums: Vec::new(), notes: Vec::new() };
        let mut loose = Vec::new();
        for (number, (drum, turn)) in pan.drums.iter().zip(turns(pan.drums.len())).enumerate() {
            let centre = hang(pan.drums.len(), number, turn);
            loose.extend(geometry.put(number, drum, centre, turn));
        }
        geometry.put_loose(&loose);
        geometry
    }

    /// The place of a note that can be played.
    pub fn note(&self, pitch: Pitch) -> Option<&NotePlace> {
        self.notes.iter().find(|note| note.pitch == pitch && !note.dead)
    }

    /// The corners of the box that holds all drums and notes: least `x` and `y`, greatest `x` and `y`.
    pub fn bounds(&self) -> (Point, Point) {
        let drums = self.drums.iter().map(|drum| match drum.outline {
            Outline::Round { radius } => (drum.centre, (radius, radius)),
            Outline::Rows { half_width, half_height } => (drum.centre, (half_width, half_height)),
        });
        let notes = self.notes.iter().map(|note| (note.centre, note.area.half_box()));
        let (mut least, mut most) = (Point { x: f64::MAX, y: f64::MAX }, Point { x: f64::MIN, y: f64::MIN });
        for (centre, (w, h)) in drums.chain(notes) {
            least = Point { x: least.x.min(centre.x - w), y: least.y.min(centre.y - h) };
            most = Point { x: most.x.max(centre.x + w), y: most.y.max(centre.y + h) };
        }
        if self.drums.is_empty() { (Point::default(), Point::default()) } else { (least, most) }
    }

    /// Whether the pan's file gives the place of every note.
    pub fn is_told(&self) -> bool {
        self.notes.iter().all(|note| matches!(note.area, Area::Oval { .. }))
    }

    /// Places a drum and its notes; returns the notes that have no place on it.
    fn put(&mut self, drum: usize, notes: &Drum, centre: Point, turn: f64) -> Vec<(usize, NoteArea, bool)> {
        let all = notes.notes.iter().map(|note| (*note, false)).chain(notes.dead.iter().map(|note| (*note, true)));
        let (placed, loose): (Vec<_>, Vec<_>) = all.partition(|(note, _)| note.ring.is_some() && note.angle.is_some());
        let areas: Vec<NoteArea> = placed.iter().map(|(note, _)| *note).collect();
        if let Some(ovals) = placing::ovals(&areas, DRUM_RADIUS) {
            self.drums.push(DrumPlace { centre, outline: Outline::Round { radius: DRUM_RADIUS } });
            let places = placed.iter().zip(&ovals).map(|((note, dead), oval)| {
                let (at, area) = oval.seen(turn);
                place(drum, note, *dead, Point { x: centre.x + at.x, y: centre.y + at.y }, area)
            });
            self.notes.extend(places);
            return loose.into_iter().map(|(note, dead)| (drum, note, dead)).collect();
        }
        let all: Vec<(NoteArea, bool)> = placed.into_iter().chain(loose).collect();
        let areas: Vec<NoteArea> = all.iter().map(|(note, _)| *note).collect();
        let (outline, tiles) = placing::rows(&areas);
        self.drums.push(DrumPlace { centre, outline });
        self.notes.extend(all.iter().zip(tiles).map(|((note, dead), (at, area))| {
            place(drum, note, *dead, Point { x: centre.x + at.x, y: centre.y + at.y }, area)
        }));
        Vec::new()
    }

    /// Puts notes without a place in a row under the drums.
    fn put_loose(&mut self, loose: &[(usize, NoteArea, bool)]) {
        let (least, most) = self.bounds();
        let areas: Vec<NoteArea> = loose.iter().map(|(_, note, _)| *note).collect();
        let (Outline::Rows { half_height, .. }, tiles) = placing::rows(&areas) else { return };
        let middle = Point { x: (least.x + most.x) / 2.0, y: most.y + half_height };
        self.notes.extend(loose.iter().zip(tiles).map(|((drum, note, dead), (at, area))| {
            place(*drum, note, *dead, Point { x: middle.x + at.x, y: middle.y + at.y }, area)
        }));
    }
}

fn place(drum: usize, note: &NoteArea, dead: bool, centre: Point, area: Area) -> NotePlace {
    NotePlace { drum, pitch: note.pitch, name: note.name, centre, area, dead, cents: note.cents }
}

/// For each of `drums` drums, where round the player it hangs, in degrees clockwise from straight ahead; also how far it is
/// turned. One and two drums are not turned.
fn turns(drums: usize) -> Vec<f64> {
    if drums < 3 {
        return vec![0.0; drums];
    }
    let gaps = (drums - 1) as f64;
    let step = WIDEST_STEP.min(HORSESHOE / gaps);
    (0..drums).map(|drum| step * (drum as f64 - gaps / 2.0)).collect()
}

/// The middle of drum `number` of `drums`.
fn hang(drums: usize, number: usize, turn: f64) -> Point {
    if drums < 3 {
        let x = DRUM_SPACING * (number as f64 - (drums as f64 - 1.0) / 2.0);
        return Point { x, y: -(REACH + DRUM_RADIUS) };
    }
    let step = WIDEST_STEP.min(HORSESHOE / (drums - 1) as f64);
    let away = DRUM_SPACING / 2.0 / (step.to_radians() / 2.0).sin();
    let (sin, cos) = turn.to_radians().sin_cos();
    Point { x: away * sin, y: -away * cos }
}

//! Where a pan's drums hang and its notes lie, as plain numbers: for drawing a pan, and for judging how far the sticks travel.
//!
//! Everything is seen from above. Lengths are in millimetres; the player stands at the origin, `x` grows to the player's
//! right, `y` towards (and behind) the player, so a picture with `y` downwards has the player at the bottom.
//!
//! Drums hang side by side in twos, and round the player in an arc or a horseshoe from three on; each turns its near side to
//! the player from three on (common practice, no source). Drums that players hang upright are laid flat here.

use super::face::{Drum, NoteArea, Pan};
use super::placing;
use crate::music::{Cents, NoteName, Pitch};

/// Inside radius of a drum: half of 571.5 mm, the inside diameter of a 55 US gallon drum of which pans are made (dealers'
/// data sheets; ISO 15750 and ANSI MH2 describe the drum).
pub const DRUM_RADIUS: f64 = 571.5 / 2.0;

/// From the middle of one drum to the middle of the next, in mm: the drum, its rim and room to swing (common practice, no
/// source).
pub const DRUM_SPACING: f64 = 610.0;

/// From the player to the near rim of drums that hang in front, in mm (common practice, no source).
pub const REACH: f64 = 150.0;

/// The widest angle between neighbouring drums round the player, in degrees; and how far round the player a horseshoe
/// goes: three quarters, the rest is the way in (common practice, no source).
const WIDEST_STEP: f64 = 60.0;
const HORSESHOE: f64 = 270.0;

/// A place: millimetres from the player.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Point {
    /// To the player's right.
    pub x: f64,
    /// Towards the player; what lies in front is negative.
    pub y: f64,
}

impl Point {
    /// How far it is to another place, in mm.
    pub fn distance(self, other: Point) -> f64 {
        (self.x - other.x).hypot(self.y - other.y)
    }
}

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

/// What a drum looks like from above.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Outline {
    /// A drum whose notes' places are known.
    Round {
        /// Half its inside diameter, in mm.
        radius: f64,
    },
    /// A drum of which only the notes are known: tiles in rows, an octave a row, the lowest nearest to the player.
    Rows {
        /// Half the width of all rows, in mm.
        half_width: f64,
        /// Half their height, in mm.
        half_height: f64,
    },
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
    /// How far it is off, as measured.
    pub cents: Cents,
}

/// The area of a note.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Area {
    /// An oval on a drum's face.
    Oval {
        /// Half its width along the rim, in mm.
        along: f64,
        /// Half its depth towards the drum's middle, in mm.
        deep: f64,
        /// How far it is turned clockwise, in degrees; 0 means that its width lies along the player's shoulders.
        turn: f64,
    },
    /// A tile, where only the note is known.
    Tile {
        /// Half its width, in mm.
        half_width: f64,
        /// Half its height, in mm.
        half_height: f64,
    },
}

impl Area {
    /// Half the width and half the height of the box that holds it, in mm.
    pub fn half_box(self) -> (f64, f64) {
        match self {
            Area::Oval { along, deep, turn } => {
                let (sin, cos) = turn.to_radians().sin_cos();
                ((along * cos).hypot(deep * sin), (along * sin).hypot(deep * cos))
            }
            Area::Tile { half_width, half_height } => (half_width, half_height),
        }
    }
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

    /// Whether every note lies at a place that the pan tells.
    pub fn is_told(&self) -> bool {
        self.notes.iter().all(|note| matches!(note.area, Area::Oval { .. }))
    }

    /// Puts a drum and its notes; gives back the notes that have no place on it.
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pan::{layout, layouts};

    /// The edge of an oval, drawn anew from what the geometry gives, apart from how the areas found their room.
    fn edge(note: &NotePlace) -> Vec<Point> {
        let Area::Oval { along, deep, turn } = note.area else { panic!("{} is no oval", note.name) };
        let (sin, cos) = turn.to_radians().sin_cos();
        let at = |i: usize| (std::f64::consts::TAU * i as f64 / 360.0).sin_cos();
        let point = |(t, u): (f64, f64)| Point {
            x: note.centre.x + along * u * cos - deep * t * sin,
            y: note.centre.y + along * u * sin + deep * t * cos,
        };
        (0..360).map(|i| point(at(i))).collect()
    }

    fn holds(note: &NotePlace, point: Point) -> bool {
        let Area::Oval { along, deep, turn } = note.area else { panic!("{} is no oval", note.name) };
        let (sin, cos) = turn.to_radians().sin_cos();
        let (x, y) = (point.x - note.centre.x, point.y - note.centre.y);
        ((x * cos + y * sin) / along).powi(2) + ((y * cos - x * sin) / deep).powi(2) < 1.0
    }

    #[test]
    fn no_note_of_a_layout_lies_over_another_or_over_the_rim() {
        for pan in layouts() {
            let geometry = Geometry::of(pan);
            assert_eq!(geometry.notes.len(), pan.notes().count(), "{}", pan.name);
            assert!(geometry.is_told(), "{}", pan.name);
            for note in &geometry.notes {
                let drum = geometry.drums[note.drum];
                for point in edge(note) {
                    assert!(point.distance(drum.centre) < DRUM_RADIUS, "{} {} leaves its drum", pan.name, note.name);
                    let over = geometry.notes.iter().find(|other| *other != note && holds(other, point));
                    assert!(over.is_none(), "{} {} lies over {:?}", pan.name, note.name, over.map(|note| note.name));
                }
            }
        }
    }

    #[test]
    fn drums_do_not_lie_over_each_other() {
        for pan in layouts() {
            let drums = Geometry::of(pan).drums;
            for (i, a) in drums.iter().enumerate() {
                for b in &drums[i + 1..] {
                    assert!(a.centre.distance(b.centre) > 2.0 * DRUM_RADIUS, "{}", pan.name);
                }
            }
        }
    }

    /// Notes by their distance from a place.
    fn near<'a>(from: Point, among: &[&'a NotePlace]) -> Vec<&'a NotePlace> {
        let mut among = among.to_vec();
        among.sort_by(|a, b| a.centre.distance(from).total_cmp(&b.centre.distance(from)));
        among
    }

    /// Neighbours round the rim of the lead are a fourth apart clockwise (Brockville Lions Steelband, Our drums; Malloy,
    /// Steel Pan Composition Guide), C is nearest to the player, and every note of the middle ring lies inside its octave
    /// (Hansen & Rossing, The Caribbean Steelpan and some Offsprings). Here by place alone: rings are told by distance.
    #[test]
    fn the_lead_is_a_circle_of_fourths() {
        for name in ["lead-c", "lead-d"] {
            let geometry = Geometry::of(layout(name).expect("a layout"));
            let middle = geometry.drums[0].centre;
            let out = |note: &&NotePlace| note.centre.distance(middle);
            let mut all: Vec<&NotePlace> = geometry.notes.iter().collect();
            all.sort_by(|a, b| out(b).total_cmp(&out(a)));
            let (outer, rest) = all.split_at(12);
            for note in outer {
                let neighbours = &near(note.centre, outer)[1..3];
                let mut steps: Vec<i32> =
                    neighbours.iter().map(|other| note.pitch.semitones_to(other.pitch).rem_euclid(12)).collect();
                steps.sort_unstable();
                assert_eq!(steps, [5, 7], "beside {} on {name}", note.name);
                let inside = near(note.centre, rest)[0];
                assert_eq!(note.pitch.semitones_to(inside.pitch), 12, "inside {} on {name}", note.name);
            }
            let nearest = near(Point::default(), outer)[0];
            assert_eq!(nearest.pitch.class().to_string(), "C");
            let left = outer.iter().min_by(|a, b| a.centre.x.total_cmp(&b.centre.x)).expect("a note");
            assert_eq!(left.pitch.class().to_string(), "Eb", "a quarter of the way round by fourths: C F Bb Eb");
        }
    }

    /// Lower notes have larger areas: on a lead, from the outer ring to the inner one and by the octave.
    #[test]
    fn lower_notes_are_larger() {
        let size = |note: &NotePlace| match note.area {
            Area::Oval { along, deep, .. } => along * deep,
            Area::Tile { .. } => 0.0,
        };
        for pan in layouts() {
            let geometry = Geometry::of(pan);
            for low in &geometry.notes {
                for high in &geometry.notes {
                    if low.drum == high.drum && low.pitch.semitones_to(high.pitch) >= 12 {
                        assert!(
                            size(low) > size(high),
                            "{}: {} {} {} {}",
                            pan.name,
                            low.name,
                            size(low),
                            high.name,
                            size(high)
                        );
                    }
                }
            }
        }
    }

    #[test]
    fn notes_without_places_are_tiles_in_rising_rows() {
        let mut pan = layout("lead-c").expect("a layout").clone();
        pan.drums[0].notes.iter_mut().for_each(|note| note.ring = None);
        let geometry = Geometry::of(&pan);
        assert!(!geometry.is_told());
        let place = |name: &str| geometry.note(name.parse().expect("a pitch")).expect("a note").centre;
        assert!(place("C4").x < place("C#4").x && place("C4").y == place("C#4").y, "rising to the right");
        assert!(place("C4").y > place("E6").y, "the lowest is nearest to the player");
        for (i, a) in geometry.notes.iter().enumerate() {
            for b in &geometry.notes[i + 1..] {
                let (w, h) = a.area.half_box();
                let apart = (a.centre.x - b.centre.x).abs() > 2.0 * w || (a.centre.y - b.centre.y).abs() > 2.0 * h;
                assert!(apart, "{} and {}", a.name, b.name);
            }
        }
    }

    #[test]
    fn notes_that_cannot_be_parted_are_tiles() {
        let mut pan = layout("lead-c").expect("a layout").clone();
        pan.drums[0].notes.iter_mut().for_each(|note| note.angle = Some(10.0));
        assert!(!Geometry::of(&pan).is_told());
    }

    #[test]
    fn a_dead_note_keeps_its_place_and_a_loose_one_gets_one() {
        let mut pan = layout("lead-c").expect("a layout").clone();
        let whole = Geometry::of(&pan);
        let dead = pan.drums[0].notes.remove(3);
        pan.drums[0].dead.push(dead);
        pan.drums[0].notes.push(NoteArea {
            ring: None,
            name: "F6".parse().expect("a name"),
            pitch: "F6".parse().expect("a pitch"),
            ..dead
        });
        let geometry = Geometry::of(&pan);
        let found = geometry.notes.iter().find(|note| note.dead).expect("the dead note");
        assert_eq!(found.pitch, dead.pitch);
        assert!(found.centre.distance(whole.note(dead.pitch).expect("the note").centre) < 5.0);
        let loose = geometry.note("F6".parse().expect("a pitch")).expect("the loose note");
        assert!(loose.centre.y > geometry.drums[0].centre.y + DRUM_RADIUS);
    }
}

//! Every layout laid out: nothing over anything else, lower notes larger, neighbours as the sources name them.

use super::face::NoteArea;
use super::geometry::{Area, DRUM_RADIUS, Geometry, NotePlace, Point};
use super::{layout, layouts};

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

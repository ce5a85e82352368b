//! A pan as an object, for a screen: drums with rims of steel, notes that stand out of them. Each drum is a group of its own, so that
//! a script can move it: a phone has no room for nine drums round a player.

use super::captions::captions;
use super::face::{
    LARGEST_NAME_MM, MARGIN, absent_tiles, across, barrel, cents, cross, description, labelled, note_title, outline,
    title,
};
use super::face_options::{Options, absent, off};
use super::look::{Part, State};
use super::picture::{Anchor, Form, Group, Item, Picture, SMALL, Text};
use crate::pan::Pan;
use crate::pan::geometry::{Area, DrumPlace, Geometry, NotePlace, Outline, Point};

/// How thick the rim of a drum looks from above, in mm: the rolled hoop of a steel barrel.
const RIM: f64 = 14.0;

/// How far light and shadow reach beyond a note, in mm.
const RAISED: f64 = 3.5;

/// Draws a pan as an object, its drums as they hang before the player.
///
/// In SVG each drum is a `<g class="barrel">`, and what lies under the drums a `<g class="beneath">`; `data-box` is the box that
/// it fills: least `x` and `y`, width and height. Notes carry what [`svg`](super::svg) tells of.
pub fn object(pan: &Pan, options: &Options) -> Picture {
    let geometry = Geometry::of(pan);
    let (least, most) = geometry.bounds();
    let width = most.x - least.x + 2.0 * MARGIN;
    let (x, mut y) = (least.x - MARGIN, most.y + MARGIN);
    let (loose, placed): (Vec<&NotePlace>, Vec<&NotePlace>) =
        geometry.notes.iter().partition(|note| is_loose(note, &geometry));
    let mut items: Vec<Item> = Vec::new();
    for (number, drum) in geometry.drums.iter().enumerate() {
        let notes = placed.iter().filter(|note| note.drum == number);
        items.push(Item::Group(drawn(number, drum, notes.map(|place| Item::Group(note(place, options))).collect())));
    }
    let absent = absent(pan, options);
    let tiles = absent_tiles(&absent, x, width, &mut y, options);
    let under: Vec<Item> = loose.iter().map(|place| Item::Group(note(place, options))).chain(tiles).collect();
    if !under.is_empty() {
        let top = loose.iter().map(|note| note.centre.y - note.area.half_box().1).fold(most.y + MARGIN, f64::min);
        let mut group = Group::new("beneath", under);
        group.data.push(("box", format!("{x:.0} {top:.0} {width:.0} {:.0}", y - top)));
        items.push(Item::Group(group));
    }
    Picture {
        origin: (x, least.y - MARGIN),
        size: (width, y - least.y + MARGIN),
        title: title(pan),
        description: description(pan, &captions(pan, options)),
        unit: "",
        items,
    }
}

/// Whether a note has no place on its drum, and lies in a row under all of them.
fn is_loose(note: &NotePlace, geometry: &Geometry) -> bool {
    let round = geometry.drums.get(note.drum).is_some_and(|drum| matches!(drum.outline, Outline::Round { .. }));
    round && matches!(note.area, Area::Tile { .. })
}

/// A drum with its rim and what lies on it.
fn drawn(number: usize, place: &DrumPlace, notes: Vec<Item>) -> Group {
    let (w, h) = match place.outline {
        Outline::Round { radius } => (radius, radius),
        Outline::Rows { half_width, half_height } => (half_width, half_height),
    };
    let (w, h) = (w + RIM, h + RIM);
    let mut items = vec![Item::Shape(Part::Rim, barrel(place, RIM)), Item::Shape(Part::Drum, barrel(place, 0.0))];
    items.extend(notes);
    let mut group = Group::new("barrel", items);
    group.data.push(("barrel", number.to_string()));
    let Point { x, y } = place.centre;
    group.data.push(("box", format!("{:.0} {:.0} {:.0} {:.0}", x - w, y - h, 2.0 * w, 2.0 * h)));
    group
}

fn note(place: &NotePlace, options: &Options) -> Group {
    let (x, y) = (place.centre.x, place.centre.y);
    let moved = |by: f64| outline(Point { x, y: y + by }, place.area);
    let mut items = Vec::new();
    if !place.dead {
        items.push(Item::Shape(Part::Shade, moved(RAISED)));
        items.push(Item::Shape(Part::Shine, moved(-RAISED)));
    }
    items.push(Item::Shape(Part::Area, moved(0.0)));
    if place.dead {
        items.push(cross(place.centre, place.area));
    }
    let tone = place.name.tone.to_string();
    let off = off(place.cents, options.tolerance);
    let size = name_size(place.area, tone.chars().count(), off).min(LARGEST_NAME_MM);
    let octave = place.name.octave.to_string();
    let text = Text { at: (x, y + 0.36 * size), size, anchor: Anchor::Middle, text: tone, small: octave, share: SMALL };
    items.push(Item::Shape(Part::Name, Form::Text(text)));
    if off {
        items.extend(cents(place.cents, (x, y), size));
    }
    let state = if place.dead { State::Absent } else { State::Plain };
    let mut group = labelled(place.pitch, Some(place.drum), state, items);
    group.title = note_title(place, off);
    if off {
        group.facts.push("off");
    }
    group
}

/// The largest letters with which a name and its octave fill an area; with room above and below for the cents of a note that is
/// `off`. In bold letters of one em a name is 0.72 em wide a letter and its octave 0.45.
fn name_size(area: Area, letters: usize, off: bool) -> f64 {
    let half = (0.72 * letters as f64 + 0.45) / 2.0;
    let high = if off { 0.95 } else { 0.4 };
    let (w, h) = match area {
        Area::Oval { along, deep, turn } => across(along, deep, turn),
        Area::Tile { half_width, half_height } => return (0.92 * half_width / half).min(0.95 * half_height / high),
    };
    0.96 / (half / w).hypot(high / h)
}

//! A pan as it hangs before the player.

use super::captions::captions;
pub use super::face_options::Options;
use super::face_options::{absent, off};
use super::font::{Weight, wrap};
use super::look::{Part, State};
use super::picture::{Anchor, Form, Group, Item, Picture, SMALL, Text};
use crate::music::count;
use crate::music::{Cents, Pitch};
pub use crate::notation::tree::Stick;
use crate::pan::Pan;
use crate::pan::geometry::{Area, DrumPlace, Geometry, NotePlace, Outline, Point};
use crate::text::words;

/// Room round the drums, in mm.
pub(super) const MARGIN: f64 = 22.0;

/// The least width of a picture, in mm, so that what is said under it has room.
const NARROWEST: f64 = 480.0;

/// The largest letters of a note's name, as a share of the picture's width: a bass note has room for more than the eye wants.
const LARGEST_NAME: f64 = 1.0 / 24.0;

/// The same where names are as large as their notes allow.
const LARGEST_ALONE: f64 = 1.0 / 14.0;

/// The largest letters of a note's name on a pan that is shown large, in mm.
pub(super) const LARGEST_NAME_MM: f64 = 76.0;

/// Half the width of a stick's letter, in em of the name.
const STICK_WIDTH: f64 = 0.24;

/// The size of the number of strokes under a name, in em of the name, and half the width of one of its digits.
const NUMBER: f64 = 0.48;
const NUMBER_WIDTH: f64 = 0.15;

/// Draws a pan: its drums round the player, who is at the bottom (or in the middle of a horseshoe).
///
/// A caption says where places are schematic, weak or unknown. Notes that the pan is `without` are crossed out where
/// they would lie; a note that is off by more than the tolerance has an arrow and its cents.
pub fn face(pan: &Pan, options: &Options) -> Picture {
    let geometry = Geometry::of(pan);
    let (least, most) = geometry.bounds();
    let width = (most.x - least.x + 2.0 * MARGIN).max(NARROWEST);
    let (x, mut y) = ((least.x + most.x - width) / 2.0, most.y + MARGIN);
    let mut items: Vec<Item> = geometry.drums.iter().map(drum).collect();
    if geometry.drums.len() > 2 {
        let size = width / 45.0;
        items.push(player(size));
        y = y.max(1.4 * size);
    }
    let share = if options.sticks { LARGEST_NAME } else { LARGEST_ALONE };
    let largest = LARGEST_NAME_MM.max(width * share);
    // Beneath all notes, so that a rim covers no neighbour.
    items.extend(geometry.notes.iter().filter_map(|note| rim(note, options)));
    items.extend(geometry.notes.iter().map(|note| Item::Group(self::note(note, largest, options))));
    let absent = absent(pan, options);
    items.extend(absent_tiles(&absent, x, width, &mut y, options));
    let captions = captions(pan, options);
    if options.captions {
        items.extend(caption_lines(&captions, (x, width), &mut y));
    }
    Picture {
        origin: (x, least.y - MARGIN),
        size: (width, y - least.y + MARGIN),
        title: title(pan),
        description: description(pan, &captions),
        unit: "",
        items,
    }
}

pub(super) fn title(pan: &Pan) -> String {
    if pan.title.is_empty() { format!("{} ({})", pan.name, pan.kind) } else { format!("{}: {}", pan.name, pan.title) }
}

pub(super) fn description(pan: &Pan, captions: &[String]) -> String {
    let drums: Vec<String> = pan
        .drums
        .iter()
        .enumerate()
        .map(|(i, drum)| {
            let names: Vec<String> = drum.notes.iter().map(|note| note.name.to_string()).collect();
            if pan.drums.len() == 1 { names.join(" ") } else { format!("drum {}: {}", i + 1, names.join(" ")) }
        })
        .collect();
    [&[drums.join("; ")], captions].concat().join(". ")
}

fn drum(place: &DrumPlace) -> Item {
    Item::Shape(Part::Drum, barrel(place, 0.0))
}

/// The outline of a drum, `wider` by so much on every side.
pub(super) fn barrel(place: &DrumPlace, wider: f64) -> Form {
    let (x, y) = (place.centre.x, place.centre.y);
    match place.outline {
        Outline::Round { radius } => {
            Form::Ellipse { centre: (x, y), radii: (radius + wider, radius + wider), turn: 0.0 }
        }
        Outline::Rows { half_width, half_height } => {
            let (w, h) = (half_width + wider, half_height + wider);
            Form::Rectangle { at: (x - w, y - h), size: (2.0 * w, 2.0 * h), round: 20.0 + wider }
        }
    }
}

/// The mark of where the player stands: an arrow ahead and the word.
fn player(size: f64) -> Item {
    let head = Form::Line(vec![(0.0, -1.5 * size), (size, 0.0), (-size, 0.0), (0.0, -1.5 * size)]);
    let word = Text::middle((0.0, 1.2 * size), size, "player");
    Item::Group(Group::new("place", vec![Item::Shape(Part::Player, head), Item::Shape(Part::Player, word)]))
}

fn note(place: &NotePlace, largest: f64, options: &Options) -> Group {
    let lit = options.lit.iter().find(|(pitch, ..)| *pitch == place.pitch);
    let (state, stick) = match lit {
        _ if place.dead => (State::Absent, None),
        Some((_, state, stick)) => (*state, *stick),
        None => (State::Plain, None),
    };
    let off = off(place.cents, options.tolerance);
    let (x, y) = (place.centre.x, place.centre.y);
    let struck = options.struck.get(&place.pitch).copied();
    let area = place.area;
    let mut items = vec![Item::Shape(Part::Area, outline(place.centre, area))];
    if place.dead {
        items.push(cross(place.centre, area));
    }
    let name = place.name.tone.to_string();
    let number = struck.map(|times| times.to_string());
    let below = number.as_ref().map_or(STICK_WIDTH, |number| NUMBER_WIDTH * number.len() as f64);
    // Without anything beneath it a name may reach into its note's corners.
    let is_bare = !options.sticks && number.is_none() && !off;
    let below = if is_bare { 0.0 } else { below.max(STICK_WIDTH) };
    let octave = place.name.octave.to_string();
    let wide = if is_bare {
        Weight::Bold.width(&name) + SMALL * Weight::Bold.width(&octave)
    } else {
        0.72 * name.chars().count() as f64 + 0.45
    };
    let size = name_size(area, wide, below).min(largest);
    let text = Text { at: (x, y + 0.36 * size), size, anchor: Anchor::Middle, text: name, small: octave, share: SMALL };
    items.push(Item::Shape(Part::Name, Form::Text(text)));
    if off {
        items.extend(cents(place.cents, (x, y), size));
    }
    let letter = stick.map_or_else(String::new, |stick| stick.to_char().to_string());
    let under = (x, y + 0.9 * size);
    items.push(match number {
        Some(number) => Item::Shape(Part::Small, Text::middle(under, NUMBER * size, number)),
        None => Item::Shape(Part::Stick, Text::middle(under, 0.58 * size, letter)),
    });
    let mut group = labelled(place.pitch, Some(place.drum), state, items);
    group.title = note_title(place, off);
    if let Some(times) = struck {
        group.title.push_str(&format!(", struck {}", words::count(times as usize, "time")));
    }
    if off {
        group.facts.push("off");
    }
    group
}

pub(super) fn note_title(place: &NotePlace, off: bool) -> String {
    let name = place.name;
    match (place.dead, off) {
        (true, _) => format!("{name}: not on this pan"),
        (_, true) => format!("{name}: {:+.0} cents off", place.cents.0),
        _ => name.to_string(),
    }
}

/// A group that a script finds by its key.
pub(super) fn labelled(pitch: Pitch, drum: Option<usize>, state: State, items: Vec<Item>) -> Group {
    let mut group = Group::new("note", items);
    group.id = format!("note-{}", pitch.key());
    group.data.push(("key", pitch.key().to_string()));
    group.data.extend(drum.map(|drum| ("drum", drum.to_string())));
    group.state = state;
    group
}

/// The outline of an area.
pub(super) fn outline(centre: Point, area: Area) -> Form {
    let (x, y) = (centre.x, centre.y);
    match area {
        Area::Oval { along, deep, turn } => Form::Ellipse { centre: (x, y), radii: (along, deep), turn },
        Area::Tile { half_width: w, half_height: h } => {
            Form::Rectangle { at: (x - w, y - h), size: (2.0 * w, 2.0 * h), round: 14.0 }
        }
    }
}

/// The rim round a note that is struck: from 2 mm (seldom) to 9 mm wide (as often as the most struck note of the pan). It grows outwards,
/// so that the name within stays as large as ever.
fn rim(place: &NotePlace, options: &Options) -> Option<Item> {
    let times = *options.struck.get(&place.pitch).filter(|_| !place.dead)?;
    let most = options.struck.values().copied().max().unwrap_or(times).max(1);
    let wide = 2.0 + 7.0 * times as f64 / most as f64;
    let area = match place.area {
        Area::Oval { along, deep, turn } => Area::Oval { along: along + wide, deep: deep + wide, turn },
        Area::Tile { half_width, half_height } => {
            Area::Tile { half_width: half_width + wide, half_height: half_height + wide }
        }
    };
    let mut group = Group::new("rim", vec![Item::Shape(Part::Often, outline(place.centre, area))]);
    group.data.push(("key", place.pitch.key().to_string()));
    Some(Item::Group(group))
}

/// The line through an area.
pub(super) fn cross(centre: Point, area: Area) -> Item {
    let (w, h) = area.half_box();
    let share = if matches!(area, Area::Oval { .. }) { 0.66 } else { 0.9 };
    let (x, y, w, h) = (centre.x, centre.y, share * w, share * h);
    Item::Shape(Part::Cross, Form::Line(vec![(x - w, y + h), (x + w, y - h)]))
}

/// The largest letters with which a name, its octave, and the stick's letter beneath it stay within an area.
///
/// - `wide`: how wide the name is with its octave, in em. In bold letters of one em a name is 0.72 em wide a letter at most, and its
///   octave 0.45.
/// - `below`: half the width of what stands beneath it, in em; 0 where nothing does. The stick's letter ends 0.9 em below the middle,
///   and keeps off the edge.
fn name_size(area: Area, wide: f64, below: f64) -> f64 {
    let half = wide / 2.0;
    let fit = |w: f64, h: f64| {
        let name = (half / w).hypot(0.37 / h);
        let stick = (below / w).hypot(1.02 / h);
        0.98 / if below > 0.0 { name.max(stick) } else { name }
    };
    match area {
        Area::Oval { along, deep, turn } => {
            let (w, h) = across(along, deep, turn);
            fit(w, h)
        }
        Area::Tile { half_width, half_height } => {
            let high = if below > 0.0 { 1.02 } else { 0.5 };
            (0.9 * half_width / half).min(0.95 * half_height / high)
        }
    }
}

/// How far an oval reaches from its middle to the side, and up.
pub(super) fn across(along: f64, deep: f64, turn: f64) -> (f64, f64) {
    let (sin, cos) = turn.to_radians().sin_cos();
    (1.0 / (cos / along).hypot(sin / deep), 1.0 / (sin / along).hypot(cos / deep))
}

/// The arrow and the cents of a note that is off.
pub(super) fn cents(cents: Cents, (x, y): (f64, f64), size: f64) -> [Item; 2] {
    let up = if cents.0 > 0.0 { 1.0 } else { -1.0 };
    let (tip, half) = (y - 0.68 * size, 0.26 * size);
    let arrow =
        vec![(x, tip - up * half), (x + half, tip + up * half), (x - half, tip + up * half), (x, tip - up * half)];
    let amount = Text::middle((x, y + 0.9 * size), 0.52 * size, format!("{:+.0}", cents.0));
    [Item::Shape(Part::Flag, Form::Line(arrow)), Item::Shape(Part::Cents, amount)]
}

/// Tiles for notes that the pan lacks, in rows beneath it.
pub(super) fn absent_tiles(absent: &[Pitch], x: f64, width: f64, y: &mut f64, options: &Options) -> Vec<Item> {
    let area = Area::Tile { half_width: 38.0, half_height: 30.0 };
    let (step, line) = (90.0, 74.0);
    let columns = count(width / step).max(1);
    let start = *y;
    let tile = |(i, pitch): (usize, &Pitch)| {
        let centre = Point {
            x: x + MARGIN + step * ((i % columns) as f64) + 42.0,
            y: start + 36.0 + line * ((i / columns) as f64),
        };
        let place =
            NotePlace { drum: 0, pitch: *pitch, name: pitch.name(), centre, area, dead: true, cents: Cents(0.0) };
        let mut group = note(&place, LARGEST_NAME_MM, options);
        group.data.retain(|(name, _)| *name != "drum");
        let struck =
            options.struck.get(pitch).map(|times| format!(", struck {}", words::count(*times as usize, "time")));
        group.title = format!("{pitch}: not on this pan{}", struck.unwrap_or_default());
        Item::Group(group)
    };
    *y += line * absent.len().div_ceil(columns) as f64;
    absent.iter().enumerate().map(tile).collect()
}

/// Captions under the picture, broken into lines.
fn caption_lines(captions: &[String], (x, width): (f64, f64), y: &mut f64) -> Vec<Item> {
    let size = (width / 38.0).max(19.0);
    let mut items = Vec::new();
    for line in captions.iter().flat_map(|caption| wrap(caption, Weight::Regular, size, width - 2.0 * MARGIN)) {
        *y += 1.35 * size;
        items.push(Item::Shape(Part::Caption, Text::start((x + MARGIN, *y - 0.3 * size), size, line)));
    }
    items
}

//! Percussion by its strokes: a disc for each, with the letter of the notation and what it means in the hand.

use super::look::{Part, State};
use super::picture::{Form, Group, Item, Picture, Text};
use crate::notation::tree::Mark;
use crate::pan::Instrument;

/// Radius of a disc and from one disc's middle to the next, in the picture's units (millimetres, as pans).
const RADIUS: f64 = 70.0;
const STEP: f64 = 210.0;

/// The width of every picture: room for three strokes, so that one stroke alone is drawn no larger.
const WIDTH: f64 = 3.0 * STEP;

/// Draws an instrument of the engine room by the strokes that it allows.
pub fn strokes(instrument: Instrument) -> Picture {
    let marks = instrument.marks();
    let left = (WIDTH - STEP * marks.len() as f64) / 2.0;
    let items: Vec<Item> = marks
        .iter()
        .enumerate()
        .map(|(i, mark)| Item::Group(disc(instrument, *mark, left + STEP * (i as f64 + 0.5))))
        .collect();
    let meanings: Vec<String> =
        marks.iter().map(|mark| format!("{}: {}", mark.to_char(), meaning(instrument, *mark))).collect();
    Picture {
        origin: (0.0, 0.0),
        size: (WIDTH, 2.0 * RADIUS + 100.0),
        title: format!("{instrument}: its strokes"),
        description: meanings.join("; "),
        unit: "",
        items,
    }
}

fn disc(instrument: Instrument, mark: Mark, x: f64) -> Group {
    let y = RADIUS + 20.0;
    let circle = Form::Ellipse { centre: (x, y), radii: (RADIUS, RADIUS), turn: 0.0 };
    let mut items = vec![Item::Shape(Part::Area, circle)];
    items.push(Item::Shape(Part::Name, Text::middle((x, y + 20.0), 64.0, mark.to_char().to_string())));
    items.push(Item::Shape(Part::Stick, Text::middle((x, y + 56.0), 34.0, "")));
    items.push(Item::Shape(Part::Caption, Text::middle((x, y + RADIUS + 44.0), 30.0, meaning(instrument, mark))));
    let mut group = Group::new("note", items);
    group.state = State::Plain;
    group.id = format!("mark-{}", mark.to_char());
    group.data.push(("mark", mark.to_char().to_string()));
    group.title = format!("{}: {}", mark.to_char(), meaning(instrument, mark));
    group
}

/// What a stroke is in the hand, as [`Instrument`] tells it.
pub fn meaning(instrument: Instrument, mark: Mark) -> &'static str {
    match (instrument, mark) {
        (Instrument::Iron, Mark::Stroke) => "high",
        (Instrument::Iron, Mark::Open) => "low, ringing",
        (Instrument::Iron, Mark::Slap) => "damped",
        (Instrument::Shaker, Mark::Open) => "backward",
        (Instrument::Shaker, _) => "forward",
        (Instrument::Scraper, Mark::Open) => "long scrape",
        (Instrument::Scraper, _) => "short scrape",
        (Instrument::Conga, Mark::Stroke) => "muffled",
        (Instrument::Conga, Mark::Open) => "open tone",
        (Instrument::Conga, Mark::Slap) => "slap",
        (Instrument::Snare, Mark::Open) => "rim stroke",
        (Instrument::Snare, Mark::Slap) => "side stick",
        (Instrument::HiHat, Mark::Open) => "open",
        (Instrument::HiHat, _) => "closed",
        (Instrument::Cowbell, Mark::Open) => "open",
        (Instrument::Cowbell, _) => "muffled",
        (Instrument::Kick | Instrument::Snare | Instrument::Sticks, _) => "stroke",
    }
}

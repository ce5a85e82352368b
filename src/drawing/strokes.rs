//! Percussion by its strokes: a disc for each, with the letter of the notation and what it means in the hand.

use std::ops::Range;

use super::font::{Weight, cut};
use super::look::{Part, State};
use super::picture::{Form, Group, Item, Picture, Text};
use crate::notation::tree::Mark;
use crate::pan::Instrument;
use crate::text::words;

/// Radius of a disc and from one disc's middle to the next, in the picture's units (millimetres, as pans).
const RADIUS: f64 = 70.0;
const STEP: f64 = 210.0;

/// The least width of a picture: room for three strokes, so that one stroke alone is drawn no larger.
const WIDTH: f64 = 3.0 * STEP;

/// How high the picture of one instrument is: its discs with what they mean.
pub(crate) const HEIGHT: f64 = 2.0 * RADIUS + 100.0;

/// The room for an instrument's name above them, where there are several.
const NAMED: f64 = 56.0;

/// Letters of an instrument's name.
const NAME: f64 = 44.0;

/// Draws one instrument of the engine room by the strokes that it allows.
pub fn strokes(instrument: Instrument) -> Picture {
    kit(&[(instrument.name(), instrument)], usize::MAX)
}

/// Draws the instruments that a player has in the engine room, each by the strokes that it allows.
///
/// - `percussion`: the instruments, each with the name of the part that is played on it, which is shown where there are several.
/// - `abreast`: how many strokes stand side by side at most; an instrument's own are not parted.
///
/// In SVG every stroke has its letter as `data-mark`, and as `data-row` the number of its instrument, where there are several.
pub fn kit(percussion: &[(&str, Instrument)], abreast: usize) -> Picture {
    let several = percussion.len() > 1;
    let lines = lines(percussion, abreast);
    let wide = |line: &Range<usize>| {
        STEP * percussion[line.clone()].iter().map(|(_, instrument)| instrument.marks().len()).sum::<usize>() as f64
    };
    let width = lines.iter().map(wide).fold(WIDTH, f64::max);
    let (step, name) = if several { (HEIGHT + NAMED, NAMED) } else { (HEIGHT, 0.0) };
    let mut items = Vec::new();
    for (i, line) in lines.iter().enumerate() {
        let mut left = (width - wide(line)) / 2.0;
        for row in line.clone() {
            let of = percussion[row].1;
            let room = STEP * of.marks().len() as f64;
            let top = step * i as f64;
            if several {
                let text = cut(percussion[row].0, Weight::Bold, NAME, room - 8.0);
                items.push(Item::Shape(Part::Heading, Text::middle((left + room / 2.0, top + 46.0), NAME, text)));
            }
            let discs = of.marks().iter().enumerate().map(|(i, mark)| {
                let at = (left + STEP * (i as f64 + 0.5), top + name);
                Item::Group(disc(of, *mark, at, several.then_some(row)))
            });
            items.extend(discs);
            left += room;
        }
    }
    Picture {
        origin: (0.0, 0.0),
        size: (width, step * lines.len() as f64),
        title: title(percussion),
        description: percussion.iter().map(|one| meanings(*one, several)).collect::<Vec<_>>().join("; "),
        unit: "",
        items,
    }
}

/// Which instruments stand side by side.
fn lines(percussion: &[(&str, Instrument)], abreast: usize) -> Vec<Range<usize>> {
    let mut lines: Vec<Range<usize>> = Vec::new();
    let mut used = 0;
    for (i, (_, instrument)) in percussion.iter().enumerate() {
        let marks = instrument.marks().len();
        match lines.last_mut().filter(|_| used + marks <= abreast) {
            Some(line) => line.end = i + 1,
            None => {
                lines.push(i..i + 1);
                used = 0;
            }
        }
        used += marks;
    }
    lines
}

fn title(percussion: &[(&str, Instrument)]) -> String {
    match percussion {
        [(_, instrument)] => format!("{instrument}: its strokes"),
        several => {
            let names: Vec<&str> = several.iter().map(|(name, _)| *name).collect();
            format!("{}: their strokes", words::and(&names))
        }
    }
}

/// What the strokes of an instrument are in the hand; after its name, where there are several.
fn meanings((name, instrument): (&str, Instrument), named: bool) -> String {
    let of = |mark: &Mark| format!("{}: {}", mark.to_char(), meaning(instrument, *mark));
    let meanings = instrument.marks().iter().map(of).collect::<Vec<_>>().join("; ");
    if named { format!("{name}, {meanings}") } else { meanings }
}

/// A disc; `row`: the number of its instrument, where there are several.
fn disc(instrument: Instrument, mark: Mark, (x, top): (f64, f64), row: Option<usize>) -> Group {
    let y = top + RADIUS + 20.0;
    let circle = Form::Ellipse { centre: (x, y), radii: (RADIUS, RADIUS), turn: 0.0 };
    let mut items = vec![Item::Shape(Part::Area, circle)];
    items.push(Item::Shape(Part::Name, Text::middle((x, y + 20.0), 64.0, mark.to_char().to_string())));
    items.push(Item::Shape(Part::Stick, Text::middle((x, y + 56.0), 34.0, "")));
    items.push(Item::Shape(Part::Caption, Text::middle((x, y + RADIUS + 44.0), 30.0, meaning(instrument, mark))));
    let mut group = Group::new("note", items);
    group.state = State::Plain;
    group.id = match row {
        Some(row) => format!("mark-{row}-{}", mark.to_char()),
        None => format!("mark-{}", mark.to_char()),
    };
    group.data.push(("mark", mark.to_char().to_string()));
    group.data.extend(row.map(|row| ("row", row.to_string())));
    group.title = format!("{}: {}", mark.to_char(), meaning(instrument, mark));
    group
}

/// What a stroke is in the hand, as [`Instrument`] tells it.
#[expect(clippy::match_same_arms, reason = "a row for each, so that the table can be read")]
pub fn meaning(instrument: Instrument, mark: Mark) -> &'static str {
    match (instrument, mark) {
        (Instrument::Iron, Mark::Stroke) => "high",
        (Instrument::Iron, Mark::Open) => "low, ringing",
        (Instrument::Iron, Mark::Slap) => "damped",
        (Instrument::Shaker, Mark::Open) => "backward",
        (Instrument::Shaker, _) => "forward",
        (Instrument::Scratcher, Mark::Open) => "long scrape",
        (Instrument::Scratcher, _) => "short scrape",
        (Instrument::Conga, Mark::Stroke) => "muffled",
        (Instrument::Conga, Mark::Open) => "open tone",
        (Instrument::Conga, Mark::Slap) => "slap",
        (Instrument::Snare, Mark::Open) => "rim stroke",
        (Instrument::Snare, Mark::Slap) => "side stick",
        (Instrument::HiHat, Mark::Open) => "open",
        (Instrument::HiHat, Mark::Slap) => "pedal",
        (Instrument::HiHat, _) => "closed",
        (Instrument::Cowbell, Mark::Open) => "open",
        (Instrument::Cowbell, _) => "muffled",
        (Instrument::Tambourine, Mark::Open) => "shaken",
        (Instrument::Tambourine, _) => "struck",
        (Instrument::Triangle, Mark::Open) => "open",
        (Instrument::Triangle, _) => "muted",
        (Instrument::Cymbal, Mark::Slap) => "choked",
        (Instrument::Cymbal, _) => "ringing",
        (Instrument::Ride, Mark::Open) => "bell",
        (Instrument::Ride, _) => "bow",
        (Instrument::Toms, Mark::Stroke) => "high tom",
        (Instrument::Toms, Mark::Slap) => "middle tom",
        (Instrument::Toms, Mark::Open) => "low tom",
        (Instrument::Timbales, Mark::Slap) => "shell",
        (Instrument::Bongos | Instrument::Timbales, Mark::Open) => "low drum",
        (Instrument::Bongos | Instrument::Timbales, _) => "high drum",
        (Instrument::Kick | Instrument::Snare | Instrument::Claves, _) => "stroke",
    }
}

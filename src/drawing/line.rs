//! A line of bars drawn: cells under the count, chords and cues above, dynamics below. Units are points (1/72 inch).

use super::count::Beat;
use super::font::{Weight, cut};
use super::look::{Part, State};
use super::picture::{Anchor, Form, Group, Item, Picture, SMALL, Text};
use super::rows::{BarCells, Cell, Name};
use crate::music::Length;
use crate::notation::tree::Stick;

/// The least width of a cell, for notes and for percussion letters, in points: a name of three signs in letters of
/// [`LEAST_NAME`].
const LEAST_CELL: (f64, f64) = (12.5, 8.5);

/// Letters of names in cells, in points: the least that reads on a music stand, and the largest.
const LEAST_NAME: f64 = 6.5;
const LARGEST_NAME: f64 = 9.5;

/// Heights in points: of a cell with one name and with two, of the texts above and below, and of the gap between lines.
const CELL: (f64, f64) = (23.0, 31.0);
const COUNT: f64 = 9.0;
const CHORD: f64 = 11.5;
const WORDS: f64 = 11.0;
const STICK: f64 = 7.5;
const DYNAMIC: f64 = 10.0;
const GAP: f64 = 9.0;

/// Room for half a bar line beside a bar that is a picture of its own, in points.
const EDGE: f64 = 1.0;

/// A line's left margin, where the number of its first bar stands, in points.
pub const NUMBER: f64 = 15.0;

/// The least width that a bar can be read in, in points. All cells of a bar are of one width, so that a beat with more strokes
/// is drawn wider: the count over the cells tells the time.
pub fn least_width(bar: &BarCells) -> f64 {
    let percussion = bar.cells.iter().all(|cell| match cell {
        Cell::Struck { names, .. } => names.iter().all(|name| name.key.is_none()),
        _ => true,
    });
    bar.cells.len() as f64 * if percussion { LEAST_CELL.1 } else { LEAST_CELL.0 }
}

/// A line of bars, drawn from its upper left corner on, and its height.
///
/// - `section`: the section's number, for the cells' data.
/// - `scale`: by how much the bars are wider than the least.
/// - `times`: how often they are played, for after the last bar; may be empty.
pub fn line(section: usize, bars: &[BarCells], scale: f64, times: &str) -> (Vec<Item>, f64) {
    let pen = Pen::new(section, bars);
    let mut items = Vec::new();
    let mut x = NUMBER;
    if let Some(first) = bars.first() {
        let number = (first.number + 1).to_string();
        items.push(Item::Shape(Part::Small, Text::end((NUMBER - 3.0, pen.count - 1.5), 7.0, number)));
    }
    for (i, bar) in bars.iter().enumerate() {
        let width = least_width(bar) * scale;
        let room = bars[i + 1..].iter().take_while(|bar| bar.words.is_none());
        let room = width + room.map(|bar| least_width(bar) * scale).sum::<f64>();
        items.extend(pen.bar(bar, x, width, room));
        x += width;
    }
    items.push(pen.bar_line(x));
    if !times.is_empty() {
        let y = (pen.top + pen.bottom) / 2.0 + 4.3;
        items.push(Item::Shape(Part::Heading, Text::start((x + 7.0, y), 12.0, times)));
    }
    (items, pen.height)
}

/// Bars as pictures of their own, all of one height, which stand side by side and wrap as a screen is wide. Words may reach over
/// the bars after them.
///
/// - `section`: the section's number, for the cells' data.
/// - `scale`: by how much the bars are wider than the least.
pub fn bars(section: usize, bars: &[BarCells], scale: f64) -> Vec<Picture> {
    let pen = Pen::new(section, bars);
    let picture = |(i, bar): (usize, &BarCells)| {
        let width = least_width(bar) * scale;
        let room = bars[i + 1..].iter().take_while(|bar| bar.words.is_none());
        let room = width + room.map(|bar| least_width(bar) * scale).sum::<f64>();
        let mut items = pen.bar(bar, 0.0, width, room);
        items.push(pen.bar_line(width));
        Picture {
            origin: (-EDGE, 0.0),
            size: (width + 2.0 * EDGE, pen.height - GAP + EDGE),
            unit: "pt",
            title: (bar.number + 1).to_string(),
            description: String::new(),
            items,
        }
    };
    bars.iter().enumerate().map(picture).collect()
}

/// What all bars of a line share.
struct Pen {
    section: usize,
    /// Base lines of the texts, and the edges of the cells, from the top.
    words: f64,
    chords: f64,
    count: f64,
    top: f64,
    bottom: f64,
    /// The first line of sticks under the cells; lines are [`STICK`] apart.
    sticks: f64,
    dynamics: f64,
    height: f64,
}

impl Pen {
    fn new(section: usize, bars: &[BarCells]) -> Pen {
        let row = |any: bool, height: f64| if any { height } else { 0.0 };
        let words = row(bars.iter().any(|bar| bar.words.is_some()), WORDS);
        let chords = words + row(bars.iter().any(|bar| !bar.chords.is_empty()), CHORD);
        let count = chords + COUNT;
        let two = bars
            .iter()
            .flat_map(|bar| &bar.cells)
            .any(|cell| matches!(cell, Cell::Struck { names, .. } if names.len() > 1));
        let bottom = count + if two { CELL.1 } else { CELL.0 };
        let lines = bars.iter().flat_map(|bar| &bar.cells).map(stick_lines).max().unwrap_or(0);
        let sticks = bottom + row(lines > 0, STICK * lines as f64 + 1.0);
        let dynamics = sticks + row(bars.iter().any(|bar| !bar.dynamics.is_empty()), DYNAMIC);
        Pen {
            section,
            words: words - 2.5,
            chords: chords - 2.5,
            count: count - 0.5,
            top: count,
            bottom,
            sticks: bottom + STICK,
            dynamics: dynamics - 1.0,
            height: dynamics + GAP,
        }
    }

    /// A bar from `x` on; `room` is the width up to the next bar with words.
    fn bar(&self, bar: &BarCells, x: f64, width: f64, room: f64) -> Vec<Item> {
        let wide = width / bar.cells.len().max(1) as f64;
        let starts: Vec<Length> = bar.beats.iter().flat_map(|beat| &beat.starts).copied().collect();
        let at = |time: Length| x + wide * (starts.partition_point(|start| *start <= time).max(1) - 1) as f64;
        let mut items = Vec::new();
        for (i, (start, cell)) in starts.iter().zip(&bar.cells).enumerate() {
            items.push(Item::Group(self.cell(bar, *start, cell, x + wide * i as f64, wide)));
        }
        for beat in &bar.beats {
            items.extend((0..beat.counts.len()).filter_map(|i| self.count(beat, i, at(beat.starts[i]) + wide / 2.0)));
        }
        items.extend(bar.beats.iter().skip(1).map(|beat| self.beat_line(at(beat.start))));
        items.push(self.bar_line(x));
        items.extend(self.texts(bar, &at, room, x + width));
        items
    }

    /// Words, chords and dynamics of a bar.
    fn texts(&self, bar: &BarCells, at: &dyn Fn(Length) -> f64, room: f64, right: f64) -> Vec<Item> {
        let mut items = Vec::new();
        if let Some(words) = &bar.words {
            let words = cut(words, Weight::Regular, 9.0, room - 3.0);
            items.push(Item::Shape(Part::Words, Text::start((at(Length::ZERO) + 1.0, self.words), 9.0, words)));
        }
        let rows = [(&bar.chords, Part::Chord, self.chords, 10.0), (&bar.dynamics, Part::Small, self.dynamics, 8.5)];
        for (entries, part, base, size) in rows {
            for (i, (start, text)) in entries.iter().enumerate() {
                let end = entries.get(i + 1).map_or(right, |(next, _)| at(*next));
                let weight = Weight::of(part == Part::Chord);
                let text = cut(text, weight, size, (end - at(*start) - 2.0).max(size));
                items.push(Item::Shape(part, Text::start((at(*start) + 1.0, base), size, text)));
            }
        }
        items
    }

    fn count(&self, beat: &Beat, cell: usize, middle: f64) -> Option<Item> {
        let word = &beat.counts[cell];
        let size = if cell == 0 { 7.5 } else { 6.5 };
        (!word.is_empty())
            .then(|| Item::Shape(Part::Count, Text::middle((middle, self.count - 1.5), size, word.clone())))
    }

    fn beat_line(&self, x: f64) -> Item {
        Item::Shape(Part::Beat, Form::Line(vec![(x, self.top), (x, self.bottom)]))
    }

    fn bar_line(&self, x: f64) -> Item {
        Item::Shape(Part::Bar, Form::Line(vec![(x, self.top - 1.0), (x, self.bottom + 1.0)]))
    }

    fn cell(&self, bar: &BarCells, start: Length, cell: &Cell, left: f64, wide: f64) -> Group {
        let (top, high) = (self.top, self.bottom - self.top);
        let mut items =
            vec![Item::Shape(Part::Cell, Form::Rectangle { at: (left, top), size: (wide, high), round: 0.0 })];
        let mut group = Group::new("cell", Vec::new());
        group.data.push(("section", self.section.to_string()));
        group.data.push(("bar", bar.number.to_string()));
        group.data.push(("at", (bar.start + start).ratio().to_string()));
        match cell {
            Cell::Rest => {}
            Cell::Held { rolled, on } => items.push(self.lasting(left, wide, *rolled, *on)),
            Cell::Struck { names, accent, damped, rolled, on } => {
                let keys: Vec<String> = names.iter().filter_map(|name| name.key).map(|key| key.to_string()).collect();
                match &keys[..] {
                    [] => group.data.extend(names.first().map(|name| ("mark", name.text.clone()))),
                    keys => group.data.push(("keys", keys.join(" "))),
                }
                if names.iter().any(|name| !name.there) {
                    group.state = State::Absent;
                }
                items.extend(self.names(names, *damped, left, wide));
                items.extend(self.stick_letters(names, left + wide / 2.0));
                if *accent {
                    items.push(self.accent(left + wide / 2.0));
                }
                if *on || *rolled {
                    items.push(self.lasting(left, wide, *rolled, *on));
                }
            }
        }
        group.items = items;
        group
    }

    /// The names of a stroke, the lowest at the bottom.
    fn names(&self, names: &[Name], damped: bool, left: f64, wide: f64) -> Vec<Item> {
        let step = (LARGEST_NAME + 1.0).min((self.bottom - self.top - 8.0) / names.len() as f64);
        let middle = (self.top + self.bottom - 2.0) / 2.0;
        let name = |(i, name): (usize, &Name)| {
            let small = format!("{}{}", name.octave, if damped { "'" } else { "" });
            let size = name_size(name, &small, wide);
            let y = middle + 0.36 * size + step * ((names.len() - 1) as f64 / 2.0 - i as f64);
            let at = (left + wide / 2.0, y);
            let text = Text { at, size, anchor: Anchor::Middle, text: name.text.clone(), small };
            Item::Shape(Part::Struck, Form::Text(text))
        };
        names.iter().enumerate().map(name).collect()
    }

    /// The sticks under a cell: of two notes the upper one's above the lower one's, as the names stand.
    fn stick_letters(&self, names: &[Name], middle: f64) -> Vec<Item> {
        let letter = |(i, stick): (usize, Stick)| {
            let text = if stick == Stick::L { "L" } else { "R" };
            Item::Shape(Part::Stick, Text::middle((middle, self.sticks + STICK * i as f64), 6.5, text))
        };
        names.iter().rev().filter_map(|name| name.stick).enumerate().map(letter).collect()
    }

    /// The line along the foot of a cell while a note lasts.
    fn lasting(&self, left: f64, wide: f64, rolled: bool, on: bool) -> Item {
        let (from, to) = (left + 1.5, left + wide - if on { 0.0 } else { 2.0 });
        let y = self.bottom - 3.6;
        if !rolled {
            return Item::Shape(Part::Lasting, Form::Line(vec![(from, y), (to, y)]));
        }
        let teeth = (((to - from) / 3.2) as usize).max(2);
        let tooth = |i: usize| {
            let x = from + (to - from) * i as f64 / teeth as f64;
            (x, y + if i.is_multiple_of(2) { 1.3 } else { -1.3 })
        };
        Item::Shape(Part::Lasting, Form::Line((0..=teeth).map(tooth).collect()))
    }

    fn accent(&self, middle: f64) -> Item {
        let y = self.top + 3.7;
        Item::Shape(Part::Accent, Form::Line(vec![(middle - 2.6, y - 1.7), (middle + 2.6, y), (middle - 2.6, y + 1.7)]))
    }
}

/// How many sticks stand under each other below a cell.
fn stick_lines(cell: &Cell) -> usize {
    match cell {
        Cell::Struck { names, .. } => names.iter().filter(|name| name.stick.is_some()).count(),
        _ => 0,
    }
}

/// The letters of a name, as large as its cell is wide.
fn name_size(name: &Name, small: &str, wide: f64) -> f64 {
    let ems = Weight::Bold.width(&name.text) + SMALL * Weight::Bold.width(small);
    ((wide - 2.4) / ems).clamp(LEAST_NAME, LARGEST_NAME)
}

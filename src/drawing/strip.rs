//! A row of a line drawn: its cells with what is struck in them, and the sticks below. Units are points (1/72 inch).

use super::lettering::{Letters, small};
use super::look::{Part, State};
use super::picture::{Anchor, Form, Group, Item, Text};
use super::rows::{BarCells, Cell, Name};
use crate::music::Length;
use crate::music::count;
use crate::notation::tree::Stick;
use crate::text::words;

/// Heights in points: what a cell has above its names, with an accent there and without; a name; what is below them, where lines
/// along what is held stand; and a line of sticks.
const ACCENT: f64 = 8.5;
const ABOVE: f64 = 4.0;
const NAME: f64 = 11.0;
const BELOW: f64 = 7.5;
const STICK: f64 = 7.5;

/// How high capital letters are, as a share of their size.
const CAPITAL: f64 = 0.73;

/// The sign of a long rest, in points: room beside its thick line, from that line to the foot of the cell, half the height of the
/// line's ends, and the letters of its number.
const REST_ROOM: f64 = 7.0;
const REST_FOOT: f64 = 6.5;
const REST_END: f64 = 4.0;
const REST_NUMBER: f64 = 11.0;

/// Where a row lies in its line.
pub struct Strip {
    /// The section's number, for the cells' data.
    section: usize,
    /// The row's number, for the cells' data; `None` when it is the only one.
    row: Option<usize>,
    /// How names are written.
    letters: Letters,
    /// Where names begin, below accents.
    names: f64,
    /// The edges of the cells, from the top of the line.
    pub top: f64,
    /// The lower edge of the cells.
    pub bottom: f64,
    /// Where the sticks below the cells end.
    pub end: f64,
}

impl Strip {
    /// The row of a number, from `top` on, high enough for what these bars have in it.
    ///
    /// - `section`: the section's number; `alone`: whether the line has no other row.
    pub fn new<'a>(
        section: usize,
        row: usize,
        alone: bool,
        letters: Letters,
        bars: impl Iterator<Item = &'a BarCells> + Clone,
        top: f64,
    ) -> Strip {
        let cells = || bars.clone().flat_map(|bar| &bar.rows[row]);
        let most = cells().map(|cell| if let Cell::Struck { names, .. } = cell { names.len() } else { 1 }).max();
        let accents = cells().any(|cell| matches!(cell, Cell::Struck { accent: true, .. }));
        let names = top + if accents { ACCENT } else { ABOVE };
        let bottom = names + NAME * most.unwrap_or(1).max(1) as f64 + BELOW;
        let sticks = cells().map(stick_lines).max().unwrap_or(0);
        let end = if sticks > 0 { bottom + STICK * sticks as f64 + 1.0 } else { bottom };
        Strip { section, row: (!alone).then_some(row), letters, names, top, bottom, end }
    }

    /// A cell of a bar, which begins at `start` of it; `left` and `wide`: where it is drawn.
    pub fn cell(&self, bar: &BarCells, start: Length, cell: &Cell, left: f64, wide: f64) -> Group {
        let (top, high) = (self.top, self.bottom - self.top);
        let mut items =
            vec![Item::Shape(Part::Cell, Form::Rectangle { at: (left, top), size: (wide, high), round: 0.0 })];
        let mut group = Group::new("cell", Vec::new());
        group.data.push(("section", self.section.to_string()));
        group.data.extend(self.row.map(|row| ("row", row.to_string())));
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

    /// A rest of several bars, as one wide cell with their number; `first`: the first of the bars.
    pub fn long_rest(&self, first: &BarCells, bars: usize, left: f64, wide: f64) -> Group {
        let (top, high) = (self.top, self.bottom - self.top);
        let (from, to, y) = (left + REST_ROOM, left + wide - REST_ROOM, self.bottom - REST_FOOT);
        let end = |x: f64| Item::Shape(Part::Bar, Form::Line(vec![(x, y - REST_END), (x, y + REST_END)]));
        let number = Text::middle((left + wide / 2.0, top + REST_NUMBER), REST_NUMBER, bars.to_string());
        let items = vec![
            Item::Shape(Part::Cell, Form::Rectangle { at: (left, top), size: (wide, high), round: 0.0 }),
            Item::Shape(Part::LongRest, Form::Line(vec![(from, y), (to, y)])),
            end(from),
            end(to),
            Item::Shape(Part::Heading, number),
        ];
        let mut group = Group::new("rests", items);
        group.title = format!("rest for {}", words::count(bars, "bar"));
        group.data.push(("section", self.section.to_string()));
        group.data.extend(self.row.map(|row| ("row", row.to_string())));
        group.data.push(("bar", first.number.to_string()));
        group.data.push(("bars", bars.to_string()));
        group
    }

    /// The names of a stroke, the lowest at the bottom.
    fn names(&self, names: &[Name], damped: bool, left: f64, wide: f64) -> Vec<Item> {
        let middle = (self.names + self.bottom - BELOW) / 2.0;
        let name = |(i, name): (usize, &Name)| {
            let small = small(name, damped);
            let size = self.letters.size(name, &small, wide);
            let y = middle + CAPITAL / 2.0 * size + NAME * ((names.len() - 1) as f64 / 2.0 - i as f64);
            let at = (left + wide / 2.0, y);
            let share = self.letters.octave;
            let text = Text { at, size, anchor: Anchor::Middle, text: name.text.clone(), small, share };
            Item::Shape(Part::Struck, Form::Text(text))
        };
        names.iter().enumerate().map(name).collect()
    }

    /// The sticks under a cell: of two notes the upper one's above the lower one's, as the names stand.
    fn stick_letters(&self, names: &[Name], middle: f64) -> Vec<Item> {
        let letter = |(i, stick): (usize, Stick)| {
            Item::Shape(Part::Stick, Text::middle((middle, self.bottom + STICK * (i + 1) as f64), 6.5, stick.to_char()))
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
        let teeth = count((to - from) / 3.2).max(2);
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

//! A line of bars drawn: cells under the count, chords and cues above, dynamics below. Units are points (1/72 inch).

use super::count::Beat;
use super::font::{Weight, cut};
use super::lettering::{Letters, PRINT, SCREEN};
use super::look::Part;
use super::picture::{Form, Item, Picture, Text};
use super::rests::Measure;
use super::rows::{BarCells, Cell, SectionRows};
use super::strip::Strip;
use super::unit::{AGAIN, AGAIN_GAP, TIMES, Unit};
use crate::music::Length;

/// Heights in points of the texts above and below the cells.
const COUNT: f64 = 9.0;
const CHORD: f64 = 11.5;
const WORDS: f64 = 11.0;
const DYNAMIC: f64 = 10.0;

/// The height of the gap between lines, in points.
pub(super) const GAP: f64 = 9.0;

/// Room for half a bar line beside a bar that is a picture of its own, in points.
const EDGE: f64 = 1.0;

/// Letters of the number of a bar below it, in points.
const NUMBER: f64 = 8.0;

/// Letters of the names of rows, the widest such name, and the gap between it and the cells, in points.
const LABEL: f64 = 7.5;
const WIDEST_LABEL: f64 = 54.0;
const LABEL_GAP: f64 = 5.0;

/// The room on the left that the rows' names take, in points; none where there is one row.
pub(crate) fn label_room(labels: &[String]) -> f64 {
    let wide = |label: &String| LABEL * Weight::Regular.width(label);
    labels.iter().map(|label| wide(label).min(WIDEST_LABEL) + LABEL_GAP).fold(0.0, f64::max)
}

/// A line of bars and long rests on paper, drawn from its upper left corner on, and its height.
///
/// - `section`: whose bars they are.
/// - `scale`: by how much they are wider than the least.
pub fn line(section: &SectionRows, units: &[Unit], scale: f64) -> (Vec<Item>, f64) {
    let measures = || units.iter().flat_map(|unit| &unit.measures);
    let pen = Pen::new(section, PRINT, true, measures().map(|measure| &measure.bar));
    let mut x = label_room(&section.labels);
    let mut items = pen.labels(x);
    // What each measure takes with what stands after it, and whether it has words: those may reach over what has none.
    let taken = units.iter().flat_map(|unit| {
        let last = unit.measures.len() - 1;
        let after = move |i: usize| if i == last { unit.after() } else { 0.0 };
        let one =
            move |(i, measure): (usize, &Measure)| (measure.least() * scale + after(i), measure.bar.words.is_some());
        unit.measures.iter().enumerate().map(one)
    });
    let taken: Vec<(f64, bool)> = taken.collect();
    let mut number = 0;
    for unit in units {
        for measure in &unit.measures {
            let bar = &measure.bar;
            let width = measure.least() * scale;
            let room = room(taken[number..].iter().copied(), 0.0);
            number += 1;
            items.extend(match measure.rests {
                Some(bars) => pen.long_rest(bar, bars, x, width, room),
                None => pen.bar(bar, x, width, room),
            });
            if measure.opens {
                items.push(pen.bar_line(x));
                items.push(pen.number(section.first + bar.number, x));
            } else {
                items.push(pen.beat_line(x));
            }
            x += width;
        }
        let closes = unit.measures.last().is_some_and(|measure| measure.closes);
        items.push(if closes { pen.bar_line(x) } else { pen.beat_line(x) });
        if let Some(again) = &unit.again {
            items.extend(pen.again(again, x + AGAIN_GAP));
            x += unit.after();
        }
    }
    (items, pen.height)
}

/// The width from the first of these bars up to the next that has words.
///
/// - `bars`: how wide each is, and whether it has words; `between`: what lies between two bars.
fn room(mut bars: impl Iterator<Item = (f64, bool)>, between: f64) -> f64 {
    let first = bars.next().map_or(0.0, |(wide, _)| wide);
    first + bars.take_while(|(_, words)| !words).map(|(wide, _)| between + wide).sum::<f64>()
}

/// Bars as pictures of their own, all of one height, which stand side by side and wrap as a screen is wide. Each has the names
/// of its rows, since any may begin a line. Words may reach over the bars after them.
///
/// - `section`: whose bars they are.
/// - `scale`: by how much the bars are wider than the least.
pub fn bars(section: &SectionRows, bars: &[BarCells], scale: f64) -> Vec<Picture> {
    let pen = Pen::new(section, SCREEN, false, bars.iter());
    let left = label_room(&section.labels);
    let wide = |bar: &BarCells| (SCREEN.bar(bar) * scale, bar.words.is_some());
    let picture = |(i, bar): (usize, &BarCells)| {
        let (width, _) = wide(bar);
        let mut items = pen.labels(left);
        items.extend(pen.bar(bar, left, width, room(bars[i..].iter().map(wide), left)));
        items.push(pen.bar_line(left));
        items.push(pen.bar_line(left + width));
        Picture {
            origin: (-EDGE, 0.0),
            size: (left + width + 2.0 * EDGE, pen.height - GAP + EDGE),
            unit: "pt",
            title: (bar.number + 1).to_string(),
            description: String::new(),
            items,
        }
    };
    bars.iter().enumerate().map(picture).collect()
}

/// What all bars of a line share.
struct Pen<'a> {
    labels: &'a [String],
    /// The number of the section's first bar, where numbers stand below bars.
    numbers: Option<usize>,
    /// Base lines of the texts above the cells, from the top.
    words: f64,
    chords: f64,
    count: f64,
    /// The rows, from the top; at least one.
    strips: Vec<Strip>,
    /// The base line of the dynamics.
    dynamics: f64,
    height: f64,
}

impl<'a> Pen<'a> {
    /// - `letters`: how names are written; `numbered`: whether each bar has its number below it.
    fn new<'b>(
        section: &'a SectionRows,
        letters: Letters,
        numbered: bool,
        bars: impl Iterator<Item = &'b BarCells> + Clone,
    ) -> Pen<'a> {
        let row = |any: bool, height: f64| if any { height } else { 0.0 };
        let any = |has: fn(&BarCells) -> bool| bars.clone().any(has);
        let words = row(any(|bar| bar.words.is_some()), WORDS);
        let chords = words + row(any(|bar| !bar.chords.is_empty()), CHORD);
        let count = chords + COUNT;
        let rows = section.labels.len().max(1);
        let mut strips: Vec<Strip> = Vec::new();
        for row in 0..rows {
            let top = strips.last().map_or(count, |strip| strip.end);
            strips.push(Strip::new(section.section, row, rows == 1, letters, bars.clone(), top));
        }
        let end = strips.last().map_or(count, |strip| strip.end);
        let dynamics = end + row(numbered || any(|bar| !bar.dynamics.is_empty()), DYNAMIC);
        Pen {
            labels: &section.labels,
            numbers: numbered.then_some(section.first),
            words: words - 2.5,
            chords: chords - 2.5,
            count: count - 0.5,
            strips,
            dynamics: dynamics - 1.0,
            height: dynamics + GAP,
        }
    }

    /// The upper edge of the cells.
    fn top(&self) -> f64 {
        self.strips.first().map_or(0.0, |strip| strip.top)
    }

    /// The lower edge of the last row's cells.
    fn bottom(&self) -> f64 {
        self.strips.last().map_or(0.0, |strip| strip.bottom)
    }

    /// The names of the rows, before cells that begin at `x`.
    fn labels(&self, x: f64) -> Vec<Item> {
        let label = |(strip, label): (&Strip, &String)| {
            let text = cut(label, Weight::Regular, LABEL, WIDEST_LABEL);
            let at = (x - 3.0, (strip.top + strip.bottom) / 2.0 + 0.36 * LABEL);
            Item::Shape(Part::Small, Text::end(at, LABEL, text))
        };
        self.strips.iter().zip(self.labels).map(label).collect()
    }

    /// A bar from `x` on; `room` is the width up to the next bar with words.
    fn bar(&self, bar: &BarCells, x: f64, width: f64, room: f64) -> Vec<Item> {
        let wide = width / bar.columns().max(1) as f64;
        let starts: Vec<Length> = bar.beats.iter().flat_map(|beat| &beat.starts).copied().collect();
        let at = |time: Length| x + wide * (starts.partition_point(|start| *start <= time).max(1) - 1) as f64;
        let mut items = Vec::new();
        for (strip, cells) in self.strips.iter().zip(&bar.rows) {
            let cell = |(i, (start, cell)): (usize, (&Length, &Cell))| {
                Item::Group(strip.cell(bar, *start, cell, x + wide * i as f64, wide))
            };
            items.extend(starts.iter().zip(cells).enumerate().map(cell));
        }
        for beat in &bar.beats {
            items.extend((0..beat.counts.len()).filter_map(|i| self.count(beat, i, at(beat.starts[i]) + wide / 2.0)));
        }
        items.extend(bar.beats.iter().skip(1).map(|beat| self.beat_line(at(beat.start))));
        items.extend(self.texts(bar, &at, room, x + width));
        items
    }

    /// A rest of several bars from `x` on, in every row; `first`: the first of the bars, `room` as for a bar.
    fn long_rest(&self, first: &BarCells, bars: usize, x: f64, width: f64, room: f64) -> Vec<Item> {
        let sign = |strip: &Strip| Item::Group(strip.long_rest(first, bars, x, width));
        let mut items: Vec<Item> = self.strips.iter().map(sign).collect();
        items.extend(self.texts(first, &|_| x, room, x + width));
        items
    }

    /// Words, chords and dynamics of a bar.
    fn texts(&self, bar: &BarCells, at: &dyn Fn(Length) -> f64, room: f64, right: f64) -> Vec<Item> {
        let mut items = Vec::new();
        let number = self.numbers.map(|first| (first + bar.number).to_string());
        let number = number.map_or(0.0, |number| NUMBER * Weight::Regular.width(&number) + 4.0);
        if let Some(words) = &bar.words {
            let words = cut(words, Weight::Regular, 9.0, room - 3.0);
            items.push(Item::Shape(Part::Words, Text::start((at(Length::ZERO) + 1.0, self.words), 9.0, words)));
        }
        let rows = [(&bar.chords, Part::Chord, self.chords, 10.0), (&bar.dynamics, Part::Small, self.dynamics, 8.5)];
        for (entries, part, base, size) in rows {
            for (i, (start, text)) in entries.iter().enumerate() {
                let end = entries.get(i + 1).map_or(right, |(next, _)| at(*next));
                let weight = Weight::of(part == Part::Chord);
                // Where a bar begins its number stands in the row of the dynamics.
                let beside = if i == 0 && part == Part::Small && at(*start) == at(Length::ZERO) { number } else { 0.0 };
                let text = cut(text, weight, size, (end - at(*start) - beside - 2.0).max(size));
                items.push(Item::Shape(part, Text::start((at(*start) + beside + 1.0, base), size, text)));
            }
        }
        items
    }

    /// The number of a bar below its left edge.
    fn number(&self, number: usize, x: f64) -> Item {
        Item::Shape(Part::Small, Text::start((x + 1.0, self.dynamics), NUMBER, number.to_string()))
    }

    /// What is played how often, after its bars.
    fn again(&self, [what, times]: &[String; 2], x: f64) -> [Item; 2] {
        let middle = (self.top() + self.bottom()) / 2.0;
        [
            Item::Shape(Part::Small, Text::start((x, middle - 2.5), AGAIN, what.clone())),
            Item::Shape(Part::Heading, Text::start((x, middle + TIMES - 2.0), TIMES, times.clone())),
        ]
    }

    fn count(&self, beat: &Beat, cell: usize, middle: f64) -> Option<Item> {
        let word = &beat.counts[cell];
        let size = if cell == 0 { 7.5 } else { 6.5 };
        (!word.is_empty())
            .then(|| Item::Shape(Part::Count, Text::middle((middle, self.count - 1.5), size, word.clone())))
    }

    fn beat_line(&self, x: f64) -> Item {
        Item::Shape(Part::Beat, Form::Line(vec![(x, self.top()), (x, self.bottom())]))
    }

    fn bar_line(&self, x: f64) -> Item {
        Item::Shape(Part::Bar, Form::Line(vec![(x, self.top() - 1.0), (x, self.bottom() + 1.0)]))
    }
}

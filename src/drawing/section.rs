//! A section of a player's parts drawn: its heading and its lines, one under the other. Units are points (1/72 inch).

use std::ops::Range;

use super::breaking;
use super::comeback::times;
use super::font::{Weight, cut, wrap};
use super::line;
use super::look::Part;
use super::picture::{Item, Text};
use super::rests::{self, Measure, Stretch};
use super::rows::SectionRows;

/// Something that is not broken over pages, drawn from its upper left corner on.
#[derive(Clone, Debug, PartialEq)]
pub struct Block {
    /// What is drawn.
    pub items: Vec<Item>,
    /// Its height.
    pub height: f64,
    /// Whether it stays on a page with the block after it.
    pub keep: bool,
}

/// The share of a line from which on its bars are drawn wider until it is full.
const NEARLY_FULL: f64 = 0.8;

/// How much wider bars are drawn than they have to be, at most: cells of 30 points for notes.
const WIDEST_SCALE: f64 = 2.2;

/// The greatest height of a section that is not broken over pages, in points: a quarter of a page.
const WHOLE: f64 = 180.0;

/// The widest name of a section, as a share of a line: beside it there is room for what has to be said.
const WIDEST_NAME: f64 = 0.5;

/// The heading and the lines of a section.
///
/// - `width`: of the lines.
pub fn blocks(section: &SectionRows, width: f64) -> Vec<Block> {
    let mut blocks = vec![heading(section, width)];
    let margin = line::margin(&section.labels);
    for stretch in rests::stretches(section) {
        blocks.extend(lines(section, &stretch, width - margin));
    }
    let height: f64 = blocks.iter().map(|block| block.height).sum();
    let last = blocks.len() - 1;
    blocks[..last].iter_mut().for_each(|block| block.keep |= height <= WHOLE);
    blocks
}

/// The lines of a stretch; how often it is played stands after its last bar.
fn lines(section: &SectionRows, stretch: &Stretch, width: f64) -> Vec<Block> {
    let times = if stretch.times > 1 { times(stretch.times) } else { String::new() };
    let width = if times.is_empty() { width } else { width - 12.0 * Weight::Bold.width(&times) - 8.0 };
    let measures = &stretch.measures;
    let least: Vec<f64> = measures.iter().map(line::least).collect();
    let bars: Vec<usize> = measures.iter().map(Measure::bars).collect();
    let lines = breaking::lines(&least, &bars, width);
    let used = |line: &Range<usize>| least[line.clone()].iter().sum::<f64>();
    let fullest = lines.iter().map(used).fold(0.0, f64::max);
    let usual = (width / fullest).min(WIDEST_SCALE);
    let draw = |range: Range<usize>| {
        let full = used(&range) * usual >= NEARLY_FULL * width;
        let scale = if full { width / used(&range) } else { usual };
        let times = if range.end == measures.len() { times.as_str() } else { "" };
        let (items, height) = line::line(section, &measures[range], scale, times);
        Block { items, height, keep: false }
    };
    lines.into_iter().map(draw).collect()
}

/// The name, and beside it what there is to know, on several lines where it is long.
fn heading(section: &SectionRows, width: f64) -> Block {
    let name = cut(&section.name, Weight::Bold, 13.0, WIDEST_NAME * width);
    let x = 13.0 * Weight::Bold.width(&name) + 10.0;
    let lines = wrap(&section.said(), Weight::Regular, 9.0, width - x);
    let height = 22.0 + 11.0 * (lines.len() - 1) as f64;
    let said =
        |(i, line): (usize, String)| Item::Shape(Part::Small, Text::start((x, 15.0 + 11.0 * i as f64), 9.0, line));
    let mut items = vec![Item::Shape(Part::Heading, Text::start((0.0, 15.0), 13.0, name))];
    items.extend(lines.into_iter().enumerate().map(said));
    Block { items, height, keep: true }
}

/// A section as a picture of its own, to be looked at in tests.
///
/// - `width`: of the picture, in points.
#[cfg(test)]
pub fn picture(section: &SectionRows, width: f64) -> super::picture::Picture {
    use super::picture::{Group, Picture};

    let mut y = 0.0;
    let mut items = Vec::new();
    for block in blocks(section, width) {
        items.push(Item::Placed { at: (1.0, y), scale: 1.0, items: block.items });
        y += block.height;
    }
    let mut group = Group::new("rows", items);
    group.data.push(("section", section.section.to_string()));
    Picture {
        origin: (0.0, 0.0),
        size: (width + 2.0, y),
        title: section.name.clone(),
        description: String::new(),
        unit: "pt",
        items: vec![Item::Group(group)],
    }
}

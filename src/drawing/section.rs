//! A section of a player's parts drawn: its heading and its lines, one under the other. Units are points (1/72 inch).

use std::ops::Range;

use super::breaking;
use super::folding;
use super::font::{Weight, cut, wrap};
use super::line;
use super::look::Part;
use super::picture::{Item, Text};
use super::rests;
use super::rows::SectionRows;
use super::unit::{Flow, Unit, flows};
use crate::text::words;

/// Something that is not broken over pages, drawn from its upper left corner on.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Block {
    /// What is drawn.
    pub items: Vec<Item>,
    /// Its height.
    pub height: f64,
    /// How much of its height is only a gap to the next block, for which a page needs no room at its end.
    pub gap: f64,
    /// Whether it stays on a page with the block after it.
    pub keep: bool,
    /// The section that it is a line of; empty for what needs no heading when it begins a page.
    pub of: String,
}

impl Block {
    /// Leaves room above it.
    pub fn lower(&mut self, by: f64) {
        let items = std::mem::take(&mut self.items);
        self.items.push(Item::Placed { at: (0.0, by), scale: 1.0, items });
        self.height += by;
    }

    /// The block drawn by so much larger.
    pub fn scaled(&self, scale: f64) -> Block {
        let items = vec![Item::Placed { at: (0.0, 0.0), scale, items: self.items.clone() }];
        Block { items, height: scale * self.height, gap: scale * self.gap, keep: self.keep, of: self.of.clone() }
    }
}

/// By how much bars are drawn wider than in the fullest line at most, so that other lines end near the margin too.
const WIDER: f64 = 1.4;

/// How much wider bars are drawn than they have to be, at most.
const WIDEST_SCALE: f64 = 2.0;

/// The widest name of a section, as a share of a line: beside it there is room for what has to be said.
const WIDEST_NAME: f64 = 0.5;

/// In how many places of the tune a section is said to begin at most; beyond, the form is easier to read. Our own setting.
const MOST_PLACES: usize = 5;

/// How many bars a fold saves at least in a part for a pan, so that phrases stay visible, and in one for percussion.
const SAVED: (usize, usize) = (2, 1);

/// A section as a sheet shows it: what comes again and again stands there once, and dynamics only where they change.
pub fn printed(section: &SectionRows) -> SectionRows {
    let mut bars = section.unfolded();
    if section.as_loud
        && let Some(bar) = bars.first_mut()
    {
        bar.dynamics.retain(|(at, _)| !at.is_zero());
    }
    let saved = if section.percussion { SAVED.1 } else { SAVED.0 };
    SectionRows { passages: folding::printed(&bars, saved), ..section.clone() }
}

/// The heading and the lines of a section.
///
/// - `width`: of the lines.
pub fn blocks(section: &SectionRows, width: f64) -> Vec<Block> {
    let mut blocks = vec![heading(section, width)];
    let width = width - line::label_room(&section.labels);
    let flows = flows(section, &rests::stretches(section), width);
    let lines = flows.iter().flat_map(|flow| broken(flow, width).into_iter().map(|line| &flow[line]));
    let lines: Vec<&[Unit]> = lines.collect();
    // The bars of all lines are drawn by as much wider as the fullest allows, and those of others then wider still.
    let fills = |line: &&[Unit]| {
        let (bars, after): (f64, f64) = (line.iter().map(Unit::least).sum(), line.iter().map(Unit::after).sum());
        (width - after) / bars.max(1.0)
    };
    let usual = lines.iter().map(fills).fold(WIDEST_SCALE, f64::min);
    blocks.extend(lines.iter().map(|units| {
        let fills = fills(units);
        let scale = fills.min(WIDER * usual).min(WIDEST_SCALE);
        let (items, height) = line::line(section, units, scale);
        Block { items, height, gap: line::GAP, of: section.name.clone(), ..Block::default() }
    }));
    blocks
}

/// Where the lines of a flow break.
fn broken(flow: &Flow, width: f64) -> Vec<Range<usize>> {
    let least: Vec<f64> = flow.iter().map(|unit| unit.least() + unit.after()).collect();
    let bars: Vec<usize> = flow.iter().map(|unit| unit.bars).collect();
    breaking::lines(&least, &bars, width)
}

/// The name, and beside it what there is to know, on several lines where it is long.
fn heading(section: &SectionRows, width: f64) -> Block {
    let name = cut(&section.name, Weight::Bold, 13.0, WIDEST_NAME * width);
    let x = 13.0 * Weight::Bold.width(&name) + 10.0;
    let said = [section.said(), places(&section.begins)];
    let said = said.iter().filter(|said| !said.is_empty()).cloned().collect::<Vec<_>>().join(", ");
    let lines = wrap(&said, Weight::Regular, 9.0, width - x);
    let height = 22.0 + 11.0 * (lines.len() - 1) as f64;
    let said =
        |(i, line): (usize, String)| Item::Shape(Part::Small, Text::start((x, 15.0 + 11.0 * i as f64), 9.0, line));
    let mut items = vec![Item::Shape(Part::Heading, Text::start((0.0, 15.0), 13.0, name))];
    items.extend(lines.into_iter().enumerate().map(said));
    Block { items, height, keep: true, ..Block::default() }
}

/// `bar 1 is bar 5 of the tune, then 13 and 37`.
fn places(begins: &[usize]) -> String {
    let Some((first, more)) = begins.split_first().filter(|_| begins != [1]) else { return String::new() };
    let then: Vec<String> = more.iter().take(MOST_PLACES - 1).map(usize::to_string).collect();
    let then = match more.len().saturating_sub(then.len()) {
        0 if then.is_empty() => String::new(),
        0 => format!(", then {}", words::and(&then)),
        _ => format!(", then {}, and so on", then.join(", ")),
    };
    format!("bar 1 is bar {first} of the tune{then}")
}

/// What stands over the first line of a page that goes on with a section, and its height.
pub fn goes_on(section: &str, width: f64) -> (Vec<Item>, f64) {
    let name = cut(section, Weight::Bold, 13.0, WIDEST_NAME * width);
    let x = 13.0 * Weight::Bold.width(&name) + 10.0;
    let items = vec![
        Item::Shape(Part::Heading, Text::start((0.0, 15.0), 13.0, name)),
        Item::Shape(Part::Small, Text::start((x, 15.0), 9.0, "goes on")),
    ];
    (items, GOES_ON)
}

/// The height of what stands over the first line of a page that goes on with a section.
pub const GOES_ON: f64 = 22.0;

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

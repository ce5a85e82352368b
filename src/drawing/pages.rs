//! Blocks on pages: where pages break, their margins, and the line at their foot.
//!
//! Pages are as few as possible, and filled as evenly as possible: least total badness over all pages, by dynamic programming, as
//! lines are broken in [`breaking`](super::breaking). Cost: O(blocks × blocks a page).

use std::ops::Range;

use super::font::{Weight, cut};
use super::look::Part;
use super::paper::{Format, Size};
use super::picture::{Form, Item, Picture, Text};
use super::section::{self, Block};

/// Room round a page, in points: half an inch, which every printer leaves us.
const MARGIN: f64 = 36.0;

/// The height of a page's last line, with the room above it; and its letters.
const FOOT: f64 = 20.0;
const FOOT_LETTERS: f64 = 9.0;

/// Room for holes and the fold, beside the inner margin of a page that is printed on both sides.
pub const BINDING: f64 = 24.0;

/// What a page costs beside what is empty on it (the square of the share, so 1 at most): another page; one that begins in the middle of a
/// section; one that is less full than [`FULL`] though it is not the last; and one that parts what belongs together. Our own settings.
const PAGE: f64 = 10.0;
const WITHIN: f64 = 0.1;
const SPARSE: f64 = 5.0;
const PARTED: f64 = 100.0;

/// How full pages are, but the last.
const FULL: f64 = 0.5;

/// By how much gaps between lines are wider at most where there is room, in points in the hand.
const WIDER: f64 = 8.0;

/// What pages are written in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Width and height of the paper as it lies, in points.
    pub size: (f64, f64),
    /// By how much the rows are drawn larger than in the hand, at least.
    pub scale: f64,
    /// What the inner margin has more than the outer, where pages are printed on both sides and bound.
    pub binding: f64,
}

impl Frame {
    /// The frame of a sheet.
    pub fn new(format: Format) -> Frame {
        let (short, long) = format.paper.points();
        let size = if format.size == Size::Wall { (long, short) } else { (short, long) };
        Frame { size, scale: format.size.name() / Size::Hand.name(), binding: 0.0 }
    }

    /// How wide lines are.
    pub fn width(&self) -> f64 {
        self.size.0 - 2.0 * MARGIN - self.binding
    }

    /// How much fits on a page without a last line.
    pub fn height(&self) -> f64 {
        self.size.1 - 2.0 * MARGIN
    }

    /// How much fits on a page.
    pub fn room(&self) -> f64 {
        self.height() - FOOT * self.print()
    }

    /// By how much titles and small print are larger than in the hand: they are read from nearer than the rows are.
    pub fn print(&self) -> f64 {
        self.scale.sqrt()
    }

    /// The left margin of a page. Where pages are bound, odd ones lie to the right of the fold.
    fn left(&self, number: usize) -> f64 {
        MARGIN + if number.is_multiple_of(2) { 0.0 } else { self.binding }
    }
}

/// A page without its margins and its last line.
pub type Body = Vec<Item>;

/// Blocks on their pages.
#[derive(Clone, Debug)]
pub struct Laid {
    /// The pages.
    pub pages: Vec<Body>,
    /// How many of them, but for the last, are less full than they should be.
    sparse: usize,
}

impl Laid {
    /// What is to be as little as possible: pages, then those that are hardly full.
    pub fn worth(&self) -> (usize, usize) {
        (self.pages.len(), self.sparse)
    }
}

/// Puts blocks on pages.
pub fn laid(blocks: &[Block], frame: &Frame) -> Laid {
    let ranges = breaks(blocks, frame);
    let (_, but_last) = ranges.split_last().expect("there is a page");
    let sparse = but_last.iter().filter(|range| used(&blocks[(*range).clone()], frame) < FULL * frame.room()).count();
    Laid { pages: ranges.into_iter().map(|range| body(&blocks[range], frame)).collect(), sparse }
}

/// How much of a page these blocks take.
fn used(blocks: &[Block], frame: &Frame) -> f64 {
    let heights: f64 = blocks.iter().map(|block| block.height).sum();
    blocks.first().map_or(0.0, |first| heading(first, frame)) + heights - blocks.last().map_or(0.0, |last| last.gap)
}

fn body(blocks: &[Block], frame: &Frame) -> Body {
    let mut items = Vec::new();
    let mut y = 0.0;
    if let Some(first) = blocks.first().filter(|block| !block.of.is_empty()) {
        let (heading, height) = section::goes_on(&first.of, frame.width() / frame.scale);
        items.push(Item::Placed { at: (0.0, 0.0), scale: frame.scale, items: heading });
        y += frame.scale * height;
    }
    // What is left over is shared out between the blocks.
    let gaps = blocks[..blocks.len().saturating_sub(1)].iter().filter(|block| !block.keep).count();
    let left = (frame.room() - used(blocks, frame)).max(0.0);
    let wider = (left / gaps.max(1) as f64).min(WIDER * frame.scale);
    for block in blocks {
        items.push(Item::Placed { at: (0.0, y), scale: 1.0, items: block.items.clone() });
        y += block.height + if block.keep { 0.0 } else { wider };
    }
    items
}

/// Which blocks stand on which page; at least one page.
fn breaks(blocks: &[Block], frame: &Frame) -> Vec<Range<usize>> {
    let n = blocks.len();
    // best[i]: the least badness of the blocks from i on, and where the first of their pages ends.
    let mut best = vec![(0.0, n); n + 1];
    for start in (0..n).rev() {
        best[start] = (f64::INFINITY, start + 1);
        let mut used = heading(&blocks[start], frame);
        for end in start + 1..=n {
            used += blocks[end - 1].height;
            if used - blocks[end - 1].gap > frame.room() + 1e-6 && end > start + 1 {
                break;
            }
            let total = badness(blocks, start..end, (used - blocks[end - 1].gap) / frame.room()) + best[end].0;
            if total < best[start].0 {
                best[start] = (total, end);
            }
        }
    }
    let mut pages = Vec::new();
    let mut start = 0;
    while start < n || pages.is_empty() {
        pages.push(start..best[start].1);
        start = best[start].1;
    }
    pages
}

/// The height of what stands over a block when it begins a page.
fn heading(block: &Block, frame: &Frame) -> f64 {
    if block.of.is_empty() { 0.0 } else { frame.scale * section::GOES_ON }
}

/// The badness of a page of these blocks that is so full.
fn badness(blocks: &[Block], page: Range<usize>, full: f64) -> f64 {
    let is_last = page.end == blocks.len();
    let empty = (1.0 - full).max(0.0);
    let within = if blocks[page.start].of.is_empty() { 0.0 } else { WITHIN };
    let sparse = if full < FULL && !is_last { SPARSE } else { 0.0 };
    let parted = if blocks[page.end - 1].keep && !is_last { PARTED } else { 0.0 };
    PAGE + empty * empty + within + sparse + parted
}

/// What stands in the last lines of pages, and which pages these are of all that are printed together.
pub struct Foot<'a> {
    /// What the pages are about.
    pub name: &'a str,
    /// How many pages come before them.
    pub before: usize,
    /// How many pages there are in all.
    pub of: usize,
}

/// Pages with their margins and last lines.
pub fn finished(bodies: Vec<Body>, foot: &Foot, frame: &Frame) -> Vec<Picture> {
    bodies.into_iter().enumerate().map(|(i, body)| page(body, foot, foot.before + i + 1, frame)).collect()
}

/// The pages of a sheet alone.
pub fn alone(bodies: Vec<Body>, name: &str, frame: &Frame) -> Vec<Picture> {
    let foot = Foot { name, before: 0, of: bodies.len() };
    finished(bodies, &foot, frame)
}

/// A page of these blocks without a last line.
pub fn bare(blocks: &[Block], name: &str, frame: &Frame) -> Picture {
    let items = vec![Item::Placed { at: (MARGIN, MARGIN), scale: 1.0, items: body(blocks, frame) }];
    picture(items, name.to_owned(), frame)
}

fn picture(items: Vec<Item>, title: String, frame: &Frame) -> Picture {
    Picture { origin: (0.0, 0.0), size: frame.size, title, description: String::new(), unit: "pt", items }
}

fn page(body: Body, foot: &Foot, number: usize, frame: &Frame) -> Picture {
    let (left, base) = (frame.left(number), frame.size.1 - MARGIN);
    let right = left + frame.width();
    let size = FOOT_LETTERS * frame.print();
    let mut items = vec![Item::Placed { at: (left, MARGIN), scale: 1.0, items: body }];
    let which = format!("page {number} of {}", foot.of);
    let room = frame.width() - size * Weight::Regular.width(&which) - 12.0;
    let line = base - 1.25 * size;
    items.push(Item::Shape(Part::Rule, Form::Line(vec![(left, line), (right, line)])));
    let name = cut(foot.name, Weight::Regular, size, room);
    // The number is looked for at the outer edge.
    let is_left = frame.binding > 0.0 && number.is_multiple_of(2);
    let (at_left, at_right) = if is_left { (&which, &name) } else { (&name, &which) };
    items.push(Item::Shape(Part::Small, Text::start((left, base), size, at_left.clone())));
    items.push(Item::Shape(Part::Small, Text::end((right, base), size, at_right.clone())));
    picture(items, format!("{}, {which}", foot.name), frame)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kit::Numbers;

    fn blocks(numbers: &mut Numbers) -> Vec<Block> {
        let block = |i: usize| Block {
            height: 40.0 + numbers.below(200) as f64,
            keep: i.is_multiple_of(3),
            of: if i.is_multiple_of(3) { String::new() } else { "a".to_owned() },
            ..Block::default()
        };
        (0..9).map(block).collect()
    }

    /// Against every way to put nine blocks on pages.
    #[test]
    fn no_other_way_is_better() {
        let mut numbers = Numbers(2);
        let frame = Frame::new(Format::default());
        for _ in 0..200 {
            let blocks = blocks(&mut numbers);
            let cost = |pages: &[Range<usize>]| -> f64 {
                let one = |page: &Range<usize>| {
                    let used = used(&blocks[page.clone()], &frame);
                    let fits = used <= frame.room() || page.len() == 1;
                    if fits { badness(&blocks, page.clone(), used / frame.room()) } else { f64::INFINITY }
                };
                pages.iter().map(one).sum()
            };
            let every = (0..256u32).map(|breaks| {
                let ends = (0..8_usize).filter(|bit| breaks >> bit & 1 == 1).map(|bit| bit + 1).chain([9]);
                let mut start = 0;
                ends.map(|end| std::mem::replace(&mut start, end)..end).collect::<Vec<_>>()
            });
            let least = every.map(|pages| cost(&pages)).fold(f64::INFINITY, f64::min);
            assert!((cost(&breaks(&blocks, &frame)) - least).abs() < 1e-9);
        }
    }

    #[test]
    fn what_is_left_for_a_last_page_is_shared_out() {
        let blocks: Vec<Block> = (0..8).map(|_| Block { height: 110.0, ..Block::default() }).collect();
        let pages: Vec<usize> = breaks(&blocks, &Frame::new(Format::default())).iter().map(|page| page.len()).collect();
        assert_eq!(pages, [4, 4], "not six and two");
    }
}

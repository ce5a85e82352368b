//! A pan alone, for the wall: as large as the paper, with names as large as the notes allow.

use super::face::{self, face};
use super::font::{Weight, cut, wrap};
use super::look::Part;
use super::pages::{self, Frame};
use super::paper::{Format, Paper};
use super::picture::{Item, Picture, Text};
use super::section::Block;
use super::sheet::hung;
use crate::pan::Pan;
use crate::text::words;

/// From how much wider than high on a pan is printed sideways.
const WIDE: f64 = 1.1;

/// By how much titles and small print are larger than in the hand on A4; on larger paper more, as the paper is.
const PRINT: f64 = 1.4;

/// The page of a pan alone; lying on its side for a pan that is wider than high.
pub fn pan(pan: &Pan, options: &face::Options, paper: Paper) -> Vec<Picture> {
    let options = face::Options { sticks: false, ..options.clone() };
    let (short, long) = paper.points();
    let hangs = face(pan, &options).size;
    let size = if hangs.0 > WIDE * hangs.1 { (long, short) } else { (short, long) };
    let print = PRINT * short / Paper::A4.points().0;
    let frame = Frame { size, scale: print * print, ..Frame::new(Format::from(paper)) };
    let title = if pan.title.is_empty() { pan.kind.to_string() } else { pan.title.clone() };
    let set = pan.note_set();
    let mut facts = format!("{}, {}", words::count(pan.drums.len(), "drum"), words::count(set.len(), "note"));
    if let (Some(low), Some(high)) = (set.lowest(), set.highest()) {
        facts += &format!(", {low} to {high}");
    }
    let head = head(&pan.name, &format!("{title}: {facts}"), &frame);
    let room = frame.height() - head.height;
    let mut hung = hung(pan, options, room, &frame);
    // In the middle of what is left.
    let left = room - hung.iter().map(|block| block.height).sum::<f64>();
    hung.iter_mut().take(1).for_each(|block| block.lower(left / 2.0));
    let blocks = [vec![head], hung].concat();
    let name = if pan.title.is_empty() { pan.name.clone() } else { format!("{}, {}", pan.name, pan.title) };
    vec![pages::bare(&blocks, &name, &frame)]
}

/// The name, and beside it what there is to know: above the pan every line is taken from it.
fn head(name: &str, said: &str, frame: &Frame) -> Block {
    let width = frame.width() / frame.print();
    let name = cut(name, Weight::Bold, 20.0, 0.6 * width);
    let x = 20.0 * Weight::Bold.width(&name) + 12.0;
    let lines = wrap(said, Weight::Regular, 10.5, width - x);
    let mut items = vec![Item::Shape(Part::Heading, Text::start((0.0, 18.0), 20.0, name))];
    let height = 24.0 + 13.0 * lines.len().saturating_sub(1) as f64;
    items.extend(
        lines
            .into_iter()
            .enumerate()
            .map(|(i, line)| Item::Shape(Part::Small, Text::start((x, 18.0 + 13.0 * i as f64), 10.5, line))),
    );
    Block { items, height: height + 8.0, keep: true, ..Block::default() }.scaled(frame.print())
}

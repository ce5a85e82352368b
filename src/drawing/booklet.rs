//! A booklet: all tunes of one player, with contents, page numbers, and margins for paper that is printed on both sides.

use super::cells::Sticks;
use super::face;
use super::font::{Weight, cut};
use super::look::Part;
use super::pages::{self, BINDING, Body, Foot, Frame};
use super::picture::{Form, Item, Picture, Text};
use super::section::Block;
use super::sheet::{self, Format};
use super::strokes;
use crate::pan::{Instrument, Pan};
use crate::text::words;
use crate::tune::Tune;

/// What a player plays in a tune, on one sheet.
#[derive(Clone, Debug)]
pub struct Entry<'a> {
    /// The tune.
    pub tune: &'a Tune,
    /// The parts, as for [`sheet::parts`].
    pub parts: Vec<usize>,
    /// The pan; `None` for percussion.
    pub pan: Option<&'a Pan>,
    /// The sticks that are shown.
    pub sticks: Option<Box<Sticks>>,
}

/// The pages of a booklet.
#[derive(Clone, Debug)]
pub struct Booklet {
    /// The pages, the contents first.
    pub pages: Vec<Picture>,
    /// The number of the first page of each entry, from 1, and how many pages it has.
    pub entries: Vec<(usize, usize)>,
}

/// Letters and height of a line of the contents, and the room between its columns, in points in the hand.
const LETTERS: f64 = 11.0;
const LINE: f64 = 19.0;
const COLUMN_GAP: f64 = 10.0;

/// How wide the column of the tunes is at most, and that of the page numbers, as shares of a line.
const TUNE: f64 = 0.5;
const NUMBER: f64 = 0.08;

/// The least share of the first page that the player's pans get.
const PANS: f64 = 0.35;

/// How many strokes of percussion stand side by side: the fewer, the larger they are.
const ABREAST: usize = 3;

/// The greatest height of the strokes of percussion, as a share of a page.
const STROKES: f64 = 0.6;

/// Draws a booklet.
///
/// - `player`: what the band calls them; `band`: its name.
/// - `entries`: at least one, in the order of the booklet.
pub fn booklet(player: &str, band: &str, entries: &[Entry], format: Format) -> Booklet {
    let frame = Frame { binding: BINDING, ..Frame::new(format) };
    let laid =
        |entry: &Entry| sheet::laid(entry.tune, &entry.parts, entry.pan, entry.sticks.as_deref(), format.size, &frame);
    let sheets: Vec<Vec<Body>> = entries.iter().map(laid).collect();
    // How many pages the contents take does not depend on the numbers in them.
    let contents = |numbers: &[usize]| pages::laid(&contents(player, band, entries, numbers, &frame), &frame).pages;
    let front = contents(&vec![0; entries.len()]).len();
    let mut next = front + 1;
    let mut places = Vec::new();
    for sheet in &sheets {
        places.push((next, sheet.len()));
        next += sheet.len();
    }
    let numbers: Vec<usize> = places.iter().map(|(first, _)| *first).collect();
    let of = next - 1;
    let mut all = pages::finished(contents(&numbers), &Foot { name: player, before: 0, of }, &frame);
    for ((entry, sheet), (first, _)) in entries.iter().zip(sheets).zip(&places) {
        let parts = words::and(&sheet::names(entry.tune, &entry.parts));
        let name = format!("{player} - {}, {parts}", entry.tune.title);
        all.extend(pages::finished(sheet, &Foot { name: &name, before: first - 1, of }, &frame));
    }
    Booklet { pages: all, entries: places }
}

/// The title, the list of what is played, and what it is played on.
fn contents(player: &str, band: &str, entries: &[Entry], numbers: &[usize], frame: &Frame) -> Vec<Block> {
    let mut tunes: Vec<&str> = entries.iter().map(|entry| entry.tune.title.as_str()).collect();
    tunes.dedup();
    let mut blocks = sheet::titles(player, &[band.to_owned(), words::count(tunes.len(), "tune")], frame);
    blocks.iter_mut().for_each(|block| block.keep = true);
    let width = frame.width() / frame.print();
    let rows = entries.iter().zip(numbers);
    blocks.extend(rows.map(|(entry, number)| row(entry, *number, width).scaled(frame.print())));
    let used: f64 = blocks.iter().map(|block| block.height).sum();
    let left = frame.room() - used;
    if left >= PANS * frame.room() {
        let mut played = played(entries, left, frame);
        // In the middle of what is left.
        let free = left - played.iter().map(|block| block.height).sum::<f64>();
        played.iter_mut().take(1).for_each(|block| block.lower(free / 2.0));
        blocks.extend(played);
    }
    blocks
}

/// A line of the contents.
fn row(entry: &Entry, number: usize, width: f64) -> Block {
    let base = 0.72 * LINE;
    let text = |x: f64, room: f64, weight: Weight, part: Part, text: &str| {
        Item::Shape(part, Text::start((x, base), LETTERS, cut(text, weight, LETTERS, room - COLUMN_GAP)))
    };
    let on = sheet::played_on(entry.tune, &entry.parts, entry.pan);
    let (second, third) = (TUNE * width, (1.0 - NUMBER) * width);
    let items = vec![
        text(0.0, second, Weight::Bold, Part::Heading, &entry.tune.title),
        text(second, third - second, Weight::Regular, Part::Words, &on),
        Item::Shape(Part::Heading, Text::end((width, base), LETTERS, number.to_string())),
        Item::Shape(Part::Rule, Form::Line(vec![(0.0, LINE - 1.0), (width, LINE - 1.0)])),
    ];
    Block { items, height: LINE, ..Block::default() }
}

/// What the player plays on, each pan and each piece of percussion once, under each other.
fn played(entries: &[Entry], height: f64, frame: &Frame) -> Vec<Block> {
    let mut pans: Vec<(&Pan, face::Options)> = Vec::new();
    let mut percussion: Vec<(&str, Instrument)> = Vec::new();
    for entry in entries {
        if let Some(pan) = entry.pan.filter(|pan| !pans.iter().any(|(other, _)| other.name == pan.name)) {
            let tolerance = entry.tune.band.tolerance;
            pans.push((pan, face::Options { tolerance, sticks: false, ..face::Options::default() }));
        }
        for one in sheet::percussion(entry.tune, &entry.parts) {
            if entry.pan.is_none() && !percussion.contains(&one) {
                percussion.push(one);
            }
        }
    }
    let several = pans.len() + usize::from(!percussion.is_empty());
    let each = height / several.max(1) as f64;
    let drawn = pans.into_iter().flat_map(|(pan, options)| sheet::hung(pan, options, each, frame));
    let mut blocks: Vec<Block> = drawn.collect();
    if !percussion.is_empty() {
        let picture = strokes::kit(&percussion, ABREAST);
        blocks.push(sheet::placed(&picture, frame.width(), each.min(STROKES * frame.room())));
    }
    blocks
}

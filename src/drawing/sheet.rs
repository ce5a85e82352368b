//! Printed sheets: the pan on top, the player's parts as rows of cells below; or a pan alone, for the wall.

use super::captions::captions;
use super::cells::Sticks;
use super::comeback::form;
use super::face::{self, face};
use super::font::{Weight, cut, wrap};
use super::look::Part;
use super::picture::{Form, Item, Picture, Text};
use super::rests;
use super::rows::{self, BarCells, Cell, SectionRows};
use super::section::{self, Block};
use super::strokes;
use crate::pan::{Instrument, Pan};
use crate::text::words;
use crate::tune::Tune;
use crate::tune::model::Player;

/// The size of the paper.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Paper {
    /// 210 by 297 mm (ISO 216).
    #[default]
    A4,
    /// 8.5 by 11 inches (ANSI/ASME Y14.1).
    Letter,
}

impl Paper {
    /// Width and height in points (1/72 inch).
    pub fn points(self) -> (f64, f64) {
        match self {
            Paper::A4 => (210.0 / 25.4 * 72.0, 297.0 / 25.4 * 72.0),
            Paper::Letter => (8.5 * 72.0, 11.0 * 72.0),
        }
    }
}

/// Room round a page, in points: half an inch, which every printer leaves us.
const MARGIN: f64 = 36.0;

/// The height of a page's last line, with the room above it.
const FOOT: f64 = 20.0;

/// Room under a picture, in points.
const UNDER: f64 = 6.0;

/// From how much wider than high on a pan is printed sideways.
const WIDE: f64 = 1.1;

/// The greatest height of the pan above the rows, in points, from the smallest that can be read: whichever saves a page is
/// taken, the largest of those.
const PAN: [f64; 3] = [170.0, 205.0, 240.0];

/// How large strokes of percussion are drawn, in points a unit of their picture: an instrument is 70 points high. And the
/// greatest height of them all, in points.
const STROKE: f64 = 70.0 / strokes::HEIGHT;
const STROKES: f64 = 200.0;

/// How many strokes of percussion stand side by side.
const ABREAST: usize = 8;

/// The pages of what one player plays: one part on a pan, or one or several parts on percussion, with their rows under each other.
///
/// - `parts`: the numbers of the parts, at least one; their rows stand in this order.
/// - `pan`: the pan that plays them; `None` for percussion, and for a pan that the band does not have.
/// - `sticks`: the sticks that are shown for the first part, see [`rows::rows`].
pub fn parts(tune: &Tune, parts: &[usize], pan: Option<&Pan>, sticks: Option<&Sticks>, paper: Paper) -> Vec<Picture> {
    let width = paper.points().0 - 2.0 * MARGIN;
    let sections = rows::rows(tune, parts, pan, sticks);
    let name = format!("{} - {}", tune.title, words::and(&names(tune, parts)));
    let head = head(tune, parts, pan, &sections, width);
    let below: Vec<Block> = sections.iter().flat_map(|rows| section::blocks(rows, width)).collect();
    let laid = PAN.map(|height| {
        let blocks = [&head[..], &above(tune, parts, pan, (width, height)), &below].concat();
        pages(&blocks, &name, paper.points())
    });
    // The largest pan that takes no more pages than a smaller one would.
    laid.into_iter().rev().min_by_key(Vec::len).unwrap_or_default()
}

/// The names of parts.
pub fn names<'a>(tune: &'a Tune, parts: &[usize]) -> Vec<&'a str> {
    parts.iter().map(|part| tune.parts[*part].name.as_str()).collect()
}

/// What parts are played on, with their names: `lead on Red rim`, `alto on Red rim (lead)`, `kick, snare, and hat (hi-hat)`.
///
/// - `parts`, `pan`: as in [`parts`](fn@parts).
pub fn played_on(tune: &Tune, parts: &[usize], pan: Option<&Pan>) -> String {
    let one = |part: &usize| {
        let of = &tune.parts[*part];
        match (&of.player, pan) {
            (_, Some(pan)) if pan.name == of.name => format!("{} on {}", of.name, pan.kind),
            (_, Some(pan)) if pan.kind.names().contains(&of.name.as_str()) => format!("{} on {}", of.name, pan.name),
            (_, Some(pan)) => format!("{} on {} ({})", of.name, pan.name, pan.kind),
            (Player::Pans { kind, .. }, None) => format!("{} on {kind}", of.name),
            (Player::Percussion { instrument, .. }, None) if instrument.name() == of.name => of.name.clone(),
            (Player::Percussion { instrument, .. }, None) if parts.len() == 1 => format!("{} on {instrument}", of.name),
            (Player::Percussion { instrument, .. }, None) => format!("{} ({instrument})", of.name),
        }
    };
    words::and(&parts.iter().map(one).collect::<Vec<_>>())
}

/// The percussion of parts, with their names.
pub fn percussion<'a>(tune: &'a Tune, parts: &[usize]) -> Vec<(&'a str, Instrument)> {
    let one = |part: &usize| match tune.parts[*part].player {
        Player::Percussion { instrument, .. } => Some((tune.parts[*part].name.as_str(), instrument)),
        Player::Pans { .. } => None,
    };
    parts.iter().filter_map(one).collect()
}

/// The page of a pan alone; lying on its side for a pan that is wider than high.
pub fn pan(pan: &Pan, options: &face::Options, paper: Paper) -> Vec<Picture> {
    let (short, long) = paper.points();
    let hangs = face(pan, options).size;
    let size = if hangs.0 > WIDE * hangs.1 { (long, short) } else { (short, long) };
    let (width, height) = (size.0 - 2.0 * MARGIN, size.1);
    let title = if pan.title.is_empty() { pan.kind.to_string() } else { pan.title.clone() };
    let set = pan.note_set();
    let mut facts = format!("{}, {}", words::count(pan.drums.len(), "drum"), words::count(set.len(), "note"));
    if let (Some(low), Some(high)) = (set.lowest(), set.highest()) {
        facts += &format!(", {low} to {high}");
    }
    let mut blocks = titles(&pan.name, &[title, facts], width);
    let room = height - 2.0 * MARGIN - FOOT - blocks.iter().map(|block| block.height).sum::<f64>();
    blocks.extend(hung(pan, options.clone(), width, room));
    pages(&blocks, &pan.name, size)
}

/// The title, and what there is to know before the first bar.
fn head(tune: &Tune, parts: &[usize], pan: Option<&Pan>, sections: &[SectionRows], width: f64) -> Vec<Block> {
    let mut facts = vec![format!("key {}", tune.key), tune.meter.to_string(), format!("tempo {}", tune.tempo)];
    if tune.swing.0 != tune.swing.1 {
        facts.push(format!("swing {}:{}", tune.swing.0, tune.swing.1));
    }
    facts.extend(tune.by.iter().map(|by| format!("by {by}")));
    let mut lines = vec![played_on(tune, parts, pan), facts.join(", "), format!("form: {}", form(tune))];
    let signs = signs(sections);
    if !signs.is_empty() {
        lines.push(format!("signs: {}", signs.join("; ")));
    }
    titles(&tune.title, &lines, width)
}

/// A large title and smaller lines under it, of which the first is a little larger.
fn titles(title: &str, lines: &[String], width: f64) -> Vec<Block> {
    let mut y = 18.0;
    let title = cut(title, Weight::Bold, 20.0, width);
    let mut items = vec![Item::Shape(Part::Heading, Text::start((0.0, y), 20.0, title))];
    for (i, text) in lines.iter().enumerate() {
        let size = if i == 0 { 13.0 } else { 9.5 };
        for line in wrap(text, Weight::Regular, size, width) {
            y += 1.35 * size;
            let part = if i == 0 { Part::Words } else { Part::Small };
            items.push(Item::Shape(part, Text::start((0.0, y), size, line)));
        }
    }
    vec![Block { items, height: y + 12.0, keep: true }]
}

/// What the signs in the cells mean: those that occur.
fn signs(sections: &[SectionRows]) -> Vec<&'static str> {
    let bars = sections.iter().flat_map(|section| &section.passages).flat_map(|passage| &passage.bars);
    let cells: Vec<&Cell> = bars.flat_map(BarCells::cells).collect();
    let any = |test: fn(&Cell) -> bool| cells.iter().any(|cell| test(cell));
    let mut signs = Vec::new();
    if any(|cell| matches!(cell, Cell::Struck { accent: true, .. })) {
        signs.push("> over a note: play it louder");
    }
    if any(|cell| matches!(cell, Cell::Struck { damped: true, .. })) {
        signs.push("' after a note: damp it");
    }
    if any(|cell| matches!(cell, Cell::Struck { rolled: true, .. } | Cell::Held { rolled: true, .. })) {
        signs.push("zigzag: roll");
    }
    if any(|cell| matches!(cell, Cell::Held { rolled: false, .. })) {
        signs.push("line under a note: let it ring");
    }
    if sections.iter().any(rests::any) {
        signs.push("thick line and number: rest for that many bars");
    }
    if any(|cell| matches!(cell, Cell::Struck { names, .. } if names.iter().any(|name| name.stick.is_some()))) {
        signs.push("L, R: the stick");
    }
    if any(|cell| matches!(cell, Cell::Struck { names, .. } if names.iter().any(|name| !name.there))) {
        signs.push("dashed box: not on this pan");
    }
    signs
}

/// The pan and what is said about its drawing, or the strokes of percussion.
fn above(tune: &Tune, parts: &[usize], pan: Option<&Pan>, (width, height): (f64, f64)) -> Vec<Block> {
    if let Some(pan) = pan {
        let wanted = rows::notes(tune, parts);
        let options = face::Options { tolerance: tune.band.tolerance, wanted, ..face::Options::default() };
        return hung(pan, options, width, height);
    }
    let percussion = percussion(tune, parts);
    if percussion.is_empty() {
        return Vec::new();
    }
    let picture = strokes::kit(&percussion, ABREAST);
    vec![placed(&picture, width, (STROKE * picture.size.1).min(STROKES))]
}

/// A pan, with what is said about its drawing under it in letters of the sheet's own size.
fn hung(pan: &Pan, options: face::Options, width: f64, height: f64) -> Vec<Block> {
    let said = captions(pan, &options).join("; ");
    let lines = wrap(&said, Weight::Regular, 8.5, width);
    let below = 11.0 * lines.len() as f64 + 4.0;
    let middle = |(i, line): (usize, String)| {
        Item::Shape(Part::Small, Text::middle((width / 2.0, 8.0 + 11.0 * i as f64), 8.5, line))
    };
    let items = lines.into_iter().enumerate().map(middle).collect();
    let picture = face(pan, &face::Options { captions: false, ..options });
    vec![placed(&picture, width, height - below - UNDER), Block { items, height: below, keep: true }]
}

/// A picture in the middle of a block, as large as fits.
fn placed(picture: &Picture, width: f64, height: f64) -> Block {
    let scale = (width / picture.size.0).min(height / picture.size.1);
    let left = (width - scale * picture.size.0) / 2.0;
    let at = (left - scale * picture.origin.0, -scale * picture.origin.1);
    let items = vec![Item::Placed { at, scale, items: picture.items.clone() }];
    Block { items, height: scale * picture.size.1 + UNDER, keep: true }
}

/// Puts blocks on pages. Blocks that are kept with the next go over to the next page with it.
fn pages(blocks: &[Block], name: &str, size: (f64, f64)) -> Vec<Picture> {
    let room = size.1 - 2.0 * MARGIN - FOOT;
    let mut pages: Vec<Vec<Item>> = vec![Vec::new()];
    let mut y = 0.0;
    for (i, block) in blocks.iter().enumerate() {
        let kept = blocks[i..].iter().take_while(|block| block.keep).count();
        let needs: f64 = blocks[i..].iter().take(kept + 1).map(|block| block.height).sum();
        let starts = i == 0 || !blocks[i - 1].keep;
        if y > 0.0 && (y + block.height > room || starts && y + needs > room) {
            pages.push(Vec::new());
            y = 0.0;
        }
        let page = pages.last_mut().expect("there is a page");
        page.push(Item::Placed { at: (MARGIN, MARGIN + y), scale: 1.0, items: block.items.clone() });
        y += block.height;
    }
    let of = pages.len();
    pages.into_iter().enumerate().map(|(i, items)| page(items, name, (i + 1, of), size)).collect()
}

/// A page with its last line.
fn page(mut items: Vec<Item>, name: &str, (number, of): (usize, usize), (width, height): (f64, f64)) -> Picture {
    let base = height - MARGIN;
    let number = format!("page {number} of {of}");
    let room = width - 2.0 * MARGIN - 9.0 * Weight::Regular.width(&number) - 12.0;
    let rule = Form::Line(vec![(MARGIN, base - 11.0), (width - MARGIN, base - 11.0)]);
    items.push(Item::Shape(Part::Rule, rule));
    let left = Text::start((MARGIN, base), 9.0, cut(name, Weight::Regular, 9.0, room));
    items.push(Item::Shape(Part::Small, left));
    items.push(Item::Shape(Part::Small, Text::end((width - MARGIN, base), 9.0, number.clone())));
    Picture {
        origin: (0.0, 0.0),
        size: (width, height),
        title: format!("{name}, {number}"),
        description: String::new(),
        unit: "pt",
        items,
    }
}

//! Printed sheets: the pan on top, the player's parts as rows of cells below.

use super::captions::captions;
use super::cells::Sticks;
use super::comeback::form;
use super::face::{self, face};
use super::font::{Weight, cut, wrap};
use super::look::Part;
use super::pages::{self, Body, Frame, Laid};
pub use super::paper::{Format, Paper, Size};
use super::picture::{Item, Picture, Text};
use super::rests;
use super::rows::{self, BarCells, Cell, SectionRows};
use super::section::{self, Block};
use super::strokes;
use crate::pan::{Instrument, Pan};
use crate::text::words;
use crate::tune::Tune;
use crate::tune::model::Player;

/// Room under a picture, in points.
const UNDER: f64 = 6.0;

/// How high the pan above the rows may be, as shares of a page, from the least that can be read: whichever saves a page is taken, the
/// largest of those.
const PAN: [f64; 6] = [0.23, 0.27, 0.31, 0.35, 0.4, 0.45];

/// The same on a stand, and on a wall, where several players look for their notes.
const PAN_ON_STAND: [f64; 4] = [0.32, 0.36, 0.4, 0.45];
const PAN_ON_WALL: [f64; 5] = [0.45, 0.52, 0.6, 0.68, 0.76];

/// How high the strokes of an instrument are drawn in the hand, in points, from the least that can be read; and the greatest height of
/// all instruments together, as a share of a page.
const STROKES: [f64; 3] = [55.0, 70.0, 95.0];
const ALL_STROKES: f64 = 0.27;

/// How many strokes of percussion stand side by side.
const ABREAST: usize = 8;

/// The pages of what one player plays: one part on a pan, or one or several parts on percussion, with their rows under each other.
///
/// - `parts`: the numbers of the parts, at least one; their rows stand in this order.
/// - `pan`: the pan that plays them; `None` for percussion, and for a pan that the band does not have.
/// - `sticks`: the sticks that are shown for the first part, see [`rows::rows`].
/// - `format`: the paper, and from how far away it is read.
pub fn parts(
    tune: &Tune,
    parts: &[usize],
    pan: Option<&Pan>,
    sticks: Option<&Sticks>,
    format: impl Into<Format>,
) -> Vec<Picture> {
    let format = format.into();
    let frame = Frame::new(format);
    let name = format!("{} - {}", tune.title, words::and(&names(tune, parts)));
    pages::alone(laid(tune, parts, pan, sticks, format.size, &frame), &name, &frame)
}

/// The pages of [`parts`](fn@parts) without their last lines.
pub(super) fn laid(
    tune: &Tune,
    parts: &[usize],
    pan: Option<&Pan>,
    sticks: Option<&Sticks>,
    size: Size,
    frame: &Frame,
) -> Vec<Body> {
    let sections: Vec<SectionRows> = rows::rows(tune, parts, pan, sticks).iter().map(section::printed).collect();
    let head = head(tune, parts, pan, &sections, frame);
    let shares = match size {
        Size::Hand => &PAN[..],
        Size::Stand => &PAN_ON_STAND[..],
        Size::Wall => &PAN_ON_WALL[..],
    };
    let heights: Vec<f64> = match pan {
        Some(_) => shares.iter().map(|share| share * frame.room()).collect(),
        None => STROKES.iter().map(|high| high * frame.print()).collect(),
    };
    let above: Vec<Vec<Block>> = heights.iter().map(|height| above(tune, parts, pan, *height, frame)).collect();
    let pages = |growth: f64| -> Vec<Laid> {
        let below = rows_drawn(&sections, growth * frame.scale, frame);
        above.iter().map(|above| pages::laid(&[&head[..], above, &below].concat(), frame)).collect()
    };
    let least = pages(1.0);
    let best = least.iter().map(Laid::worth).min();
    // The largest rows that are worth no less than smaller ones, and above them the largest pan.
    let larger = size.growth().iter().map(|growth| pages(*growth));
    let mut all = larger.chain([least.clone()]).flat_map(|all| all.into_iter().rev());
    let chosen = all.find(|laid| best.is_none_or(|best| laid.worth() <= best));
    chosen.map(|laid| laid.pages).unwrap_or_default()
}

/// The rows of all sections, so large; a line that is higher than a page as large as fits.
fn rows_drawn(sections: &[SectionRows], scale: f64, frame: &Frame) -> Vec<Block> {
    let blocks = sections.iter().flat_map(|rows| section::blocks(rows, frame.width() / scale));
    let most = frame.room() - frame.scale * section::GOES_ON;
    blocks.map(|block| block.scaled(scale.min(most / block.height))).collect()
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

/// The title, and what there is to know before the first bar.
fn head(tune: &Tune, parts: &[usize], pan: Option<&Pan>, sections: &[SectionRows], frame: &Frame) -> Vec<Block> {
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
    titles(&tune.title, &lines, frame)
}

/// A large title and smaller lines under it, of which the first is a little larger.
pub(super) fn titles(title: &str, lines: &[String], frame: &Frame) -> Vec<Block> {
    let width = frame.width() / frame.print();
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
    vec![Block { items, height: y + 12.0, keep: true, ..Block::default() }.scaled(frame.print())]
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
    if sections.iter().flat_map(|section| &section.passages).any(|passage| passage.times > 1) {
        signs.push("× after bars: how often they are played");
    }
    signs.push("number below a bar: its place in the section");
    if any(|cell| matches!(cell, Cell::Struck { names, .. } if names.iter().any(|name| name.stick.is_some()))) {
        signs.push("L, R: the stick");
    }
    if any(|cell| matches!(cell, Cell::Struck { names, .. } if names.iter().any(|name| !name.there))) {
        signs.push("dashed box: not on this pan");
    }
    signs
}

/// The pan and what is said about its drawing, or the strokes of percussion.
///
/// - `height`: of the pan, or of the strokes of one instrument.
fn above(tune: &Tune, parts: &[usize], pan: Option<&Pan>, height: f64, frame: &Frame) -> Vec<Block> {
    if let Some(pan) = pan {
        let wanted = rows::notes(tune, parts);
        let options =
            face::Options { tolerance: tune.band.tolerance, wanted, sticks: false, ..face::Options::default() };
        return hung(pan, options, height, frame);
    }
    let percussion = percussion(tune, parts);
    if percussion.is_empty() {
        return Vec::new();
    }
    let picture = strokes::kit(&percussion, ABREAST);
    let high = height * picture.size.1 / strokes::HEIGHT;
    vec![placed(&picture, frame.width(), high.min(ALL_STROKES * frame.room()))]
}

/// A pan, with what is said about its drawing under it in letters of the sheet's own size.
pub(super) fn hung(pan: &Pan, options: face::Options, height: f64, frame: &Frame) -> Vec<Block> {
    let (width, letters) = (frame.width(), 8.5 * frame.print());
    let step = 1.3 * letters;
    let said = captions(pan, &options).join("; ");
    let lines = wrap(&said, Weight::Regular, letters, width);
    let below = step * lines.len() as f64 + 4.0;
    let middle = |(i, line): (usize, String)| {
        Item::Shape(Part::Small, Text::middle((width / 2.0, 0.95 * letters + step * i as f64), letters, line))
    };
    let picture = face(pan, &face::Options { captions: false, ..options });
    let mut block = placed(&picture, width, height - below);
    let items = lines.into_iter().enumerate().map(middle).collect();
    block.items.push(Item::Placed { at: (0.0, block.height), scale: 1.0, items });
    block.height += below;
    vec![block]
}

/// A picture in the middle of a block, as large as fits with the room under it.
pub(super) fn placed(picture: &Picture, width: f64, height: f64) -> Block {
    let scale = (width / picture.size.0).min((height - UNDER) / picture.size.1);
    let left = (width - scale * picture.size.0) / 2.0;
    let at = (left - scale * picture.origin.0, -scale * picture.origin.1);
    let items = vec![Item::Placed { at, scale, items: picture.items.clone() }];
    Block { items, height: scale * picture.size.1 + UNDER, ..Block::default() }
}

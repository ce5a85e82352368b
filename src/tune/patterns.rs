//! A pattern by its name: one of the tune's own, or else one of the library.

use std::collections::BTreeMap;

use super::library::{self, LibraryPattern};
use super::model::{Part, Player};
use super::section::{Written as WrittenSection, WrittenBody};
use crate::music::Meter;
use crate::notation::tree::Instruction;
use crate::notation::tree::{Bar, BarContent, Cell, Notes, PatternLine, Slot, Slots, Strike, Written};

/// A pattern that was found.
#[derive(Clone, Copy)]
pub enum Found<'a> {
    /// The tune has it.
    Own(&'a PatternLine),
    /// The library has it.
    Library(&'static LibraryPattern),
}

/// The pattern of a name for a section's meter; the tune's own come first.
pub fn find<'a>(own: &[&'a PatternLine], name: &str, meter: Meter) -> Option<Found<'a>> {
    let own = own.iter().find(|pattern| pattern.name.value == name);
    own.map(|pattern| Found::Own(pattern)).or_else(|| library::pattern(name, meter).map(Found::Library))
}

/// Where a pattern is played.
#[derive(Clone, Debug, Default)]
pub struct Played {
    /// The meters of the sections, each once.
    pub meters: Vec<Meter>,
    /// Whether a pan plays it.
    pub on_pans: bool,
}

/// Where each pattern that a section names is played. `meters`: the sections'.
pub fn played<'a>(sections: &[WrittenSection<'a>], meters: &[Meter], parts: &[Part]) -> BTreeMap<&'a str, Played> {
    let mut all: BTreeMap<&str, Played> = BTreeMap::new();
    for (section, meter) in sections.iter().zip(meters) {
        for (part, row) in parts.iter().zip(&section.rows) {
            let Some(WrittenBody::Instruction(told)) = row.as_ref().map(|row| &row.body) else { continue };
            let (Instruction::Play(name) | Instruction::Strum(name)) = &told.value else { continue };
            let played = all.entry(name.value.as_str()).or_default();
            played.on_pans |= matches!(part.player, Player::Pans { .. });
            if !played.meters.contains(meter) {
                played.meters.push(*meter);
            }
        }
    }
    all
}

impl<'a> Found<'a> {
    /// Its bars.
    pub fn bars(self) -> &'a [Bar<Cell>] {
        match self {
            Found::Own(line) => &line.bars,
            Found::Library(pattern) => &pattern.line.bars,
        }
    }

    /// Whether its strokes are percussion strokes, as a strum is written.
    pub fn is_strum(self) -> bool {
        is_strum(self.bars())
    }
}

/// Whether the first stroke of some bars is a percussion stroke.
pub fn is_strum(bars: &[Bar<Cell>]) -> bool {
    matches!(first(bars).map(|strike| &strike.notes), Some(Notes::One(Written::Mark(_))))
}

fn first(bars: &[Bar<Cell>]) -> Option<&Strike> {
    let cells = bars.iter().filter_map(|bar| match &bar.content {
        BarContent::Cells(cells) => Some(cells),
        _ => None,
    });
    let strikes = cells.flatten().filter_map(|cell| match &cell.slots {
        Slots::One(Slot::Strike(strike)) => Some(strike),
        Slots::Many(slots) => slots.iter().find_map(|slot| match &slot.value {
            Slot::Strike(strike) => Some(strike),
            _ => None,
        }),
        Slots::One(_) => None,
    });
    strikes.into_iter().next()
}

//! A pickup that is written without its line `pickup`, so that it would be played as a whole bar. Whoever means a whole bar writes `2:`
//! first in it, as `import` does.

use std::sync::Arc;

use super::cuts::{self, Cut};
use super::findings::MAYBE_PICKUP;
use super::model::FormStep;
use super::section::{Written, WrittenBody};
use super::slips::last_beats;
use crate::music::{Length, Meter};
use crate::notation::tree::{Bar, BarContent, Cell, Instruction, Slot, Slots, Statement, Tree};
use crate::text::{Finding, Source, Span, words};

/// A row's only bar, and the pickup that it looks like.
struct Like<'a> {
    row: &'a str,
    bar: &'a Bar<Cell>,
    cut: Cut,
    /// What most bars of the row have later.
    most: usize,
    length: Length,
}

/// Advice on a section of one bar that opens the tune and looks like a pickup in all rows that play in it. `meters`: the sections'.
pub fn pickup(tree: &Tree, form: &[FormStep], sections: &[Written], meters: &[Meter]) -> Option<Finding> {
    let (first, rest) = form.split_first()?;
    let again = first.times > 1 || rest.is_empty() || rest.iter().any(|step| step.section == first.section);
    if again || says_pickup(tree) || sections[first.section].chords.bars.len() > 1 {
        return None;
    }
    let all = rows(first.section, sections, meters)?;
    let like = all.first().filter(|like| all.iter().all(|other| other.length == like.length))?;
    Some(asked(&all, like, meters[first.section], &sections[first.section].name.value, &tree.source))
}

/// Whether there is a line `pickup`, even one that can't be read.
fn says_pickup(tree: &Tree) -> bool {
    tree.lines.iter().any(|line| match &line.statement {
        Some(Statement::Setting(setting)) => tree.source.slice(setting.word) == "pickup",
        _ => false,
    })
}

/// The rows that play in the opening and have bars later to compare with; `None` where one of them is no pickup.
fn rows<'a>(opening: usize, sections: &'a [Written], meters: &[Meter]) -> Option<Vec<Like<'a>>> {
    let mut all = Vec::new();
    for (part, row) in sections[opening].rows.iter().enumerate() {
        let Some(row) = row else { continue };
        let bars = match &row.body {
            WrittenBody::Cells(bars) => bars,
            WrittenBody::Instruction(told) => match &told.value {
                Instruction::Strum(_) | Instruction::Play(_) | Instruction::Broken => return None,
                _ => continue,
            },
            WrittenBody::AsPart(_) => continue,
        };
        let [bar] = bars.as_slice() else { return None };
        let BarContent::Cells(cells) = &bar.content else { return None };
        if bar.meant.is_some() || cells.iter().any(|cell| matches!(cell.slots, Slots::One(Slot::Broken))) {
            return None;
        }
        let (true, Some(most)) = (cells.iter().any(is_struck), most(part, opening, sections, meters)) else { continue };
        let cut = Cut::of_cells(cells)?;
        let length = cuts::like_pickup(cut, most, meters[opening])?;
        all.push(Like { row: &row.name.value, bar, cut, most, length });
    }
    Some(all)
}

fn is_struck(cell: &Cell) -> bool {
    match &cell.slots {
        Slots::One(slot) => matches!(slot, Slot::Strike(_)),
        Slots::Many(slots) => slots.iter().any(|slot| matches!(slot.value, Slot::Strike(_))),
    }
}

/// What most bars of a part's rows in the other sections of the same meter have.
fn most(part: usize, opening: usize, sections: &[Written], meters: &[Meter]) -> Option<usize> {
    let others = sections.iter().zip(meters).enumerate();
    let others = others.filter(|(number, (_, meter))| *number != opening && **meter == meters[opening]);
    let rows = others.filter_map(|(_, (section, _))| section.rows[part].as_ref());
    let bars = rows.flat_map(|row| match &row.body {
        WrittenBody::Cells(bars) => bars.as_slice(),
        _ => &[],
    });
    let cells = bars.filter_map(|bar| match &bar.content {
        BarContent::Cells(cells) => Some(Cut::of_cells(cells)?.cells),
        _ => None,
    });
    cuts::most_common(cells.filter(|cells| *cells > 1 && meters[opening].expects(meters[opening].bar(), *cells)))
}

fn asked(all: &[Like], like: &Like, meter: Meter, section: &str, source: &Arc<Source>) -> Finding {
    let spans: Vec<Span> = all.iter().map(|like| like.bar.span).collect();
    let pickup = format!("`pickup {}`", like.length.per(meter.beat()));
    let cells = words::count(like.cut.cells, "cell");
    let last = last_beats(like.bar, like.length.per(meter.bar()), source).filter(|_| like.cut.rests > 0);
    let (why, what) = match last {
        Some(last) => (
            format!("{cells}, the first {} of them rests", like.cut.rests),
            format!("write {pickup} above the parts, and only what the pickup has: `| {last} |`"),
        ),
        None => (
            format!("{cells}, where the bars of `{}` mostly have {}", like.row, like.most),
            format!("write {pickup} above the parts: its number counts beats"),
        ),
    };
    let message = format!("the only bar of `{section}`, which opens the tune, has {why}: is it a pickup?");
    let whole = format!("or begin the bar with `{}:` if it is a whole bar", like.cut.cells);
    Finding::advice(&MAYBE_PICKUP, message).more(source, &spans).help(what).help(whole)
}

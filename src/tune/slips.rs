//! Bars with a number of cells that was hardly meant, and pickups that are written as whole bars.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::sync::Arc;

use num_rational::Ratio;

use super::cuts::{Asked, Cut, Usual, Why, asked, asked_of_pattern};
use super::findings::{ODD_CELLS, OTHER_METER, PICKUP_AGAIN, PICKUP_BAR, SHORT_PICKUP};
use super::model::{FormStep, Open, Section};
use super::section::{Written, WrittenBody, WrittenRow};
use crate::music::{Length, Meter};
use crate::notation::tree::{Bar, BarContent, Cell, PatternLine, Slot, Slots};
use crate::text::{Edit, Finding, Source, Span, words};

/// Names for a section that holds only the pickup; the first one that is free is proposed.
const LEAD_INS: [&str; 3] = ["lead-in", "start", "before"];

/// How many steps of a form, or numbers of bars, a finding lists.
const MAX_SHOWN: usize = 8;

/// A section whose rows are looked at.
pub struct Looked<'a> {
    /// The text.
    pub source: &'a Arc<Source>,
    /// The section.
    pub section: &'a Written<'a>,
    /// Its meter.
    pub meter: Meter,
    /// The length of its first bar, if that is the pickup.
    pub pickup: Option<Length>,
    /// The place of the pickup's number.
    pub pickup_at: Option<Span>,
    /// How many bars it has.
    pub bars: usize,
}

/// A bar to ask about, with its row.
struct OfRow<'a> {
    row: &'a WrittenRow<'a>,
    bar: &'a Bar<Cell>,
    asked: Asked,
}

impl<'a> Looked<'a> {
    /// The questions about the section's cells. Rows with too many or too few bars are left out: they have been reported.
    pub fn findings(&self) -> Vec<Finding> {
        let (mut pickups, mut short): (Vec<OfRow>, Vec<OfRow>) = (Vec::new(), Vec::new());
        let mut odd: BTreeMap<(Span, usize, usize), Vec<OfRow>> = BTreeMap::new();
        for of in self.section.rows.iter().flatten().flat_map(|row| self.row(row)) {
            match of.asked.why {
                Why::Pickup { .. } => pickups.push(of),
                Why::Short => short.push(of),
                Why::Odd(usual) => {
                    odd.entry((of.row.name.span, of.asked.cells, usual.cells())).or_default().push(of);
                }
            }
        }
        pickups.sort_by_key(|of| of.bar.span);
        let mut findings: Vec<Finding> =
            self.pickup.and_then(|length| self.pickup_bar(length, &pickups)).into_iter().collect();
        findings.extend(self.pickup.and_then(|length| self.short_pickup(length, &short)));
        findings.extend(odd.values().map(|bars| self.odd(bars)));
        findings
    }

    fn row(&self, row: &'a WrittenRow<'a>) -> Vec<OfRow<'a>> {
        let WrittenBody::Cells(bars) = &row.body else { return Vec::new() };
        if bars.len() != self.bars {
            return Vec::new();
        }
        let cuts = cuts(bars, Cut::of_cells);
        let asked = asked(&cuts, self.meter, self.pickup);
        let written = |asked: &Asked| is_read(&bars[asked.bar]) && bars[asked.bar].meant.is_none();
        asked.into_iter().filter(written).map(|asked| OfRow { row, bar: &bars[asked.bar], asked }).collect()
    }

    /// A finding for the bars of a row that have the same odd number of cells; at least one.
    fn odd(&self, bars: &[OfRow]) -> Finding {
        let [first, rest @ ..] = bars else { unreachable!("at least one bar") };
        let Why::Odd(mut usual) = first.asked.why else { unreachable!("no pickup") };
        if !rest.is_empty() && !matches!(usual, Usual::Meter(_)) {
            usual = Usual::Most(usual.cells());
        }
        let cells = first.asked.cells;
        let numbers: Vec<usize> = bars.iter().map(|of| of.asked.bar + usize::from(self.pickup.is_none())).collect();
        let (numbers, section) = (few(&numbers), &self.section.name.value);
        let subject = match rest {
            [] => format!("bar {numbers} of `{section}` has {cells} cells"),
            _ => format!("bars {numbers} of `{section}` have {cells} cells each"),
        };
        let meter = match self.pickup.filter(|_| first.asked.bar == 0) {
            Some(length) => format!("a pickup of {}", self.beats(length)),
            None => format!("a bar of {}", self.meter),
        };
        let spans: Vec<Span> = bars.iter().map(|of| of.bar.span).collect();
        odd_cells(&subject, cells, usual, &meter).more(self.source, &spans).part(&first.row.name.value)
    }

    /// One finding for all rows in which the pickup is written as a whole bar.
    fn pickup_bar(&self, length: Length, bars: &[OfRow]) -> Option<Finding> {
        let first = bars.first()?;
        let Why::Pickup { takes, full } = first.asked.why else { return None };
        let cells = first.asked.cells;
        let takes = words::count(takes, "cell");
        let than = match full {
            Some(full) if full == cells => format!("{takes} where full bars have {full}"),
            Some(full) => format!("{takes} where full bars have {full}, and it has {cells}"),
            None => format!("{takes}, and it has {cells}"),
        };
        let message = format!(
            "bar 0 of `{}` is the pickup, {} long: it takes {than}",
            self.section.name.value,
            self.beats(length),
        );
        let spans: Vec<Span> = bars.iter().map(|of| of.bar.span).collect();
        let mut finding = Finding::warning(&PICKUP_BAR, message).more(self.source, &spans);
        if let [only] = bars {
            finding = finding.part(&only.row.name.value);
        }
        finding = match last_beats(first.bar, length.per(self.meter.bar()), self.source) {
            Some(last) if bars.len() == 1 => finding
                .help(format!("write only what the pickup has: `| {last} |`"))
                .edit(Edit::new(first.bar.span, last)),
            Some(last) => finding.help(format!("write only what the pickup has, here `| {last} |`")),
            None => finding
                .help("write only the cells of the pickup, or take `pickup` out if the tune begins with a whole bar"),
        };
        Some(finding.help(format!("or begin the bar with `{cells}:` if you want {cells} cells")))
    }

    /// A finding for a pickup that is so short that beats were hardly counted.
    fn short_pickup(&self, length: Length, bars: &[OfRow]) -> Option<Finding> {
        let (first, line) = (bars.first()?, self.pickup_at?);
        let text = self.source.slice(line);
        let meant = self.note_value(text).unwrap_or(Ratio::from_integer(1));
        let message = format!("`pickup {text}` is {} long: did you want `pickup {meant}`?", self.beats(length));
        let spans: Vec<Span> = bars.iter().map(|of| of.bar.span).collect();
        let finding = Finding::warning(&SHORT_PICKUP, message).at(self.source, line).more(self.source, &spans);
        let finding = finding.help(format!("write `pickup {meant}`: its number counts beats"));
        let edit = Edit::new(line, meant.to_string());
        Some(finding.help(format!("or begin the bar with `{}:` if it really is that short", first.cells())).edit(edit))
    }

    /// The beats of `1/4` and the like, read as the name of a note, if that is less than a bar.
    fn note_value(&self, text: &str) -> Option<Ratio<i64>> {
        let (above, below) = text.split_once('/')?;
        let (above, below): (i64, i64) =
            (above.parse().ok()?, below.parse().ok().filter(|below| [4, 8].contains(below))?);
        let length = Length::quarters(above * 4, below);
        let half = self.meter.beat() * Ratio::new(1, 2);
        (length >= half.min(Length::quarters(1, 2)) && length < self.meter.bar()).then(|| length.per(self.meter.beat()))
    }

    /// A length in words: `one beat`, `2 beats`.
    fn beats(&self, length: Length) -> String {
        let beats = length.per(self.meter.beat());
        if beats == Ratio::from_integer(1) {
            "one beat".to_owned()
        } else if beats == Ratio::new(1, 2) {
            "half a beat".to_owned()
        } else if beats < Ratio::from_integer(1) {
            format!("{beats} of a beat")
        } else if beats.fract() == Ratio::new(1, 2) {
            format!("{}½ beats", beats.to_integer())
        } else if beats.is_integer() {
            format!("{beats} beats")
        } else {
            format!("{} and {} beats", beats.to_integer(), beats.fract())
        }
    }
}

impl OfRow<'_> {
    /// How many cells are written in the bar.
    fn cells(&self) -> usize {
        match &self.bar.content {
            BarContent::Cells(cells) => cells.len(),
            BarContent::Again | BarContent::Broken => self.asked.cells,
        }
    }
}

/// Whether all cells of a bar could be read. If not, that has been reported, and may be the reason for their number.
fn is_read(bar: &Bar<Cell>) -> bool {
    let is_broken = |cell: &Cell| matches!(cell.slots, Slots::One(Slot::Broken));
    matches!(&bar.content, BarContent::Cells(cells) if !cells.iter().any(is_broken))
}

/// The numbers of some bars in words; only the first ones when there are many.
pub fn few(bars: &[usize]) -> String {
    let shown = if bars.len() > MAX_SHOWN { &bars[..MAX_SHOWN - 1] } else { bars };
    let mut numbers: Vec<String> = shown.iter().map(usize::to_string).collect();
    if shown.len() < bars.len() {
        numbers.push(format!("{} more", bars.len() - shown.len()));
    }
    words::and(&numbers)
}

/// How each bar of a row is cut; a `%` like the bar before.
fn cuts<C: Clone>(bars: &[Cow<Bar<C>>], of: impl Fn(&[C]) -> Option<Cut>) -> Vec<Option<Cut>> {
    let mut before = None;
    let cut = |bar: &Cow<Bar<C>>| {
        before = match &bar.content {
            BarContent::Cells(cells) => of(cells),
            BarContent::Again => before,
            BarContent::Broken => None,
        };
        before
    };
    bars.iter().map(cut).collect()
}

/// The cells of a bar that a pickup takes, as text, if only rests stand before them.
pub(super) fn last_beats(bar: &Bar<Cell>, share: Ratio<i64>, source: &Source) -> Option<String> {
    let BarContent::Cells(cells) = &bar.content else { return None };
    let takes = share * Ratio::from_integer(cells.len() as i64);
    let from = cells.len().checked_sub(usize::try_from(takes.to_integer()).ok().filter(|_| takes.is_integer())?)?;
    let rests = Cut::of_cells(cells)?.rests;
    let last = || cells[from..].iter().map(|cell| source.slice(cell.span)).collect::<Vec<_>>().join(" ");
    (rests >= from).then(last)
}

/// A finding for an odd number of cells, without a place. `meter`: what `Usual::Meter` refers to.
fn odd_cells(subject: &str, cells: usize, usual: Usual, meter: &str) -> Finding {
    let others = match usual {
        Usual::Around(n) => format!("the bars around it have {n}"),
        Usual::Before(n) => format!("the bar before it has {n}"),
        Usual::After(n) => format!("the bar after it has {n}"),
        Usual::Most(n) => format!("most bars of the row have {n}"),
        Usual::Meter(n) => format!("{meter} mostly has {n}"),
    };
    let off = usual.cells().abs_diff(cells);
    let (question, help) = match (usual.cells() > cells, off) {
        (_, off) if 2 * off > cells => {
            ("is that what you want?".to_owned(), "add the cells that are missing, or take out what is too many")
        }
        (true, 1) => ("is one missing?".to_owned(), "add a cell: `.` rests, `-` lets the note go on"),
        (true, off) => (format!("are {off} missing?"), "add cells: `.` rests, `-` lets the note go on"),
        (false, 1) => ("is one too many?".to_owned(), "take a cell out"),
        (false, off) => (format!("are {off} too many?"), "take cells out"),
    };
    let finding = Finding::warning(&ODD_CELLS, format!("{subject}, {others}: {question}"));
    finding.help(help).help(format!("or begin the bar with `{cells}:` if you want {cells}"))
}

/// The questions about the cells of a pattern in a section of some meter.
pub fn pattern(line: &PatternLine, meter: Meter, source: &Arc<Source>) -> Vec<Finding> {
    let bars: Vec<Cow<Bar<Cell>>> = line.bars.iter().map(Cow::Borrowed).collect();
    let name = &line.name.value;
    let told = |asked: Asked| {
        let bar = &line.bars[asked.bar];
        let Why::Odd(usual) = asked.why else { return None };
        if bar.meant.is_some() || !is_read(bar) {
            return None;
        }
        let subject = match line.bars.len() {
            1 => format!("the pattern `{name}` has {} cells", asked.cells),
            _ => format!("bar {} of the pattern `{name}` has {} cells", asked.bar + 1, asked.cells),
        };
        Some(odd_cells(&subject, asked.cells, usual, &format!("a bar of {meter}")).at(source, bar.span))
    };
    asked_of_pattern(&cuts(&bars, Cut::of_cells), meter).into_iter().filter_map(told).collect()
}

/// A finding for a pattern that is cut for another meter, in which it is played too; without its place and its part.
///
/// - `row`: the row that plays it, up to the pattern's name;
/// - `there`: the other meter;
/// - `is_free`: whether a pattern may have a name.
pub fn of_other_meter(
    line: &PatternLine,
    looked: &Looked,
    row: &str,
    there: Meter,
    is_free: impl Fn(&str) -> bool,
) -> Finding {
    let bars: Vec<Cow<Bar<Cell>>> = line.bars.iter().map(Cow::Borrowed).collect();
    let asked = asked_of_pattern(&cuts(&bars, Cut::of_cells), looked.meter);
    let (name, section, here) = (&line.name.value, &looked.section.name.value, looked.meter);
    let has = asked.first().map_or(String::new(), |first| words::count(first.cells, "cell"));
    let message = format!("section `{section}` is in {here}, and the pattern `{name}` has {has} a bar, as for {there}");
    let text = |(number, bar): (usize, &Bar<Cell>)| {
        let usual = asked.iter().find(|asked| asked.bar == number).map(|asked| match asked.why {
            Why::Odd(usual) => usual.cells(),
            Why::Pickup { .. } | Why::Short => asked.cells,
        });
        as_many(looked.source.slice(bar.span), usual)
    };
    let example: Vec<String> = line.bars.iter().enumerate().map(text).collect();
    let own =
        [section.as_str(), "here", "own"].map(|word| format!("{name}-{word}")).into_iter().find(|name| is_free(name));
    let own = own.unwrap_or_else(|| "NAME".to_owned());
    let finding = Finding::warning(&OTHER_METER, message);
    finding
        .help(format!(
            "give the section a pattern of its own, above the sections, for example `pattern {own} | {} |`, and write `{row} {own}`",
            example.join(" | ")
        ))
        .help(format!("`panfold patterns --meter {here}` lists others"))
}

/// A bar's text with another number of cells: only the first ones, or with rests at its end.
fn as_many(bar: &str, cells: Option<usize>) -> String {
    let Some(cells) = cells else { return bar.to_owned() };
    bar.split_whitespace().chain(std::iter::repeat(".")).take(cells).collect::<Vec<_>>().join(" ")
}

/// A finding for an opening section that comes back with its pickup after a whole bar, so that the beats of the pickup are too
/// many.
pub fn comes_back(
    form: &[FormStep],
    sections: &[Section<Open>],
    pickup: Option<Length>,
    is_whole: bool,
    source: &Arc<Source>,
) -> Option<Finding> {
    let (pickup, opening) = (pickup?, form.first()?.section);
    let section = &sections[opening];
    let fills = |before: &Section<Open>| {
        before.bars() > 0 && before.bar_length(before.bars() - 1) + pickup == section.meter.bar()
    };
    let mut before: Option<usize> = None;
    let step = form.iter().find(|step| {
        let first = before.filter(|_| step.section == opening);
        let again = (step.section == opening && step.times > 1).then_some(opening);
        before = Some(step.section);
        first.into_iter().chain(again).any(|before| !fills(&sections[before]))
    })?;
    let name = &section.name;
    let message = format!("`{name}` begins with the pickup, so the pickup is played again each time it comes back");
    let finding = Finding::warning(&PICKUP_AGAIN, message).at(source, step.span.unwrap_or(section.span));
    let free = LEAD_INS.iter().find(|name| sections.iter().all(|section| section.name != **name))?;
    let whole: Vec<String> = form.iter().take(MAX_SHOWN).map(|step| step_text(step, sections)).collect();
    let more = if form.len() > MAX_SHOWN { " …" } else { "" };
    let form = format!("`form {free} {}{more}`", whole.join(" "));
    let place = if is_whole {
        format!("or write the pickup before `{name}`, in")
    } else {
        format!("take the pickup bar out of `{name}` into")
    };
    Some(finding.help(format!("{place} a `section {free}` of its own, and write {form}")))
}

/// A step of a form as it is written.
fn step_text(step: &FormStep, sections: &[Section<Open>]) -> String {
    let name = &sections[step.section].name;
    if step.times > 1 { format!("{name} x{}", step.times) } else { name.clone() }
}

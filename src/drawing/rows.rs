//! The parts of a player as rows of cells under one count: what stands in every cell, section by section, before any of it is
//! drawn.

pub use super::bar_cells::{BarCells, Cell, Name, Passage};
use super::cells::{PartCells, Sticks};
use super::comeback::Turns;
use super::count;
use super::folding;
use crate::music::{Length, Pitch};
use crate::pan::Pan;
use crate::text::words;
use crate::tune::Tune;
use crate::tune::model::{DynamicAt, DynamicChange, Section, Struck};

/// A section of a player's parts.
#[derive(Clone, Debug, PartialEq)]
pub struct SectionRows {
    /// Its number in the tune.
    pub section: usize,
    /// Its name.
    pub name: String,
    /// How often it is played in a row, and after what it comes back.
    pub played: Vec<String>,
    /// Its key, meter and tempo, where a player has to be told.
    pub facts: Vec<String>,
    /// The names of the rows, from the top; empty when there is one row, which needs none.
    pub labels: Vec<String>,
    /// Its bars: what is played again and again stands there once.
    pub passages: Vec<Passage>,
    /// How many bars the section has.
    pub of: usize,
    /// How long a full bar of it is.
    pub full: Length,
    /// The number of its first bar: 1, or 0 for a pickup.
    pub first: usize,
    /// With which bar of the tune its bar 1 is played, each time.
    pub begins: Vec<usize>,
    /// Whether it begins as loud as whatever is played before it ends, so that its first mark tells nothing new.
    pub as_loud: bool,
    /// Whether all of it is played on percussion.
    pub percussion: bool,
    /// Whether the parts have nothing to play in it.
    pub rests: bool,
}

impl SectionRows {
    /// What stands beside its name: `8 bars, played twice, comes back after chorus`.
    pub fn said(&self) -> String {
        let bars = [words::count(self.of, "bar")];
        bars.iter().chain(&self.played).chain(&self.facts).cloned().collect::<Vec<_>>().join(", ")
    }

    /// All of its bars one after the other, however they are folded. What is said about a passage is said the first time.
    pub(super) fn unfolded(&self) -> Vec<BarCells> {
        self.passages.iter().flat_map(Passage::played_out).collect()
    }
}

/// The rows of a player's parts, each section once, in the order in which the form first plays them; sections that the form
/// leaves out are left out.
///
/// - `parts`: the numbers of the parts, at least one: their rows stand under each other in this order.
/// - `pan`: the pan that plays them, whose own names the notes get; `None`: they get their usual names.
/// - `sticks`: the stick of the first note of each stroke of the first part, by section and stroke; left out, those that the
///   tune writes.
pub fn rows(tune: &Tune, parts: &[usize], pan: Option<&Pan>, sticks: Option<&Sticks>) -> Vec<SectionRows> {
    let turns = Turns::new(tune);
    let order = turns.order();
    let begins = begins(tune);
    let above = [None].into_iter().chain(order.iter().copied().map(Some));
    let section = |(number, above): (&usize, Option<usize>)| {
        let part = |(i, part): (usize, &usize)| PartCells::new(tune, *part, *number, pan, sticks.filter(|_| i == 0));
        let rows = parts.iter().enumerate().map(part).collect();
        let label = |part: &usize| tune.parts[*part].name.clone();
        let section = &tune.sections[*number];
        let bars = Bars { section, rows, dynamics: changes(section) };
        SectionRows {
            begins: begins[*number].clone(),
            as_loud: goes_on_as_loud(tune, *number),
            played: turns.played(*number),
            facts: turns.facts(*number, above),
            labels: parts.iter().filter(|_| parts.len() > 1).map(label).collect(),
            ..bars.section_rows(*number)
        }
    };
    order.iter().zip(above).map(section).collect()
}

/// The bars of a section, with the parts whose rows they show.
struct Bars<'a> {
    section: &'a Section,
    rows: Vec<PartCells<'a>>,
    dynamics: Vec<&'a DynamicAt>,
}

impl Bars<'_> {
    /// Everything that does not depend on the sections around it.
    fn section_rows(&self, section: usize) -> SectionRows {
        let bars: Vec<BarCells> = (0..self.section.bars()).map(|bar| self.bar(bar)).collect();
        SectionRows {
            section,
            name: self.section.name.clone(),
            played: Vec::new(),
            facts: Vec::new(),
            labels: Vec::new(),
            of: bars.len(),
            full: self.section.meter.bar(),
            first: self.section.number_of(0),
            begins: Vec::new(),
            as_loud: false,
            percussion: self.is_percussion(),
            rests: bars.iter().all(BarCells::is_rest),
            passages: if self.is_percussion() { folding::patterns(bars) } else { folding::whole(bars) },
        }
    }

    fn is_percussion(&self) -> bool {
        self.rows.iter().all(PartCells::is_percussion)
    }

    fn bar(&self, number: usize) -> BarCells {
        let section = self.section;
        let (start, length) = (section.bar_starts[number], section.bar_length(number));
        let end = start + length;
        let here = |time: Length| (time >= start && time < end).then(|| time - start);
        let cuts: Vec<Length> = self.rows.iter().flat_map(|row| row.cuts(start, end)).collect();
        let beats = count::beats(section.meter, length, &cuts);
        let times: Vec<Length> = beats.iter().flat_map(|beat| &beat.starts).map(|cell| start + *cell).collect();
        let ends: Vec<Length> = times.iter().skip(1).copied().chain([end]).collect();
        let row = |row: &PartCells| times.iter().zip(&ends).map(|(from, to)| row.cell(*from, *to)).collect();
        let chord = |chord: Option<crate::music::Chord>| chord.map_or("N.C.".to_owned(), |chord| chord.to_string());
        let chords = section.chords.iter().filter(|_| !self.is_percussion());
        BarCells {
            number,
            start,
            length,
            beats,
            rows: self.rows.iter().map(row).collect(),
            chords: chords.filter_map(|at| Some((here(at.start)?, chord(at.chord)))).collect(),
            words: section.words.iter().find(|words| words.bar as usize == number).map(|words| words.text.clone()),
            dynamics: self.dynamics.iter().filter_map(|at| Some((here(at.start)?, dynamic(at.change)))).collect(),
        }
    }
}

/// With which bar of the tune each section's bar 1 is played, each time. Bars count from 1, a pickup that opens the tune is bar 0.
fn begins(tune: &Tune) -> Vec<Vec<usize>> {
    let pickup = |section: usize| usize::from(tune.sections[section].has_pickup());
    let opens = tune.form.first().map_or(0, |step| pickup(step.section));
    let mut begins = vec![Vec::new(); tune.sections.len()];
    let mut before = 0;
    for step in &tune.form {
        for _ in 0..step.times {
            begins[step.section].push(before + 1 + pickup(step.section) - opens);
            before += tune.sections[step.section].bars();
        }
    }
    begins
}

/// The dynamics of a section, without marks that say again what holds already.
fn changes(section: &Section) -> Vec<&DynamicAt> {
    let mut holds = None;
    let mut changes = Vec::new();
    for at in &section.dynamics {
        if holds != Some(at.change) {
            changes.push(at);
        }
        holds = Some(at.change);
    }
    changes
}

/// Whether a section opens with a mark though whatever is played before it ends as loud, each time.
fn goes_on_as_loud(tune: &Tune, section: usize) -> bool {
    let opens = tune.sections[section].dynamics.first().filter(|at| at.start.is_zero()).map(|at| at.change);
    let mut before = [None].into_iter().chain(tune.form.iter().map(|step| Some(step.section))).zip(&tune.form);
    let ends = |section: usize| tune.sections[section].dynamics.last().map(|at| at.change);
    let own = ends(section);
    opens.is_some_and(|opens| {
        before.all(|(before, step)| {
            let as_loud = before.is_some_and(|before| ends(before) == Some(opens));
            step.section != section || as_loud && (step.times == 1 || own == Some(opens))
        })
    })
}

fn dynamic(change: DynamicChange) -> String {
    match change {
        DynamicChange::Mark(dynamic) => dynamic.word().to_owned(),
        DynamicChange::Growing => "getting louder".to_owned(),
        DynamicChange::Falling => "getting softer".to_owned(),
    }
}

/// Every note that parts ask for, rising.
pub fn notes(tune: &Tune, parts: &[usize]) -> Vec<Pitch> {
    let rows = tune.sections.iter().flat_map(|section| parts.iter().filter_map(|part| section.rows[*part].as_ref()));
    let events = rows.flat_map(|row| &row.events);
    let mut notes: Vec<Pitch> = events
        .flat_map(|event| match &event.struck {
            Struck::Notes(notes) => notes.iter().map(|note| note.pitch).collect(),
            Struck::Mark(_) => Vec::new(),
        })
        .collect();
    notes.sort_unstable();
    notes.dedup();
    notes
}

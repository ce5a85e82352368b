//! A part as rows of cells under the count: what stands in every cell, section by section, before any of it is drawn.

use super::count::{self, Beat};
use super::folding;
use crate::music::{Length, Pitch};
use crate::notation::tree::{Mark, Stick};
use crate::pan::{NoteSet, Pan};
use crate::tune::Tune;
use crate::tune::model::{DynamicChange, Event, Player, Row, Section, Struck};

/// A section of a part.
#[derive(Clone, Debug, PartialEq)]
pub struct SectionRows {
    /// Its number in the tune.
    pub section: usize,
    /// Its name.
    pub name: String,
    /// What differs in it from the header of the tune: key, meter, tempo.
    pub facts: Vec<String>,
    /// Its bars: what is played again and again stands there once.
    pub passages: Vec<Passage>,
    /// How many bars the section has.
    pub of: usize,
    /// Whether the part has nothing to play in it.
    pub rests: bool,
}

/// Bars of a section, and how often they are played in a row there.
#[derive(Clone, Debug, PartialEq)]
pub struct Passage {
    /// The bars; at least one.
    pub bars: Vec<BarCells>,
    /// How often; 1 mostly.
    pub times: usize,
}

/// A bar.
#[derive(Clone, Debug, PartialEq)]
pub struct BarCells {
    /// Its number in the section, from 0.
    pub number: usize,
    /// When it begins, from the start of the section.
    pub start: Length,
    /// How long it is.
    pub length: Length,
    /// Its beats with their count.
    pub beats: Vec<Beat>,
    /// Its cells, in order: as many as the beats have counts.
    pub cells: Vec<Cell>,
    /// Chord names, each where it begins, from the start of the bar; `N.C.` where there is no chord any more.
    pub chords: Vec<(Length, String)>,
    /// The cue or the words of the bar.
    pub words: Option<String>,
    /// Dynamics, each where it begins, from the start of the bar.
    pub dynamics: Vec<(Length, String)>,
}

/// A cell.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// Nothing sounds.
    Rest,
    /// A stroke.
    Struck {
        /// What is struck: note names from the lowest up, or the letter of a percussion stroke.
        names: Vec<Name>,
        /// Whether it is accented.
        accent: bool,
        /// Whether it is damped.
        damped: bool,
        /// Whether it is rolled.
        rolled: bool,
        /// Whether it goes on in the next cell.
        on: bool,
    },
    /// The stroke before goes on.
    Held {
        /// Whether it is rolled.
        rolled: bool,
        /// Whether it goes on in the next cell.
        on: bool,
    },
}

/// A name in a cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Name {
    /// Note letter with sharp or flat, or the letter of a stroke.
    pub text: String,
    /// The octave; empty for percussion.
    pub octave: String,
    /// The MIDI key; `None` for percussion.
    pub key: Option<u8>,
    /// Whether the pan has it.
    pub there: bool,
    /// The stick that strikes it, if that is shown.
    pub stick: Option<Stick>,
}

/// The rows of a part, each section once, in the order in which the form first plays them; sections that the form leaves
/// out are left out.
///
/// - `pan`: the pan that plays the part, whose own names the notes get; `None`: they get their usual names.
/// - `sticks`: the stick of the first note of each stroke, by section and stroke; left out, those that the tune writes.
pub fn rows(tune: &Tune, part: usize, pan: Option<&Pan>, sticks: Option<&Sticks>) -> Vec<SectionRows> {
    let mut seen = vec![false; tune.sections.len()];
    let first = tune.form.iter().filter(|step| !std::mem::replace(&mut seen[step.section], true));
    first.map(|step| Writer::new(tune, part, pan, step.section, sticks).rows()).collect()
}

/// For each section the sticks of a part's strokes there.
pub type Sticks = [Vec<Option<Stick>>];

struct Writer<'a> {
    tune: &'a Tune,
    part: usize,
    pan: Option<&'a Pan>,
    has: Option<NoteSet>,
    number: usize,
    section: &'a Section,
    row: Option<&'a Row>,
    sticks: Option<&'a Sticks>,
}

impl<'a> Writer<'a> {
    fn new(tune: &'a Tune, part: usize, pan: Option<&'a Pan>, number: usize, sticks: Option<&'a Sticks>) -> Self {
        let section = &tune.sections[number];
        let row = section.rows[part].as_ref();
        Writer { tune, part, pan, has: pan.map(Pan::note_set), number, section, row, sticks }
    }

    fn rows(&self) -> SectionRows {
        let section = self.section;
        let bars: Vec<BarCells> = (0..section.bars()).map(|bar| self.bar(bar)).collect();
        let rests = bars.iter().all(|bar| bar.cells.iter().all(|cell| *cell == Cell::Rest));
        let percussion = matches!(self.tune.parts[self.part].player, Player::Percussion { .. });
        SectionRows {
            section: self.number,
            name: section.name.clone(),
            facts: self.facts(),
            of: bars.len(),
            passages: if percussion { folding::patterns(bars) } else { folding::whole(bars) },
            rests,
        }
    }

    fn facts(&self) -> Vec<String> {
        let (section, tune) = (self.section, self.tune);
        let mut facts = Vec::new();
        if section.key != tune.key {
            facts.push(format!("key {}", section.key));
        }
        if section.meter != tune.meter {
            facts.push(section.meter.to_string());
        }
        if section.tempo != tune.tempo {
            facts.push(format!("tempo {}", section.tempo));
        }
        facts
    }

    fn bar(&self, number: usize) -> BarCells {
        let section = self.section;
        let (start, length) = (section.bar_starts[number], section.bar_length(number));
        let end = start + length;
        let here = |time: Length| (time >= start && time < end).then(|| time - start);
        let beats = count::beats(section.meter, length, &self.cuts(start, end));
        let times: Vec<Length> = beats.iter().flat_map(|beat| &beat.starts).map(|cell| start + *cell).collect();
        let ends = times.iter().skip(1).copied().chain([end]);
        let cells = times.iter().zip(ends).map(|(from, to)| self.cell(*from, to)).collect();
        let chord = |chord: Option<crate::music::Chord>| chord.map_or("N.C.".to_owned(), |chord| chord.to_string());
        let percussion = matches!(self.tune.parts[self.part].player, Player::Percussion { .. });
        let chords = section.chords.iter().filter(|_| !percussion);
        BarCells {
            number,
            start,
            length,
            beats,
            cells,
            chords: chords.filter_map(|at| Some((here(at.start)?, chord(at.chord)))).collect(),
            words: section.words.iter().find(|words| words.bar as usize == number).map(|words| words.text.clone()),
            dynamics: section.dynamics.iter().filter_map(|at| Some((here(at.start)?, dynamic(at.change)))).collect(),
        }
    }

    /// Where cells have to begin between two times, from the first: strokes, and ends of what sounds.
    fn cuts(&self, start: Length, end: Length) -> Vec<Length> {
        let Some(row) = self.row else { return Vec::new() };
        let times = row.events.iter().flat_map(|event| [event.start, event.start + event.length]);
        let times = times.chain([row.carry.length]);
        times.filter(|time| *time > start && *time < end).map(|time| time - start).collect()
    }

    /// The cell from one time to another.
    fn cell(&self, from: Length, to: Length) -> Cell {
        let Some(row) = self.row else { return Cell::Rest };
        let after = row.events.partition_point(|event| event.start < to);
        let sounding = row.events[..after].last().filter(|event| event.start + event.length > from);
        match sounding {
            Some(event) if event.start >= from => self.struck(event, to),
            Some(event) => match event.struck {
                // Percussion rings as it likes; only a roll goes on.
                Struck::Mark(_) if !event.rolled => Cell::Rest,
                _ => Cell::Held { rolled: self.is_rolled(event), on: event.start + event.length > to },
            },
            None if row.carry.length > from => Cell::Held { rolled: row.carry.rolled, on: row.carry.length > to },
            None => Cell::Rest,
        }
    }

    fn struck(&self, event: &Event, to: Length) -> Cell {
        let goes_on = event.start + event.length > to && (event.rolled || !matches!(event.struck, Struck::Mark(_)));
        let names = match &event.struck {
            Struck::Notes(notes) => {
                let first = self.stick(event);
                let sticks = [first, first.filter(|_| notes.len() == 2).map(Stick::other)];
                let sticks = sticks.into_iter().chain(std::iter::repeat(None));
                let mut notes: Vec<(Pitch, Option<Stick>)> = notes.iter().map(|note| note.pitch).zip(sticks).collect();
                notes.sort_unstable();
                notes.into_iter().map(|(pitch, stick)| Name { stick, ..self.name(pitch) }).collect()
            }
            Struck::Mark(mark) => vec![Name { stick: self.stick(event), ..letter(*mark) }],
        };
        let rolled = self.is_rolled(event);
        Cell::Struck { names, accent: event.accent, damped: event.damped, rolled, on: goes_on }
    }

    /// The stick of a stroke's first note, if that is shown.
    fn stick(&self, event: &Event) -> Option<Stick> {
        let row = self.row?;
        let number = row.events.partition_point(|other| other.start < event.start);
        let shown = self.sticks.and_then(|sticks| *sticks.get(self.number)?.get(number)?);
        event.stick.or(shown)
    }

    fn is_rolled(&self, event: &Event) -> bool {
        event.rolled || self.tune.rolls(self.part, event.length, self.section.meter)
    }

    fn name(&self, pitch: Pitch) -> Name {
        let own = self.pan.and_then(|pan| pan.note(pitch)).map(|(_, note)| note.name);
        let name = own.unwrap_or(pitch.name());
        let there = self.has.is_none_or(|has| has.has(pitch));
        Name {
            text: name.tone.to_string(),
            octave: name.octave.to_string(),
            key: Some(pitch.key()),
            there,
            stick: None,
        }
    }
}

fn letter(mark: Mark) -> Name {
    Name { text: mark.to_char().to_string(), octave: String::new(), key: None, there: true, stick: None }
}

fn dynamic(change: DynamicChange) -> String {
    match change {
        DynamicChange::Mark(dynamic) => dynamic.word().to_owned(),
        DynamicChange::Growing => "growing".to_owned(),
        DynamicChange::Falling => "falling".to_owned(),
    }
}

/// The form in words: `intro, verse twice, chorus`.
pub fn form(tune: &Tune) -> String {
    let step = |step: &crate::tune::model::FormStep| {
        let name = &tune.sections[step.section].name;
        if step.times == 1 { name.clone() } else { format!("{name} {}", times(step.times as usize)) }
    };
    tune.form.iter().map(step).collect::<Vec<_>>().join(" - ")
}

/// `twice`, `3 times`.
pub fn times(n: usize) -> String {
    match n {
        1 => "once".to_owned(),
        2 => "twice".to_owned(),
        n => format!("{n} times"),
    }
}

/// Every note that a part asks for, rising.
pub fn notes(tune: &Tune, part: usize) -> Vec<Pitch> {
    let rows = tune.sections.iter().filter_map(|section| section.rows[part].as_ref());
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

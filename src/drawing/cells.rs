//! What a part has in the cells of a section, from one time to another.

use super::bar_cells::{Cell, Name};
use crate::hands::line::RowSticks;
use crate::music::{Length, Pitch};
use crate::notation::tree::{Mark, Stick};
use crate::pan::{NoteSet, Pan};
use crate::tune::Tune;
use crate::tune::model::{Event, Player, Row, Section, Struck};

/// For each section the sticks of a part's strokes there.
pub type Sticks = [RowSticks];

/// A part in a section.
pub struct PartCells<'a> {
    tune: &'a Tune,
    part: usize,
    pan: Option<&'a Pan>,
    has: Option<NoteSet>,
    section: &'a Section,
    row: Option<&'a Row>,
    sticks: Option<&'a RowSticks>,
}

impl<'a> PartCells<'a> {
    /// A part in the section of a number.
    ///
    /// - `pan`: the pan that plays it, whose own names the notes get; `None`: they get their usual names.
    /// - `sticks`: the sticks that are shown besides those that the tune writes.
    pub fn new(
        tune: &'a Tune,
        part: usize,
        number: usize,
        pan: Option<&'a Pan>,
        sticks: Option<&'a Sticks>,
    ) -> PartCells<'a> {
        let section = &tune.sections[number];
        let row = section.rows[part].as_ref();
        let sticks = sticks.and_then(|sticks| sticks.get(number));
        PartCells { tune, part, pan, has: pan.map(Pan::note_set), section, row, sticks }
    }

    /// Whether it is played on percussion.
    pub fn is_percussion(&self) -> bool {
        matches!(self.tune.parts[self.part].player, Player::Percussion { .. })
    }

    /// Where cells have to begin between two times, from the first: strokes, and ends of what sounds.
    pub fn cuts(&self, start: Length, end: Length) -> Vec<Length> {
        let Some(row) = self.row else { return Vec::new() };
        let times = row.events.iter().flat_map(|event| [event.start, event.start + event.length]);
        let times = times.chain([row.carry.length]);
        times.filter(|time| *time > start && *time < end).map(|time| time - start).collect()
    }

    /// The cell from one time to another.
    pub fn cell(&self, from: Length, to: Length) -> Cell {
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
        let shown = self.sticks.and_then(|sticks| *sticks.get(number)?);
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

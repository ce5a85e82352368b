//! Which notes a part strikes, and where they are written.

use std::collections::BTreeMap;

use crate::music::{Key, NoteName, Pitch};
use crate::text::{Finding, Span};
use crate::tune::model::{Event, Struck};
use crate::tune::{Section, Tune};

/// Where something was found: its span, and the numbers of the section and the bar.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Found {
    /// Where it is written.
    pub span: Span,
    /// The number of the section.
    pub section: usize,
    /// The number of the bar in the section, from 0.
    pub bar: u32,
}

/// Where something is written: the first place and all others, in the order of the text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Places {
    /// Every place once, in the order of the text.
    pub spans: Vec<Span>,
    /// The number of the section and of the bar of the first.
    pub section: usize,
    /// The number of the bar in the section, from 0.
    pub bar: u32,
}

impl Places {
    /// The places of something, from all its spans and the section and bar of each.
    pub fn of(found: &[Found]) -> Option<Places> {
        let mut all = found.to_vec();
        all.sort_unstable();
        all.dedup_by_key(|found| found.span);
        let Found { section, bar, .. } = *all.first()?;
        Some(Places { spans: all.into_iter().map(|found| found.span).collect(), section, bar })
    }

    /// `bar 3 of section verse`, for the first place.
    pub fn name(&self, tune: &Tune) -> String {
        let section = &tune.sections[self.section];
        format!("bar {} of `{}`", section.number_of(self.bar as usize), section.name)
    }

    /// A finding that points at the first place, with its name beside it, and at all others.
    pub fn mark(&self, tune: &Tune, finding: Finding) -> Finding {
        let finding = finding.at(&tune.source, self.spans[0]).label(self.name(tune));
        finding.more(&tune.source, &self.spans[1..])
    }
}

/// The name of a note as it is written at a place, without accent and sticks, or as the key spells it if it is written nowhere.
pub fn named(tune: &Tune, span: Span, pitch: Pitch, key: Key) -> NoteName {
    let written = tune.source.slice(span).trim_end_matches(['>', '\'', 'L', 'R']);
    let written = written.parse::<NoteName>().ok().filter(|name| name.pitch() == Some(pitch));
    written.unwrap_or_else(|| key.spell(pitch))
}

/// Every stroke that a part has in any section, with the section's number.
pub fn events(tune: &Tune, part: usize) -> impl Iterator<Item = (usize, &Section, &Event)> {
    tune.sections.iter().enumerate().flat_map(move |(number, section)| {
        section.rows[part].iter().flat_map(move |row| row.events.iter().map(move |event| (number, section, event)))
    })
}

/// The places of each note that a part strikes, by pitch.
pub fn notes(tune: &Tune, part: usize) -> BTreeMap<Pitch, Places> {
    let mut found: BTreeMap<Pitch, Vec<Found>> = BTreeMap::new();
    for (number, _, event) in events(tune, part) {
        if let Struck::Notes(notes) = &event.struck {
            for note in notes {
                found.entry(note.pitch).or_default().push(Found { span: note.span, section: number, bar: event.bar });
            }
        }
    }
    found.into_iter().filter_map(|(pitch, found)| Some((pitch, Places::of(&found)?))).collect()
}

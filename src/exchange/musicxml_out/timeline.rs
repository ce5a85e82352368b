//! The form on paper: the sections in the order in which they are written, and each part's notes through them.
//!
//! Time is straight here: a swing is written beside the notes, as in any score.

use crate::music::{Key, Length, Meter, Moment};
use crate::tune::Tune;
use crate::tune::model::{Event, Section, Struck};

/// A section where it is written.
#[derive(Clone, Copy, Debug)]
pub struct Stretch<'a> {
    /// The section.
    pub section: &'a Section,
    /// When it begins on paper.
    pub at: Moment,
    /// How often it is played here; if more than once, between repeat signs.
    pub times: u32,
}

/// The form as it is written.
///
/// A section that is played several times in a row is written once between repeat signs, if it reads the same every time.
/// With a note that sounds on into it or out of it, it does not, and it is written out.
pub fn folded<'a>(tune: &'a Tune, parts: &[usize]) -> Vec<Stretch<'a>> {
    let mut steps = tune.form.iter().peekable();
    let mut stretches = Vec::new();
    while let Some(step) = steps.next() {
        let section = &tune.sections[step.section];
        let next = steps.peek().map(|next| &tune.sections[next.section]);
        let alike = !goes_on_into(section, parts) && next.is_none_or(|next| !goes_on_into(next, parts));
        if alike && section.bars() > 0 {
            stretches.push((section, step.times));
        } else {
            stretches.extend((0..step.times).map(|_| (section, 1)));
        }
    }
    on_paper(stretches)
}

/// The form played out, without repeats.
pub fn played_out(tune: &Tune) -> Vec<Stretch<'_>> {
    on_paper(tune.passes().map(|(number, ..)| (&tune.sections[number], 1)).collect())
}

fn on_paper(stretches: Vec<(&Section, u32)>) -> Vec<Stretch<'_>> {
    let mut at = Moment::START;
    let place = |(section, times): (_, u32)| {
        let section: &Section = section;
        let stretch = Stretch { section, at, times };
        at = at + section.length;
        stretch
    };
    stretches.into_iter().map(place).collect()
}

fn goes_on_into(section: &Section, parts: &[usize]) -> bool {
    parts.iter().filter_map(|part| section.rows[*part].as_ref()).any(|row| !row.carry.length.is_zero())
}

/// A note from its stroke to its end, over bar lines and sections.
#[derive(Clone, Copy, Debug)]
pub struct Held<'a> {
    /// The stroke.
    pub event: &'a Event,
    /// When it is struck.
    pub at: Moment,
    /// When it ends.
    pub end: Moment,
    /// Whether it is rolled: because a `~` asks for it, or because it is long.
    pub rolled: bool,
    /// The key in which it is struck, which spells it to its end.
    pub key: Key,
    meter: Meter,
}

impl Held<'_> {
    /// How long it is written.
    pub fn length(&self) -> Length {
        self.end - self.at
    }
}

/// A part's notes, with what goes on from section to section put together.
pub fn notes<'a>(tune: &'a Tune, part: usize, stretches: &[Stretch<'a>]) -> Vec<Held<'a>> {
    let mut notes: Vec<Held> = Vec::new();
    for stretch in stretches {
        let Stretch { section, at, .. } = *stretch;
        let Some(row) = section.rows[part].as_ref() else { continue };
        if let Some(last) = notes.last_mut().filter(|last| !row.carry.length.is_zero() && last.end == at) {
            last.end = at + row.carry.length;
            last.rolled |= row.carry.rolled;
        }
        notes.extend(row.events.iter().map(|event| Held {
            event,
            at: at + event.start,
            end: at + event.start + event.length,
            rolled: event.rolled,
            key: section.key,
            meter: section.meter,
        }));
    }
    for note in &mut notes {
        let pan = !note.event.damped && matches!(note.event.struck, Struck::Notes(_));
        note.rolled |= pan && tune.rolls(part, note.length(), note.meter);
    }
    notes
}

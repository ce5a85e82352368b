//! The form laid out in time: each section as often as it is played.

use crate::music::{Length, Moment};
use crate::tune::swing::Swing;
use crate::tune::{Section, Tune};

/// A section played once.
pub struct Pass<'a> {
    /// The section.
    pub section: &'a Section,
    /// The section's number in the tune.
    pub number: usize,
    /// Which time in a row it is played, from 1.
    pub pass: u32,
    /// How often it is played in a row.
    pub of: u32,
    /// When it begins, counted from the start of the performance.
    pub at: Moment,
    /// The number of its first bar in the performance.
    pub first_bar: u32,
    swing: Option<Swing>,
}

impl Pass<'_> {
    /// The moment of a time of the section.
    pub fn moment(&self, time: Length, straight: bool) -> Moment {
        let time = match &self.swing {
            Some(swing) if !straight => swing.bend(time),
            _ => time,
        };
        self.at + time
    }
}

/// The sections as played, or `only` one of them once; after the time that a count-in takes.
pub fn passes<'a>(tune: &'a Tune, only: Option<usize>, counted_in: bool) -> Vec<Pass<'a>> {
    let all: Vec<(usize, u32, u32)> = match only {
        Some(section) => vec![(section, 1, 1)],
        None => tune.passes().collect(),
    };
    let opening = all.first().map(|(section, ..)| &tune.sections[*section]);
    let count_in = opening.filter(|_| counted_in).map_or(Length::ZERO, count_in_length);
    let (mut at, mut first_bar) = (Moment::after(count_in), 0);
    let mut passes = Vec::with_capacity(all.len());
    for (number, pass, of) in all {
        let section = &tune.sections[number];
        let first = if section.bars() == 0 { section.meter.bar() } else { section.bar_length(0) };
        let swing = Swing::new(tune.swing, section.meter, first);
        passes.push(Pass { section, number, pass, of, at, first_bar, swing });
        at = at + section.length;
        first_bar += section.bars() as u32;
    }
    passes
}

/// A bar of beats; before a pickup also the beats that the pickup leaves of its own bar, as a leader counts.
fn count_in_length(opening: &Section) -> Length {
    let bar = opening.meter.bar();
    let first = if opening.bars() == 0 { bar } else { opening.bar_length(0) };
    bar + (bar - first)
}

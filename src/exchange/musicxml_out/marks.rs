//! The marks over and under the notes of a score: chords, rehearsal marks, tempos, words, dynamics, each in its measure.

use super::measures::Measure;
use super::timeline::Stretch;
use crate::music::force::Dynamic;
use crate::music::{Chord, Length, Meter, Tempo};
use crate::tune::Tune;
use crate::tune::model::{DynamicChange, Section};

/// A mark at a moment of a measure.
#[derive(Clone, Copy, Debug)]
pub struct Placed<'a> {
    /// When, counted from the measure's start; the measure's length is its end.
    pub at: Length,
    /// What.
    pub mark: MarkOut<'a>,
}

/// The mark. At the same moment marks come in this order.
#[derive(Clone, Copy, Debug)]
pub enum MarkOut<'a> {
    /// A wedge ends.
    WedgeEnds,
    /// A section begins.
    Section(&'a str),
    /// A tempo, with the meter that has its beat.
    Tempo(Tempo, Meter),
    /// A swing: the first part of the beat to the second.
    Swing((u8, u8), Meter),
    /// A cue or lyric.
    Words(&'a str),
    /// How often the music between repeat signs is played, when that is more than twice.
    Times(u32),
    /// A chord; `None`: none from here on.
    Chord(Option<Chord>),
    /// How loud.
    Dynamic(Dynamic),
    /// A wedge begins; whether it gets louder.
    Wedge(bool),
}

impl MarkOut<'_> {
    /// Whether it belongs to every part and not only to the top of the score.
    pub fn for_every_part(self) -> bool {
        matches!(self, MarkOut::WedgeEnds | MarkOut::Dynamic(_) | MarkOut::Wedge(_))
    }

    fn order(self) -> u8 {
        match self {
            MarkOut::WedgeEnds => 0,
            MarkOut::Section(_) => 1,
            MarkOut::Tempo(..) => 2,
            MarkOut::Swing(..) => 3,
            MarkOut::Words(_) => 4,
            MarkOut::Times(_) => 5,
            MarkOut::Chord(_) => 6,
            MarkOut::Dynamic(_) => 7,
            MarkOut::Wedge(_) => 8,
        }
    }
}

/// The marks of every measure, rising in time.
pub fn marks<'a>(tune: &Tune, stretches: &[Stretch<'a>], measures: &[Measure]) -> Vec<Vec<Placed<'a>>> {
    let mut page = Page { marks: vec![Vec::new(); measures.len()], chord: false, wedge: false };
    let mut tempo: Option<(Tempo, Length)> = None;
    let mut first = 0;
    for (number, stretch) in stretches.iter().enumerate() {
        let bars = stretch.section.bars();
        if bars == 0 {
            continue;
        }
        let place = Place { stretch, first };
        let section = stretch.section;
        page.put(&place, Length::ZERO, MarkOut::Section(&section.name));
        let now = (section.tempo, section.meter.beat());
        if tempo.replace(now) != Some(now) {
            page.put(&place, Length::ZERO, MarkOut::Tempo(section.tempo, section.meter));
        }
        if first == 0 && tune.swing.0 != tune.swing.1 {
            page.put(&place, Length::ZERO, MarkOut::Swing(tune.swing, section.meter));
        }
        for words in &section.words {
            page.put(&place, section.bar_starts[words.bar as usize], MarkOut::Words(&words.text));
        }
        if stretch.times > 2 {
            page.put(&place, section.bar_starts[bars - 1], MarkOut::Times(stretch.times));
        }
        page.chords(&place);
        let next = stretches[number + 1..].iter().find(|next| next.section.bars() > 0);
        let repeats = stretch.times > 1 || next.is_none_or(|next| next.times > 1);
        page.dynamics(&place, repeats);
        first += bars;
    }
    for marks in &mut page.marks {
        marks.sort_by_key(|placed| (placed.at, placed.mark.order()));
    }
    page.marks
}

/// Where a section is written: its stretch, and its first measure.
struct Place<'a, 'b> {
    stretch: &'b Stretch<'a>,
    first: usize,
}

impl<'a> Place<'a, '_> {
    fn section(&self) -> &'a Section {
        self.stretch.section
    }
}

/// The marks so far.
struct Page<'a> {
    marks: Vec<Vec<Placed<'a>>>,
    /// Whether a chord sounds, and whether a wedge is open.
    chord: bool,
    wedge: bool,
}

impl<'a> Page<'a> {
    /// Puts a mark at a time of the section; the section's end is the end of its last measure.
    fn put(&mut self, place: &Place<'a, '_>, time: Length, mark: MarkOut<'a>) {
        let starts = &place.section().bar_starts;
        let bar = if time >= place.section().length {
            starts.len() - 1
        } else {
            starts.partition_point(|start| *start <= time).max(1) - 1
        };
        self.marks[place.first + bar].push(Placed { at: time - starts[bar], mark });
    }

    /// A section that begins without a chord ends the one that sounds.
    fn chords(&mut self, place: &Place<'a, '_>) {
        let chords = &place.section().chords;
        let again = place.stretch.times > 1 && chords.last().is_some_and(|last| last.chord.is_some());
        if (self.chord || again) && chords.first().is_none_or(|first| !first.start.is_zero()) {
            self.put(place, Length::ZERO, MarkOut::Chord(None));
            self.chord = false;
        }
        for at in chords {
            self.put(place, at.start, MarkOut::Chord(at.chord));
            self.chord = at.chord.is_some();
        }
    }

    /// A wedge lasts until the next mark. Over a repeat sign it would lead to two places at once, so it ends there.
    fn dynamics(&mut self, place: &Place<'a, '_>, repeats: bool) {
        for at in &place.section().dynamics {
            self.end_wedge(place, at.start);
            let mark = match at.change {
                DynamicChange::Mark(dynamic) => MarkOut::Dynamic(dynamic),
                DynamicChange::Growing => MarkOut::Wedge(true),
                DynamicChange::Falling => MarkOut::Wedge(false),
            };
            self.wedge = matches!(mark, MarkOut::Wedge(_));
            self.put(place, at.start, mark);
        }
        if repeats {
            self.end_wedge(place, place.section().length);
        }
    }

    fn end_wedge(&mut self, place: &Place<'a, '_>, time: Length) {
        if self.wedge {
            self.put(place, time, MarkOut::WedgeEnds);
            self.wedge = false;
        }
    }
}

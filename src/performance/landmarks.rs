//! What lies along a performance beside its strokes: bars, sections, meters, keys, chords, words.

use super::pass::Pass;
use super::stroke::{BarAt, SectionAt};
use crate::music::{Key, Meter, Moment};
use crate::tune::Tune;

/// The landmarks of a performance.
pub struct Landmarks {
    /// Meters, rising in time; the first at the start.
    pub meters: Vec<(Moment, Meter)>,
    /// Keys, rising in time; the first at the start.
    pub keys: Vec<(Moment, Key)>,
    /// The bars.
    pub bars: Vec<BarAt>,
    /// The sections as played.
    pub sections: Vec<SectionAt>,
    /// Chord names; an empty one is no chord.
    pub chords: Vec<(Moment, String)>,
    /// Cues and lyrics.
    pub words: Vec<(Moment, String)>,
}

impl Landmarks {
    /// The landmarks of what is played.
    pub fn new(tune: &Tune, passes: &[Pass]) -> Self {
        let opening = passes.first().map(|pass| pass.section);
        let mut marks = Landmarks {
            meters: vec![(Moment::START, opening.map_or(tune.meter, |section| section.meter))],
            keys: vec![(Moment::START, opening.map_or(tune.key, |section| section.key))],
            bars: Vec::new(),
            sections: Vec::new(),
            chords: Vec::new(),
            words: Vec::new(),
        };
        for pass in passes {
            marks.add(pass);
        }
        marks
    }

    fn add(&mut self, pass: &Pass) {
        let section = pass.section;
        if self.meters.last().is_some_and(|(_, last)| *last != section.meter) {
            self.meters.push((pass.at, section.meter));
        }
        if self.keys.last().is_some_and(|(_, last)| *last != section.key) {
            self.keys.push((pass.at, section.key));
        }
        self.sections.push(SectionAt {
            at: pass.at,
            section: pass.number,
            name: section.name.clone(),
            pass: pass.pass,
            of: pass.of,
        });
        self.bars.extend((0u32..).zip(&section.bar_starts).map(|(bar, start)| BarAt {
            at: pass.at + *start,
            length: section.bar_length(bar as usize),
            section: pass.number as u32,
            bar,
        }));
        self.chords(pass);
        let bar = |bar: u32| pass.at + section.bar_starts[bar as usize];
        self.words.extend(section.words.iter().map(|text| (bar(text.bar), text.text.clone())));
    }

    /// A section that begins without a chord ends the one that sounds.
    fn chords(&mut self, pass: &Pass) {
        let chords = &pass.section.chords;
        let silent = chords.first().is_none_or(|chord| !chord.start.is_zero());
        if silent && self.chords.last().is_some_and(|(_, name)| !name.is_empty()) {
            self.chords.push((pass.at, String::new()));
        }
        let name = |chord: Option<crate::music::Chord>| chord.map_or_else(String::new, |chord| chord.to_string());
        self.chords.extend(chords.iter().map(|chord| (pass.at + chord.start, name(chord.chord))));
    }
}

//! Music from elsewhere in a form of its own, between the file that it came in and the tune that it becomes.
//!
//! A score is a list of written measures, an order in which they are played, and parts whose notes lie in the measures. A
//! note that goes on over a bar line is cut there. The notation can say whatever a score can say, except what is reported in
//! [`Lost`](super::lost::Lost).

use num_rational::Ratio;

use crate::music::force::Dynamic;
use crate::music::{Chord, Key, Length, Meter, Pitch};
use crate::notation::tree::{Mark, Stick};
use crate::pan::{Instrument, PanKind};

/// Music from elsewhere.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Score {
    /// Its title, if the file gives one.
    pub title: Option<String>,
    /// Who made it, if the file says.
    pub by: Option<String>,
    /// The first part of a beat to the second, if the music is swung.
    pub swing: Option<(u8, u8)>,
    /// Whether panfold wrote the file. Then what it says is taken to the letter: names as they are, words as words, how long strokes of
    /// percussion are written, more notes at once than two sticks strike, notes that go on from nothing. Two things do not come back:
    /// what is straight in a swung tune only because its cells are thirds, and the one name of a section of which one playing is rolled
    /// into the next and another is not.
    pub ours: bool,
    /// The measures as written.
    pub measures: Vec<Measure>,
    /// The numbers of the measures in the order in which they are played, repeats played out.
    pub order: Vec<usize>,
    /// The parts, each of which has one stroke at a time.
    pub parts: Vec<Part>,
}

/// A written measure and what holds for all parts in it.
#[derive(Clone, Debug, PartialEq)]
pub struct Measure {
    /// How long it is; shorter than its meter says in a pickup.
    pub length: Length,
    /// The current meter.
    pub meter: Meter,
    /// The current key.
    pub key: Key,
    /// Quarter notes a minute from here on, or as before; `None` before the first that is given.
    pub tempo: Option<Ratio<i64>>,
    /// The name of the section that begins here: a rehearsal mark or a marker.
    pub mark: Option<String>,
    /// The chords that begin here, rising in time from the measure's start; `None` is no chord.
    pub chords: Vec<(Length, Option<Chord>)>,
    /// Lyrics and cues.
    pub words: String,
    /// Dynamic marks, rising in time from the measure's start.
    pub dynamics: Vec<(Length, Loudness)>,
}

/// A dynamic mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Loudness {
    /// From here on this loud.
    Mark(Dynamic),
    /// Getting louder until the next mark.
    Growing,
    /// Getting softer until the next mark.
    Falling,
}

/// A part: one voice with one stroke at a time.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// What the file calls it; may be empty.
    pub name: String,
    /// The number of the part or track of the file that it comes from, from 1.
    pub from: usize,
    /// What it is played on.
    pub on: On,
    /// The kind of pan that the file names, if it names one.
    pub kind: Option<PanKind>,
    /// Its notes, rising by measure and in time; no two overlap.
    pub notes: Vec<Note>,
}

/// What a part is played on, as far as the file says.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum On {
    /// A pan of whatever kind suits.
    Pan,
    /// An instrument of the engine room.
    Percussion(Instrument),
}

/// A stroke, or the share of one that lies in a measure.
#[derive(Clone, Debug, PartialEq)]
pub struct Note {
    /// The number of the measure.
    pub measure: usize,
    /// When it begins, from the measure's start.
    pub start: Length,
    /// How long it lasts in this measure.
    pub length: Length,
    /// What is struck.
    pub struck: Struck,
    /// How.
    pub manner: Manner,
    /// Whether it continues from the measure that is played before this one, if that ends with the same notes; otherwise it is
    /// struck.
    pub tied: bool,
    /// Whether it would continue into the measure that is played next.
    pub open: bool,
}

/// What is struck.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Struck {
    /// Notes of a pan, the highest first; one or two, unless panfold wrote the file.
    Notes(Vec<Pitch>),
    /// A stroke of percussion.
    Mark(Mark),
}

/// How a note is struck.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Manner {
    /// Louder than its neighbours.
    pub accent: bool,
    /// Damped, short.
    pub damped: bool,
    /// Rolled.
    pub rolled: bool,
    /// The stick for the lowest of its notes.
    pub stick: Option<Stick>,
}

impl Measure {
    /// A measure in which nothing is marked.
    pub fn new(length: Length, meter: Meter, key: Key) -> Measure {
        let (chords, dynamics) = (Vec::new(), Vec::new());
        Measure { length, meter, key, tempo: None, mark: None, chords, words: String::new(), dynamics }
    }
}

impl Note {
    /// When it ends, from the measure's start.
    pub fn end(&self) -> Length {
        self.start + self.length
    }
}

impl Part {
    /// The notes of a measure. Cost: a binary search.
    pub fn of_measure(&self, measure: usize) -> &[Note] {
        let from = self.notes.partition_point(|note| note.measure < measure);
        let to = self.notes.partition_point(|note| note.measure <= measure);
        &self.notes[from..to]
    }

    /// All pitches that it strikes, each stroke's.
    pub fn pitches(&self) -> impl Iterator<Item = Pitch> + '_ {
        let struck = self.notes.iter().filter(|note| !note.tied);
        struck
            .flat_map(|note| match &note.struck {
                Struck::Notes(pitches) => pitches.as_slice(),
                Struck::Mark(_) => &[],
            })
            .copied()
    }
}

/// Somebody asked for parts that a score does not have.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoPart {
    /// The names and numbers that fit no part.
    pub missing: Vec<String>,
    /// The parts of the score, by number and name.
    pub known: Vec<String>,
}

impl Score {
    /// Keeps only the parts with these names (as words) and with these numbers in the file; all when both lists are empty.
    ///
    /// # Errors
    /// When there is no part for one of them.
    pub fn pick(&mut self, names: &[String], numbers: &[usize]) -> Result<(), NoPart> {
        if names.is_empty() && numbers.is_empty() {
            return Ok(());
        }
        let wanted: Vec<String> = names.iter().map(|name| crate::exchange::names::word(name)).collect();
        let is_wanted =
            |part: &Part| numbers.contains(&part.from) || wanted.contains(&crate::exchange::names::word(&part.name));
        let words = || self.parts.iter().map(|part| crate::exchange::names::word(&part.name));
        let missing_names = names.iter().zip(&wanted).filter(|(_, word)| !words().any(|own| own == **word));
        let missing_numbers = numbers.iter().filter(|number| !self.parts.iter().any(|part| part.from == **number));
        let missing: Vec<String> = missing_names
            .map(|(name, _)| format!("`{name}`"))
            .chain(missing_numbers.map(|number| format!("number {number}")))
            .collect();
        if !missing.is_empty() {
            let mut known: Vec<String> =
                self.parts.iter().map(|part| format!("{} `{}`", part.from, part.name)).collect();
            known.dedup();
            return Err(NoPart { missing, known });
        }
        self.parts.retain(is_wanted);
        Ok(())
    }

    /// When each written measure begins if all are played in the order written, and when the last ends.
    pub fn starts(&self) -> Vec<Length> {
        let mut at = Length::ZERO;
        let mut starts = vec![at];
        for measure in &self.measures {
            at += measure.length;
            starts.push(at);
        }
        starts
    }
}

/// The number of the measure that a moment lies in, from 1; `starts`: when the measures begin.
pub(crate) fn measure_at(starts: &[Length], at: Length) -> usize {
    starts.partition_point(|start| *start <= at)
}

//! Timed strokes, the tempo map, and the landmarks of a performance.

use num_rational::Ratio;

use crate::music::{Force, Key, Length, Meter, Moment, Pitch, Tempo};
use crate::notation::tree::Mark;
use crate::pan::{Instrument, PanKind};
use crate::text::Span;

/// A tune played out: what is struck when, by whom, how hard.
#[derive(Clone, Debug)]
pub struct Performance {
    /// The tune's title.
    pub title: String,
    /// Who made the tune, if it says.
    pub by: Option<String>,
    /// The voices; [`Stroke::voice`] counts in this list.
    pub voices: Vec<Voice>,
    /// All strokes, sorted by moment, then voice, then pitch or mark.
    pub strokes: Vec<Stroke>,
    /// From musical time to seconds.
    pub tempo: TempoMap,
    /// Meters, rising in time; the first at the start.
    pub meters: Vec<(Moment, Meter)>,
    /// Keys, rising in time; the first at the start.
    pub keys: Vec<(Moment, Key)>,
    /// The bars, rising in time; a count-in's bar is not among them.
    pub bars: Vec<BarAt>,
    /// The sections as played, rising in time.
    pub sections: Vec<SectionAt>,
    /// Chord names as played, rising in time; an empty name is no chord.
    pub chords: Vec<(Moment, String)>,
    /// Cues and lyrics, rising in time.
    pub words: Vec<(Moment, String)>,
    /// When the tune itself begins: the start, or the end of a count-in.
    pub begin: Moment,
    /// When the last bar ends; what is struck may ring on.
    pub end: Moment,
}

/// One voice of a performance: a part of the tune, or the count-in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Voice {
    /// The part's name, or `count-in`.
    pub name: String,
    /// What it sounds on.
    pub player: VoicePlayer,
    /// The part's number in the tune; `None` for the count-in.
    pub part: Option<usize>,
}

/// What a voice sounds on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum VoicePlayer {
    /// A pan.
    Pan {
        /// Its kind.
        kind: PanKind,
        /// Its number in the band; `None` when the band has none for the part, and the kind's layout sounds instead.
        pan: Option<usize>,
    },
    /// An instrument of the engine room.
    Percussion(Instrument),
}

/// One stroke of a stick.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stroke {
    /// When, counted from the start of the performance.
    pub at: Moment,
    /// For how long it is meant to sound: the written length, or for a stroke of a roll the time to the next stroke.
    pub length: Length,
    /// The number of the voice.
    pub voice: u16,
    /// What is struck.
    pub sound: Sound,
    /// How hard.
    pub force: Force,
    /// Whether the player damps it at its end.
    pub damped: bool,
    /// Which stroke of a roll it is, from 0; `None` when it is not rolled.
    pub roll: Option<u16>,
    /// The number of the bar in [`Performance::bars`]; the first bar's for a count-in.
    pub bar: u32,
    /// Where it is written in the tune.
    pub span: Span,
}

/// What a stroke strikes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Sound {
    /// A note of a pan.
    Note(Pitch),
    /// A stroke on percussion.
    Mark(Mark),
}

/// A bar as played.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BarAt {
    /// When it begins.
    pub at: Moment,
    /// How long it is.
    pub length: Length,
    /// The number of the section in the tune.
    pub section: u32,
    /// The number of the bar in the section, from 0.
    pub bar: u32,
}

/// A section as played.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SectionAt {
    /// When it begins.
    pub at: Moment,
    /// Its number in the tune.
    pub section: usize,
    /// Its name.
    pub name: String,
    /// Which time in a row it is played, from 1.
    pub pass: u32,
    /// How often it is played in a row.
    pub of: u32,
}

/// From musical time to seconds: tempos from moments on.
///
/// Each change keeps the exact musical moment and the seconds up to it, so that a moment's seconds come from the nearest
/// change before it and nothing is summed stroke by stroke.
#[derive(Clone, Debug, PartialEq)]
pub struct TempoMap {
    changes: Vec<TempoChange>,
}

/// A tempo from a moment on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TempoChange {
    /// From when on.
    pub at: Moment,
    /// Seconds from the start to this moment.
    pub seconds: f64,
    /// The tempo as people say it: beats a minute.
    pub tempo: Tempo,
    /// Quarter notes a minute, exact.
    pub quarters_a_minute: Ratio<i64>,
}

impl TempoMap {
    /// A map with one tempo in one meter from the start on.
    pub fn new(tempo: Tempo, meter: Meter) -> Self {
        let quarters_a_minute = tempo.quarters_a_minute(meter);
        TempoMap { changes: vec![TempoChange { at: Moment::START, seconds: 0.0, tempo, quarters_a_minute }] }
    }

    /// Sets the tempo from `at` on; `at` must not lie before the last change. The same tempo again changes nothing.
    ///
    /// # Panics
    /// When `at` lies before the last change.
    pub fn change(&mut self, at: Moment, tempo: Tempo, meter: Meter) {
        let last = *self.changes.last().expect("a map has a first tempo");
        assert!(at >= last.at, "tempo changes come in order");
        let quarters_a_minute = tempo.quarters_a_minute(meter);
        if (last.tempo, last.quarters_a_minute) == (tempo, quarters_a_minute) {
            return;
        }
        if at == last.at {
            self.changes.pop();
        }
        let seconds = if at == last.at { last.seconds } else { self.seconds(at) };
        self.changes.push(TempoChange { at, seconds, tempo, quarters_a_minute });
    }

    /// The changes, rising in time; the first at the start.
    pub fn changes(&self) -> &[TempoChange] {
        &self.changes
    }

    /// The tempo of a moment.
    pub fn at(&self, moment: Moment) -> TempoChange {
        let after = self.changes.partition_point(|change| change.at <= moment);
        self.changes[after.max(1) - 1]
    }

    /// Seconds from the start to a moment.
    pub fn seconds(&self, moment: Moment) -> f64 {
        let change = self.at(moment);
        let quarters = (moment - change.at).as_f64();
        let tempo = change.quarters_a_minute;
        change.seconds + quarters * 60.0 * *tempo.denom() as f64 / *tempo.numer() as f64
    }

    /// How many seconds a length lasts from a moment on.
    pub fn lasts(&self, from: Moment, length: Length) -> f64 {
        self.seconds(from + length) - self.seconds(from)
    }
}

impl Performance {
    /// Seconds from the start to the end of the last bar.
    pub fn seconds(&self) -> f64 {
        self.tempo.seconds(self.end)
    }

    /// The number of a voice by its part's name.
    pub fn voice(&self, name: &str) -> Option<usize> {
        self.voices.iter().position(|voice| voice.name == name)
    }
}

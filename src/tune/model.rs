//! The tune as later rooms see it: parts, sections, events in exact time, each with its place in the source.

use std::sync::Arc;

use crate::music::force::Dynamic;
use crate::music::{Chord, Degree, Key, Length, Meter, Pitch, Tempo, Tone};
use crate::notation::tree::{Mark, Stick};
use crate::pan::{Band, BandPlayer, Instrument, PanKind, Piece};
use crate::text::{Source, Span};

/// A tune for a band. `N` is the type of a pan's note: [`Open`] as it is written, a [`Pitch`] once everything is settled.
#[derive(Clone, Debug)]
pub struct Tune<N = Pitch> {
    /// The text that it comes from.
    pub source: Arc<Source>,
    /// The band that plays it.
    pub band: Arc<Band>,
    /// Its title; the file's name when it gives none.
    pub title: String,
    /// Who made it, if it says.
    pub by: Option<String>,
    /// The header's key.
    pub key: Key,
    /// Every key that is written, in the header and in sections, and where.
    pub keys: Vec<(Span, Key)>,
    /// The header's meter.
    pub meter: Meter,
    /// The header's tempo.
    pub tempo: Tempo,
    /// The first part of a beat to the second; `(1, 1)` is straight.
    pub swing: (u8, u8),
    /// The length of the first bar of the section that opens the form, when it is a pickup: whenever that section is played. A count-in
    /// counts a bar and the rest of the pickup's bar.
    pub pickup: Option<Length>,
    /// From which length on notes are rolled without a `~`; `None`: never.
    pub roll: Option<RollFrom>,
    /// The parts in the order of the file.
    pub parts: Vec<Part>,
    /// The sections in the order of the file.
    pub sections: Vec<Section<N>>,
    /// The sections as played; at least one step, unless the tune has no section.
    pub form: Vec<FormStep>,
    /// Everybody in the band, see [`Band::everybody`].
    pub people: Arc<Vec<BandPlayer>>,
    /// Who plays what, by the number of the part; see [`crate::people`].
    pub seats: Vec<Seat>,
}

/// One player at one pan, or at one piece of percussion, with the part that they play. A player has several of them only where
/// they play several pieces of percussion, or parts that never sound together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Seat {
    /// The number of the part.
    pub part: usize,
    /// What it is played on.
    pub piece: Piece,
    /// The number of the player in [`Tune::people`].
    pub player: usize,
}

/// A note as a tune may leave it: its pitch written, or open for the optimisers of `fit` to settle.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Open {
    /// `G4`.
    Pitch(Pitch),
    /// `G`, or a degree of the current chord: the octave is open.
    Tone {
        /// What it is.
        tone: Tone,
        /// The degree, if it is written as one.
        degree: Option<Degree>,
    },
    /// Two notes of the current chord, kept as one note here.
    Strum,
    /// A note of a harmony line.
    Harmony {
        /// The part that it moves with.
        of: usize,
        /// The number of that part's stroke in its row of the same section.
        event: usize,
        /// Above or below it.
        side: Side,
    },
}

impl From<Pitch> for Open {
    fn from(pitch: Pitch) -> Self {
        Open::Pitch(pitch)
    }
}

/// Where a harmony line goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Side {
    /// Below the part that it moves with.
    Under,
    /// Above it.
    Over,
}

/// From how many beats on a note is rolled without a `~`. In beats, since the beat may change with the meter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RollFrom {
    /// Beats of the current meter.
    pub beats: num_rational::Ratio<i64>,
}

/// A part: what one voice plays through the tune.
#[derive(Clone, Debug)]
pub struct Part {
    /// Its name.
    pub name: String,
    /// Where it is declared.
    pub span: Span,
    /// What it is played on, in the tune's own word (`tenor` for a lead), for messages to whoever wrote it.
    pub on: String,
    /// What it is played on.
    pub player: Player,
    /// Who plays it in this tune, if the tune says so itself (`part descant on lead for Blue rim`).
    pub whom: Vec<Whom>,
    /// For a part that one pan has to itself, with rows of its own (`lead for Green rim | … |`): which part it stands for.
    pub version: Option<Version>,
}

/// Whom a tune names for a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Whom {
    /// Whoever plays this pan or percussion.
    Piece(Piece),
    /// The player of this number in [`Tune::people`].
    Player(usize),
}

/// A part that stands for another one on one pan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Version {
    /// The number of the part that it stands for.
    pub of: usize,
    /// The number of the pan.
    pub pan: usize,
}

/// What a part is played on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Player {
    /// Pans of a kind; the numbers of the band's pans that play the part, in the band file's order.
    Pans {
        /// The kind that the part names.
        kind: PanKind,
        /// Which of the band's pans play it; none before `people` has shared out the seats, and none
        /// where nobody can play it, which `check` reports.
        pans: Vec<usize>,
    },
    /// An instrument of the engine room.
    Percussion {
        /// The instrument that the part names.
        instrument: Instrument,
        /// Which of the band's percussion plays it; see `pans`.
        percussion: Vec<usize>,
    },
}

/// A section: a named stretch of bars.
#[derive(Clone, Debug)]
pub struct Section<N = Pitch> {
    /// Its name.
    pub name: String,
    /// Where it is declared (the name).
    pub span: Span,
    /// Its key.
    pub key: Key,
    /// Its meter.
    pub meter: Meter,
    /// Its tempo.
    pub tempo: Tempo,
    /// Where each bar starts, counted from the section's start; the first is zero.
    pub bar_starts: Vec<Length>,
    /// How long the whole section is.
    pub length: Length,
    /// A row for each part of the tune, by the part's number; `None`: the part rests.
    pub rows: Vec<Option<Row<N>>>,
    /// The chords, rising in time; an entry lasts until the next.
    pub chords: Vec<ChordAt>,
    /// The words, one entry for each bar that has any.
    pub words: Vec<WordsAt>,
    /// The dynamics, rising in time.
    pub dynamics: Vec<DynamicAt>,
}

/// What a part plays in a section.
#[derive(Clone, Debug)]
pub struct Row<N = Pitch> {
    /// The row's name in the text (its first line in this section).
    pub span: Span,
    /// How long a note from the section before sounds on into this one (mostly zero), and whether it is rolled there.
    pub carry: Carry,
    /// The part whose row this is too (`= with lead`), if it is not the part's own.
    pub doubles: Option<usize>,
    /// The strokes in order of time.
    pub events: Vec<Event<N>>,
}

/// What sounds on from the section before.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Carry {
    /// For how long.
    pub length: Length,
    /// Whether a `~` asks for a roll.
    pub rolled: bool,
    /// Where it is written.
    pub span: Span,
}

/// A stroke of a part as written, with its full length (holds over bar lines put together).
#[derive(Clone, Debug)]
pub struct Event<N = Pitch> {
    /// When it begins, counted from the section's start.
    pub start: Length,
    /// How long it lasts as written.
    pub length: Length,
    /// What is struck.
    pub struck: Struck<N>,
    /// Whether it is accented.
    pub accent: bool,
    /// Whether it is damped.
    pub damped: bool,
    /// The stick that is written for the first note; of two notes the other stick strikes the other, of a roll it begins.
    pub stick: Option<Stick>,
    /// Whether a `~` asks for a roll (a long note may be rolled without one, see [`Tune::roll`]).
    pub rolled: bool,
    /// Whether the bar's cells are thirds of a beat or the like, so that swing leaves it alone.
    pub straight: bool,
    /// The number of the bar in the section, from 0.
    pub bar: u32,
    /// Where the stroke is written. For a part that plays `with` another this is in the other's row, for a pattern in the
    /// pattern.
    pub span: Span,
}

impl<N> Event<N> {
    /// Whether a line begins anew with it: it comes after a rest of at least a beat, or is the first of its row.
    pub fn is_after_rest(&self, last: Option<&Event<N>>, meter: Meter) -> bool {
        last.is_none_or(|last| self.start - (last.start + last.length) >= meter.beat())
    }
}

/// What a stroke strikes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Struck<N = Pitch> {
    /// Notes of a pan, in the order written; mostly one.
    Notes(Vec<Note<N>>),
    /// A percussion stroke.
    Mark(Mark),
}

/// A note of a stroke.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Note<N = Pitch> {
    /// What it is.
    pub pitch: N,
    /// Where it is written.
    pub span: Span,
}

/// A chord from a moment on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ChordAt {
    /// From when on, counted from the section's start.
    pub start: Length,
    /// The chord; `None` for `N.C.`.
    pub chord: Option<Chord>,
    /// Where it is written.
    pub span: Span,
}

/// A cue or lyric.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WordsAt {
    /// The number of the bar in the section, from 0.
    pub bar: u32,
    /// The text.
    pub text: String,
    /// Where it is written.
    pub span: Span,
}

/// A dynamic mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DynamicAt {
    /// When, counted from the section's start.
    pub start: Length,
    /// What it says.
    pub change: DynamicChange,
    /// Where it is written.
    pub span: Span,
}

/// What a dynamic mark says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DynamicChange {
    /// From here on this loud.
    Mark(Dynamic),
    /// Getting louder until the next mark.
    Growing,
    /// Getting softer until the next mark.
    Falling,
}

/// A section of the form, as played.
#[derive(Clone, Debug)]
pub struct FormStep {
    /// The section's number.
    pub section: usize,
    /// How often it is played in a row.
    pub times: u32,
    /// Where the form names it; `None` when there is no form line and the sections are played in the order written.
    pub span: Option<Span>,
}

impl<N> Tune<N> {
    /// Every playing of a section in order: the step's section number, and which time it is (from 1) of how many.
    pub fn passes(&self) -> impl Iterator<Item = (usize, u32, u32)> + '_ {
        self.form.iter().flat_map(|step| (1..=step.times).map(move |pass| (step.section, pass, step.times)))
    }

    /// The sections in the order in which they are first played, each once; those that never are come last. With each, whether
    /// it is played right after the one before it in this order.
    pub fn first_played(&self) -> Vec<(usize, bool)> {
        let mut order: Vec<(usize, bool)> = Vec::new();
        let mut seen = vec![false; self.sections.len()];
        let mut before = None;
        for step in &self.form {
            if !std::mem::replace(&mut seen[step.section], true) {
                order.push((step.section, before == order.last().map(|(section, _)| *section)));
            }
            before = Some(step.section);
        }
        order.extend((0..seen.len()).filter(|section| !seen[*section]).map(|section| (section, false)));
        order
    }

    /// Whether a part rolls a note of this length without being asked. Basses and percussion never do (common practice,
    /// no source).
    pub fn rolls(&self, part: usize, length: Length, meter: Meter) -> bool {
        let rolling = matches!(self.parts[part].player, Player::Pans { kind, .. } if !kind.is_bass());
        rolling && self.roll.is_some_and(|from| length >= meter.beat() * from.beats)
    }

    /// The parts that are heard when the band plays for somebody whose own parts these are: all but the versions of other pans, and
    /// but the parts that own versions stand for. In the order of the file, versions last.
    pub fn heard(&self, own: &[usize]) -> Vec<usize> {
        let stood_for: Vec<usize> = own.iter().filter_map(|part| Some(self.parts[*part].version?.of)).collect();
        let is_heard =
            |part: &usize| own.contains(part) || self.parts[*part].version.is_none() && !stood_for.contains(part);
        (0..self.parts.len()).filter(is_heard).collect()
    }

    /// The number of a part.
    pub fn part(&self, name: &str) -> Option<usize> {
        self.parts.iter().position(|part| part.name == name)
    }

    /// The number of a section.
    pub fn section(&self, name: &str) -> Option<usize> {
        self.sections.iter().position(|section| section.name == name)
    }
}

/// The entry that holds at a time, of chords that rise in time.
pub(crate) fn entry_at(chords: &[ChordAt], time: Length) -> Option<&ChordAt> {
    chords[..chords.partition_point(|chord| chord.start <= time)].last()
}

impl<N> Section<N> {
    /// The chord at a time from the section's start; `None` where there is none.
    pub fn chord_at(&self, time: Length) -> Option<Chord> {
        entry_at(&self.chords, time).and_then(|at| at.chord)
    }

    /// How many bars it has.
    pub fn bars(&self) -> usize {
        self.bar_starts.len()
    }

    /// The beats from one time on, up to another. A pickup's are the last ones of a bar.
    pub fn beats(&self, from: Length, to: Length) -> impl Iterator<Item = Length> {
        let beat = self.meter.beat();
        // The first bar may be a pickup: counted from its end, every beat lies at whole beats.
        let origin = self.bar_starts.get(1).copied().unwrap_or(self.length);
        let first = (from - origin).per(beat).ceil().to_integer();
        (first..).map(move |number| origin + beat * number).take_while(move |time| *time < to)
    }

    /// The number of a bar as people count them: from 1, and a pickup is bar 0.
    ///
    /// - `bar`: its place in the section, from 0.
    pub fn number_of(&self, bar: usize) -> usize {
        bar + usize::from(!self.has_pickup())
    }

    /// Whether its first bar is a pickup.
    pub fn has_pickup(&self) -> bool {
        self.bars() > 0 && self.bar_length(0) < self.meter.bar()
    }

    /// The length of a bar (numbered from 0).
    pub fn bar_length(&self, bar: usize) -> Length {
        let end = self.bar_starts.get(bar + 1).copied().unwrap_or(self.length);
        end - self.bar_starts[bar]
    }
}

//! The lines of a tune: for each part the strokes that are written for it, in the order in which they are first played.

use std::collections::HashMap;

use super::octaves::{Octave, Written};
use crate::music::{Length, Pitch, PitchClass, Tone};
use crate::pan::{NoteSet, PanKind, layouts};
use crate::text::Span;
use crate::tune::Tune;
use crate::tune::model::{Event, Note, Open, Player, Row, Section, Struck};

/// A stroke at the place where it is written. Bars that are played again (`%`, a section played twice) are written once, so they
/// move alike.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Placed {
    /// The stroke.
    pub written: Written,
    /// Where its top note is written, and its low note.
    pub spans: (Span, Option<Span>),
    /// The names of its top and its low note where their octave is open.
    pub tones: (Option<Tone>, Option<Tone>),
    /// The notes that are on every pan that plays this place, including the pans of parts that double it.
    pub set: NoteSet,
    /// The numbers of the section, and of the bar in it from 0.
    pub place: (usize, u32),
}

/// A part's line, and where each of its strokes is played.
#[derive(Clone, Debug, Default)]
pub struct Line {
    /// The strokes, each once.
    pub strokes: Vec<Placed>,
    /// By section and by the number of the event in the part's row: its stroke's number in the line, and whether the event's
    /// first note is the top one.
    pub events: HashMap<(usize, usize), (usize, bool)>,
}

impl Line {
    /// The strokes of one section alone.
    pub fn only(self, section: usize) -> Line {
        let mut kept = HashMap::new();
        let mut strokes = Vec::new();
        for (number, placed) in self.strokes.iter().enumerate().filter(|(_, placed)| placed.place.0 == section) {
            kept.insert(number, strokes.len());
            strokes.push(*placed);
        }
        let events = self.events.into_iter().filter(|((of, _), _)| *of == section);
        let events = events.filter_map(|(event, (stroke, top))| Some((event, (*kept.get(&stroke)?, top))));
        Line { strokes, events: events.collect() }
    }
}

/// The line of a part on a pan, patterns too. `written` says whether notes with an octave may move; those of patterns, which
/// others may play as well, never do, and strokes of more than two notes are in no line.
pub fn line<N: Copy + Into<Open>>(tune: &Tune<N>, part: usize, written: Octave) -> Line {
    let Player::Pans { kind, .. } = tune.parts[part].player else { return Line::default() };
    let mut laid = Laid { tune, part, written, home: None, seen: HashMap::new(), line: Line::default() };
    for (section, _) in tune.first_played() {
        let of = &tune.sections[section];
        let Some(row) = of.rows[part].as_ref().filter(|row| row.doubles.is_none()) else { continue };
        let set = set(tune, part, section);
        laid.home = home(set, kind);
        laid.row(section, of, row, set);
    }
    laid.line
}

/// The notes that are on every pan that plays a part in a section, including the pans of parts that double it there. A part
/// without a pan plays on its kind's first layout, as it sounds in a render.
pub fn set<N>(tune: &Tune<N>, part: usize, section: usize) -> NoteSet {
    let rows = &tune.sections[section].rows;
    let doubling = (0..tune.parts.len())
        .filter(|other| rows[*other].as_ref().is_some_and(|row| row.doubles == Some(part)))
        .filter_map(|other| own_set(tune, other));
    let own = own_set(tune, part).unwrap_or_else(|| match tune.parts[part].player {
        Player::Pans { kind, .. } => layouts::of_kind(kind).map(|pan| pan.note_set()).unwrap_or_default(),
        Player::Percussion { .. } => NoteSet::EMPTY,
    });
    doubling.fold(own, NoteSet::and)
}

fn own_set<N>(tune: &Tune<N>, part: usize) -> Option<NoteSet> {
    let Player::Pans { pans, .. } = &tune.parts[part].player else { return None };
    pans.iter().map(|pan| tune.band.pans[*pan].pan.note_set()).reduce(NoteSet::and)
}

/// Where open notes gather: the middle of the pan's notes; on a bass a quarter of the way up (common practice, no source).
pub fn home(set: NoteSet, kind: PanKind) -> Option<Pitch> {
    let parts = if kind.is_bass() { 4 } else { 2 };
    set.iter().nth(set.len() / parts)
}

/// A line being laid out.
struct Laid<'a, N> {
    tune: &'a Tune<N>,
    part: usize,
    written: Octave,
    home: Option<Pitch>,
    /// Strokes by their place, their section and their notes: a degree that is repeated under another chord is another
    /// stroke.
    seen: HashMap<(Span, usize, Vec<Open>), usize>,
    line: Line,
}

impl<N: Copy + Into<Open>> Laid<'_, N> {
    fn row(&mut self, section: usize, of: &Section<N>, row: &Row<N>, set: NoteSet) {
        let mut last: Option<&Event<N>> = None;
        for (number, event) in row.events.iter().enumerate() {
            let rest = event.is_after_rest(last, of.meter);
            let lean = last.and_then(|last| lean(of, last, event));
            last = Some(event);
            let Struck::Notes(notes) = &event.struck else { continue };
            let open: Vec<Open> = notes.iter().map(|note| note.pitch.into()).collect();
            let key = (event.span, section, open);
            let stroke = match self.seen.get(&key) {
                Some(stroke) => *stroke,
                None => {
                    let Some(placed) = self.placed(notes, event, rest, lean, set, section) else { continue };
                    self.line.strokes.push(placed);
                    self.seen.insert(key, self.line.strokes.len() - 1);
                    self.line.strokes.len() - 1
                }
            };
            let placed = &self.line.strokes[stroke];
            let first_on_top = self.reference(&notes[0]) == Some(placed.written.top);
            self.line.events.insert((section, number), (stroke, first_on_top));
        }
    }

    fn placed(
        &self,
        notes: &[Note<N>],
        event: &Event<N>,
        after_rest: bool,
        lean: Option<i8>,
        set: NoteSet,
        section: usize,
    ) -> Option<Placed> {
        let own = self.is_written_here(event.span);
        let mut all = Vec::with_capacity(2);
        for note in notes {
            let (pitch, octave, tone) = match note.pitch.into() {
                // In a settled tune a strum or a harmony line has pitches that are not written.
                Open::Pitch(_) if own && !self.is_note(note.span) => return None,
                Open::Pitch(pitch) => (pitch, if own { self.written } else { Octave::Stays }, None),
                Open::Tone { tone, .. } => (self.reference(note)?, Octave::Open, Some(tone)),
                Open::Strum | Open::Harmony { .. } => return None,
            };
            all.push((pitch, octave, tone, note.span));
        }
        all.sort_by_key(|note| std::cmp::Reverse(note.0));
        let (top, low) = match all.as_slice() {
            [top] => (top, None),
            [top, low] => (top, Some(low)),
            _ => return None,
        };
        if !own && self.written == Octave::Moves {
            return None;
        }
        let octaves = (top.1, low.map_or(Octave::Stays, |low| low.1));
        Some(Placed {
            written: Written {
                top: top.0,
                low: low.map(|low| low.0),
                after_rest,
                octaves,
                home: self.home,
                lean,
                under: None,
                over: None,
            },
            spans: (top.3, low.map(|low| low.3)),
            tones: (top.2, low.and_then(|low| low.2)),
            set,
            place: (section, event.bar),
        })
    }

    /// A note's pitch; for an open one the pitch of its class that is nearest to its home.
    fn reference(&self, note: &Note<N>) -> Option<Pitch> {
        match note.pitch.into() {
            Open::Pitch(pitch) => Some(pitch),
            Open::Tone { tone, .. } => nearest(tone.class(), self.home?),
            Open::Strum | Open::Harmony { .. } => None,
        }
    }

    /// Whether a place lies in a row of the part itself, and not in a pattern.
    fn is_written_here(&self, span: Span) -> bool {
        let source = &self.tune.source;
        let text = source.slice(source.line_span(source.line_of(span.start)));
        let name = text.trim_start().split(|c: char| c.is_whitespace() || c == '|').next();
        name == Some(self.tune.parts[self.part].name.as_str()) && self.is_note(span)
    }

    /// Whether a note or a degree is written at a place; else it is a strum, or the name of a pattern or a part.
    fn is_note(&self, span: Span) -> bool {
        let text = self.tune.source.slice(span);
        text.starts_with(|c: char| c.is_ascii_uppercase() && c != 'X')
            || text.trim_start_matches(['b', '#', '♭', '♯']).starts_with(|c: char| c.is_ascii_digit())
    }
}

/// The pitch of a class that is nearest to another pitch; of two equally near the lower.
pub fn nearest(class: PitchClass, to: Pitch) -> Option<Pitch> {
    (-6..6).filter_map(|semitones| to.up(semitones)).find(|pitch| pitch.class() == class)
}

/// The direction from one degree to the next under one chord: `1 5 8` rises.
fn lean<N: Copy + Into<Open>>(section: &Section<N>, from: &Event<N>, to: &Event<N>) -> Option<i8> {
    let chord = |time: Length| section.chords.partition_point(|chord| chord.start <= time);
    let degree = |event: &Event<N>| match &event.struck {
        Struck::Notes(notes) => match notes.first()?.pitch.into() {
            Open::Tone { degree, .. } => degree,
            _ => None,
        },
        Struck::Mark(_) => None,
    };
    let (a, b) = (degree(from)?, degree(to)?);
    let steps = (i16::from(b.number) - i16::from(a.number)) * 4 + i16::from(b.alter) - i16::from(a.alter);
    (chord(from.start) == chord(to.start)).then_some(steps.signum() as i8)
}

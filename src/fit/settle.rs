//! Settling what a tune leaves open: octaves and degrees first, since harmony lines and strums depend on them; then the
//! strums, below the leads; then the harmony lines, one after the other along their chain.
//!
//! Everything that is open gets a pitch, whether a pan has it or not: `check` says what the pans lack.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::harmony::{self, Followed};
use super::line::{self, Line, nearest};
use super::octaves::{Octave, Written, fit_each};
use super::strummed::{Strummed, leads, strums};
use super::voicing::{Moment, Pair, Strummer, Voiced, voice};
use crate::hands::movement::Hands;
use crate::music::{Chord, Length, Pitch};
use crate::notation::tree::Tree;
use crate::pan::{Band, layouts};
use crate::people;
use crate::text::Finding;
use crate::tune::model::{Event, Note, Open, Player, Row, Section, Side, Struck, Tune};

/// A tune with every note settled, and how.
#[derive(Clone, Debug)]
pub struct Settled {
    /// The tune.
    pub tune: Tune,
    /// The strummed sections.
    pub strums: Vec<SectionStrum>,
}

/// How a section is strummed.
#[derive(Clone, Debug)]
pub struct SectionStrum {
    /// The section's number.
    pub section: usize,
    /// The parts that strum in it.
    pub parts: Vec<usize>,
    /// The chords, and when each begins; a chord that is written twice in a row is one chord.
    pub chords: Vec<(Length, Moment)>,
    /// The notes.
    pub voiced: Voiced,
}

/// From tree and band to a tune with every note settled; and everything that is wrong with it.
pub fn resolve(tree: &Tree, band: &Arc<Band>) -> (Tune, Vec<Finding>) {
    let (open, findings) = crate::people::resolve(tree, band);
    (settle(&open).tune, findings)
}

/// The hands of the parts that strum, by the part's number. They are the same in every key, and take long to work out.
pub type Strumming = BTreeMap<usize, Arc<Hands>>;

/// The hands of the parts that strum: at the first pan of each, or at its kind's first layout.
pub fn strumming(open: &Tune<Open>) -> Strumming {
    let parts = (0..open.parts.len()).filter(|part| open.sections.iter().any(|section| strums(section, *part)));
    let hands = |part: usize| {
        let Player::Pans { kind, ref pans } = open.parts[part].player else { return None };
        let hands = match pans.first() {
            Some(pan) => Hands::new(&open.band.pans[*pan].pan, people::level(open, part, *pan).0),
            None => Hands::new(layouts::of_kind(kind)?, open.band.level),
        };
        Some((part, Arc::new(hands)))
    };
    parts.filter_map(hands).collect()
}

/// Settles what a tune leaves open, by the costs of its band.
pub fn settle(open: &Tune<Open>) -> Settled {
    settle_at(open, &strumming(open))
}

/// The same when the hands are known already.
pub(crate) fn settle_at(open: &Tune<Open>, strumming: &Strumming) -> Settled {
    let mut settling = Settling::new(open, strumming);
    let strums = settling.settle(&vec![true; open.parts.len()]);
    Settled { tune: settling.tune(), strums }
}

/// Settles one part as `settle_at` does, and of the others only what it depends on. Their notes left open become rests.
pub fn settle_part(open: &Tune<Open>, strumming: &Strumming, part: usize) -> Tune {
    let mut settling = Settling::new(open, strumming);
    settling.settle(&hangs_on(open, part));
    settling.tune()
}

/// The parts that a part's notes depend on, itself among them: those that it doubles or moves with, and where it strums, all parts
/// that strum or lead there.
fn hangs_on(open: &Tune<Open>, part: usize) -> Vec<bool> {
    let mut needed = vec![false; open.parts.len()];
    let mut next = vec![part];
    while let Some(part) = next.pop() {
        if std::mem::replace(&mut needed[part], true) {
            continue;
        }
        for section in &open.sections {
            let Some(row) = &section.rows[part] else { continue };
            next.extend(row.doubles);
            next.extend(row.events.iter().find_map(|event| match &event.struck {
                Struck::Notes(notes) => notes.iter().find_map(|note| match note.pitch {
                    Open::Harmony { of, .. } => Some(of),
                    Open::Pitch(_) | Open::Tone { .. } | Open::Strum => None,
                }),
                Struck::Mark(_) => None,
            }));
            if strums(section, part) {
                next.extend((0..open.parts.len()).filter(|other| strums(section, *other) || leads(open, *other)));
            }
        }
    }
    needed
}

/// What a stroke strikes; `None` as long as it is open.
type Notes = Option<Vec<Pitch>>;

/// What each stroke of a row strikes.
type RowNotes = Vec<Notes>;

/// The rows of a section, by part; `None` where the part has no row, or nothing in it is settled yet.
type SectionNotes = Vec<Option<RowNotes>>;

struct Settling<'a> {
    open: &'a Tune<Open>,
    strumming: &'a Strumming,
    /// What is settled so far, by section.
    rows: Vec<SectionNotes>,
}

impl<'a> Settling<'a> {
    fn new(open: &'a Tune<Open>, strumming: &'a Strumming) -> Self {
        Settling { open, strumming, rows: open.sections.iter().map(|_| vec![None; open.parts.len()]).collect() }
    }

    /// Settles these parts.
    fn settle(&mut self, needed: &[bool]) -> Vec<SectionStrum> {
        let parts = || (0..needed.len()).filter(|part| needed[*part]);
        parts().for_each(|part| self.lines(part));
        self.double();
        let sections = 0..self.open.sections.len();
        let is_strummed = |section: &usize| parts().any(|part| strums(&self.open.sections[*section], part));
        let strummed: Vec<usize> = sections.clone().filter(is_strummed).collect();
        let strums = strummed.into_iter().filter_map(|section| self.strum(section)).collect();
        self.double();
        for section in sections {
            parts().for_each(|part| self.harmony(section, part));
        }
        strums
    }

    /// Settles the written notes, and the open ones where they suit the line best.
    fn lines(&mut self, part: usize) {
        if !matches!(self.open.parts[part].player, Player::Pans { .. }) {
            return;
        }
        let line: Line =
            if self.has_open_notes(part) { line::line(self.open, part, Octave::Stays) } else { Line::default() };
        let strokes: Vec<Written> = line.strokes.iter().map(|placed| placed.written).collect();
        let fitted = fit_each(&strokes, |number| line.strokes[number].set, &self.open.band.costs);
        for (section, of) in self.open.sections.iter().enumerate() {
            let Some(row) = &of.rows[part] else { continue };
            let struck = row.events.iter().enumerate().map(|(number, event)| {
                let Struck::Notes(notes) = &event.struck else { return None };
                if let Some((stroke, first_on_top)) = line.events.get(&(section, number)) {
                    let written = strokes[*stroke];
                    let (top, low) = fitted.moved[*stroke].unwrap_or((0, 0));
                    let top = written.top.up(12 * top)?;
                    let Some(low) = written.low.and_then(|pitch| pitch.up(12 * low)) else { return Some(vec![top]) };
                    return Some(if *first_on_top { vec![top, low] } else { vec![low, top] });
                }
                notes.iter().map(|note| self.written(section, part, note)).collect()
            });
            self.rows[section][part] = Some(struck.collect());
        }
    }

    /// Parts that double another play the notes that were found for it.
    fn double(&mut self) {
        for (section, of) in self.open.sections.iter().enumerate() {
            for (part, row) in of.rows.iter().enumerate() {
                if let Some(doubled) = row.as_ref().and_then(|row| row.doubles) {
                    self.rows[section][part] = self.rows[section][doubled].clone();
                }
            }
        }
    }

    fn has_open_notes(&self, part: usize) -> bool {
        let rows = self.open.sections.iter().filter_map(|section| section.rows[part].as_ref());
        rows.flat_map(|row| &row.events).any(|event| match &event.struck {
            Struck::Notes(notes) => notes.iter().any(|note| matches!(note.pitch, Open::Tone { .. })),
            Struck::Mark(_) => false,
        })
    }

    /// A note of a stroke that is in no line: one of three or more.
    fn written(&self, section: usize, part: usize, note: &Note<Open>) -> Option<Pitch> {
        match note.pitch {
            Open::Pitch(pitch) => Some(pitch),
            Open::Tone { tone, .. } => {
                let Player::Pans { kind, .. } = self.open.parts[part].player else { return None };
                let set = line::set(self.open, part, section);
                let home = line::home(set, kind).unwrap_or(middle());
                let there = set.octaves(tone.class()).min_by_key(|pitch| (home.semitones_to(*pitch).abs(), *pitch));
                there.or_else(|| nearest(tone.class(), home))
            }
            Open::Strum | Open::Harmony { .. } => None,
        }
    }

    /// Voices the chords of a section for all parts that strum in it.
    fn strum(&mut self, number: usize) -> Option<SectionStrum> {
        let section = &self.open.sections[number];
        let parts: Vec<usize> = (0..self.open.parts.len()).filter(|part| strums(section, *part)).collect();
        if parts.is_empty() {
            return None;
        }
        let strummers: Vec<Strummer> = parts.iter().map(|part| self.strummer(number, *part)).collect();
        let lowest = |part: usize, event: usize| {
            self.rows[number][part].as_ref().and_then(|row| row[event].as_ref()?.iter().min().copied())
        };
        let Strummed { chords, strokes } = Strummed::of(self.open, section, &parts, lowest);
        let moments: Vec<Moment> = chords.iter().map(|(_, moment)| moment.clone()).collect();
        let voiced = voice(&strummers, &moments);
        for ((part, strokes), pairs) in parts.iter().zip(&strokes).zip(&voiced.pairs) {
            let row = self.rows[number][*part].as_mut()?;
            for stroke in strokes {
                row[stroke.event] = pairs[stroke.chord].map(notes);
            }
        }
        Some(SectionStrum { section: number, parts, chords, voiced })
    }

    fn strummer(&self, section: usize, part: usize) -> Strummer {
        let Player::Pans { kind, .. } = self.open.parts[part].player else { unreachable!("only pans strum") };
        let set = line::set(self.open, part, section);
        let hands = self.strumming.get(&part).cloned().expect("every part that strums");
        Strummer { set, home: line::home(set, kind).unwrap_or_else(middle), hands }
    }

    /// Settles a harmony line, and before it those that it depends on. The resolver has made sure that there is no circle.
    fn harmony(&mut self, section: usize, part: usize) {
        let mut chain = vec![part];
        while let Some((of, _)) = self.followed(section, chain[chain.len() - 1]) {
            chain.push(of);
        }
        for part in chain.into_iter().rev() {
            let Some((of, side)) = self.followed(section, part) else { continue };
            let notes = self.harmony_notes(section, part, of, side);
            self.rows[section][part] = Some(notes);
        }
    }

    /// The part that a part's row moves with or doubles, while its own notes are not settled.
    fn followed(&self, section: usize, part: usize) -> Option<(usize, Option<Side>)> {
        let row = self.open.sections[section].rows[part].as_ref()?;
        let open = self.rows[section][part].as_ref()?.iter().any(Option::is_none);
        if !open {
            return None;
        }
        row.events.iter().find_map(|event| match &event.struck {
            Struck::Notes(notes) => match notes.first()?.pitch {
                Open::Harmony { of, side, .. } => Some(match row.doubles {
                    Some(doubled) => (doubled, None),
                    None => (of, Some(side)),
                }),
                _ => None,
            },
            Struck::Mark(_) => None,
        })
    }

    fn harmony_notes(&self, section: usize, part: usize, of: usize, side: Option<Side>) -> RowNotes {
        let leading = self.rows[section][of].clone().unwrap_or_default();
        let Some(side) = side else { return leading };
        let of_section = &self.open.sections[section];
        let mut last: Option<&Event<Open>> = None;
        let mut part_notes = Vec::new();
        let mut numbers = Vec::new();
        let events = of_section.rows[of].iter().flat_map(|row| &row.events);
        for (number, (event, notes)) in events.zip(&leading).enumerate() {
            let after_rest = event.is_after_rest(last, of_section.meter);
            last = Some(event);
            let Some(notes) = notes else { continue };
            let pitch = if side == Side::Under { notes.iter().min() } else { notes.iter().max() };
            let Some(pitch) = pitch else { continue };
            let (on_beat, chords) = chords_under(of_section, event);
            part_notes.push(Followed { pitch: *pitch, on_beat, chords, key: of_section.key, after_rest });
            numbers.push(number);
        }
        let line = harmony::line(&part_notes, line::set(self.open, part, section), side);
        let mut struck = vec![None; leading.len()];
        for ((number, followed), note) in numbers.iter().zip(&part_notes).zip(&line.notes) {
            struck[*number] = Some(vec![note.unwrap_or_else(|| harmony::wanted(followed, side))]);
        }
        struck
    }

    fn tune(self) -> Tune {
        let open = self.open;
        let sections = open.sections.iter().zip(self.rows).map(|(section, struck)| {
            let rows = section
                .rows
                .iter()
                .zip(struck)
                .map(|(row, struck)| row.as_ref().map(|row| settled_row(row, struck.unwrap_or_default())));
            settled_section(section, rows.collect())
        });
        Tune {
            source: Arc::clone(&open.source),
            band: Arc::clone(&open.band),
            title: open.title.clone(),
            by: open.by.clone(),
            key: open.key,
            keys: open.keys.clone(),
            meter: open.meter,
            tempo: open.tempo,
            swing: open.swing,
            pickup: open.pickup,
            roll: open.roll,
            parts: open.parts.clone(),
            sections: sections.collect(),
            form: open.form.clone(),
            people: Arc::clone(&open.people),
            seats: open.seats.clone(),
        }
    }
}

/// Whether a stroke sounds on a beat, and the chords of these beats, each once; between beats the chord where it is struck.
fn chords_under(section: &Section<Open>, event: &Event<Open>) -> (bool, Vec<Chord>) {
    let mut beats = section.beats(event.start, event.start + event.length).peekable();
    if beats.peek().is_none() {
        return (false, section.chord_at(event.start).into_iter().collect());
    }
    let mut chords = Vec::new();
    for chord in beats.filter_map(|beat| section.chord_at(beat)) {
        if !chords.contains(&chord) {
            chords.push(chord);
        }
    }
    (true, chords)
}

/// Middle C, for want of anything better.
fn middle() -> Pitch {
    Pitch::new(60).expect("60 is a key")
}

fn notes((low, high): Pair) -> Vec<Pitch> {
    [Some(low), high].into_iter().flatten().collect()
}

/// A row with its notes; a stroke for which nothing was found is left out.
fn settled_row(row: &Row<Open>, struck: RowNotes) -> Row {
    let mut struck = struck.into_iter();
    let events = row.events.iter().filter_map(|event| {
        let pitches = struck.next().flatten();
        let struck = match &event.struck {
            Struck::Mark(mark) => Struck::Mark(*mark),
            Struck::Notes(notes) => {
                let spans = notes.iter().map(|note| note.span).chain(std::iter::repeat(event.span));
                Struck::Notes(pitches?.into_iter().zip(spans).map(|(pitch, span)| Note { pitch, span }).collect())
            }
        };
        Some(Event {
            start: event.start,
            length: event.length,
            struck,
            accent: event.accent,
            damped: event.damped,
            stick: event.stick,
            rolled: event.rolled,
            straight: event.straight,
            bar: event.bar,
            span: event.span,
        })
    });
    Row { span: row.span, carry: row.carry, doubles: row.doubles, events: events.collect() }
}

fn settled_section(section: &Section<Open>, rows: Vec<Option<Row>>) -> Section {
    Section {
        name: section.name.clone(),
        span: section.span,
        key: section.key,
        meter: section.meter,
        tempo: section.tempo,
        bar_starts: section.bar_starts.clone(),
        length: section.length,
        rows,
        chords: section.chords.clone(),
        words: section.words.clone(),
        dynamics: section.dynamics.clone(),
    }
}

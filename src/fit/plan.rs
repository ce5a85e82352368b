//! A whole tune fitted: every part's least octave moves, in the key written or in another, and what becomes of the open notes.

use std::collections::BTreeMap;

use rayon::prelude::*;

use super::line::{self, Line};
use super::octaves::{Octave, Terms, Written, by_stroke, fit_each};
pub use super::part_fit::PartFit;
use super::settle::{SectionStrum, Strumming, settle_at, strumming};
use super::transpose::fitted_tune;
use super::voices;
use super::voicing::Role;
use crate::music::{Chord, Key, Pitch, PitchClass};
use crate::pan::{Cost, Costs};
use crate::text::Span;
use crate::tune::Tune;
use crate::tune::model::{Open, Player, Struck};

pub use super::edits::edits;

/// What is fitted of a tune.
#[derive(Clone, Copy, Debug, Default)]
#[non_exhaustive]
pub struct Options {
    /// Only this part.
    pub part: Option<usize>,
    /// Only this section; what comes before and after it stays, and is not looked at.
    pub section: Option<usize>,
    /// How many semitones higher the tune is to sound.
    pub semitones: i32,
    /// What changes cost.
    pub costs: Costs,
}

impl Options {
    /// The whole tune in its own key, with the costs that its band sets.
    pub fn of<N>(tune: &Tune<N>) -> Options {
        Options { costs: tune.band.costs, ..Options::default() }
    }
}

/// Fits every part of a tune, or one of them.
pub fn fit<N: Copy + Into<Open>>(tune: &Tune<N>, options: &Options) -> Vec<PartFit> {
    let chosen = (0..tune.parts.len()).filter(|part| {
        let plays = matches!(&tune.parts[*part].player, Player::Pans { pans, .. } if !pans.is_empty());
        plays && options.part.is_none_or(|only| only == *part)
    });
    // The highest first: each knows where those above it go, and where those below it are written.
    let order = voices::from_high_to_low(tune);
    let mut fitted = BTreeMap::new();
    for part in voices::in_turn(&order, chosen) {
        let mut line = line::line(tune, part, Octave::Moves);
        voices::set_between(tune, part, &mut line, &order, &fitted);
        fitted.insert(part, fit_part(part, line, options));
    }
    fitted.into_values().collect()
}

/// The parts for pans that nobody in the band plays, fitted to a usual pan of their kind: they are not changed, but another pan
/// may take them.
pub fn unplayed<N: Copy + Into<Open>>(tune: &Tune<N>, options: &Options) -> Vec<PartFit> {
    let open = crate::people::unseated(tune).into_iter().map(|open| open.part);
    let on_pans = |part: &usize| matches!(tune.parts[*part].player, Player::Pans { .. });
    let chosen = open.filter(|part| on_pans(part) && options.part.is_none_or(|only| only == *part));
    chosen.map(|part| fit_part(part, line::line(tune, part, Octave::Moves), options)).collect()
}

fn fit_part(part: usize, mut line: Line, options: &Options) -> PartFit {
    if let Some(only) = options.section {
        line = line.only(only);
    }
    let shifted = shifted(&line, options.semitones);
    let fitted = fit_each(&shifted, |number| line.strokes[number].set, &options.costs);
    PartFit { part, line, moved: fitted.moved, terms: fitted.terms }
}

/// A line's strokes in another key. A note beyond MIDI's keys can't be written; no band comes near them.
pub fn shifted(line: &Line, semitones: i32) -> Vec<Written> {
    line.strokes.iter().map(|placed| placed.written.up(semitones).unwrap_or(placed.written)).collect()
}

/// A key that was tried.
#[derive(Clone, Debug)]
pub struct KeyFit {
    /// Semitones above the key written; negative below.
    pub semitones: i32,
    /// The key's usual name.
    pub key: Key,
    /// The parts.
    pub parts: Vec<PartFit>,
    /// The tune as it would be, with every note settled.
    pub tune: Tune,
    /// How its sections are strummed.
    pub strums: Vec<SectionStrum>,
    /// What the settled rows lack.
    pub lacks: Vec<Lack>,
    /// What they cost together, with the price of the change of key.
    pub cost: Cost,
}

/// What a row whose notes are chosen for it lacks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Lack {
    /// A note that the part's pans lack: a degree in a pattern, a strum or a harmony line for which they have nothing.
    Note {
        /// The part.
        part: usize,
        /// The section, and the bar in it from 0.
        place: (usize, u32),
        /// The note.
        pitch: Pitch,
        /// Where it is asked for.
        span: Span,
    },
    /// A third or seventh that no strumming pan plays.
    Tone {
        /// The section.
        section: usize,
        /// The chord.
        chord: Chord,
        /// The tone.
        class: PitchClass,
        /// What it is in the chord.
        role: Role,
    },
}

/// How far a tune may move to find its key: half an octave either way reaches every key.
pub const FAR: i32 = 6;

/// Every key from [`FAR`] semitones below to as many above, the cheapest first; of equals the nearest, then the lower.
pub fn keys(tune: &Tune<Open>, options: &Options) -> Vec<KeyFit> {
    let hands = strumming(tune);
    let mut keys: Vec<KeyFit> =
        (-FAR..=FAR).into_par_iter().map(|semitones| in_key_at(tune, semitones, options, &hands)).collect();
    keys.sort_by_key(|key| (key.cost, key.semitones.abs(), key.semitones));
    keys
}

/// A tune fitted in another key.
pub fn in_key(tune: &Tune<Open>, semitones: i32, options: &Options) -> KeyFit {
    in_key_at(tune, semitones, options, &strumming(tune))
}

fn in_key_at(tune: &Tune<Open>, semitones: i32, options: &Options, hands: &Strumming) -> KeyFit {
    let parts = fit(tune, &Options { semitones, ..*options });
    let settled = settle_at(&fitted_tune(tune, semitones, &parts), hands);
    let lacks = lacks(tune, &settled.tune, &settled.strums, &parts, options);
    let lacking: Cost = lacks
        .iter()
        .map(|lack| match lack {
            Lack::Note { .. } => options.costs.missing,
            Lack::Tone { role, .. } => role.left_out(),
        })
        .sum();
    let changes = parts.iter().map(|part| part.terms.changes()).sum::<Cost>();
    let cost = changes + lacking + options.costs.rekey * Cost::from(semitones.abs());
    let key = tune.key.up(semitones);
    KeyFit { semitones, key, parts, tune: settled.tune, strums: settled.strums, lacks, cost }
}

/// What the rows with chosen notes lack: each note once a bar.
fn lacks(
    open: &Tune<Open>,
    settled: &Tune,
    strums: &[SectionStrum],
    parts: &[PartFit],
    options: &Options,
) -> Vec<Lack> {
    let mut lacks = Vec::new();
    let sections = |section: usize| options.section.is_none_or(|only| only == section);
    for PartFit { part, line, .. } in parts {
        let part = *part;
        for (number, section) in settled.sections.iter().enumerate().filter(|(number, _)| sections(*number)) {
            let Some(row) = section.rows[part].as_ref().filter(|row| row.doubles.is_none()) else { continue };
            let chosen = open.sections[number].rows[part].iter().flat_map(|row| &row.events).enumerate();
            let chosen: Vec<bool> = chosen
                .map(|(event, stroke)| !line.events.contains_key(&(number, event)) && is_open(&stroke.struck))
                .collect();
            if row.events.len() != chosen.len() {
                continue;
            }
            let set = line::set(settled, part, number);
            for (event, _) in row.events.iter().zip(&chosen).filter(|(_, chosen)| **chosen) {
                let Struck::Notes(notes) = &event.struck else { continue };
                for note in notes.iter().filter(|note| !set.has(note.pitch)) {
                    let place = (number, event.bar);
                    let lack = Lack::Note { part, place, pitch: note.pitch, span: note.span };
                    if !lacks.contains(&lack) {
                        lacks.push(lack);
                    }
                }
            }
        }
    }
    for strum in strums.iter().filter(|strum| sections(strum.section)) {
        if options.part.is_some_and(|only| !strum.parts.contains(&only)) {
            continue;
        }
        let tone = |(moment, class, role): (usize, PitchClass, Role)| Lack::Tone {
            section: strum.section,
            chord: strum.chords[moment].1.chord,
            class,
            role,
        };
        lacks.extend(strum.voiced.lacking().map(tone));
    }
    lacks
}

fn is_open(struck: &Struck<Open>) -> bool {
    matches!(struck, Struck::Notes(notes) if notes.iter().any(|note| !matches!(note.pitch, Open::Pitch(_))))
}

impl PartFit {
    /// How often the line jumps an octave where it moves: at how many strokes within phrases, and at how many after a rest.
    pub fn torn(&self, options: &Options) -> (usize, usize) {
        let strokes = by_stroke(&shifted(&self.line, options.semitones), &self.moved, &options.costs);
        let count = |of: fn(&Terms) -> Cost| strokes.iter().filter(|terms| of(terms) > 0).count();
        (count(|terms| terms.breaks), count(|terms| terms.breaks_at_rests))
    }
}

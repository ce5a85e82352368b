//! All families of findings over a tune, and a summary of each part.

use std::collections::BTreeSet;

use rayon::prelude::*;

use super::{
    chords, crossed_voices, form, limbs, missing, players, reach, seats, sticks, tuning, two_sticks, uneven_chords,
};
use crate::music::{Cents, Pitch};
use crate::text::{Finding, Severity};
use crate::tune::Tune;
use crate::tune::model::{Player, Struck};

/// How a tune is checked.
#[derive(Clone, Copy, Debug, Default)]
#[non_exhaustive]
pub struct Options {
    /// How far a note may be off; `None`: as the band says.
    pub tolerance: Option<Cents>,
}

/// What a check found.
#[derive(Clone, Debug)]
pub struct Report {
    /// The findings, in the order of the text; those about the band file last.
    pub findings: Vec<Finding>,
    /// A summary of each part, in the order of the file.
    pub parts: Vec<PartSummary>,
}

/// What a part needs and who plays it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PartSummary {
    /// Its name.
    pub name: String,
    /// What it is played on.
    pub on: &'static str,
    /// The same in the tune's own word (`tenor` for a lead).
    pub word: String,
    /// The names of the band's pans or instruments that play it.
    pub players: Vec<String>,
    /// How many strokes it has, with the form played out; a roll counts as one.
    pub strokes: u64,
    /// How many different notes (or percussion strokes) it has.
    pub distinct: usize,
    /// Its lowest and its highest note; `None` for percussion and silent parts.
    pub range: Option<(Pitch, Pitch)>,
    /// How many findings are about it, by severity: errors, warnings, advice.
    pub found: [usize; 3],
}

/// A family of findings.
type Family<'f> = &'f (dyn Fn(&Tune) -> Vec<Finding> + Sync);

/// Checks a tune against the pans of its band.
///
/// Cost: linear in the tune, plus sorting the places of findings.
pub fn check(tune: &Tune, options: &Options) -> Report {
    let tolerance = options.tolerance.unwrap_or(tune.band.tolerance);
    let tuning = |tune: &Tune| tuning::tuning(tune, tolerance);
    let families: [Family; 12] = [
        &missing::missing,
        &two_sticks::two_sticks,
        &reach::reach,
        &sticks::sticks,
        &tuning,
        &seats::seats,
        &players::players,
        &limbs::limbs,
        &form::form,
        &chords::chords,
        &|tune| uneven_chords::uneven_chords(tune).into_iter().collect(),
        &crossed_voices::crossed_voices,
    ];
    // What is soon done is not worth the threads.
    let found: Vec<Vec<Finding>> = if tune.source.is_long() {
        families.par_iter().with_max_len(1).map(|family| family(tune)).collect()
    } else {
        families.iter().map(|family| family(tune)).collect()
    };
    let mut findings = found.concat();
    let order = |finding: &Finding| {
        let place = finding.place.as_ref();
        let in_tune = place.is_some_and(|place| place.source == tune.source);
        (!in_tune, place.map(|place| place.span), finding.kind.name)
    };
    findings.sort_by_key(order);
    let parts = (0..tune.parts.len()).map(|part| summary(tune, part, &findings)).collect();
    Report { findings, parts }
}

fn summary(tune: &Tune, part: usize, findings: &[Finding]) -> PartSummary {
    let of = &tune.parts[part];
    let mut strokes = 0;
    for (section, ..) in tune.passes() {
        strokes += tune.sections[section].rows[part].as_ref().map_or(0, |row| row.events.len() as u64);
    }
    let mut notes: BTreeSet<Pitch> = BTreeSet::new();
    let mut marks = BTreeSet::new();
    for (_, _, event) in super::uses::events(tune, part) {
        match &event.struck {
            Struck::Notes(all) => notes.extend(all.iter().map(|note| note.pitch)),
            Struck::Mark(mark) => drop(marks.insert(*mark)),
        }
    }
    let (on, players) = match &of.player {
        Player::Pans { kind, pans } => {
            (kind.name(), pans.iter().map(|pan| tune.band.pans[*pan].pan.name.clone()).collect())
        }
        Player::Percussion { instrument, percussion } => {
            (instrument.name(), percussion.iter().map(|number| tune.band.percussion[*number].name.clone()).collect())
        }
    };
    let count = |severity| {
        let about = |finding: &&Finding| finding.part.as_ref() == Some(&of.name) && finding.severity == severity;
        findings.iter().filter(about).count()
    };
    PartSummary {
        name: of.name.clone(),
        on,
        word: of.on.clone(),
        players,
        strokes,
        distinct: notes.len() + marks.len(),
        range: notes.first().copied().zip(notes.last().copied()),
        found: [Severity::Error, Severity::Warning, Severity::Advice].map(count),
    }
}

//! Strummed notes that do not belong to the current chord.

use std::collections::BTreeMap;

use super::uses::{self, Found, Places};
use crate::music::{Chord, PitchClass};
use crate::text::{Finding, Kind, words};
use crate::tune::Tune;
use crate::tune::model::{Player, Struck};

/// A strummed note outside the chord.
pub static OUTSIDE_CHORD: Kind = Kind {
    name: "outside-chord",
    what: "Two notes are strummed together, and one of them is not in the current chord.",
    why: "A strum is two notes of the chord, struck together by the middle pans. A note outside it may be meant; it may also \
          be a slip, or the chord symbol is wrong.",
};

/// Every strummed note outside its chord, one finding a part, note and chord.
pub fn chords(tune: &Tune) -> Vec<Finding> {
    (0..tune.parts.len()).filter(|part| strums(tune, *part)).flat_map(|part| of_part(tune, part)).collect()
}

/// The middle pans strum; leads and basses have lines.
fn strums(tune: &Tune, part: usize) -> bool {
    matches!(tune.parts[part].player, Player::Pans { kind, .. } if kind.is_middle())
}

fn of_part(tune: &Tune, part: usize) -> Vec<Finding> {
    let mut found: BTreeMap<(String, PitchClass), (Chord, Vec<Found>)> = BTreeMap::new();
    for (number, section, event) in uses::events(tune, part) {
        let Struck::Notes(notes) = &event.struck else { continue };
        if notes.len() < 2 {
            continue;
        }
        let Some(chord) = section.chord_at(event.start) else { continue };
        for note in notes.iter().filter(|note| !chord.has(note.pitch.class())) {
            let (_, places) =
                found.entry((chord.to_string(), note.pitch.class())).or_insert_with(|| (chord, Vec::new()));
            places.push(Found { span: note.span, section: number, bar: event.bar });
        }
    }
    let finding = |(chord, found): (Chord, Vec<Found>)| {
        let places = Places::of(&found)?;
        let note = tune.source.slice(places.spans[0]);
        let tones: Vec<String> = chord.spelled().iter().map(ToString::to_string).collect();
        let message = format!("`{note}` is strummed over `{chord}` and is not in it");
        let help = format!("choose a note of `{chord}` ({}), or change the chord", words::and(&tones));
        let finding = Finding::advice(&OUTSIDE_CHORD, message).help(help).part(&tune.parts[part].name);
        Some(places.mark(tune, finding))
    };
    found.into_values().filter_map(finding).collect()
}

//! Notes that a pan does not have.

use std::collections::BTreeMap;

use super::uses::{self, Places};
use crate::music::{NoteName, Pitch};
use crate::pan::band::BandPan;
use crate::pan::{NoteSet, Pan};
use crate::text::{Edit, Finding, Kind, Span, words};
use crate::tune::Tune;
use crate::tune::model::{Player, Struck};

/// A part has a note that a pan that plays it does not have.
pub static MISSING_NOTE: Kind = Kind {
    name: "missing-note",
    what: "A part has a note that is not on a pan that plays it.",
    why: "Every pan has its own notes: some stop earlier, some have gaps, some have dead notes. Usually the same note an \
          octave lower or higher works, or another pan can take the part.",
};

/// A note that is missing, before it is put into words.
struct Missing<'a> {
    /// The number of the part.
    part: usize,
    pitch: Pitch,
    places: Places,
    /// The pans of the part that lack it.
    lacking: Vec<&'a Pan>,
    /// The notes that all pans of the part have.
    all: NoteSet,
}

/// Every note that is missing, one finding a part and note.
pub fn missing(tune: &Tune) -> Vec<Finding> {
    let missing: Vec<Missing> = (0..tune.parts.len()).flat_map(|part| of_part(tune, part)).collect();
    // With more places, moving one alone would only move the trouble: no edits.
    let alone = missing.iter().filter(|missing| missing.places.spans.len() == 1).map(|missing| missing.places.spans[0]);
    let choices = choices(tune, alone);
    missing.iter().map(|missing| finding(tune, missing, &choices)).collect()
}

fn of_part(tune: &Tune, part: usize) -> Vec<Missing<'_>> {
    let sets: Vec<(&Pan, NoteSet)> = pans(tune, part).map(|pan| (pan, pan.note_set())).collect();
    let Some(all) = sets.iter().map(|(_, set)| *set).reduce(NoteSet::and) else { return Vec::new() };
    let missing = |(pitch, places): (Pitch, Places)| {
        let lacking: Vec<&Pan> = sets.iter().filter(|(_, set)| !set.has(pitch)).map(|(pan, _)| *pan).collect();
        (!lacking.is_empty()).then_some(Missing { part, pitch, places, lacking, all })
    };
    uses::notes(tune, part).into_iter().filter_map(missing).collect()
}

/// The pans that play a part; none for percussion.
fn pans(tune: &Tune, part: usize) -> impl Iterator<Item = &Pan> {
    let numbers = match &tune.parts[part].player {
        Player::Pans { pans, .. } => pans.as_slice(),
        Player::Percussion { .. } => &[],
    };
    numbers.iter().map(|number| &tune.band.pans[*number].pan)
}

/// What may stand in each of these places: the notes that are on every pan of every part that strikes the place (its own,
/// and those that play `with` it), less the other notes of the stroke. One walk through the tune.
fn choices(tune: &Tune, places: impl Iterator<Item = Span>) -> BTreeMap<Span, NoteSet> {
    let every: NoteSet = (0..128).filter_map(Pitch::new).collect();
    let mut choices: BTreeMap<Span, NoteSet> = places.map(|span| (span, every)).collect();
    if choices.is_empty() {
        return choices;
    }
    for part in 0..tune.parts.len() {
        let set = pans(tune, part).map(Pan::note_set).fold(every, NoteSet::and);
        for (_, _, event) in uses::events(tune, part) {
            let Struck::Notes(notes) = &event.struck else { continue };
            for note in notes {
                if let Some(choice) = choices.get_mut(&note.span) {
                    let others = notes.iter().filter(|other| other.span != note.span);
                    *choice = choice.and(set).without(others.map(|other| other.pitch).collect());
                }
            }
        }
    }
    choices
}

fn finding(tune: &Tune, missing: &Missing, choices: &BTreeMap<Span, NoteSet>) -> Finding {
    let Missing { part, pitch, places, lacking, all } = missing;
    let first = places.spans[0];
    let written = tune.source.slice(first);
    let key = tune.sections[places.section].key;
    let name = uses::named(tune, first, *pitch, key);
    let moved = |octaves: i32| NoteName { octave: name.octave.saturating_add(octaves as i8), ..name };
    let finding = Finding::error(&MISSING_NOTE, format!("`{name}` {}", where_it_lies(*pitch, lacking)));
    let mut finding = places.mark(tune, finding).part(&tune.parts[*part].name);
    if lacking.len() > 1 {
        for pan in lacking {
            finding = finding.help(format!("on `{}` it is {}", pan.name, reason(*pitch, pan)));
        }
    }
    let moves = octave_moves(*pitch, *all);
    for (octaves, _) in &moves {
        finding = finding.help(format!("move it {}: `{}`", octaves_in_words(*octaves), moved(*octaves)));
    }
    if moves.is_empty() {
        let what = if lacking.len() == 1 { "this pan has" } else { "these pans all have" };
        finding = finding.help(format!("choose another note: {what} no {} that would do", name.tone));
    }
    if let Some(help) = others(tune, *part, *pitch) {
        finding = finding.help(help);
    }
    // What is chosen for a degree, a strum or a harmony line is written nowhere.
    let is_written = written.trim_end_matches(['>', '\'']).parse::<Pitch>().is_ok();
    if let (1, Some(choice), true) = (places.spans.len(), choices.get(&first), is_written) {
        for (octaves, _) in moves.iter().filter(|(_, moved)| choice.has(*moved)) {
            let signs = written.trim_start_matches(|c| !matches!(c, '>' | '\'' | 'L' | 'R'));
            finding = finding.edit(Edit::new(first, format!("{}{signs}", moved(*octaves))));
        }
    }
    finding
}

/// `is not on X: …`, for one pan or several.
fn where_it_lies(pitch: Pitch, lacking: &[&Pan]) -> String {
    let names: Vec<String> = lacking.iter().map(|pan| format!("`{}`", pan.name)).collect();
    match lacking {
        [pan] => format!("is not on {}: {}", names[0], reason(pitch, pan).trim_start_matches("in ")),
        _ => format!("is not on {}", words::and(&names)),
    }
}

/// Why a pan does not have a note: out of its range, and by how much, or in a gap.
fn reason(pitch: Pitch, pan: &Pan) -> String {
    let named = |pitch: Pitch| pan.note(pitch).map_or_else(|| pitch.to_string(), |(_, note)| note.name.to_string());
    let set = pan.note_set();
    let (Some(low), Some(high)) = (set.lowest(), set.highest()) else { return "on a pan without notes".to_owned() };
    if pitch < low {
        let by = words::count(pitch.semitones_to(low).unsigned_abs() as usize, "semitone");
        format!("{by} below its lowest note, `{}`", named(low))
    } else if pitch > high {
        let by = words::count(high.semitones_to(pitch).unsigned_abs() as usize, "semitone");
        format!("{by} above its highest note, `{}`", named(high))
    } else {
        let below = set.iter().rev().find(|note| *note < pitch).unwrap_or(low);
        let above = set.iter().find(|note| *note > pitch).unwrap_or(high);
        format!("in a gap between its `{}` and `{}`", named(below), named(above))
    }
}

/// The same note in other octaves that all pans have: nearest first, of two equally near the lower.
pub fn octave_moves(pitch: Pitch, set: NoteSet) -> Vec<(i32, Pitch)> {
    let at = |octaves: i32| pitch.up(12 * octaves).filter(|moved| set.has(*moved)).map(|moved| (octaves, moved));
    (1..=10).flat_map(|n| [-n, n]).filter_map(at).collect()
}

fn octaves_in_words(octaves: i32) -> String {
    let direction = if octaves < 0 { "down" } else { "up" };
    match octaves.unsigned_abs() {
        1 => format!("an octave {direction}"),
        n => format!("{n} octaves {direction}"),
    }
}

/// Which other pans of the band have the note.
fn others(tune: &Tune, part: usize, pitch: Pitch) -> Option<String> {
    let Player::Pans { pans, .. } = &tune.parts[part].player else { return None };
    let has = |(number, pan): &(usize, &BandPan)| !pans.contains(number) && pan.pan.note_set().has(pitch);
    let names: Vec<String> = tune
        .band
        .pans
        .iter()
        .enumerate()
        .filter(has)
        .map(|(_, pan)| format!("`{}` ({})", pan.pan.name, pan.pan.kind))
        .collect();
    (!names.is_empty()).then(|| {
        format!("or use another pan: {} {} it", words::and(&names), if names.len() == 1 { "has" } else { "have" })
    })
}

//! Notes that a pan does not have.

use super::uses::{self, Places};
use crate::music::Pitch;
use crate::pan::band::BandPan;
use crate::pan::{NoteSet, Pan};
use crate::text::{Edit, Finding, Kind, words};
use crate::tune::Tune;
use crate::tune::model::Player;

/// A part has a note that a pan that plays it does not have.
pub static MISSING_NOTE: Kind = Kind {
    name: "missing-note",
    what: "A part has a note that is not on a pan that plays it.",
    why: "Every pan has its own notes: some stop earlier, some have gaps, some have dead notes. Mostly the same note an \
          octave lower or higher will do, or the part goes to another pan.",
};

/// Every note that is missing, one finding a part and note.
pub fn missing(tune: &Tune) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (number, part) in tune.parts.iter().enumerate() {
        let Player::Pans { pans, .. } = &part.player else { continue };
        if pans.is_empty() {
            continue;
        }
        let pans: Vec<&BandPan> = pans.iter().map(|pan| &tune.band.pans[*pan]).collect();
        let sets: Vec<NoteSet> = pans.iter().map(|pan| pan.pan.note_set()).collect();
        for (pitch, places) in uses::notes(tune, number) {
            let lack = |(pan, set): (&&BandPan, &NoteSet)| (!set.has(pitch)).then_some(pan.pan.clone());
            let lacking: Vec<Pan> = pans.iter().zip(&sets).filter_map(lack).collect();
            if !lacking.is_empty() {
                let all = sets.iter().copied().reduce(NoteSet::and).unwrap_or(NoteSet::EMPTY);
                findings.push(finding(tune, number, pitch, &places, &lacking, all));
            }
        }
    }
    findings
}

fn finding(tune: &Tune, part: usize, pitch: Pitch, places: &Places, lacking: &[Pan], all: NoteSet) -> Finding {
    let source = &tune.source;
    let first = places.spans[0];
    let written = source.slice(first);
    let key = tune.sections[places.section].key;
    let name = key.spell(pitch);
    let name = if written.parse::<Pitch>() == Ok(pitch) { written.to_owned() } else { name.to_string() };
    let mut finding = Finding::error(&MISSING_NOTE, format!("`{name}` {}", where_it_lies(pitch, lacking)))
        .at(source, first)
        .label(places.name(tune))
        .part(&tune.parts[part].name);
    let moves = octave_moves(pitch, all);
    for (octaves, moved) in &moves {
        finding = finding.help(format!("{} it is there: `{}`", octaves_in_words(*octaves), key.spell(*moved)));
    }
    if moves.is_empty() {
        let what = if lacking.len() == 1 { "this pan has" } else { "these pans all have" };
        finding = finding.help(format!(
            "no octave of {} that {what} will do: choose another note",
            name.trim_end_matches(|c: char| c.is_ascii_digit() || c == '-')
        ));
    }
    if let Some(help) = others(tune, part, pitch) {
        finding = finding.help(help);
    }
    if places.spans.len() == 1 {
        // With more places, moving one alone would only move the trouble.
        for (_, moved) in &moves {
            let signs = written.trim_start_matches(|c| !matches!(c, '!' | '\''));
            finding = finding.edit(Edit::new(first, format!("{}{signs}", key.spell(*moved))));
        }
    }
    finding.more(source, &places.spans[1..])
}

/// `is not on X: …`, for one pan or several.
fn where_it_lies(pitch: Pitch, lacking: &[Pan]) -> String {
    let names: Vec<String> = lacking.iter().map(|pan| format!("`{}`", pan.name)).collect();
    match lacking {
        [pan] => format!("is not on {}: {}", names[0], reason(pitch, pan)),
        _ => format!("is not on {}", words::and(&names)),
    }
}

/// Why a pan does not have a note: out of its range, and by how much, or in a gap.
fn reason(pitch: Pitch, pan: &Pan) -> String {
    let named = |pitch: Pitch| pan.note(pitch).map_or_else(|| pitch.to_string(), |(_, note)| note.name.to_string());
    let set = pan.note_set();
    let (Some(low), Some(high)) = (set.lowest(), set.highest()) else { return "it has no notes".to_owned() };
    if pitch < low {
        let by = words::count(pitch.semitones_to(low).unsigned_abs() as usize, "semitone");
        format!("{by} below its lowest note, `{}`", named(low))
    } else if pitch > high {
        let by = words::count(high.semitones_to(pitch).unsigned_abs() as usize, "semitone");
        format!("{by} above its highest note, `{}`", named(high))
    } else {
        let below = set.iter().rev().find(|note| *note < pitch).unwrap_or(low);
        let above = set.iter().find(|note| *note > pitch).unwrap_or(high);
        format!("a gap between its `{}` and `{}`", named(below), named(above))
    }
}

/// The same note in other octaves that all pans have: nearest first, of two as near the lower.
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
    (!names.is_empty()).then(|| format!("{} {} it", words::and(&names), if names.len() == 1 { "has" } else { "have" }))
}

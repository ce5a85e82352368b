//! The notes of a tune as they are written, as JSON: what a score of it should hold.
//!
//! Musical time is in quarter notes from the start of the form, exact, as a text: `"3/2"` is one and a half.

use serde::Serialize;

use super::json::value;
use crate::exchange::musicxml_out::timeline::{self, Held, Stretch};
use crate::tune::Tune;
use crate::tune::model::{DynamicChange, Player, Struck};

#[derive(Serialize)]
struct Document<'a> {
    title: &'a str,
    parts: Vec<PartEntry<'a>>,
    dynamics: Vec<DynamicEntry>,
}

/// A dynamic mark, as in a tune file: `mf`, `<`, `>`.
#[derive(Serialize)]
struct DynamicEntry {
    at: String,
    is: &'static str,
}

#[derive(Serialize)]
struct PartEntry<'a> {
    name: &'a str,
    /// The kind of pan or of percussion.
    on: &'static str,
    percussion: bool,
    notes: Vec<NoteEntry>,
}

/// A stroke with its full length, over bar lines and sections.
#[derive(Serialize)]
struct NoteEntry {
    at: String,
    length: String,
    /// Names of notes; a percussion stroke has a mark instead.
    #[serde(skip_serializing_if = "Option::is_none")]
    notes: Option<Vec<String>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    mark: Option<char>,
    accent: bool,
    damped: bool,
    rolled: bool,
}

/// How many strokes some parts have, form played out.
pub fn count(tune: &Tune, parts: &[usize]) -> usize {
    let of = |section: usize, part: usize| tune.sections[section].rows[part].as_ref().map_or(0, |row| row.events.len());
    tune.form.iter().map(|step| parts.iter().map(|part| of(step.section, *part)).sum::<usize>()).sum()
}

/// Some parts of a tune as a JSON document.
pub fn document(tune: &Tune, parts: &[usize]) -> serde_json::Value {
    let stretches = timeline::played_out(tune);
    let parts = parts.iter().map(|part| part_entry(tune, *part, &stretches)).collect();
    let dynamics = stretches.iter().flat_map(dynamics).collect();
    value(Document { title: &tune.title, parts, dynamics })
}

fn dynamics<'a>(stretch: &Stretch<'a>) -> impl Iterator<Item = DynamicEntry> + use<'a> {
    let at = stretch.at;
    stretch.section.dynamics.iter().map(move |mark| DynamicEntry {
        at: (at + mark.start).to_string(),
        is: match mark.change {
            DynamicChange::Mark(dynamic) => dynamic.word(),
            DynamicChange::Growing => "<",
            DynamicChange::Falling => ">",
        },
    })
}

fn part_entry<'a>(tune: &'a Tune, part: usize, stretches: &[Stretch<'a>]) -> PartEntry<'a> {
    let of = &tune.parts[part];
    let (on, percussion) = match of.player {
        Player::Pans { kind, .. } => (kind.name(), false),
        Player::Percussion { instrument, .. } => (instrument.name(), true),
    };
    let notes = timeline::notes(tune, part, stretches).iter().map(note_entry).collect();
    PartEntry { name: &of.name, on, percussion, notes }
}

fn note_entry(held: &Held) -> NoteEntry {
    let (notes, mark) = match &held.event.struck {
        Struck::Notes(notes) => (Some(notes.iter().map(|note| held.key.spell(note.pitch).to_string()).collect()), None),
        Struck::Mark(mark) => (None, Some(mark.to_char())),
    };
    NoteEntry {
        at: held.at.to_string(),
        length: held.length().to_string(),
        notes,
        mark,
        accent: held.event.accent,
        damped: held.event.damped,
        rolled: held.rolled,
    }
}

//! A fit as edits of the tune's text: only the cells that change, and columns that stay where there is room. Patterns, strums and harmony
//! lines stay what they are.

use std::collections::{BTreeMap, BTreeSet};

use super::octaves::Octave;
use super::plan::{KeyFit, PartFit};
use super::transpose::chord_up;
use crate::music::{Key, Pitch, Tone};
use crate::text::{Edit, Span};
use crate::tune::Tune;
use crate::tune::model::{Open, Struck};

/// The new text at a place; `None` once two strokes that are written there want different notes.
type New = BTreeMap<Span, Option<String>>;

/// The edits that write a fit into the tune: the notes that move, the octaves that were open, and in another key all notes,
/// chords and keys. A degree that is one note in one bar and another note in the next (`%` under another chord) stays a degree.
pub fn edits(tune: &Tune<Open>, fitted: &KeyFit) -> Vec<Edit> {
    edits_of(tune, &fitted.parts, fitted.semitones)
}

/// The same for some parts, some semitones away.
pub fn edits_of(tune: &Tune<Open>, parts: &[PartFit], semitones: i32) -> Vec<Edit> {
    let mut new = New::new();
    if semitones != 0 {
        transpose(tune, semitones, &mut new);
    }
    let mut placed_twice = BTreeSet::new();
    for part in parts {
        for (placed, moved) in part.strokes() {
            let Some((top, low)) = moved else { continue };
            let key = tune.sections[placed.place.0].key.up(semitones);
            let written = placed.written;
            let mut put = |span: Span, pitch: Pitch, octaves: i32, octave: Octave, tone: Option<Tone>| {
                if octaves == 0 && semitones == 0 && octave != Octave::Open {
                    return;
                }
                let Some(moved) = pitch.up(semitones + 12 * octaves) else { return };
                let text = spelled(tune, span, moved, octaves, key, semitones, tone);
                if placed_twice.insert(span) {
                    new.insert(span, Some(text));
                } else if new.get(&span) != Some(&Some(text)) {
                    new.insert(span, None);
                }
            };
            put(placed.spans.0, written.top, top, written.octaves.0, placed.tones.0);
            if let (Some(span), Some(pitch)) = (placed.spans.1, written.low) {
                put(span, pitch, low, written.octaves.1, placed.tones.1);
            }
        }
    }
    let changed = new.into_iter().filter_map(|(span, text)| Some((span, text?)));
    let changed = changed.filter(|(span, text)| tune.source.slice(*span) != text);
    changed.map(|(span, text)| padded(tune, span, text)).collect()
}

/// A moved note's text: in the key written its own name with another octave, in another key the key's name for it. Signs
/// after it stay.
fn spelled(
    tune: &Tune<Open>,
    span: Span,
    pitch: Pitch,
    octaves: i32,
    key: Key,
    semitones: i32,
    tone: Option<Tone>,
) -> String {
    let written = tune.source.slice(span);
    let note = written.trim_end_matches(['>', '\'', 'L', 'R']);
    let signs = &written[note.len()..];
    if let Some(tone) = tone.filter(|_| semitones == 0) {
        return format!("{tone}{}{signs}", octave_of(pitch, tone));
    }
    let letters = note.trim_end_matches(|c: char| c.is_ascii_digit() || c == '-');
    let octave = note[letters.len()..].parse::<i32>().ok();
    match octave.filter(|_| semitones == 0) {
        Some(octave) => format!("{letters}{}{signs}", octave + octaves),
        None => format!("{}{signs}", key.spell(pitch)),
    }
}

/// The octave number that a pitch has under a name: B#3 sounds as C4.
fn octave_of(pitch: Pitch, tone: Tone) -> i32 {
    (i32::from(pitch.key()) - tone.letter.semitones() - i32::from(tone.alter)).div_euclid(12) - 1
}

/// Every note of a pan, every chord and every key, some semitones away.
fn transpose(tune: &Tune<Open>, semitones: i32, new: &mut New) {
    for section in &tune.sections {
        let key = section.key.up(semitones);
        for event in section.rows.iter().flatten().flat_map(|row| &row.events) {
            let Struck::Notes(notes) = &event.struck else { continue };
            for note in notes {
                let signs = signs(tune.source.slice(note.span));
                let text = match note.pitch {
                    Open::Pitch(pitch) => pitch.up(semitones).map(|pitch| format!("{}{signs}", key.spell(pitch))),
                    // A degree is the same in every key.
                    Open::Tone { tone, degree: None } => {
                        Some(format!("{}{signs}", key.spell_class(tone.class().up(semitones))))
                    }
                    Open::Tone { .. } | Open::Strum | Open::Harmony { .. } => None,
                };
                new.extend(text.map(|text| (note.span, Some(text))));
            }
        }
        for at in &section.chords {
            if let Some(chord) = at.chord {
                new.insert(at.span, Some(chord_up(chord, semitones, key).to_string()));
            }
        }
    }
    for (span, key) in &tune.keys {
        new.insert(*span, Some(key.up(semitones).to_string()));
    }
}

fn signs(written: &str) -> &str {
    &written[written.trim_end_matches(['>', '\'', 'L', 'R']).len()..]
}

/// An edit that takes as much room as what it replaces, if spaces follow that can be used or given.
fn padded(tune: &Tune<Open>, span: Span, text: String) -> Edit {
    let (old, new) = (tune.source.slice(span).chars().count(), text.chars().count());
    let after = &tune.source.text()[span.end as usize..];
    let spaces = after.bytes().take_while(|byte| *byte == b' ').count();
    if new < old && spaces > 0 {
        return Edit::new(span, format!("{text}{}", " ".repeat(old - new)));
    }
    let used = (new - old.min(new)).min(spaces.saturating_sub(1));
    Edit::new(Span { end: span.end + used as u32, ..span }, text)
}

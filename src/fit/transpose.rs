//! A tune in another key, with the octaves that were found for it; what it left open is still open.

use super::part_fit::PartFit;
use crate::music::{Chord, Key, Pitch};
use crate::tune::Tune;
use crate::tune::model::{Event, Note, Open, Row, Section, Struck};

/// A chord some semitones away, spelled as the key spells.
pub(crate) fn chord_up(mut chord: Chord, semitones: i32, key: Key) -> Chord {
    if semitones != 0 {
        chord.root = key.spell_class(chord.root.class().up(semitones));
        chord.bass = chord.bass.map(|bass| key.spell_class(bass.class().up(semitones)));
    }
    chord
}

/// The tune with every key, chord and note `semitones` away and every stroke of `parts` in the octave that was found for it.
pub fn fitted_tune(tune: &Tune<Open>, semitones: i32, parts: &[PartFit]) -> Tune<Open> {
    let mut fitted = tune.clone();
    fitted.key = tune.key.up(semitones);
    fitted.keys.iter_mut().for_each(|(_, key)| *key = key.up(semitones));
    for section in &mut fitted.sections {
        section.key = section.key.up(semitones);
        for at in &mut section.chords {
            at.chord = at.chord.map(|chord| chord_up(chord, semitones, section.key));
        }
        let key = section.key;
        for event in section.rows.iter_mut().flatten().flat_map(|row| &mut row.events) {
            let Struck::Notes(notes) = &mut event.struck else { continue };
            notes.iter_mut().for_each(|note| note.pitch = note_up(note.pitch, semitones, key));
        }
    }
    for part in parts {
        for (number, section) in fitted.sections.iter_mut().enumerate() {
            let Some(row) = section.rows[part.part].as_mut() else { continue };
            for (event, stroke) in row.events.iter_mut().enumerate() {
                put(part, (number, event), stroke, semitones);
            }
        }
    }
    double(&mut fitted.sections);
    fitted
}

fn note_up(note: Open, semitones: i32, key: Key) -> Open {
    if semitones == 0 {
        return note;
    }
    match note {
        Open::Pitch(pitch) => Open::Pitch(pitch.up(semitones).unwrap_or(pitch)),
        Open::Tone { tone, degree } => Open::Tone { tone: key.spell_class(tone.class().up(semitones)), degree },
        Open::Strum | Open::Harmony { .. } => note,
    }
}

/// Moves a stroke to where the fit has it.
fn put(part: &PartFit, event: (usize, usize), stroke: &mut Event<Open>, semitones: i32) {
    let Some((number, first_on_top)) = part.line.events.get(&event) else { return };
    let Some((top, low)) = part.moved[*number] else { return };
    let written = part.line.strokes[*number].written;
    let moved = |pitch: Pitch, octaves: i32| pitch.up(semitones + 12 * octaves);
    let top = moved(written.top, top);
    let low = written.low.and_then(|pitch| moved(pitch, low));
    let order = if *first_on_top { [top, low] } else { [low, top] };
    let Struck::Notes(notes) = &mut stroke.struck else { return };
    let pitches = order.into_iter().flatten();
    for (note, pitch) in notes.iter_mut().zip(pitches) {
        *note = Note { pitch: Open::Pitch(pitch), ..*note };
    }
}

/// Parts that double another move with it.
fn double(sections: &mut [Section<Open>]) {
    for section in sections {
        for part in 0..section.rows.len() {
            let Some(doubled) = section.rows[part].as_ref().and_then(|row| row.doubles) else { continue };
            let events = section.rows[doubled].as_ref().map(|row: &Row<Open>| row.events.clone());
            if let (Some(row), Some(events)) = (section.rows[part].as_mut(), events) {
                row.events = events;
            }
        }
    }
}

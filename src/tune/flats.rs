//! Degrees that look like notes: `b4` in a row of note names is the flat fourth of the chord, and may have been meant as B4. Only `b1` to
//! `b5` are asked about, since pans have B1 to B5; `♭4` is always the degree.

use std::collections::BTreeSet;
use std::sync::Arc;

use super::findings::NOTE_OR_DEGREE;
use super::model::{ChordAt, Event, Open, Struck, entry_at};
use crate::music::{Chord, Length, Tone};
use crate::notation::capitals::note_like;
use crate::notation::tree::{Bar, BarContent, Cell, Notes, Slot, Slots, Strike, Written};
use crate::text::{Edit, Finding, Source, Span};

/// What the degrees 1 to 5 are in words.
const DEGREES: [&str; 5] = ["root", "second", "third", "fourth", "fifth"];

/// Whether a degree with a flat may have been meant as a note in these bars: they have note names, or no degree that can't be a note
/// as well.
pub fn is_doubtful<'a>(bars: impl Iterator<Item = &'a Bar<Cell>>, source: &Source) -> bool {
    let mut degrees = false;
    for (written, span) in bars.flat_map(written) {
        match written {
            Written::Note(_) | Written::Tone(_) => return true,
            Written::Degree(_) => degrees |= note_like(stem(source.slice(span))).is_none(),
            Written::Mark(_) => {}
        }
    }
    !degrees
}

/// What the strokes of a bar strike, and where.
fn written(bar: &Bar<Cell>) -> Vec<(Written, Span)> {
    let BarContent::Cells(cells) = &bar.content else { return Vec::new() };
    let mut all = Vec::with_capacity(cells.len());
    for cell in cells {
        match &cell.slots {
            Slots::One(slot) => all.extend(struck(slot, cell.span)),
            Slots::Many(slots) => all.extend(slots.iter().flat_map(|slot| struck(&slot.value, slot.span))),
        }
    }
    all
}

fn struck(slot: &Slot, span: Span) -> Vec<(Written, Span)> {
    let Slot::Strike(Strike { notes, .. }) = slot else { return Vec::new() };
    match notes {
        Notes::One(written) => vec![(*written, span)],
        Notes::Together(all) => all.iter().map(|written| (written.value, written.span)).collect(),
    }
}

/// What is written without its stick, accent and damping.
fn stem(text: &str) -> &str {
    text.trim_end_matches(['>', '\'', 'L', 'R'])
}

/// A degree that may be a note, with all its places in the row.
struct Doubt<'a> {
    /// As written, for example `b4`.
    degree: &'a str,
    /// The note that it looks like.
    note: String,
    /// Its places.
    spans: BTreeSet<Span>,
    /// The first chord that it is a degree of.
    chord: Option<Chord>,
    /// What it is there; `None` once it is another tone elsewhere.
    tone: Option<Tone>,
}

/// A finding for each degree of a doubtful row that looks like a note.
pub fn asked(events: &[Event<Open>], chords: &[ChordAt], source: &Arc<Source>, part: &str) -> Vec<Finding> {
    let mut doubts: Vec<Doubt> = Vec::new();
    for event in events {
        let Struck::Notes(notes) = &event.struck else { continue };
        for note in notes {
            if let Open::Tone { tone, degree: Some(_) } = note.pitch {
                doubt(&mut doubts, source, note.span, tone, chord_at(chords, event.start));
            }
        }
    }
    doubts.iter().map(|doubt| told(doubt, source, part)).collect()
}

fn chord_at(chords: &[ChordAt], time: Length) -> Option<Chord> {
    entry_at(chords, time).and_then(|at| at.chord)
}

fn doubt<'a>(doubts: &mut Vec<Doubt<'a>>, source: &'a Source, span: Span, tone: Tone, chord: Option<Chord>) {
    let degree = stem(source.slice(span));
    let Some(note) = note_like(degree) else { return };
    match doubts.iter_mut().find(|doubt| doubt.degree == degree) {
        Some(doubt) => {
            doubt.spans.insert(span);
            doubt.tone = doubt.tone.filter(|other| *other == tone);
        }
        None => doubts.push(Doubt { degree, note, spans: BTreeSet::from([span]), chord, tone: Some(tone) }),
    }
}

fn told(doubt: &Doubt, source: &Arc<Source>, part: &str) -> Finding {
    let Doubt { degree, note, spans, chord, tone } = doubt;
    let digits = degree.trim_start_matches('b');
    let number = digits.parse::<usize>().unwrap_or(1).clamp(1, DEGREES.len());
    let sign = if degree.len() - digits.len() > 1 { "double-flat" } else { "flat" };
    let flat = format!("{sign} {}", DEGREES[number - 1]);
    let of = chord.map_or_else(|| "the chord".to_owned(), |chord| format!("`{chord}`"));
    let spans: Vec<Span> = spans.iter().copied().collect();
    let message = format!("is `{degree}` the note {note}, or the {flat} of {of}?");
    let finding = Finding::warning(&NOTE_OR_DEGREE, message).more(source, &spans).part(part);
    let finding = finding.help(format!("write `{note}` for the note: note letters are capitals"));
    let finding = match tone {
        Some(tone) => finding.help(format!("write `{tone}` for the {flat}, in the octave that suits best")),
        None => finding.help(format!("write the notes of this row as degrees too if `{degree}` is the {flat}")),
    };
    match spans.as_slice() {
        [span] => {
            let end = span.start + degree.len() as u32;
            finding.edit(Edit::new(Span { end, ..*span }, note.clone()))
        }
        _ => finding,
    }
}

//! A whole tune fitted: every part's least octave moves, in the key written or in another, and the edits that make them.

use std::collections::BTreeMap;

use super::costs::{Cost, Costs};
use super::line::{Placed, lines};
use super::octaves::{Moved, Terms, Written, fit_each};
use crate::music::{Key, Pitch};
use crate::text::{Edit, Span};
use crate::tune::Tune;

/// What is fitted of a tune.
#[derive(Clone, Copy, Debug, Default)]
pub struct Options {
    /// Only this part.
    pub part: Option<usize>,
    /// Only this section; what comes before and after stays, and is not looked at.
    pub section: Option<usize>,
    /// How many semitones higher the tune is to sound.
    pub semitones: i32,
    /// What changes cost.
    pub costs: Costs,
}

/// A part fitted.
#[derive(Clone, Debug)]
pub struct PartFit {
    /// The part's number.
    pub part: usize,
    /// Its strokes as written.
    pub line: Vec<Placed>,
    /// By how many octaves each moves, after the change of key.
    pub moved: Vec<Moved>,
    /// What it costs.
    pub terms: Terms,
}

impl PartFit {
    /// How many notes move, by the octaves that they move.
    pub fn moves(&self) -> BTreeMap<i32, usize> {
        let mut moves = BTreeMap::new();
        for (placed, moved) in self.line.iter().zip(&self.moved) {
            let Some((top, low)) = moved else { continue };
            let low = placed.written.low.map(|_| *low);
            for octaves in [Some(*top), low].into_iter().flatten().filter(|octaves| *octaves != 0) {
                *moves.entry(octaves).or_insert(0) += 1;
            }
        }
        moves
    }

    /// The strokes with a note that no octave puts on the pans.
    pub fn missing(&self) -> impl Iterator<Item = &Placed> {
        self.line.iter().zip(&self.moved).filter(|(_, moved)| moved.is_none()).map(|(placed, _)| placed)
    }
}

/// Fits every part of a tune, or one of them.
pub fn fit(tune: &Tune, options: &Options) -> Vec<PartFit> {
    let chosen = lines(tune).into_iter().filter(|(part, _)| options.part.is_none_or(|only| only == *part));
    chosen.map(|(part, line)| fit_part(part, line, options)).collect()
}

fn fit_part(part: usize, mut line: Vec<Placed>, options: &Options) -> PartFit {
    if let Some(only) = options.section {
        line.retain(|placed| placed.place.0 == only);
    }
    // A note beyond MIDI's keys can't be written; no band comes near them.
    let shifted: Vec<Written> =
        line.iter().map(|placed| placed.written.up(options.semitones).unwrap_or(placed.written)).collect();
    let fitted = fit_each(&shifted, |number| line[number].set, &options.costs);
    PartFit { part, line, moved: fitted.moved, terms: fitted.terms }
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
    /// What they cost together, with the price of the change of key.
    pub cost: Cost,
}

/// How far a tune may be moved to find its key: half an octave either way reaches every key.
pub const FAR: i32 = 6;

/// Every key from [`FAR`] semitones below to as many above, the cheapest first; of equals the nearest, then the lower.
pub fn keys(tune: &Tune, options: &Options) -> Vec<KeyFit> {
    let mut keys: Vec<KeyFit> = (-FAR..=FAR).map(|semitones| in_key(tune, semitones, options)).collect();
    keys.sort_by_key(|key| (key.cost, key.semitones.abs(), key.semitones));
    keys
}

/// A tune fitted in another key.
pub fn in_key(tune: &Tune, semitones: i32, options: &Options) -> KeyFit {
    let parts = fit(tune, &Options { semitones, ..*options });
    let cost =
        parts.iter().map(|part| part.terms.total()).sum::<Cost>() + options.costs.rekey * Cost::from(semitones.abs());
    let key = if semitones == 0 { tune.key } else { tune.key.up(semitones) };
    KeyFit { semitones, key, parts, cost }
}

/// The edits that write a fit into the tune: only the notes that move, and in another key all notes, chords and keys. The
/// columns are kept where there is room for it.
pub fn edits(tune: &Tune, fitted: &KeyFit) -> Vec<Edit> {
    let mut new: BTreeMap<Span, String> = BTreeMap::new();
    if fitted.semitones != 0 {
        transpose(tune, fitted.semitones, &mut new);
    }
    for part in &fitted.parts {
        for (placed, moved) in part.line.iter().zip(&part.moved) {
            let Some((top, low)) = *moved else { continue };
            let key = tune.sections[placed.place.0].key;
            let key = if fitted.semitones == 0 { key } else { key.up(fitted.semitones) };
            let mut put = |span: Span, pitch: Pitch, octaves: i32| {
                if octaves != 0 || fitted.semitones != 0 {
                    let moved = pitch.up(fitted.semitones + 12 * octaves);
                    new.extend(moved.map(|moved| (span, spelled(tune, span, moved, octaves, key, fitted.semitones))));
                }
            };
            put(placed.spans.0, placed.written.top, top);
            if let (Some(span), Some(pitch)) = (placed.spans.1, placed.written.low) {
                put(span, pitch, low);
            }
        }
    }
    let changed = new.into_iter().filter(|(span, text)| tune.source.slice(*span) != text);
    changed.map(|(span, text)| padded(tune, span, text)).collect()
}

/// A moved note's text: in the key written its own name with another octave, in another key the key's name for it. Signs
/// after it stay.
fn spelled(tune: &Tune, span: Span, pitch: Pitch, octaves: i32, key: Key, semitones: i32) -> String {
    let written = tune.source.slice(span);
    let note = written.trim_end_matches(['!', '\'']);
    let signs = &written[note.len()..];
    let letters = note.trim_end_matches(|c: char| c.is_ascii_digit() || c == '-');
    let octave = note[letters.len()..].parse::<i32>().ok();
    match octave.filter(|_| semitones == 0) {
        Some(octave) => format!("{letters}{}{signs}", octave + octaves),
        None => format!("{}{signs}", key.spell(pitch)),
    }
}

/// Every note of a pan, every chord and every key, some semitones away.
fn transpose(tune: &Tune, semitones: i32, new: &mut BTreeMap<Span, String>) {
    use crate::tune::model::Struck;
    for section in &tune.sections {
        let key = section.key.up(semitones);
        for event in section.rows.iter().flatten().flat_map(|row| &row.events) {
            let Struck::Notes(notes) = &event.struck else { continue };
            for note in notes {
                let moved = note.pitch.up(semitones);
                new.extend(moved.map(|pitch| (note.span, spelled(tune, note.span, pitch, 0, key, semitones))));
            }
        }
        for at in &section.chords {
            if let Some(mut chord) = at.chord {
                chord.root = key.spell_class(chord.root.class().up(semitones));
                chord.bass = chord.bass.map(|bass| key.spell_class(bass.class().up(semitones)));
                new.insert(at.span, chord.to_string());
            }
        }
    }
    for (span, key) in &tune.keys {
        new.insert(*span, key.up(semitones).to_string());
    }
}

/// An edit that takes as much room as what it replaces, if spaces follow that can be used or given.
fn padded(tune: &Tune, span: Span, text: String) -> Edit {
    let (old, new) = (tune.source.slice(span).chars().count(), text.chars().count());
    let after = &tune.source.text()[span.end as usize..];
    let spaces = after.bytes().take_while(|byte| *byte == b' ').count();
    if new < old && spaces > 0 {
        return Edit::new(span, format!("{text}{}", " ".repeat(old - new)));
    }
    let used = (new - old.min(new)).min(spaces.saturating_sub(1));
    Edit::new(Span { end: span.end + used as u32, ..span }, text)
}

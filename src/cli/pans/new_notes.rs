//! The notes of a drum as somebody types them: with their octaves in any order, or rising from the lowest without.

use super::answer::{Wrong, wrong};
use crate::cli::kinds::WRONG_ANSWER;
use crate::music::pitch::{NoteNameError, split_tone};
use crate::music::{Cents, NoteName, Pitch, Tone};
use crate::pan::face::NoteArea;
use crate::pan::findings::NOTE_TWICE;
use crate::pan::{Pan, PanKind, fields, layouts};
use crate::text::Finding;
use crate::text::span::range_of;

/// The octaves that a pan's lowest note may lie in: those of all known pans, E1 to F#6, with one to spare on either side.
const OCTAVES: std::ops::RangeInclusive<i8> = 0..=7;

/// The notes of a drum as far as they were given.
pub enum Said {
    /// With their octaves.
    Notes(Vec<NoteArea>),
    /// Without: each is the next of its name above the one before.
    Rising(Vec<Tone>),
}

/// Reads the notes of a drum; there may be commas between them, and the letters may be small. `before` are those of other drums.
pub fn said(line: &str, before: &[NoteArea]) -> Result<Said, Wrong> {
    let words: Vec<&str> = line.split([' ', '\t', ',', ';']).filter(|word| !word.is_empty()).collect();
    let Some((first, others)) = words.split_first() else {
        let finding = Finding::error(&WRONG_ANSWER, "a drum has at least one note");
        return Err(wrong(finding.help("for example `C#3 E3 Bb3`; C4 is middle C"), line));
    };
    let tones: Option<Vec<Tone>> = others.iter().map(|word| tone(word)).collect();
    match (tone(first), note(first), tones) {
        (Some(first), _, Some(tones)) => Ok(Said::Rising([vec![first], tones].concat())),
        (None, Ok(lowest), Some(tones)) if !tones.is_empty() => {
            let names = rising(lowest, &tones).ok_or_else(|| too_high(line))?;
            areas(line, names.into_iter().map(|name| (name, 0..line.len())), before).map(Said::Notes)
        }
        _ => with_octaves(line, &words, before).map(Said::Notes),
    }
}

fn with_octaves(line: &str, words: &[&str], before: &[NoteArea]) -> Result<Vec<NoteArea>, Wrong> {
    let mut names = Vec::with_capacity(words.len());
    for word in words {
        let at = range_of(line, word);
        let name = note(word).map_err(|finding| Wrong { finding, at: at.clone() })?;
        names.push((name, at));
    }
    areas(line, names.into_iter(), before)
}

/// The notes as they lie on a pan whose places are not known, unless one is there twice.
fn areas(
    line: &str,
    names: impl Iterator<Item = (NoteName, std::ops::Range<usize>)>,
    before: &[NoteArea],
) -> Result<Vec<NoteArea>, Wrong> {
    let mut notes: Vec<NoteArea> = Vec::new();
    for (name, at) in names {
        let pitch = name.pitch().ok_or_else(|| too_high(line))?;
        let there = |other: &&NoteArea| other.pitch == pitch;
        if let Some(other) = notes.iter().find(there).or_else(|| before.iter().find(there)) {
            let twice = match other.name == name {
                true => format!("`{name}` is there twice"),
                false => format!("`{name}` is the same note as `{}`", other.name),
            };
            let finding =
                Finding::error(&NOTE_TWICE, twice).help("leave one out, or see whether an octave is mistyped");
            return Err(Wrong { finding: Box::new(finding), at });
        }
        notes.push(NoteArea { name, pitch, ring: None, angle: None, cents: Cents(0.0) });
    }
    Ok(notes)
}

/// The notes of tones that rise from an octave, unless one is there twice.
pub fn from_octave(tones: &[Tone], octave: i8, before: &[NoteArea], line: &str) -> Result<Vec<NoteArea>, Wrong> {
    let names = rising(NoteName { tone: tones[0], octave }, &tones[1..]).ok_or_else(|| too_high(line))?;
    areas(line, names.into_iter().map(|name| (name, 0..line.len())), before)
}

/// A note, and each of the tones as the next of its name above the one before; `None` beyond the highest key.
fn rising(lowest: NoteName, tones: &[Tone]) -> Option<Vec<NoteName>> {
    let mut names = vec![lowest];
    let mut last = lowest.pitch()?;
    for tone in tones {
        let above = (-1..=9).map(|octave| NoteName { tone: *tone, octave });
        let next =
            above.filter(|name| name.pitch().is_some_and(|pitch| pitch > last)).min_by_key(|name| name.pitch())?;
        last = next.pitch()?;
        names.push(next);
    }
    Some(names)
}

/// The only octave from which the tones rise over notes of one drum of a layout of the kind, and that layout.
///
/// - `drum`: the number of the drum, from 0, of how many.
pub fn octave(tones: &[Tone], kind: PanKind, drum: (usize, usize)) -> Option<(i8, &'static Pan)> {
    let of_kind = layouts::layouts().iter().filter(|layout| layout.kind == kind && layout.drums.len() == drum.1);
    let mut found: Vec<(i8, &Pan)> = Vec::new();
    for layout in of_kind {
        for octave in OCTAVES {
            let Some(names) = rising(NoteName { tone: tones[0], octave }, &tones[1..]) else { continue };
            let has = |pitch: Pitch| layout.drums[drum.0].notes.iter().any(|note| note.pitch == pitch);
            if names.iter().all(|name| name.pitch().is_some_and(has)) && found.iter().all(|(other, _)| *other != octave)
            {
                found.push((octave, layout));
            }
        }
    }
    found.pop().filter(|_| found.is_empty())
}

/// The octave that somebody gives for a note: `4`, or the note itself.
pub fn octave_said(tone: Tone, line: &str) -> Result<i8, Wrong> {
    let named = note(line).ok().filter(|name| name.tone == tone).map(|name| name.octave);
    named.or_else(|| line.parse().ok()).filter(|octave| OCTAVES.contains(octave)).ok_or_else(|| {
        let (low, high) = (OCTAVES.start(), OCTAVES.end());
        let message = format!("an octave is a number from {low} to {high}, found `{line}`");
        wrong(
            Finding::error(&WRONG_ANSWER, message).help(format!("middle C is C4: for example `4` or `{tone}4`")),
            line,
        )
    })
}

/// What to say where nobody can be asked for the octave.
pub fn no_octave(tones: &[Tone], line: &str) -> Wrong {
    let finding = Finding::error(&WRONG_ANSWER, "these notes have no octaves");
    let few: Vec<String> = tones.iter().skip(1).take(3).map(Tone::to_string).collect();
    let example = format!("{}4 {}", tones[0], few.join(" "));
    wrong(
        finding.help(format!(
            "write the octave of the lowest, and the others rise from it: `{} …`; C4 is middle C",
            example.trim_end()
        )),
        line,
    )
}

fn too_high(line: &str) -> Wrong {
    let finding = Finding::error(&WRONG_ANSWER, "these notes rise beyond what can be played");
    wrong(
        finding
            .help("without octaves each note is the next one above that before it: list them rising, or with octaves"),
        line,
    )
}

/// A note without its octave.
fn tone(word: &str) -> Option<Tone> {
    let word = upper(word);
    match word.parse::<NoteName>() {
        Err(NoteNameError::NoOctave) => split_tone(&word).ok().map(|(tone, _)| tone),
        _ => None,
    }
}

fn note(word: &str) -> Result<NoteName, Box<Finding>> {
    fields::note(&upper(word))
}

fn upper(word: &str) -> String {
    let mut letters = word.chars();
    let first = letters.next().map(|c| c.to_ascii_uppercase());
    first.into_iter().chain(letters).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(notes: &[NoteArea]) -> String {
        notes.iter().map(|note| note.name.to_string()).collect::<Vec<_>>().join(" ")
    }

    fn tones(line: &str) -> Vec<Tone> {
        match said(line, &[]).ok().expect("notes") {
            Said::Rising(tones) => tones,
            Said::Notes(notes) => panic!("{}", names(&notes)),
        }
    }

    #[test]
    fn notes_without_octaves_rise() {
        let from = |line: &str, octave: i8| names(&from_octave(&tones(line), octave, &[], line).ok().expect("notes"));
        assert_eq!(from("C D E F# G C", 4), "C4 D4 E4 F#4 G4 C5");
        assert_eq!(from("f#, bb, d", 3), "F#3 Bb3 D4");
        assert_eq!(from("B Cb C", 3), "B3 Cb5 C5");
        let Ok(Said::Notes(notes)) = said("C4 D E C D", &[]) else { panic!("notes") };
        assert_eq!(names(&notes), "C4 D4 E4 C5 D5");
        // One octave left out among others is a slip, and no note is made of it.
        assert!(said("F#4 D4 G C5", &[]).is_err());
        assert!(said("C4 D E H", &[]).is_err());
    }

    #[test]
    fn a_layout_says_the_octave_when_only_one_fits() {
        let of = |line: &str, kind: PanKind, drum| {
            octave(&tones(line), kind, drum).map(|(octave, pan)| (octave, pan.name.as_str()))
        };
        assert_eq!(of("C D E F# G", PanKind::Lead, (0, 1)), None);
        assert_eq!(of("C D E F G A B C D E F G A", PanKind::Lead, (0, 1)), Some((4, "lead-c")));
        assert_eq!(of("C D", PanKind::Lead, (0, 2)), None);
        assert_eq!(octave_said(Tone::new(crate::music::Letter::C, 0), "C4").ok(), Some(4));
        assert_eq!(octave_said(Tone::new(crate::music::Letter::C, 0), "3").ok(), Some(3));
        assert!(octave_said(Tone::new(crate::music::Letter::C, 0), "D4").is_err());
        assert!(octave_said(Tone::new(crate::music::Letter::C, 0), "-1").is_err());
    }
}

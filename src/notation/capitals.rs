//! Rows whose note letters are small: one finding for the whole line, in which `b4` is a note like its neighbours.

use std::sync::Arc;

use super::cell;
use super::findings::WRONG_CELL;
use super::tree::{Bar, BarContent, Cell, Slot, Slots};
use crate::music::NoteName;
use crate::music::pitch::split_tone;
use crate::text::{Edit, Finding, Source, Span};

/// The octaves in which some pan may have a B or a Bb: pans lie between E1 and F#6 (the built-in layouts).
const OCTAVES_OF_B: std::ops::RangeInclusive<u8> = 1..=5;

/// How many cells a finding lists.
const SHOWN: usize = 8;

/// A cell whose only fault is small letters.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Small {
    /// Where it is.
    pub span: Span,
    /// The cell in capitals.
    pub better: String,
}

/// `g4` as `G4`, `g` as `G`; `None` for anything but a note in small letters.
pub(crate) fn upper_case(stem: &str) -> Option<String> {
    let mut letters = stem.chars();
    let first = letters.next().filter(char::is_ascii_lowercase)?;
    let better = format!("{}{}", first.to_ascii_uppercase(), letters.as_str());
    let is_tone = split_tone(&better).is_ok_and(|(_, rest)| rest.is_empty());
    (is_tone || better.parse::<NoteName>().is_ok()).then_some(better)
}

/// The note that a degree with a flat or two looks like: `B4` for `b4`, `Bb4` for `bb4`, if a pan may have it.
pub fn note_like(degree: &str) -> Option<String> {
    let rest = degree.strip_prefix('b')?;
    let octave = rest.strip_prefix('b').unwrap_or(rest).parse::<u8>().ok()?;
    OCTAVES_OF_B.contains(&octave).then(|| format!("B{rest}"))
}

/// A cell with the letters of all its notes as capitals; `None` if that is not a valid cell, or changes nothing.
pub fn capitals(text: &str) -> Option<String> {
    let better: String = text.split_inclusive(['/', '+']).map(piece).collect();
    (better != text && cell::cell(&better, 0).is_some()).then_some(better)
}

/// A note with what follows it.
fn piece(piece: &str) -> String {
    let stem = piece.trim_end_matches(['/', '+', '>', '\'', 'L', 'R']);
    upper_case(stem).map_or_else(|| piece.to_owned(), |better| better + &piece[stem.len()..])
}

/// Adds the degrees of a line that look like notes to the cells in small letters: among `g4 a4 d5` a `b4` is a note.
pub(crate) fn take_flats(source: &Source, bars: &mut [Bar<Cell>], small: &mut Vec<Small>) {
    let bars = bars.iter_mut().filter_map(|bar| match &mut bar.content {
        BarContent::Cells(cells) => Some(cells),
        _ => None,
    });
    for cell in bars.flatten() {
        let text = source.slice(cell.span);
        let stems = text.split(['/', '+']).map(|piece| piece.trim_end_matches(['>', '\'', 'L', 'R']));
        let is_broken = matches!(cell.slots, Slots::One(Slot::Broken));
        if is_broken || !stems.into_iter().any(|stem| note_like(stem).is_some()) {
            continue;
        }
        if let Some(better) = capitals(text) {
            small.push(Small { span: cell.span, better });
            cell.slots = Slots::One(Slot::Broken);
        }
    }
    small.sort_by_key(|small| small.span);
}

/// The finding for the cells of a line that are in small letters: at least one, in order.
pub fn told(source: &Arc<Source>, small: &[Small]) -> Finding {
    let found: Vec<&str> = small.iter().map(|small| source.slice(small.span)).collect();
    let together = small.len() <= SHOWN
        && small.windows(2).all(|two| {
            source.slice(Span { start: two[0].span.end, end: two[1].span.start }).chars().all(char::is_whitespace)
        });
    let (found, help) = if together {
        let better: Vec<&str> = small.iter().map(|small| small.better.as_str()).collect();
        (found.join(" "), format!("write `{}`", better.join(" ")))
    } else {
        each(small, &found)
    };
    let message = format!("note letters are capitals, not `{found}`");
    let spans: Vec<Span> = small.iter().map(|small| small.span).collect();
    Finding::error(&WRONG_CELL, message).more(source, &spans).help(help).edit(edit(source, small))
}

/// Each different note once, and what to write instead; with other cells between them they can't be typed in one go.
fn each(small: &[Small], found: &[&str]) -> (String, String) {
    let mut told: Vec<(&str, &str)> = Vec::new();
    for (small, found) in small.iter().zip(found) {
        if !told.iter().any(|(other, _)| other == found) {
            told.push((found, &small.better));
        }
    }
    let shown = &told[..told.len().min(SHOWN)];
    let found: Vec<&str> = shown.iter().map(|(found, _)| *found).collect();
    let better: Vec<String> = shown.iter().map(|(found, better)| format!("`{better}` for `{found}`")).collect();
    let (found, better) = (found.join("`, `"), better.join(", "));
    match told.len() > shown.len() {
        true => (found, format!("write {better}, and so on")),
        false => (found, format!("write {better}")),
    }
}

/// One change that puts all of them right, from the first to the last.
fn edit(source: &Source, small: &[Small]) -> Edit {
    let whole = small[0].span.to(small[small.len() - 1].span);
    let mut text = String::with_capacity(whole.len());
    let mut at = whole.start as usize;
    for one in small {
        text.push_str(source.slice(Span::new(at, one.span.start as usize)));
        text.push_str(&one.better);
        at = one.span.end as usize;
    }
    Edit::new(whole, text)
}

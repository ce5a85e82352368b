//! Letters and notes in percussion's rows and patterns, where only strokes can be: reported once a line.

use super::cells::Trouble;
use super::findings::WRONG_STROKE;
use super::model::{Part, Player};
use crate::notation::cell::cell;
use crate::notation::tree::{Bar, BarContent, Cell, Mark, Slot, Slots};
use crate::text::{Finding, Source, Span, words};

/// How many cells a finding lists.
const SHOWN: usize = 6;

/// The cells of some bars that begin with a letter or a number and are no cells.
pub fn letters<'b>(bars: impl Iterator<Item = &'b Bar<Cell>>, source: &Source) -> Vec<Span> {
    let cells = bars.filter_map(|bar| match &bar.content {
        BarContent::Cells(cells) => Some(cells),
        _ => None,
    });
    let broken = cells.flatten().filter(|cell| matches!(cell.slots, Slots::One(Slot::Broken)));
    let is_letter = |span: &Span| {
        let text = source.slice(*span);
        text.starts_with(char::is_alphanumeric) && cell(text, 0).is_none()
    };
    broken.map(|cell| cell.span).filter(is_letter).collect()
}

/// The places of a row or pattern that hold no stroke of percussion, in order, each once.
pub fn wrong(letters: Vec<Span>, trouble: &[Trouble]) -> Vec<Span> {
    let wrong = trouble.iter().filter(|trouble| is_wrong(**trouble)).map(|trouble| trouble.span());
    let mut all: Vec<Span> = letters.into_iter().chain(wrong).collect();
    all.sort_unstable();
    all.dedup();
    all
}

/// Whether a stroke can't be played on percussion, or not on this instrument.
pub fn is_wrong(trouble: Trouble) -> bool {
    matches!(trouble, Trouble::NoteOnPercussion(_) | Trouble::MarkNotAllowed(..))
}

/// The finding for such places of a line, at least one; `who`: the row or pattern that has these cells.
pub fn finding(who: &str, part: &Part, spans: &[Span], source: &std::sync::Arc<Source>) -> Finding {
    let mut found: Vec<String> = Vec::new();
    for span in spans {
        let text = format!("`{}`", source.slice(*span));
        if !found.contains(&text) {
            found.push(text);
        }
    }
    let more = found.len().saturating_sub(SHOWN);
    found.truncate(SHOWN);
    if more > 0 {
        found.push(format!("{more} more"));
    }
    let message = format!("{who} can have only percussion strokes, not {}", words::and(&found));
    Finding::error(&WRONG_STROKE, message).more(source, spans).help(strokes_of(part)).part(&part.name)
}

/// What a part's cells may hold, for sentences.
pub fn strokes_of(part: &Part) -> String {
    match &part.player {
        Player::Pans { .. } => {
            "write a note such as `G4`, or just `G`, or the chord's `5`; where there are chords, `x` strums".to_owned()
        }
        Player::Percussion { instrument, .. } => {
            let marks = instrument.marks().iter().map(|mark| match mark {
                Mark::Stroke => "`x`, `X`".to_owned(),
                mark => format!("`{}`", mark.to_char()),
            });
            format!("write what `{}` plays: {}", part.on, marks.collect::<Vec<_>>().join(", "))
        }
    }
}

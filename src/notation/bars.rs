//! The bars of a row: text between bar lines, cut into cells.

use std::sync::Arc;

use super::findings::{TOO_MANY, WRONG_BAR, WRONG_CHORD, WRONG_DYNAMIC};
use super::limits::{MAX_BARS, MAX_CELLS, MAX_SLOTS, MAX_TOGETHER};
use super::tree::{Bar, BarContent, Cell, ChordCell, ChordCellKind, DynamicCell, DynamicCellKind, Slot, Slots};
use super::{capitals, cell, wrong_cell};
use crate::music::force::Dynamic;
use crate::music::{Chord, chord};
use crate::text::{Edit, Finding, Source, Span, Spanned, words};

/// Reads bars and collects findings.
pub struct Reader<'a> {
    /// The text.
    pub source: &'a Arc<Source>,
    /// What was not right.
    pub findings: &'a mut Vec<Finding>,
}

impl Reader<'_> {
    /// The stretches between the bar lines of `span`, which begins with a `|`, without white space at both ends.
    fn stretches(&mut self, span: Span) -> Vec<Span> {
        let text = self.source.slice(span);
        let mut stretches = Vec::new();
        let mut start = span.start as usize + 1;
        let base = span.start as usize;
        let lines = text.match_indices('|').map(|(at, _)| base + at).skip(1);
        for line in lines {
            if stretches.len() == MAX_BARS {
                let message = format!("a line of a row has at most {MAX_BARS} bars");
                let finding = Finding::error(&TOO_MANY, message).at(self.source, Span::new(line, line + 1));
                self.findings.push(finding.help("go on in a second line with the same name"));
                return stretches;
            }
            stretches.push(trimmed(self.source, start, line));
            start = line + 1;
        }
        let rest = trimmed(self.source, start, span.end as usize);
        if !rest.is_empty() || stretches.is_empty() {
            let end = rest.end as usize;
            self.findings.push(
                Finding::error(&WRONG_BAR, "the last bar has no bar line after it")
                    .at(self.source, Span::new(end, end))
                    .label("expected `|` here")
                    .help("end the row with `|`"),
            );
            if !rest.is_empty() {
                stretches.push(rest);
            }
        }
        stretches
    }

    fn bars<C>(&mut self, span: Span, again: bool, mut one: impl FnMut(&mut Self, Span) -> Option<C>) -> Vec<Bar<C>> {
        let stretches = self.stretches(span);
        let mut bars = Vec::with_capacity(stretches.len());
        for span in stretches {
            let (meant, cells) = meant(self.source, span);
            let text = self.source.slice(cells);
            let content = if let (true, Some(meant)) = (text.is_empty(), &meant) {
                let message = format!("`{}:` says how many cells the bar has, and none is there", meant.value);
                let finding = Finding::error(&WRONG_BAR, message).at(self.source, meant.span);
                self.findings.push(finding.help("write the cells after it, as in `| 3: C5 D5 E5 |`"));
                BarContent::Broken
            } else if text.is_empty() {
                self.findings.push(
                    Finding::error(&WRONG_BAR, "there is nothing between these bar lines")
                        .at(self.source, Span::new(span.start as usize, span.start as usize))
                        .help("write `.` for a bar of rest, or take one bar line out"),
                );
                BarContent::Broken
            } else if text == "%" && again && meant.is_none() {
                BarContent::Again
            } else {
                self.cells(cells, meant.as_ref(), &mut one)
            };
            bars.push(Bar { span, meant, content });
        }
        bars
    }

    /// The cells of a bar; `meant` is how many it says to have, if it does.
    fn cells<C>(
        &mut self,
        span: Span,
        meant: Option<&Spanned<usize>>,
        one: &mut impl FnMut(&mut Self, Span) -> Option<C>,
    ) -> BarContent<C> {
        let source = Arc::clone(self.source);
        let text = source.slice(span);
        if text.split_whitespace().nth(MAX_CELLS).is_some() {
            let count = text.split_whitespace().count();
            let message = format!("a bar has at most {MAX_CELLS} cells, found {count}");
            let finding = Finding::error(&TOO_MANY, message).at(&source, span);
            self.findings.push(finding.help("see whether a bar line is missing"));
            return BarContent::Broken;
        }
        if let Some(meant) = meant.filter(|_| text != "%") {
            self.findings.extend(miscounted(meant, text.split_whitespace().count(), &source));
        }
        let base = span.start as usize;
        let mut cells = Vec::new();
        for word in text.split_whitespace() {
            let start = base + (word.as_ptr() as usize - text.as_ptr() as usize);
            cells.extend(one(self, Span::new(start, start + word.len())));
        }
        BarContent::Cells(cells)
    }

    /// The bars of a part's row or of a pattern.
    pub fn cell_bars(&mut self, span: Span) -> Vec<Bar<Cell>> {
        let mut small = Vec::new();
        let mut bars = self.bars(span, true, |reader, span| Some(reader.cell(span, &mut small)));
        if !small.is_empty() {
            capitals::take_flats(self.source, &mut bars, &mut small);
            self.findings.push(capitals::told(self.source, &small));
        }
        bars
    }

    /// A cell; what is only written in small letters goes to `small`, to be told together.
    fn cell(&mut self, span: Span, small: &mut Vec<capitals::Small>) -> Cell {
        let text = self.source.slice(span);
        let broken = Cell { span, slots: Slots::One(Slot::Broken) };
        let finding = match cell::cell(text, span.start as usize) {
            Some(cell) => match too_many(&cell) {
                None => return cell,
                Some(message) => Finding::error(&TOO_MANY, message),
            },
            None => match capitals::capitals(text) {
                Some(better) => {
                    small.push(capitals::Small { span, better });
                    return broken;
                }
                None => wrong_cell::explain(text, span),
            },
        };
        self.findings.push(finding.at(self.source, span));
        broken
    }

    /// The bars of a row `chords`.
    pub fn chord_bars(&mut self, span: Span) -> Vec<Bar<ChordCell>> {
        self.bars(span, true, |reader, span| {
            let text = reader.source.slice(span);
            let kind = match text {
                "-" => ChordCellKind::Hold,
                "N.C." | "NC" => ChordCellKind::None,
                _ => text.parse().map_or_else(
                    |error| {
                        reader.findings.push(wrong_chord(text, error).at(reader.source, span));
                        ChordCellKind::Broken
                    },
                    ChordCellKind::Chord,
                ),
            };
            Some(ChordCell { span, kind })
        })
    }

    /// The bars of a row `dynamics`.
    pub fn dynamic_bars(&mut self, span: Span) -> Vec<Bar<DynamicCell>> {
        self.bars(span, true, |reader, span| {
            let kind = match reader.source.slice(span) {
                "-" => DynamicCellKind::Hold,
                "<" => DynamicCellKind::Growing,
                ">" => DynamicCellKind::Falling,
                word => match Dynamic::from_word(word) {
                    Some(mark) => DynamicCellKind::Mark(mark),
                    None => {
                        let finding = Finding::error(&WRONG_DYNAMIC, format!("`{word}` is no dynamic mark"));
                        let finding = finding.at(reader.source, span);
                        let near = words::nearest(word, Dynamic::ALL.iter().map(|mark| mark.word()));
                        reader.findings.push(match near.filter(|_| word.is_ascii()) {
                            Some(near) => finding.help(format!("did you mean `{near}`?")),
                            None => finding.help("the marks are `pp p mp mf f ff`, `<`, `>` and `-`"),
                        });
                        DynamicCellKind::Broken
                    }
                },
            };
            Some(DynamicCell { span, kind })
        })
    }

    /// The texts of a row `words`, one a bar; they may be empty.
    pub fn word_bars(&mut self, span: Span) -> Vec<Spanned<String>> {
        let stretches = self.stretches(span);
        stretches.into_iter().map(|span| Spanned::new(self.source.slice(span).to_owned(), span)).collect()
    }
}

/// `7:` at the head of a bar, and what stands after it.
fn meant(source: &Source, span: Span) -> (Option<Spanned<usize>>, Span) {
    let text = source.slice(span);
    let digits = text.len() - text.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    let count = text[..digits].parse().ok().filter(|_| text[digits..].starts_with(':'));
    let Some(count) = count else { return (None, span) };
    let end = span.start as usize + digits + 1;
    let meant = Spanned::new(count, Span::new(span.start as usize, end));
    (Some(meant), trimmed(source, end, span.end as usize))
}

/// A finding for a bar that has another number of cells than it says.
fn miscounted(meant: &Spanned<usize>, cells: usize, source: &Arc<Source>) -> Option<Finding> {
    let said = meant.value;
    if said == cells {
        return None;
    }
    let finding = Finding::error(&WRONG_BAR, format!("`{said}:` means {said} cells, and this bar has {cells}"));
    let rest = if said > cells { "add what is missing" } else { "take out what is too many" };
    let help = format!("write `{cells}:` if {cells} are meant, or {rest}");
    Some(finding.at(source, meant.span).help(help).edit(Edit::new(meant.span, format!("{cells}:"))))
}

/// The span from `start` to `end` without white space at both ends.
fn trimmed(source: &Source, start: usize, end: usize) -> Span {
    let text = source.slice(Span::new(start, end));
    let left = text.len() - text.trim_start().len();
    let start = (start + left).min(end);
    Span::new(start, start + text.trim().len())
}

fn too_many(cell: &Cell) -> Option<String> {
    let slots: &[Spanned<Slot>] = match &cell.slots {
        Slots::One(slot) => return together(slot),
        Slots::Many(slots) => slots,
    };
    if slots.len() > MAX_SLOTS {
        return Some(format!("at most {MAX_SLOTS} strokes share a cell, found {}", slots.len()));
    }
    slots.iter().find_map(|slot| together(&slot.value))
}

fn together(slot: &Slot) -> Option<String> {
    match slot {
        Slot::Strike(strike) => match &strike.notes {
            super::tree::Notes::Together(notes) if notes.len() > MAX_TOGETHER => {
                Some(format!("at most {MAX_TOGETHER} notes are struck together, found {}", notes.len()))
            }
            _ => None,
        },
        _ => None,
    }
}

fn wrong_chord(text: &str, error: chord::ChordError) -> Finding {
    let finding = Finding::error(&WRONG_CHORD, format!("`{text}` is no chord symbol: {error}"));
    let upper = text.chars().next().map(|first| first.to_ascii_uppercase().to_string() + &text[first.len_utf8()..]);
    if let Some(upper) = upper.filter(|upper| upper != text && upper.parse::<Chord>().is_ok()) {
        return finding.help(format!("did you mean `{upper}`?"));
    }
    match error {
        chord::ChordError::Kind(kind) => {
            let known = chord::KINDS.iter().flat_map(|kind| kind.suffixes.iter().copied()).filter(|s| !s.is_empty());
            match words::nearest(&kind, known) {
                Some(near) => finding.help(format!("did you mean `{}`?", text.replacen(&kind, near, 1))),
                None => finding.help("chords look like `G`, `Em`, `D7`, `Cmaj7`, `F#m7b5`, `G/B`"),
            }
        }
        _ => finding.help("chords look like `G`, `Em`, `D7`, `Cmaj7`, `F#m7b5`, `G/B`; `N.C.` is no chord"),
    }
}

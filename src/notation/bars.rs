//! The bars of a row: text between bar lines, cut into cells.

use std::sync::Arc;

use super::findings::{TOO_MANY, WRONG_BAR, WRONG_DYNAMIC};
use super::limits::{MAX_BARS, MAX_CELLS, MAX_SLOTS, MAX_TEXT, MAX_TOGETHER};
use super::tree::{Bar, BarContent, Cell, ChordCell, ChordCellKind, DynamicCell, DynamicCellKind, Slot, Slots};
use super::{capitals, cell, wrong_cell, wrong_chord};
use crate::music::force::Dynamic;
use crate::text::{Edit, Finding, Source, Span, Spanned, words};

/// Words for loudness as people say or print them, and the mark for each (any handbook).
const SPOKEN: [(&str, &str); 16] = [
    ("forte", "f"),
    ("piano", "p"),
    ("fortissimo", "ff"),
    ("pianissimo", "pp"),
    ("mezzoforte", "mf"),
    ("mezzopiano", "mp"),
    ("loud", "f"),
    ("soft", "p"),
    ("fff", "ff"),
    ("ppp", "pp"),
    ("cresc", "<"),
    ("crescendo", "<"),
    ("decresc", ">"),
    ("decrescendo", ">"),
    ("dim", ">"),
    ("diminuendo", ">"),
];

/// Reads bars and collects findings.
pub struct Reader<'a> {
    /// The text.
    pub source: &'a Arc<Source>,
    /// What was wrong.
    pub findings: &'a mut Vec<Finding>,
}

impl Reader<'_> {
    /// The stretches between the bar lines of `span`, which begins with a `|`, without white space at both ends.
    ///
    /// - `words`: whether a bar may be empty, so that two bar lines may touch.
    fn stretches(&mut self, span: Span, words: bool) -> Vec<Span> {
        let text = self.source.slice(span);
        let mut stretches = Vec::new();
        let mut start = span.start as usize + 1;
        let base = span.start as usize;
        let mut doubled = false;
        let lines = text.match_indices('|').map(|(at, _)| base + at).skip(1);
        for line in lines {
            if !words && line == start {
                self.double(&mut doubled, line);
                start = line + 1;
                continue;
            }
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
        if !rest.is_empty() || stretches.is_empty() && !doubled {
            if is_times(self.source.slice(rest)) {
                let message = "how often a section is played goes in the form, not after its bars";
                let finding = Finding::error(&WRONG_BAR, message).at(self.source, rest);
                self.findings.push(finding.help("write `form verse x2`, or `| % |` for the bar before again"));
                return stretches;
            }
            let end = rest.end as usize;
            let finding = Finding::error(&WRONG_BAR, "the last bar has no bar line after it")
                .at(self.source, Span::new(end, end))
                .label("`|` goes here");
            let line = self.source.line_span(self.source.line_of(span.start));
            let comment = self.source.slice(Span { start: span.end, end: line.end.max(span.end) });
            // What is kept back for a comment has bar lines, so that it hardly is one.
            self.findings.push(if comment.trim_start().starts_with('#') && comment.contains('|') {
                finding.help("a `#` after a space begins a comment: write a sharp after its letter (`F#4`), or as `♯`")
            } else {
                finding.help("end the row with `|`")
            });
            if !rest.is_empty() {
                stretches.push(rest);
            }
        }
        stretches
    }

    /// Reports bar lines that touch, once a line.
    fn double(&mut self, told: &mut bool, line: usize) {
        if !std::mem::replace(told, true) {
            let finding = Finding::error(&WRONG_BAR, "two bar lines touch each other");
            let finding = finding.at(self.source, Span::new(line - 1, line + 1));
            self.findings.push(finding.help("a bar line is one `|`; a bar of rest is `| . |`"));
        }
    }

    /// The bars of a line of a row; `one` reads a cell, and `rest` is how a bar with nothing new in it is written.
    ///
    /// - `of_notes`: whether a `+` joins what is on both sides of it into one cell, with or without spaces.
    fn bars<C>(
        &mut self,
        span: Span,
        rest: &str,
        of_notes: bool,
        mut one: impl FnMut(&mut Self, Span) -> Option<C>,
    ) -> Vec<Bar<C>> {
        let stretches = self.stretches(span, false);
        let mut bars = Vec::with_capacity(stretches.len());
        for span in stretches {
            let (meant, cells) = meant(self.source, span);
            let text = self.source.slice(cells);
            let content = if let (true, Some(meant)) = (text.is_empty(), &meant) {
                let message = format!("`{}:` says how many cells the bar has, but there are none", meant.value);
                let finding = Finding::error(&WRONG_BAR, message).at(self.source, meant.span);
                self.findings.push(finding.help("write the cells after it, as in `| 3: C5 D5 E5 |`"));
                BarContent::Broken
            } else if text.is_empty() {
                self.findings.push(
                    Finding::error(&WRONG_BAR, "there is nothing between these bar lines")
                        .at(self.source, Span::new(span.start as usize, span.start as usize))
                        .help(format!("write {rest}, or take one bar line out")),
                );
                BarContent::Broken
            } else if text == "%" && meant.is_none() {
                BarContent::Again
            } else {
                self.cells(cells, meant.as_ref(), of_notes, &mut one)
            };
            bars.push(Bar { span, meant, content });
        }
        bars
    }

    /// The cells of a bar; `meant` is the number that the bar gives itself, if it does (`7:`).
    fn cells<C>(
        &mut self,
        span: Span,
        meant: Option<&Spanned<usize>>,
        of_notes: bool,
        one: &mut impl FnMut(&mut Self, Span) -> Option<C>,
    ) -> BarContent<C> {
        let source = Arc::clone(self.source);
        let text = source.slice(span);
        if text.split_whitespace().nth(MAX_CELLS).is_some() {
            let count = text.split_whitespace().count();
            let message = format!("a bar can have {MAX_CELLS} cells at most, and this one has {count}");
            let finding = Finding::error(&TOO_MANY, message).at(&source, span);
            self.findings.push(finding.help("see whether a bar line is missing"));
            return BarContent::Broken;
        }
        if let Some(meant) = meant.filter(|_| text != "%") {
            self.findings.extend(miscounted(meant, text.split_whitespace().count(), &source));
        }
        let cells = cell_spans(&source, span, of_notes).into_iter().filter_map(|span| one(self, span)).collect();
        BarContent::Cells(cells)
    }

    /// The bars of a part's row or of a pattern.
    pub fn cell_bars(&mut self, span: Span) -> Vec<Bar<Cell>> {
        let mut small = Vec::new();
        let rest = "`.` for a bar of rest";
        let mut bars = self.bars(span, rest, true, |reader, span| Some(reader.cell(span, &mut small)));
        if !small.is_empty() {
            capitals::take_flats(self.source, &mut bars, &mut small);
            self.findings.push(capitals::told(self.source, &small));
        }
        bars
    }

    /// A cell; one whose only fault is small letters goes to `small`, so that one finding reports them all.
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
        self.bars(span, "`-` for a bar of the same chord", false, |reader, span| {
            let text = reader.source.slice(span);
            let kind = match text {
                "-" => ChordCellKind::Hold,
                "N.C." | "NC" => ChordCellKind::None,
                _ => text.parse().map_or_else(
                    |error| {
                        let before = before(reader.source, span);
                        reader.findings.push(wrong_chord::explain(text, &error, before).at(reader.source, span));
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
        self.bars(span, "`-` for a bar without a mark", false, |reader, span| {
            let kind = match reader.source.slice(span) {
                "-" => DynamicCellKind::Hold,
                "<" => DynamicCellKind::Growing,
                ">" => DynamicCellKind::Falling,
                word => match Dynamic::from_word(word) {
                    Some(mark) => DynamicCellKind::Mark(mark),
                    None => {
                        let finding = Finding::error(&WRONG_DYNAMIC, format!("`{word}` is not a dynamic mark"));
                        let finding = finding.at(reader.source, span);
                        let spoken =
                            SPOKEN.iter().find(|(spoken, _)| *spoken == word.to_lowercase().trim_end_matches('.'));
                        let near = words::nearest(word, Dynamic::ALL.iter().map(|mark| mark.word()));
                        let near = spoken.map(|(_, mark)| *mark).or(near.filter(|_| word.is_ascii()));
                        reader.findings.push(match near {
                            Some(near) => finding.help(format!("did you mean `{near}`?")),
                            None => finding.help("use one of `pp p mp mf f ff`, `<`, `>` and `-`"),
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
        let stretches = self.stretches(span, true);
        let is_long = |span: &&Span| self.source.slice(**span).chars().nth(MAX_TEXT).is_some();
        if let Some(long) = stretches.iter().find(is_long) {
            let message = format!("the words over a bar have at most {MAX_TEXT} letters");
            let finding = Finding::error(&TOO_MANY, message).at(self.source, *long);
            self.findings.push(finding.help("make them shorter, or share them out among the bars"));
        }
        let text = |span: Span| self.source.slice(span).chars().take(MAX_TEXT).collect();
        stretches.into_iter().map(|span| Spanned::new(text(span), span)).collect()
    }
}

/// The cells of a bar: its words, or several of them with a `+` between.
fn cell_spans(source: &Source, bar: Span, of_notes: bool) -> Vec<Span> {
    let mut spans: Vec<Span> = Vec::new();
    let mut open = false;
    for word in source.slice(bar).split_whitespace() {
        let span = source.span_of(word);
        let joins = of_notes && (open || word.starts_with('+'));
        match spans.last_mut().filter(|_| joins) {
            Some(last) => last.end = span.end,
            None => spans.push(span),
        }
        open = word.ends_with('+');
    }
    spans
}

/// `7:` at the start of a bar, and the text after it.
fn meant(source: &Source, span: Span) -> (Option<Spanned<usize>>, Span) {
    let text = source.slice(span);
    let digits = text.len() - text.trim_start_matches(|c: char| c.is_ascii_digit()).len();
    let count = text[..digits].parse().ok().filter(|_| text[digits..].starts_with(':'));
    let Some(count) = count else { return (None, span) };
    let end = span.start as usize + digits + 1;
    let meant = Spanned::new(count, Span::new(span.start as usize, end));
    (Some(meant), trimmed(source, end, span.end as usize))
}

/// A finding for a bar that has fewer or more cells than it says.
fn miscounted(meant: &Spanned<usize>, cells: usize, source: &Arc<Source>) -> Option<Finding> {
    let said = meant.value;
    if said == cells {
        return None;
    }
    let finding = Finding::error(&WRONG_BAR, format!("`{said}:` means {said} cells, and this bar has {cells}"));
    let rest = if said > cells { "add what is missing" } else { "take out what is too many" };
    let help = format!("write `{cells}:` if you want {cells}, or {rest}");
    Some(finding.at(source, meant.span).help(help).edit(Edit::new(meant.span, format!("{cells}:"))))
}

/// `x2` and the like.
fn is_times(text: &str) -> bool {
    let number = text.strip_prefix('x').or_else(|| text.strip_suffix('x'));
    number.is_some_and(|number| !number.is_empty() && number.bytes().all(|byte| byte.is_ascii_digit()))
}

/// The cell before another one in the same bar; empty when it is the first.
fn before(source: &Source, span: Span) -> &str {
    let line = source.line_span(source.line_of(span.start));
    let text = source.slice(Span { start: line.start, end: span.start });
    let bar = text.rsplit('|').next().unwrap_or_default();
    bar.split_whitespace().next_back().unwrap_or_default()
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
        return Some(format!("at most {MAX_SLOTS} strokes can share a cell, and this one has {}", slots.len()));
    }
    slots.iter().find_map(|slot| together(&slot.value))
}

fn together(slot: &Slot) -> Option<String> {
    match slot {
        Slot::Strike(strike) => match &strike.notes {
            super::tree::Notes::Together(notes) if notes.len() > MAX_TOGETHER => {
                Some(format!("at most {MAX_TOGETHER} notes can be struck together, and these are {}", notes.len()))
            }
            _ => None,
        },
        _ => None,
    }
}

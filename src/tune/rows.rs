//! What each part plays in a section: cells counted out, patterns played, parts doubled.

use super::cells::{Allowed, Counter, Trouble};
use super::findings::{CIRCULAR_WITH, NOTHING_TO_HOLD, UNKNOWN_PART, UNKNOWN_PATTERN, WRONG_INSTRUCTION, WRONG_STROKE};
use super::marks::{Grid, nothing_to_repeat};
use super::model::{Event, Part, Player, Row, Struck};
use super::section::{Written, WrittenBody};
use crate::music::Meter;
use crate::notation::tree::{Instruction, Mark, PatternLine};
use crate::text::{Finding, Span, Spanned, words};

/// What the rows of a section are resolved with.
pub struct Rows<'a> {
    /// The tune's parts.
    pub parts: &'a [Part],
    /// The tune's patterns.
    pub patterns: &'a [&'a PatternLine],
    /// The section.
    pub section: &'a Written<'a>,
    /// The section's meter.
    pub meter: Meter,
    /// The section's bars.
    pub grid: Grid<'a>,
}

/// How far a row has come.
#[derive(Clone)]
enum State {
    Waiting,
    /// Its `with` is being followed.
    Following,
    Done(Option<Row>),
}

impl Rows<'_> {
    /// A row for each part, by the part's number.
    pub fn resolve(&self, findings: &mut Vec<Finding>) -> Vec<Option<Row>> {
        let mut states = vec![State::Waiting; self.parts.len()];
        for part in 0..self.parts.len() {
            self.settle(part, &mut states, findings);
        }
        let done = |state| match state {
            State::Done(row) => row,
            State::Waiting | State::Following => None,
        };
        states.into_iter().map(done).collect()
    }

    /// Settles a part's row, and before it the rows that it plays `with`.
    ///
    /// The chain is walked in a loop, since a file may chain as many parts as it likes.
    fn settle(&self, part: usize, states: &mut [State], findings: &mut Vec<Finding>) {
        let mut chain = Vec::new();
        let mut now = part;
        let mut row = loop {
            match &states[now] {
                State::Done(row) => break row.clone(),
                State::Following => {
                    findings.push(self.circle(&chain, now));
                    break None;
                }
                State::Waiting => {}
            }
            let Some((name, other)) = self.doubled(now, findings) else {
                let row = self.own(now, findings);
                states[now] = State::Done(row.clone());
                break row;
            };
            states[now] = State::Following;
            chain.push((now, name));
            now = other;
        };
        for (part, name) in chain.into_iter().rev() {
            row = row.and_then(|row| self.copied(part, name, row, findings));
            states[part] = State::Done(row.clone());
        }
    }

    /// The part that a part plays `with`, and where that is written.
    fn doubled(&self, part: usize, findings: &mut Vec<Finding>) -> Option<(&Spanned<String>, usize)> {
        let WrittenBody::Instruction(Spanned { value: Instruction::With(name), .. }) =
            &self.section.rows[part].as_ref()?.body
        else {
            return None;
        };
        let other = self.parts.iter().position(|part| part.name == name.value);
        if other.is_none() {
            let finding = Finding::error(&UNKNOWN_PART, format!("there is no part `{}` to play with", name.value))
                .at(self.grid.source, name.span)
                .part(&self.parts[part].name);
            let near = words::nearest(&name.value, self.parts.iter().map(|part| part.name.as_str()));
            findings.push(match near {
                Some(near) => finding.help(format!("did you mean `{near}`?")),
                None => finding.help("name a part of this tune"),
            });
        }
        other.map(|other| (name, other))
    }

    /// A finding for parts that play `with` each other in a circle; `again` is where the circle closes.
    fn circle(&self, chain: &[(usize, &Spanned<String>)], again: usize) -> Finding {
        let start = chain.iter().position(|(part, _)| *part == again).unwrap_or(0);
        let names: Vec<String> =
            chain[start..].iter().map(|(part, _)| format!("`{}`", self.parts[*part].name)).collect();
        let message = match names.as_slice() {
            [one] => format!("{one} can't play with itself"),
            names => format!("{} play with each other in a circle", words::and(names)),
        };
        let (_, last) = chain.last().expect("a circle has a link");
        Finding::error(&CIRCULAR_WITH, message)
            .at(self.grid.source, last.span)
            .part(&self.parts[again].name)
            .help("write cells for one of them")
    }

    /// A row taken over from another part, if this part can play it.
    fn copied(&self, part: usize, name: &Spanned<String>, row: Row, findings: &mut Vec<Finding>) -> Option<Row> {
        let fits = |event: &Event| match (&event.struck, &self.parts[part].player) {
            (Struck::Notes(_), Player::Pans { .. }) => true,
            (Struck::Mark(mark), Player::Percussion { instrument, .. }) => instrument.marks().contains(mark),
            _ => false,
        };
        if row.events.iter().all(fits) {
            let span = self.section.rows[part].as_ref().map_or(row.span, |row| row.name.span);
            return Some(Row { span, ..row });
        }
        let what = player(&self.parts[part].player);
        let message = format!("`{}` on {what} can't play what `{}` plays", self.parts[part].name, name.value);
        let finding = Finding::error(&WRONG_INSTRUCTION, message).at(self.grid.source, name.span);
        findings.push(finding.part(&self.parts[part].name).help("double a part of the same sort, or write cells"));
        None
    }

    /// A row that does not depend on another part.
    fn own(&self, part: usize, findings: &mut Vec<Finding>) -> Option<Row> {
        let written = self.section.rows[part].as_ref()?;
        let mut counter = Counter::new(self.allowed(part), self.meter, written.name.span);
        match &written.body {
            WrittenBody::Cells(bars) => {
                counter.bars(bars.iter().copied(), self.grid.starts, self.grid.end);
                findings.extend(counter.trouble.iter().map(|trouble| self.told(part, *trouble)));
            }
            WrittenBody::Instruction(instruction) => match &instruction.value {
                Instruction::Play(name) => self.play(part, name, &mut counter, findings)?,
                Instruction::With(_) | Instruction::Rest | Instruction::Broken => return None,
            },
        }
        Some(Row { span: written.name.span, carry: counter.carry, events: counter.events })
    }

    /// Plays a pattern again and again, to the end of the section.
    fn play(
        &self,
        part: usize,
        name: &Spanned<String>,
        counter: &mut Counter,
        findings: &mut Vec<Finding>,
    ) -> Option<()> {
        let finding = |kind, message| Finding::error(kind, message).at(self.grid.source, name.span);
        let of = &self.parts[part];
        let Some(pattern) = self.patterns.iter().find(|pattern| pattern.name.value == name.value) else {
            let finding = finding(&UNKNOWN_PATTERN, format!("there is no pattern `{}`", name.value)).part(&of.name);
            let known = self.patterns.iter().map(|pattern| pattern.name.value.as_str());
            findings.push(match words::nearest(&name.value, known) {
                Some(near) => finding.help(format!("did you mean `{near}`?")),
                None => finding.help(format!("write one before the sections: `pattern {} | x . x . |`", name.value)),
            });
            return None;
        };
        counter.bars(pattern.bars.iter().cycle(), self.grid.starts, self.grid.end);
        let wrong = counter.trouble.iter().any(|trouble| {
            matches!(trouble, Trouble::MarkOnPan(..) | Trouble::NoteOnPercussion(_) | Trouble::MarkNotAllowed(..))
        });
        if wrong {
            let what = player(&of.player);
            let message = format!("`{}` on {what} can't play the pattern `{}`", of.name, name.value);
            let line = self.grid.source.position(pattern.name.span.start).line;
            let help = format!("the pattern is on line {line}; {}", strokes_of(&of.player));
            findings.push(finding(&WRONG_INSTRUCTION, message).part(&of.name).help(help));
            return None;
        }
        let rest = counter.trouble.iter().copied();
        let mut told: Vec<Span> = Vec::new();
        for trouble in rest {
            if !told.contains(&trouble.span()) {
                told.push(trouble.span());
                findings.push(self.told(part, trouble));
            }
        }
        Some(())
    }

    fn allowed(&self, part: usize) -> Allowed<'static> {
        match &self.parts[part].player {
            Player::Pans { .. } => Allowed::Notes,
            Player::Percussion { instrument, .. } => Allowed::Marks(instrument.marks()),
        }
    }

    /// The finding for something that is not right with a cell.
    fn told(&self, part: usize, trouble: Trouble) -> Finding {
        let Part { name, player: on, .. } = &self.parts[part];
        let what = player(on);
        let wrong = |message: String, span: Span| {
            Finding::error(&WRONG_STROKE, message).at(self.grid.source, span).part(name).help(strokes_of(on))
        };
        match trouble {
            Trouble::NothingToRepeat(span) => nothing_to_repeat(self.grid.source, span).part(name),
            Trouble::NothingToHold(span) => {
                let mark = self.grid.source.slice(span);
                let message = format!("there is no note before this `{mark}` that could go on");
                let finding = Finding::error(&NOTHING_TO_HOLD, message).at(self.grid.source, span).part(name);
                finding.help("write `.` for no stroke, or strike a note before it")
            }
            Trouble::MarkOnPan(mark, span) => {
                wrong(format!("`{}` is a percussion stroke, and `{name}` plays {what}", mark.to_char()), span)
            }
            Trouble::NoteOnPercussion(span) => {
                wrong(format!("`{}` is a note, and `{name}` plays {what}", self.grid.source.slice(span)), span)
            }
            Trouble::MarkNotAllowed(mark, span) => wrong(format!("{what} has no stroke `{}`", mark.to_char()), span),
            Trouble::MarksTogether(span) => {
                let message = format!("`{}`: {what} takes one stroke at a time", self.grid.source.slice(span));
                Finding::error(&WRONG_STROKE, message)
                    .at(self.grid.source, span)
                    .part(name)
                    .help("write one after the other with `/`, or give the second to a part of its own")
            }
        }
    }
}

/// What a part is played on, for sentences.
fn player(player: &Player) -> String {
    match player {
        Player::Pans { kind, .. } => format!("`{kind}`"),
        Player::Percussion { instrument, .. } => format!("`{instrument}`"),
    }
}

/// What a player's cells may hold, for sentences.
fn strokes_of(player: &Player) -> String {
    match player {
        Player::Pans { .. } => "a pan plays notes such as `G4`".to_owned(),
        Player::Percussion { instrument, .. } => {
            let marks = instrument.marks().iter().map(|mark| match mark {
                Mark::Stroke => "`x`, `X`".to_owned(),
                mark => format!("`{}`", mark.to_char()),
            });
            format!("`{instrument}` plays {}", marks.collect::<Vec<_>>().join(", "))
        }
    }
}

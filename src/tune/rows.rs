//! What each part plays in a section: cells counted out, patterns played, parts doubled, harmony lines that follow a part.

use super::cells::{Allowed, Counter, Harmony, Trouble};
use super::findings::{
    CIRCULAR_WITH, NO_CHORD, NOTHING_TO_HOLD, OTHER_METER, UNKNOWN_PART, UNKNOWN_PATTERN, WRONG_INSTRUCTION,
    WRONG_STROKE,
};
use super::flats;
use super::library::{self, LibraryPattern};
use super::marks::{Grid, nothing_to_repeat};
use super::model::{Event, Note, Open, Part, Player, Row, Side, Struck};
use super::patterns::{self, Found, Played};
use super::section::{Written, WrittenBody};
use super::slips::{self, Looked};
use super::strokes::{self, strokes_of};
use std::collections::BTreeMap;

use crate::music::Meter;
use crate::notation::capitals::note_like;
use crate::notation::findings::UNKNOWN_INSTRUCTION;
use crate::notation::tree::{Bar, BarContent, Cell, ChordCell, ChordCellKind, Instruction, PatternLine};
use crate::text::{Finding, Span, Spanned, words};

/// Everything that is needed to resolve the rows of a section.
pub struct Rows<'a> {
    /// The tune's parts.
    pub parts: &'a [Part],
    /// The tune's patterns.
    pub patterns: &'a [&'a PatternLine],
    /// The section.
    pub section: &'a Written<'a>,
    /// The section's meter.
    pub meter: Meter,
    /// Its chords and key.
    pub harmony: Harmony<'a>,
    /// The section's bars.
    pub grid: Grid<'a>,
    /// Where the tune's patterns are played.
    pub played: &'a BTreeMap<&'a str, Played>,
}

/// How far a row has come.
#[derive(Clone)]
enum State {
    Waiting,
    /// The part that it plays with, under or over is being looked up.
    Following,
    Done(Option<Row<Open>>),
}

/// How a row depends on another part's.
#[derive(Clone, Copy)]
enum Link {
    With,
    Harmony(Side),
}

/// A row that depends on another part's.
struct Hanging<'a> {
    /// The part whose row it is.
    part: usize,
    link: Link,
    /// The other part's name as it is written here, or this row's own where it stands for the other.
    name: &'a Spanned<String>,
    /// The other part.
    other: usize,
}

impl Rows<'_> {
    /// A row for each part, by the part's number.
    pub fn resolve(&self, findings: &mut Vec<Finding>) -> Vec<Option<Row<Open>>> {
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

    /// Settles a part's row, and before it the rows that it depends on.
    ///
    /// The chain is walked in a loop and not by recursion, since a file may chain as many parts as it likes.
    fn settle(&self, part: usize, states: &mut [State], findings: &mut Vec<Finding>) {
        let mut chain: Vec<Hanging> = Vec::new();
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
            let Some(hanging) = self.followed(now, findings) else {
                let row = self.own(now, findings);
                states[now] = State::Done(row.clone());
                break row;
            };
            states[now] = State::Following;
            now = hanging.other;
            chain.push(hanging);
        };
        for hanging in chain.into_iter().rev() {
            row = row.and_then(|row| match hanging.link {
                Link::With => self.copied(&hanging, row, findings),
                Link::Harmony(side) => self.harmony(&hanging, side, row, findings),
            });
            states[hanging.part] = State::Done(row.clone());
        }
    }

    /// The part that a part plays with, under or over, and where that is written.
    fn followed(&self, part: usize, findings: &mut Vec<Finding>) -> Option<Hanging<'_>> {
        let row = self.section.rows[part].as_ref()?;
        let instruction = match &row.body {
            WrittenBody::Instruction(instruction) => instruction,
            WrittenBody::AsPart(of) => return Some(Hanging { part, link: Link::With, name: row.name, other: *of }),
            WrittenBody::Cells(_) => return None,
        };
        let (link, verb, name) = match &instruction.value {
            Instruction::With(name) => (Link::With, "with", name),
            Instruction::Under(name) => (Link::Harmony(Side::Under), "under", name),
            Instruction::Over(name) => (Link::Harmony(Side::Over), "over", name),
            _ => return None,
        };
        let other = self.parts.iter().position(|part| part.name == name.value);
        if other.is_none() {
            let finding = Finding::error(&UNKNOWN_PART, format!("there is no part `{}` to play {verb}", name.value))
                .at(self.grid.source, name.span)
                .part(&self.parts[part].name);
            let near = words::nearest(&name.value, self.parts.iter().map(|part| part.name.as_str()));
            findings.push(match near {
                Some(near) => finding.help(format!("did you mean `{near}`?")),
                None => finding.help("name a part of this tune"),
            });
        }
        other.map(|other| Hanging { part, link, name, other })
    }

    /// A finding for parts that play `with` each other in a circle; `again` is where the circle closes.
    fn circle(&self, chain: &[Hanging], again: usize) -> Finding {
        let start = chain.iter().position(|hanging| hanging.part == again).unwrap_or(0);
        let name = |hanging: &Hanging| format!("`{}`", self.parts[hanging.part].name);
        let names: Vec<String> = chain[start..].iter().map(name).collect();
        let message = match names.as_slice() {
            [one] => format!("{one} can't double itself"),
            names => format!("{} double each other in a circle", words::and(names)),
        };
        let last = chain.last().expect("a circle has a link");
        Finding::error(&CIRCULAR_WITH, message)
            .at(self.grid.source, last.name.span)
            .part(&self.parts[again].name)
            .help("write cells for one of them")
    }

    /// A row copied from another part, if this part can play it.
    fn copied(&self, hanging: &Hanging, row: Row<Open>, findings: &mut Vec<Finding>) -> Option<Row<Open>> {
        let Hanging { part, name, other, .. } = *hanging;
        let fits = |event: &Event<Open>| match (&event.struck, &self.parts[part].player) {
            (Struck::Notes(_), Player::Pans { .. }) => true,
            (Struck::Mark(mark), Player::Percussion { instrument, .. }) => instrument.marks().contains(mark),
            _ => false,
        };
        if row.events.iter().all(fits) {
            let doubles = row.doubles.or(Some(other));
            return Some(Row { span: self.row_span(part, row.span), doubles, ..row });
        }
        let message = format!("can't play what `{}` plays", name.value);
        let finding = self.cannot(part, name, &message);
        findings.push(finding.help("double a part of the same sort, or write cells"));
        None
    }

    /// A harmony line that moves with another part.
    fn harmony(
        &self,
        hanging: &Hanging,
        side: Side,
        mut row: Row<Open>,
        findings: &mut Vec<Finding>,
    ) -> Option<Row<Open>> {
        let Hanging { part, name, other: of, .. } = *hanging;
        let pans = [part, of].map(|part| matches!(self.parts[part].player, Player::Pans { .. }));
        if pans != [true, true] {
            let side = if side == Side::Under { "under" } else { "over" };
            let message = format!("can't play a line {side} `{}`", name.value);
            let finding = self.cannot(part, name, &message);
            findings.push(finding.help("use it on a pan, under or over another pan's part"));
            return None;
        }
        for (event, stroke) in row.events.iter_mut().enumerate() {
            stroke.span = name.span;
            stroke.struck = Struck::Notes(vec![Note { pitch: Open::Harmony { of, event, side }, span: name.span }]);
        }
        Some(Row { span: self.row_span(part, row.span), doubles: None, ..row })
    }

    /// A finding for a part that can't follow an instruction.
    fn cannot(&self, part: usize, name: &Spanned<String>, what: &str) -> Finding {
        let Part { name: of, on, .. } = &self.parts[part];
        let message = format!("`{of}` on `{on}` {what}");
        Finding::error(&WRONG_INSTRUCTION, message).at(self.grid.source, name.span).part(&self.parts[part].name)
    }

    fn row_span(&self, part: usize, or: Span) -> Span {
        self.section.rows[part].as_ref().map_or(or, |row| row.name.span)
    }

    /// A row that does not depend on another part.
    fn own(&self, part: usize, findings: &mut Vec<Finding>) -> Option<Row<Open>> {
        let written = self.section.rows[part].as_ref()?;
        let mut allowed = self.allowed(part);
        if let (WrittenBody::Instruction(Spanned { value: Instruction::Play(_), .. }), Allowed::Notes { strum, .. }) =
            (&written.body, &mut allowed)
        {
            *strum = false;
        }
        // A pattern goes on through bars without a chord; a cell that asks for one there is a mistake.
        let rests = matches!(written.body, WrittenBody::Instruction(_));
        let harmony = Harmony { rests, ..self.harmony };
        let mut counter = Counter::new(allowed, harmony, self.meter, written.name.span);
        match &written.body {
            WrittenBody::Cells(bars) => {
                let bars = || bars.iter().map(AsRef::as_ref);
                counter.bars(bars(), self.grid.starts, self.grid.end);
                let letters = self.letters(part, bars());
                if !letters.is_empty() {
                    let wrong = strokes::wrong(letters, &counter.trouble);
                    let who = format!("the row `{}`", self.parts[part].name);
                    findings.push(strokes::finding(&who, &self.parts[part], &wrong, self.grid.source));
                    counter.trouble.retain(|trouble| !strokes::is_wrong(*trouble));
                }
                let told = counter.trouble.iter().filter(|trouble| !self.follows(**trouble));
                findings.extend(told.map(|trouble| self.told(part, *trouble)));
                findings.extend(self.doubts(part, bars(), &counter));
            }
            WrittenBody::Instruction(instruction) => match &instruction.value {
                Instruction::Play(name) | Instruction::Strum(name) => {
                    let strum = matches!(instruction.value, Instruction::Strum(_));
                    self.play(part, name, strum, &mut counter, findings)?;
                }
                Instruction::Broken => {
                    let (name, strum) = self.pattern_alone(part, instruction.span, findings)?;
                    self.play(part, &name, strum, &mut counter, findings)?;
                }
                _ => return None,
            },
            WrittenBody::AsPart(_) => return None,
        }
        Some(Row { span: written.name.span, carry: counter.carry, doubles: None, events: counter.events })
    }

    /// The pattern of a name for the section's meter.
    fn pattern(&self, name: &str) -> Option<Found<'_>> {
        patterns::find(self.patterns, name, self.meter)
    }

    /// A pattern without its `strum` or `play`, and whether it is to be strummed.
    fn pattern_alone(&self, part: usize, span: Span, findings: &mut Vec<Finding>) -> Option<(Spanned<String>, bool)> {
        let name = self.grid.source.slice(span);
        let pattern = self.pattern(name)?;
        let strum = pattern.is_strum() && matches!(self.allowed(part), Allowed::Notes { strum: true, .. });
        let verb = if strum { "strum" } else { "play" };
        let of = &self.parts[part].name;
        let finding =
            Finding::error(&UNKNOWN_INSTRUCTION, format!("the word `{verb}` is missing before the pattern `{name}`"));
        findings
            .push(finding.at(self.grid.source, span).part(of).help(format!("did you mean `{of} = {verb} {name}`?")));
        Some((Spanned::new(name.to_owned(), span), strum))
    }

    /// Plays a pattern again and again, to the end of the section. Any pattern will do whose strokes the part can play, so a pan may
    /// repeat a figure of notes.
    fn play(
        &self,
        part: usize,
        name: &Spanned<String>,
        strum: bool,
        counter: &mut Counter,
        findings: &mut Vec<Finding>,
    ) -> Option<()> {
        let finding = |kind, message| Finding::error(kind, message).at(self.grid.source, name.span);
        let of = &self.parts[part];
        if strum && !matches!(self.allowed(part), Allowed::Notes { strum: true, .. }) {
            let finding = self.cannot(part, name, "does not strum");
            findings.push(match self.pattern(&name.value) {
                Some(pattern) if !pattern.is_strum() => {
                    finding.help(format!("did you mean `{} = play {}`?", of.name, name.value))
                }
                _ => finding.help("write `= play PATTERN` here: only pans above the basses strum"),
            });
            return None;
        }
        let Some(pattern) = self.pattern(&name.value) else {
            let finding = finding(&UNKNOWN_PATTERN, format!("there is no pattern `{}`", name.value)).part(&of.name);
            let mut known: Vec<&str> = library::names().collect();
            known.extend(self.patterns.iter().map(|pattern| pattern.name.value.as_str()));
            findings.push(match words::nearest(&name.value, known) {
                Some(near) => finding.help(format!("did you mean `{near}`?")),
                None => finding
                    .help(format!("write one before the sections: `pattern {} | x . x . |`", name.value))
                    .help("or take one of those that `panfold patterns` lists"),
            });
            return None;
        };
        counter.pattern(pattern.bars(), self.grid.starts, self.grid.end);
        match pattern {
            Found::Library(of_library) => {
                // What is wrong with it is told where it is asked for: its own text is not the user's.
                counter.put_at(name.span);
                if of_library.meter != self.meter {
                    findings.push(self.other_meter(part, name, of_library));
                }
            }
            Found::Own(line) => {
                if let Some(finding) = self.no_strokes(part, line, counter) {
                    findings.push(finding);
                    return None;
                }
                findings.extend(self.cut(part, line, name, strum));
                findings.extend(self.doubts(part, line.bars.iter(), counter));
            }
        }
        let wrong = counter.trouble.iter().any(|trouble| {
            matches!(trouble, Trouble::MarkOnPan(..) | Trouble::NoteOnPercussion(_) | Trouble::MarkNotAllowed(..))
        });
        if wrong {
            let message = format!("`{}` on `{}` can't play the pattern `{}`", of.name, of.on, name.value);
            let place = match pattern {
                Found::Own(line) => {
                    format!("the pattern is on line {}", self.grid.source.position(line.name.span.start).line)
                }
                Found::Library(_) => format!("`panfold patterns {}` shows it", name.value),
            };
            let help = if matches!(of.player, Player::Pans { .. }) && !strum && pattern.is_strum() {
                format!("write `{} = strum {}`", of.name, name.value)
            } else {
                format!("{place}; {}", strokes_of(of))
            };
            findings.push(finding(&WRONG_INSTRUCTION, message).part(&of.name).help(help));
            return None;
        }
        let mut told: Vec<Span> = Vec::new();
        for trouble in counter.trouble.iter().copied() {
            if !told.contains(&trouble.span()) && !self.follows(trouble) {
                told.push(trouble.span());
                findings.push(self.told(part, trouble));
            }
        }
        Some(())
    }

    /// The percussion cells that are letters instead of strokes.
    fn letters<'b>(&self, part: usize, bars: impl Iterator<Item = &'b Bar<Cell>>) -> Vec<Span> {
        match &self.parts[part].player {
            Player::Percussion { .. } => strokes::letters(bars, self.grid.source),
            Player::Pans { .. } => Vec::new(),
        }
    }

    /// A finding for a pattern that only percussion plays and that has something else than strokes: the pattern itself is wrong.
    fn no_strokes(&self, part: usize, line: &PatternLine, counter: &Counter) -> Option<Finding> {
        let letters = self.letters(part, line.bars.iter());
        let on_pans = self.played.get(line.name.value.as_str()).is_some_and(|played| played.on_pans);
        if letters.is_empty() || on_pans {
            return None;
        }
        let who = format!("the pattern `{}`, which `{}` plays,", line.name.value, self.parts[part].name);
        let wrong = strokes::wrong(letters, &counter.trouble);
        Some(strokes::finding(&who, &self.parts[part], &wrong, self.grid.source))
    }

    /// The questions about the cells of a pattern. Where it fits another section that plays it, nothing is wrong with it.
    fn cut(&self, part: usize, line: &PatternLine, name: &Spanned<String>, strum: bool) -> Vec<Finding> {
        let asked = slips::pattern(line, self.meter, self.grid.source);
        let meters = self.played.get(name.value.as_str()).map_or(&[][..], |played| played.meters.as_slice());
        let is_there =
            |meter: &&Meter| **meter != self.meter && slips::pattern(line, **meter, self.grid.source).is_empty();
        let Some(there) = meters.iter().find(is_there).filter(|_| !asked.is_empty()) else { return asked };
        let of = &self.parts[part].name;
        let row = format!("{of} = {}", if strum { "strum" } else { "play" });
        let looked = Looked {
            source: self.grid.source,
            section: self.section,
            meter: self.meter,
            pickup: None,
            pickup_at: None,
            bars: 0,
        };
        let is_free = |name: &str| self.pattern(name).is_none();
        vec![slips::of_other_meter(line, &looked, &row, *there, is_free).at(self.grid.source, name.span).part(of)]
    }

    /// Degrees of a row or of a pattern that may be notes.
    fn doubts<'b>(&self, part: usize, bars: impl Iterator<Item = &'b Bar<Cell>>, counter: &Counter) -> Vec<Finding> {
        if !flats::is_doubtful(bars, self.grid.source) {
            return Vec::new();
        }
        flats::asked(&counter.events, self.harmony.chords, self.grid.source, &self.parts[part].name)
    }

    /// A finding for a pattern of the library that has no version for the section's meter.
    fn other_meter(&self, part: usize, name: &Spanned<String>, pattern: &LibraryPattern) -> Finding {
        let meters: Vec<String> = library::versions(&name.value).map(|version| version.meter.to_string()).collect();
        let meter = self.meter;
        let message =
            format!("the pattern `{}` is for {}, and this section is in {meter}", name.value, words::or(&meters));
        let finding =
            Finding::warning(&OTHER_METER, message).at(self.grid.source, name.span).part(&self.parts[part].name);
        let spread = format!("or leave it: the cells for {} are spread over each bar", pattern.meter);
        let others = library::styles().iter().filter(|style| style.meter == meter).flat_map(|style| &style.patterns);
        match others.into_iter().find(|other| other.role == pattern.role) {
            Some(other) => finding
                .help(format!(
                    "take one for {meter}, such as `{}`: `panfold patterns --meter {meter}` lists them",
                    other.name()
                ))
                .help(spread),
            None => finding.help(format!("{spread}; write one for {meter} above the sections, with `pattern`")),
        }
    }

    fn allowed(&self, part: usize) -> Allowed<'static> {
        match &self.parts[part].player {
            Player::Pans { kind, .. } => Allowed::Notes { strum: !kind.is_bass(), bass: kind.is_bass() },
            Player::Percussion { instrument, .. } => Allowed::Marks(instrument.marks()),
        }
    }

    /// Whether a chord is only missing because one of the section's could not be understood, which has been reported.
    fn follows(&self, trouble: Trouble) -> bool {
        let broken = |bar: &Bar<ChordCell>| match &bar.content {
            BarContent::Cells(cells) => cells.iter().any(|cell| cell.kind == ChordCellKind::Broken),
            BarContent::Again => false,
            BarContent::Broken => true,
        };
        matches!(trouble, Trouble::NoChord(_)) && self.section.chords.bars.iter().any(|bar| broken(bar))
    }

    /// The finding for something that is wrong with a cell.
    fn told(&self, part: usize, trouble: Trouble) -> Finding {
        let of = &self.parts[part];
        let (name, what) = (&of.name, format!("`{}`", of.on));
        let wrong = |message: String, span: Span| {
            Finding::error(&WRONG_STROKE, message).at(self.grid.source, span).part(name).help(strokes_of(of))
        };
        match trouble {
            Trouble::NothingToRepeat(span) => nothing_to_repeat(self.grid.source, span).part(name),
            Trouble::NothingToHold(span) => {
                let mark = self.grid.source.slice(span);
                let message = format!("there is no note before this `{mark}` to hold");
                let finding = Finding::error(&NOTHING_TO_HOLD, message).at(self.grid.source, span).part(name);
                finding.help("write `.` for no stroke, or strike a note before it")
            }
            Trouble::MarkOnPan(mark, span) => {
                wrong(format!("`{}` is a percussion stroke, and `{name}` is on a pan ({what})", mark.to_char()), span)
            }
            Trouble::NoteOnPercussion(span) => {
                wrong(format!("`{}` is a note, and `{name}` is percussion", self.grid.source.slice(span)), span)
            }
            Trouble::NoChord(span) => {
                let message = format!("`{name}` should play a note of the chord here, but there is no chord");
                let mut finding = Finding::error(&NO_CHORD, message).at(self.grid.source, span).part(name);
                if let Some(note) = note_like(self.grid.source.slice(span)) {
                    finding = finding.help(format!("write `{note}` if you want the note: note letters are capitals"));
                }
                finding.help("write the chord into the section's row `chords`, or the note itself")
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

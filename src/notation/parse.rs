//! From text to tree, line by line. A line that can't be understood is kept as broken, and reading goes on below it.

use std::sync::Arc;

use super::bars::Reader;
use super::findings::{INCOMPLETE, MISPLACED, SETTING_TWICE, TOO_MANY, UNKNOWN_INSTRUCTION, UNKNOWN_LINE, WRONG_NAME};
use super::limits::{MAX_FINDINGS, MAX_LINES, MAX_NAME, MAX_STEPS, MAX_TIMES};
use super::setting;
use super::tree::{
    FormLine, FormStep, Instruction, Line, PartLine, PatternLine, Row, RowBody, Setting, Statement, Tree, Value,
};
use crate::text::{Finding, Source, Span, Spanned, words};

/// Words that begin a statement and are no setting.
const STATEMENTS: [&str; 4] = ["part", "pattern", "form", "section"];

/// What may follow a `=`.
const INSTRUCTIONS: [&str; 6] = ["strum", "play", "with", "under", "over", "rest"];

/// Reads a tune. Cost: linear in the size of the text.
///
/// All mistakes are told, up to [`MAX_FINDINGS`]; what is not understood stays in the tree as broken.
pub fn parse(source: &Arc<Source>) -> (Tree, Vec<Finding>) {
    let mut parser = Parser { source, findings: Vec::new(), section: None, settings: Vec::new() };
    let mut lines = Vec::new();
    for number in 1..=source.line_count().min(MAX_LINES) {
        lines.push(parser.line(source.line_span(number)));
    }
    if source.line_count() > MAX_LINES {
        let message = format!("a tune has at most {MAX_LINES} lines, found {}", source.line_count());
        let finding = Finding::error(&TOO_MANY, message).at(source, source.line_span(MAX_LINES + 1));
        parser.findings.push(finding.help("the rest was not read: is this the file that you meant?"));
    }
    let mut findings = parser.findings;
    findings.sort_by_key(|finding| finding.place.as_ref().map(|place| place.span));
    if findings.len() > MAX_FINDINGS {
        let more = findings.len() - MAX_FINDINGS;
        let place = findings[MAX_FINDINGS].place.clone();
        findings.truncate(MAX_FINDINGS);
        let mut finding =
            Finding::error(&TOO_MANY, format!("and {} that are not shown", words::count(more, "more finding")));
        finding.place = place;
        findings.push(finding.help("mend the first ones, then look again"));
    }
    (Tree { source: Arc::clone(source), lines }, findings)
}

struct Parser<'a> {
    source: &'a Arc<Source>,
    findings: Vec<Finding>,
    /// The section that the line stands in.
    section: Option<Span>,
    /// The settings of the header or of the section so far, with their places.
    settings: Vec<(String, Span)>,
}

/// A line's text being taken apart from the left.
#[derive(Clone, Copy)]
struct Rest<'a> {
    source: &'a Source,
    span: Span,
}

impl<'a> Rest<'a> {
    fn text(self) -> &'a str {
        self.source.slice(self.span)
    }

    /// What is left without white space at both ends.
    fn trimmed(self) -> Rest<'a> {
        let text = self.text();
        let start = self.span.start as usize + (text.len() - text.trim_start().len());
        let end = start.max(self.span.start as usize + text.trim_end().len());
        Rest { span: Span::new(start, end), ..self }
    }

    /// The next word and what follows it; a `|` or `=` ends a word too.
    fn word(self) -> (Span, Rest<'a>) {
        let rest = self.trimmed();
        let text = rest.text();
        let end = text.find(|c: char| c.is_whitespace() || matches!(c, '|' | '=')).unwrap_or(text.len());
        let start = rest.span.start as usize;
        let word = Span::new(start, start + end);
        let rest = Rest { span: Span::new(start + end, rest.span.end as usize), ..self };
        (word, rest.trimmed())
    }
}

/// `for Green rim` before a row's bars: the pan's name, and the bars.
fn row_for(rest: Rest) -> Option<(Span, Rest)> {
    let (word, after) = rest.word();
    if rest.source.slice(word) != "for" {
        return None;
    }
    let at = after.text().find(['|', '=']).filter(|at| !after.text()[..*at].trim().is_empty())?;
    let start = after.span.start as usize;
    let name = Rest { span: Span::new(start, start + at), ..after }.trimmed();
    Some((name.span, Rest { span: Span::new(start + at, after.span.end as usize), ..after }))
}

/// `for Blue rim, Ida` at the end of a part's line: the names, and what is left (nothing). Without a `for`: what there is.
fn whom(rest: Rest) -> (Vec<Span>, Rest) {
    let (word, after) = rest.word();
    if rest.source.slice(word) != "for" {
        return (Vec::new(), rest);
    }
    let mut start = after.span.start as usize;
    let mut names = Vec::new();
    for name in after.text().split(',') {
        names.push(Rest { span: Span::new(start, start + name.len()), ..after }.trimmed().span);
        start += name.len() + 1;
    }
    (names, Rest { span: Span::new(after.span.end as usize, after.span.end as usize), ..after })
}

impl Parser<'_> {
    fn line(&mut self, span: Span) -> Line {
        let text = self.source.slice(span);
        let comment = comment(text).map(|at| Span::new(span.start as usize + at, span.end as usize));
        let end = comment.map_or(span.end, |comment| comment.start);
        let content = Rest { source: self.source, span: Span { start: span.start, end } }.trimmed();
        let statement = (!content.text().is_empty()).then(|| self.statement(content));
        Line { span, statement, comment }
    }

    fn tell(&mut self, finding: Finding, span: Span) {
        self.findings.push(finding.at(self.source, span));
    }

    fn statement(&mut self, content: Rest) -> Statement {
        let (first, rest) = content.word();
        let word = self.source.slice(first);
        match word {
            _ if setting::WORDS.contains(&word) => self.setting(first, rest),
            "part" => self.part(first, rest),
            "pattern" => self.pattern(first, rest),
            "form" => self.form(first, rest),
            "section" => self.section(first, rest),
            _ if rest.text().starts_with(['|', '=']) => self.row(first, None, rest),
            _ if row_for(rest).is_some() => {
                let (pan, rest) = row_for(rest).expect("it was there a line above");
                self.row(first, Some(pan), rest)
            }
            _ => self.unknown(first, rest),
        }
    }

    fn unknown(&mut self, first: Span, rest: Rest) -> Statement {
        let word = self.source.slice(first);
        let line = first.to(rest.span);
        if word.is_empty() {
            let finding = Finding::error(&UNKNOWN_LINE, "expected the name of a part before the bars");
            self.tell(finding.help("a row looks like `lead | D5 . G5 . |`"), Span { end: first.start + 1, ..first });
            return Statement::Broken;
        }
        let finding = Finding::error(&UNKNOWN_LINE, format!("`{word}` begins no statement"));
        let known = setting::WORDS.into_iter().chain(STATEMENTS);
        let finding = match words::nearest(word, known) {
            Some(near) => finding.help(format!("did you mean `{near}`?")),
            None => finding.help("a row needs bar lines: `lead | D5 . G5 . |`"),
        };
        self.tell(finding, if word.len() <= MAX_NAME { first } else { line });
        Statement::Broken
    }

    fn setting(&mut self, word: Span, rest: Rest) -> Statement {
        let name = self.source.slice(word).to_owned();
        let text = rest.text();
        let broken = Value::Broken;
        let value = if text.is_empty() {
            let finding = Finding::error(&INCOMPLETE, format!("`{name}` has no value"));
            self.tell(finding.help(format!("write it after the word: `{name} {}`", example(&name))), word);
            broken
        } else {
            setting::value(&name, text).unwrap_or_else(|finding| {
                self.tell(*finding, rest.span);
                Value::Broken
            })
        };
        self.place_setting(&name, word);
        Statement::Setting(Setting { word, value: Spanned::new(value, rest.span) })
    }

    /// Looks whether a setting stands where it may, and once.
    fn place_setting(&mut self, name: &str, word: Span) {
        if self.section.is_some() && !setting::IN_SECTION.contains(&name) {
            let finding = Finding::error(&MISPLACED, format!("`{name}` is for the whole tune, and this is a section"));
            self.tell(finding.help("move it above the first section"), word);
        } else if let Some((_, first)) = self.settings.iter().find(|(other, _)| other == name) {
            let line = self.source.position(first.start).line;
            let finding = Finding::error(&SETTING_TWICE, format!("`{name}` is given already, on line {line}"));
            self.tell(finding.help("keep one of the two"), word);
        } else {
            self.settings.push((name.to_owned(), word));
        }
    }

    fn part(&mut self, word: Span, rest: Rest) -> Statement {
        let (name, rest) = rest.word();
        let (on, rest) = rest.word();
        let (kind, end) = rest.word();
        let (name, kind) = (self.spanned(name), self.spanned(kind));
        let (whom, end) = whom(end);
        let whom: Vec<Spanned<String>> = whom.into_iter().map(|one| self.spanned(one)).collect();
        if whom.iter().any(|one| one.value.is_empty()) {
            let finding = Finding::error(&INCOMPLETE, "expected a name after `for`");
            let example = format!("for example `part {} on {} for Blue rim`", name.value, kind.value);
            self.tell(finding.help(example), word.to(end.span));
            return Statement::Broken;
        }
        let complete = !name.value.is_empty() && self.source.slice(on) == "on" && !kind.value.is_empty();
        if !complete || !end.text().is_empty() {
            let finding = Finding::error(&INCOMPLETE, "expected `part NAME on KIND`");
            let name = if name.value.is_empty() || name.value == "on" { "lead" } else { &name.value };
            self.tell(finding.help(format!("for example `part {name} on double-second`")), word.to(end.span));
            return Statement::Broken;
        }
        self.check_name("part", &name);
        Statement::Part(PartLine { name, kind, whom })
    }

    fn pattern(&mut self, word: Span, rest: Rest) -> Statement {
        let (name, rest) = rest.word();
        let name = self.spanned(name);
        if name.value.is_empty() || !rest.text().starts_with('|') {
            let finding = Finding::error(&INCOMPLETE, "expected `pattern NAME` and its bars");
            self.tell(finding.help("for example `pattern offbeat | . x . x |`"), word.to(rest.span));
            return Statement::Broken;
        }
        self.check_name("pattern", &name);
        let bars = self.reader().cell_bars(rest.span);
        Statement::Pattern(PatternLine { name, bars })
    }

    fn reader(&mut self) -> Reader<'_> {
        Reader { source: self.source, findings: &mut self.findings }
    }

    fn section(&mut self, word: Span, rest: Rest) -> Statement {
        let (name, end) = rest.word();
        let name = self.spanned(name);
        self.section = Some(word);
        self.settings.clear();
        if name.value.is_empty() {
            let finding = Finding::error(&INCOMPLETE, "the section has no name");
            self.tell(finding.help("for example `section verse`"), word);
            return Statement::Broken;
        }
        if !end.text().is_empty() {
            let finding = Finding::error(&INCOMPLETE, format!("unexpected `{}` after the section's name", end.text()));
            self.tell(finding.help("a name is one word: join words with a hyphen"), end.span);
        }
        self.check_name("section", &name);
        Statement::Section(name)
    }

    fn form(&mut self, word: Span, rest: Rest) -> Statement {
        let mut steps: Vec<FormStep> = Vec::new();
        let mut rest = rest;
        if rest.text().is_empty() {
            let finding = Finding::error(&INCOMPLETE, "the form names no section");
            self.tell(finding.help("for example `form intro verse x2 chorus`"), word);
            return Statement::Broken;
        }
        while !rest.text().is_empty() {
            let (name, after) = rest.word();
            let text = self.source.slice(name);
            if text.is_empty() {
                let sign = Span { end: after.span.start + 1, start: after.span.start };
                let finding = Finding::error(&INCOMPLETE, "expected the names of sections");
                self.tell(finding.help("for example `form intro verse x2 chorus`"), sign);
                break;
            }
            rest = after;
            match times(text) {
                Some(times) => self.repeat(&mut steps, times, name),
                None => steps.push(FormStep { section: self.spanned(name), times: 1 }),
            }
            if steps.len() > MAX_STEPS {
                let finding = Finding::error(&TOO_MANY, format!("a form has at most {MAX_STEPS} steps"));
                self.tell(finding.help("use `x2` and the like for repeats"), name);
                break;
            }
        }
        Statement::Form(FormLine { steps })
    }

    /// `x2` after a section's name. A section called `x2` can't be told from it, so names of that shape are refused.
    fn repeat(&mut self, steps: &mut [FormStep], times: Option<u32>, place: Span) {
        let Some(step) = steps.last_mut() else {
            let finding = Finding::error(&INCOMPLETE, "expected a section before the number of times");
            self.tell(finding.help("for example `form verse x2`"), place);
            return;
        };
        match times.filter(|times| (1..=MAX_TIMES).contains(times)) {
            Some(times) => step.times = times,
            None => {
                let finding =
                    Finding::error(&TOO_MANY, format!("a section is played from 1 to {MAX_TIMES} times in a row"));
                self.tell(finding.help("for example `verse x2`"), place);
            }
        }
    }

    fn row(&mut self, name: Span, pan: Option<Span>, rest: Rest) -> Statement {
        let name = self.spanned(name);
        let pan = pan.map(|pan| self.spanned(pan));
        if name.value.is_empty() {
            return self.unknown(name.span, rest);
        }
        if self.section.is_none() {
            let finding =
                Finding::error(&MISPLACED, format!("the row `{}` stands before the first section", name.value));
            self.tell(finding.help("write `section verse` (or another name) above it"), name.span);
            return Statement::Broken;
        }
        let reserved = matches!(name.value.as_str(), "chords" | "words" | "dynamics");
        if let (true, Some(pan)) = (reserved, &pan) {
            let message = format!("the row `{}` is for everybody, not for `{}` alone", name.value, pan.value);
            let finding = Finding::error(&MISPLACED, message).help(format!("write `{} | … |`", name.value));
            self.tell(finding, pan.span);
            return Statement::Broken;
        }
        if rest.text().starts_with('=') {
            if reserved {
                let finding = Finding::error(
                    &UNKNOWN_INSTRUCTION,
                    format!("the row `{}` takes bars, no instruction", name.value),
                );
                self.tell(finding.help(format!("for example `{} | … | … |`", name.value)), rest.span);
                return Statement::Broken;
            }
            let rest = Rest { span: Span { start: rest.span.start + 1, ..rest.span }, ..rest }.trimmed();
            let instruction = self.instruction(&name, rest);
            return Statement::Row(Row { name, pan, body: RowBody::Instruction(instruction) });
        }
        let body = match name.value.as_str() {
            "chords" => RowBody::Chords(self.reader().chord_bars(rest.span)),
            "words" => RowBody::Words(self.reader().word_bars(rest.span)),
            "dynamics" => RowBody::Dynamics(self.reader().dynamic_bars(rest.span)),
            _ => RowBody::Cells(self.reader().cell_bars(rest.span)),
        };
        Statement::Row(Row { name, pan, body })
    }

    fn instruction(&mut self, row: &Spanned<String>, rest: Rest) -> Spanned<Instruction> {
        let (word, after) = rest.word();
        let (object, end) = after.word();
        let object = self.spanned(object);
        let whole = rest.span;
        let broken = Spanned::new(Instruction::Broken, whole);
        let (instruction, junk) = match (self.source.slice(word), object.value.as_str()) {
            ("rest", _) => (Instruction::Rest, after),
            (verb @ ("with" | "under" | "over" | "play" | "strum"), "") => {
                let of_pattern = matches!(verb, "play" | "strum");
                let (what, name) = if of_pattern { ("pattern", "groove") } else { ("part", "lead") };
                let finding = Finding::error(&INCOMPLETE, format!("expected the name of a {what}"));
                self.tell(finding.help(format!("for example `{} = {verb} {name}`", row.value)), word);
                return broken;
            }
            ("with", _) => (Instruction::With(object), end),
            ("play", _) => (Instruction::Play(object), end),
            ("strum", _) => (Instruction::Strum(object), end),
            ("under", _) => (Instruction::Under(object), end),
            ("over", _) => (Instruction::Over(object), end),
            (other, _) => {
                self.unknown_instruction(other, if word.is_empty() { row.span } else { word });
                return broken;
            }
        };
        if !junk.text().is_empty() {
            let finding = Finding::error(&INCOMPLETE, format!("unexpected `{}` after the instruction", junk.text()));
            self.tell(finding.help("an instruction stands alone in its row"), junk.span);
        }
        Spanned::new(instruction, whole)
    }

    fn unknown_instruction(&mut self, word: &str, place: Span) {
        let finding = Finding::error(&UNKNOWN_INSTRUCTION, format!("`{word}` is no instruction"));
        let finding = match words::nearest(word, INSTRUCTIONS) {
            Some(near) if !word.is_empty() => finding.help(format!("did you mean `{near}`?")),
            _ => finding.help("the instructions are `strum PATTERN`, `play PATTERN`, `with PART`, `under PART`, `over PART` and `rest`"),
        };
        self.tell(finding, place);
    }

    fn spanned(&self, span: Span) -> Spanned<String> {
        Spanned::new(self.source.slice(span).to_owned(), span)
    }

    /// Names are words of letters, digits and hyphens, so that they stand in forms and instructions without quotes.
    fn check_name(&mut self, what: &str, name: &Spanned<String>) {
        let text = name.value.as_str();
        let message = if text.chars().any(|c| !c.is_alphanumeric() && c != '-') {
            format!("a {what}'s name has letters, digits and hyphens only, found `{text}`")
        } else if text.len() > MAX_NAME {
            format!("a {what}'s name has at most {MAX_NAME} letters")
        } else if setting::WORDS.contains(&text) || STATEMENTS.contains(&text) {
            format!("`{text}` is a word of the notation and can't name a {what}")
        } else if times(text).is_some() {
            format!("`{text}` means a number of times in a form and can't name a {what}")
        } else {
            return;
        };
        self.tell(Finding::error(&WRONG_NAME, message).help("give it another name"), name.span);
    }
}

/// How often, for a word such as `x2`; the inner `None` is a number too large.
fn times(word: &str) -> Option<Option<u32>> {
    let digits = word.strip_prefix('x')?;
    (!digits.is_empty() && digits.bytes().all(|b| b.is_ascii_digit())).then(|| digits.parse().ok())
}

/// Where a line's comment begins: at a `#` at its start or after white space. The texts of `title`, `by` and `words` run
/// to the end of their line or bar, so a `#` in them is text.
fn comment(line: &str) -> Option<usize> {
    let start = line.trim_start();
    let word = start.split(|c: char| c.is_whitespace() || c == '|').next().unwrap_or("");
    let from = match word {
        "title" | "by" => return None,
        "words" => line.rfind('|').map_or(0, |bar| bar + 1),
        _ => 0,
    };
    let mut before = if from == 0 { ' ' } else { '|' };
    for (at, c) in line[from..].char_indices() {
        if c == '#' && (before.is_whitespace() || before == '|') {
            return Some(from + at);
        }
        before = c;
    }
    None
}

fn example(word: &str) -> &'static str {
    match word {
        "title" => "Sea-Grape Road",
        "by" => "the Lantern Quay band",
        "band" => "lantern-quay.toml",
        "key" => "G",
        "meter" => "4/4",
        "tempo" => "104",
        "swing" => "2:1",
        "pickup" => "1",
        _ => "2",
    }
}

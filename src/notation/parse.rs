//! From text to tree, line by line. A line that can't be understood is kept as broken, and reading goes on below it.

use std::sync::Arc;

use super::bars::Reader;
use super::crowd;
use super::findings::{
    INCOMPLETE, MISPLACED, SETTING_TWICE, TOO_MANY, UNKNOWN_INSTRUCTION, UNKNOWN_LINE, WRONG_CELL, WRONG_CHORD,
    WRONG_DYNAMIC, WRONG_NAME,
};
use super::limits::{MAX_FINDINGS, MAX_LINES, MAX_NAME, MAX_STEPS, MAX_TIMES};
use super::merge;
use super::reserved::{INSTRUCTIONS, STATEMENTS, times};
use super::setting;
use super::tree::{FormLine, FormStep, Instruction, Line, PatternLine, Row, RowBody, Setting, Statement, Tree, Value};
use super::wrapped;
use super::wrong_line::{self, Reads, bare_name};
use crate::text::{Finding, Source, Span, Spanned, words};

/// Reads a tune. Cost: linear in the size of the text.
///
/// All mistakes are reported, up to `MAX_FINDINGS`; what is not understood stays in the tree as broken.
pub fn parse(source: &Arc<Source>) -> (Tree, Vec<Finding>) {
    let (findings, settings) = (Vec::new(), Vec::new());
    let mut parser = Parser { source, findings, section: None, settings, mended: false, misplaced: false };
    let mut lines = Vec::new();
    let last = source.line_count().min(MAX_LINES);
    let mut wrapped = Vec::new();
    while lines.len() < last {
        let number = lines.len() + 1;
        let rest = if parser.section.is_some() { wrapped::rest_of(source, number, last) } else { 0 };
        let line = parser.line(source.line_span(number).to(source.line_span(number + rest)));
        lines.push(Line { span: source.line_span(number), mended: line.mended || rest > 0, ..line });
        wrapped.extend((1..=rest).map(|more| source.line_span(number + more)));
        lines.extend((1..=rest).map(|more| Line::broken(source.line_span(number + more))));
    }
    parser.findings.extend(wrapped::told(source, &wrapped));
    crowd::taken_out(source, &mut lines, &mut parser.findings);
    if source.line_count() > MAX_LINES {
        let message = format!("a tune can have {MAX_LINES} lines at most, and this one has {}", source.line_count());
        let finding = Finding::error(&TOO_MANY, message).at(source, source.line_span(MAX_LINES + 1));
        parser.findings.push(finding.help("the rest was not read: is this the file that you meant?"));
    }
    let mut findings = parser.findings;
    findings.sort_by_key(|finding| finding.place.as_ref().map(|place| place.span));
    let mut findings = merge::merged(findings, &[&WRONG_CELL, &WRONG_CHORD, &WRONG_DYNAMIC, &WRONG_NAME]);
    if findings.len() > MAX_FINDINGS {
        let more = findings.len() - MAX_FINDINGS;
        let place = findings[MAX_FINDINGS].place.clone();
        findings.truncate(MAX_FINDINGS);
        let mut finding =
            Finding::error(&TOO_MANY, format!("and {} that are not shown", words::count(more, "more problem")));
        finding.place = place;
        findings.push(finding.help("fix the first ones, then check again"));
    }
    (Tree { source: Arc::clone(source), lines }, findings)
}

pub(super) struct Parser<'a> {
    pub(super) source: &'a Arc<Source>,
    pub(super) findings: Vec<Finding>,
    /// The section that the line is in.
    section: Option<Span>,
    /// The settings of the header or of the section so far, with their places.
    settings: Vec<(String, Span)>,
    /// Whether the line is read as what was most likely meant.
    pub(super) mended: bool,
    /// Whether a row before the first section has been reported.
    misplaced: bool,
}

/// A line's text, read from the left.
#[derive(Clone, Copy)]
pub(super) struct Rest<'a> {
    pub(super) source: &'a Source,
    pub(super) span: Span,
}

impl<'a> Rest<'a> {
    pub(super) fn text(self) -> &'a str {
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
    pub(super) fn word(self) -> (Span, Rest<'a>) {
        let rest = self.trimmed();
        let text = rest.text();
        let end = text.find(|c: char| c.is_whitespace() || matches!(c, '|' | '=')).unwrap_or(text.len());
        let start = rest.span.start as usize;
        let word = Span::new(start, start + end);
        let rest = Rest { span: Span::new(start + end, rest.span.end as usize), ..self };
        (word, rest.trimmed())
    }

    /// What is left without the signs between words at its front.
    pub(super) fn without(self, signs: &[char]) -> Rest<'a> {
        let text = self.text();
        let start = self.span.start as usize + (text.len() - text.trim_start_matches(signs).len());
        Rest { span: Span::new(start, self.span.end as usize), ..self }.trimmed()
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

/// `Blue rim, Ida`: the names; those before or after a comma may be empty.
pub(super) fn whom(rest: Rest) -> Vec<Span> {
    let mut start = rest.span.start as usize;
    let mut names = Vec::new();
    for name in rest.text().split(',') {
        names.push(Rest { span: Span::new(start, start + name.len()), ..rest }.trimmed().span);
        start += name.len() + 1;
    }
    names
}

impl Parser<'_> {
    fn line(&mut self, span: Span) -> Line {
        let text = self.source.slice(span);
        self.mended = false;
        let comment = comment(text).or_else(|| self.slashes(text, span));
        let comment = comment.map(|at| Span::new(span.start as usize + at, span.end as usize));
        let end = comment.map_or(span.end, |comment| comment.start);
        let content = Rest { source: self.source, span: Span { start: span.start, end } }.trimmed();
        let statement = (!content.text().is_empty()).then(|| self.statement(content));
        Line { span, statement, comment, mended: self.mended }
    }

    /// Where a comment begins that is marked as one in programs, with two slashes, or with two hyphens behind the last bar.
    fn slashes(&mut self, text: &str, line: Span) -> Option<usize> {
        let is_text = ["title", "by", "band", "words"].contains(&text.split_whitespace().next()?);
        let after_word = |at: &usize| text[..*at].ends_with([' ', '\t', '|']);
        // Between bar lines two hyphens are two holds without a space.
        let last = text.rfind('|').map(|bar| text.len() - text[bar + 1..].trim_start().len());
        let behind = last.filter(|at| text[*at..].starts_with("--"));
        let at = text.match_indices("//").map(|(at, _)| at).find(after_word).or(behind)?;
        if is_text || text[..at].trim().is_empty() {
            return None;
        }
        let place = Span::new(line.start as usize + at, line.start as usize + at + 2);
        let message = format!("a comment begins with `#`, not `{}`", self.source.slice(place));
        let finding = Finding::error(&UNKNOWN_LINE, message);
        self.tell(finding.help("write a `#` before the comment"), place);
        Some(at)
    }

    pub(super) fn tell(&mut self, finding: Finding, span: Span) {
        self.findings.push(finding.at(self.source, span));
    }

    fn statement(&mut self, content: Rest) -> Statement {
        let (first, rest) = content.word();
        let word = self.source.slice(first);
        if let Some(statement) = self.keyword(word, first, rest) {
            return statement;
        }
        if rest.text().starts_with(['|', '=']) {
            return self.row(first, None, rest);
        }
        match row_for(rest) {
            Some((pan, rest)) => self.row(first, Some(pan), rest),
            None => self.unknown(first, rest),
        }
    }

    /// A statement that begins with a word of the notation.
    fn keyword(&mut self, word: &str, first: Span, rest: Rest) -> Option<Statement> {
        Some(match word {
            _ if setting::WORDS.contains(&word) => self.setting(word, first, rest),
            "part" => self.part(first, rest),
            "pattern" => self.pattern(first, rest),
            "form" => self.form(first, rest),
            "section" => self.section(first, rest),
            _ => return None,
        })
    }

    fn unknown(&mut self, first: Span, rest: Rest) -> Statement {
        let word = self.source.slice(first);
        let line = first.to(rest.span);
        if word.is_empty() {
            let finding = Finding::error(&UNKNOWN_LINE, "the name of a part is missing before the bars");
            self.tell(finding.help("a row looks like `lead | D5 . G5 . |`"), Span { end: first.start + 1, ..first });
            return Statement::Broken;
        }
        let meant = wrong_line::meant(word, rest.text(), self.section.is_some());
        let finding = Finding::error(&UNKNOWN_LINE, meant.message).help(meant.help);
        self.tell(finding, if word.len() <= MAX_NAME { first } else { line });
        self.read_on(meant.reads, first, rest)
    }

    /// Reads a line as what was meant.
    fn read_on(&mut self, reads: Reads, first: Span, rest: Rest) -> Statement {
        let told = self.findings.len();
        let statement = match reads {
            Reads::Keyword { word, .. } => self.keyword(word, first, rest.without(&[':', '='])),
            Reads::Part => Some(self.part(first, Rest { span: first.to(rest.span), ..rest })),
            Reads::Section => Some(self.section(first, Rest { span: first, ..rest })),
            Reads::Instruction => Some(self.row_of(first, rest.without(&[':', '-', '–', '>', '=', ' ', '\t']))),
            Reads::Nothing => None,
        };
        // A name that needed mending is part of what has been told; of a guess nothing more is told.
        if !matches!(reads, Reads::Keyword { sure: true, .. }) {
            self.findings.truncate(told);
        }
        self.mended = statement.is_some();
        statement.unwrap_or(Statement::Broken)
    }

    /// A row with an instruction right after its name.
    fn row_of(&mut self, name: Span, rest: Rest) -> Statement {
        let name = self.bare(name);
        if self.section.is_none() {
            return Statement::Broken;
        }
        let instruction = self.instruction(&name, rest);
        Statement::Row(Row { name, pan: None, body: RowBody::Instruction(instruction) })
    }

    /// A name without the signs around it.
    fn bare(&self, span: Span) -> Spanned<String> {
        let text = self.source.slice(span);
        let bare = bare_name(text).unwrap_or(text);
        Spanned::new(bare.to_owned(), self.source.span_of(bare))
    }

    fn setting(&mut self, name: &str, word: Span, rest: Rest) -> Statement {
        let name = name.to_owned();
        let text = rest.text();
        let value = if text.is_empty() {
            let finding = Finding::error(&INCOMPLETE, format!("`{name}` has no value"));
            self.tell(finding.help(format!("write it after the word: `{name} {}`", setting::example(&name))), word);
            Value::Broken
        } else {
            let (value, finding) = setting::read(&name, text);
            finding.into_iter().for_each(|finding| self.tell(*finding, rest.span));
            value
        };
        self.place_setting(&name, word);
        Statement::Setting(Setting { word, value: Spanned::new(value, rest.span) })
    }

    /// Checks that a setting is where it may be, and that it is written once.
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

    fn pattern(&mut self, word: Span, rest: Rest) -> Statement {
        let (name, rest) = rest.word();
        let name = self.spanned(name);
        if name.value.is_empty() || !rest.text().starts_with('|') {
            let finding = Finding::error(&INCOMPLETE, "a pattern is written `pattern NAME` and then its bars");
            let help = wrong_line::pattern(&name.value, rest.text());
            self.tell(finding.help(help), word.to(rest.span));
            // Where it is played nothing more is wrong.
            let lost = Statement::Pattern(PatternLine { name: self.bare(name.span), bars: Vec::new() });
            return if name.value.is_empty() { Statement::Broken } else { lost };
        }
        let name = self.named("pattern", name);
        let bars = self.reader().cell_bars(rest.span);
        Statement::Pattern(PatternLine { name, bars })
    }

    fn reader(&mut self) -> Reader<'_> {
        Reader { source: self.source, findings: &mut self.findings }
    }

    fn section(&mut self, word: Span, rest: Rest) -> Statement {
        let signs = rest.without(&[':', '=']);
        if signs.span != rest.span {
            let sign = Span { end: rest.span.start + 1, ..rest.span };
            let finding = Finding::error(
                &INCOMPLETE,
                format!("the `{}` before the section's name isn't needed", self.source.slice(sign)),
            );
            self.tell(finding.help(format!("did you mean `section {}`?", signs.text())), sign);
            self.mended = true;
        }
        let (name, end) = signs.word();
        let name = self.spanned(name);
        self.section = Some(word);
        self.settings.clear();
        if name.value.is_empty() {
            let finding = Finding::error(&INCOMPLETE, "the section has no name");
            self.tell(finding.help("for example `section verse`"), word);
            return Statement::Broken;
        }
        if !end.text().is_empty() {
            let finding =
                Finding::error(&INCOMPLETE, format!("`{}` can't be read after the section's name", end.text()));
            self.tell(finding.help(wrong_line::after_name(&name.value, end.text())), end.span);
        }
        Statement::Section(self.named("section", name))
    }

    fn form(&mut self, word: Span, rest: Rest) -> Statement {
        let mut steps: Vec<FormStep> = Vec::new();
        let mut rest = rest;
        let (mut signs, mut counted) = (false, false);
        if rest.text().is_empty() {
            let finding = Finding::error(&INCOMPLETE, "the form names no section");
            self.tell(finding.help("for example `form intro verse x2 chorus`"), word);
            return Statement::Broken;
        }
        while !rest.text().is_empty() {
            let (name, after) = rest.word();
            let text = self.source.slice(name);
            if text.trim_matches(':').is_empty() {
                let sign = if text.is_empty() { Span { end: after.span.start + 1, ..after.span } } else { name };
                if !std::mem::replace(&mut signs, true) {
                    let finding = Finding::error(&INCOMPLETE, "a form is names of sections with spaces between them");
                    self.tell(finding.help("for example `form intro verse x2 chorus`"), sign);
                }
                rest = Rest { span: Span { start: sign.end, ..after.span }, ..after }.trimmed();
                continue;
            }
            rest = after;
            match times(text) {
                Some(times) => self.repeat(&mut steps, times, name, std::mem::replace(&mut counted, true)),
                None => {
                    counted = false;
                    steps.push(FormStep { section: self.spanned(name), times: 1 });
                }
            }
            if steps.len() > MAX_STEPS {
                let finding = Finding::error(&TOO_MANY, format!("a form has at most {MAX_STEPS} steps"));
                self.tell(finding.help("use `x2` and the like for repeats"), name);
                break;
            }
        }
        Statement::Form(FormLine { steps })
    }

    /// `x2` after a section's name. A section called `x2` would look the same, so names of that shape are refused.
    fn repeat(&mut self, steps: &mut [FormStep], times: Option<u32>, place: Span, counted: bool) {
        let Some(step) = steps.last_mut() else {
            let finding = Finding::error(&INCOMPLETE, "the section is missing before the number of times");
            self.tell(finding.help("write it after the section, as in `form verse x2`"), place);
            return;
        };
        if counted {
            let message = format!("how often `{}` is played is written twice", step.section.value);
            self.tell(Finding::error(&INCOMPLETE, message).help("keep one of the two"), place);
            return;
        }
        match times.filter(|times| (1..=MAX_TIMES).contains(times)) {
            Some(times) => step.times = times,
            None => {
                let finding =
                    Finding::error(&TOO_MANY, format!("a section can be played 1 to {MAX_TIMES} times in a row"));
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
        let name = if bare_name(&name.value).is_some() { self.named("row", name) } else { name };
        if self.section.is_none() {
            // Where a section's line is missing, every row of it is in the wrong place.
            if !std::mem::replace(&mut self.misplaced, true) {
                let message = format!("the row `{}` comes before the first section", name.value);
                let finding = Finding::error(&MISPLACED, message);
                let help = match wrong_line::missing_section(self.source) {
                    Some(section) => format!("write `section {section}` above it"),
                    None => "write `section verse` (or another name) above it".to_owned(),
                };
                self.tell(finding.help(help), name.span);
            }
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
                    format!("the row `{}` needs bars, not an instruction", name.value),
                );
                self.tell(finding.help(format!("for example `{} | … | … |`", name.value)), rest.span);
                return Statement::Broken;
            }
            let rest = Rest { span: Span { start: rest.span.start + 1, ..rest.span }, ..rest }.trimmed();
            let instruction = self.instruction(&name, rest);
            return Statement::Row(Row { name, pan, body: RowBody::Instruction(instruction) });
        }
        if let Some(statement) = self.barred_instruction(&name, rest, reserved) {
            return statement;
        }
        let body = match name.value.as_str() {
            "chords" => RowBody::Chords(self.reader().chord_bars(rest.span)),
            "words" => RowBody::Words(self.reader().word_bars(rest.span)),
            "dynamics" => RowBody::Dynamics(self.reader().dynamic_bars(rest.span)),
            _ => RowBody::Cells(self.reader().cell_bars(rest.span)),
        };
        Statement::Row(Row { name, pan, body })
    }

    /// `second | strum offbeat |`: an instruction where bars are expected.
    fn barred_instruction(&mut self, name: &Spanned<String>, rest: Rest, reserved: bool) -> Option<Statement> {
        let inner = rest.without(&['|', '=', ' ', '\t']);
        let (word, _) = inner.word();
        let verb = self.source.slice(word);
        if reserved || verb == "rest" || !INSTRUCTIONS.contains(&verb) {
            return None;
        }
        let end = inner.span.start as usize + inner.text().trim_end_matches(['|', ' ', '\t']).len();
        let inner = Rest { span: Span::new(inner.span.start as usize, end), ..inner };
        let finding = Finding::error(&UNKNOWN_INSTRUCTION, "an instruction goes after a `=`, without bar lines");
        self.tell(finding.help(format!("did you mean `{} = {}`?", name.value, inner.text())), rest.span);
        let told = self.findings.len();
        let instruction = self.instruction(name, inner);
        self.findings.truncate(told);
        self.mended = true;
        Some(Statement::Row(Row { name: name.clone(), pan: None, body: RowBody::Instruction(instruction) }))
    }

    fn instruction(&mut self, row: &Spanned<String>, rest: Rest) -> Spanned<Instruction> {
        let rest = self.one_sign(row, rest);
        let (word, after) = rest.word();
        let (object, end) = self.object(row, word, after);
        let object = self.spanned(object);
        let whole = rest.span;
        let broken = Spanned::new(Instruction::Broken, whole);
        let (instruction, junk) = match (self.source.slice(word), object.value.as_str()) {
            ("rest", _) => (Instruction::Rest, after),
            (verb @ ("with" | "under" | "over" | "play" | "strum"), "") => {
                let of_pattern = matches!(verb, "play" | "strum");
                let (what, name) = if of_pattern { ("pattern", "groove") } else { ("part", "lead") };
                let finding = Finding::error(&INCOMPLETE, format!("the name of a {what} is missing"));
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
            let finding = Finding::error(&INCOMPLETE, format!("`{}` can't be read after the instruction", junk.text()));
            self.tell(finding.help("leave the instruction alone in its row"), junk.span);
        }
        Spanned::new(instruction, whole)
    }

    /// What follows the `=`, without stray signs before it.
    fn one_sign<'r>(&mut self, row: &Spanned<String>, rest: Rest<'r>) -> Rest<'r> {
        let plain = rest.without(&['=', ':', '>', ' ', '\t']);
        if plain.span != rest.span && !plain.text().is_empty() {
            let finding = Finding::error(&UNKNOWN_INSTRUCTION, "one `=` is enough before an instruction");
            let sign = Span { end: plain.span.start, ..rest.span };
            self.tell(finding.help(format!("did you mean `{} = {}`?", row.value, plain.text())), sign);
            self.mended = true;
        }
        plain
    }

    /// The part or pattern that an instruction names, without an article before it, and what follows.
    fn object<'r>(&mut self, row: &Spanned<String>, verb: Span, after: Rest<'r>) -> (Span, Rest<'r>) {
        let (object, end) = after.word();
        if !matches!(self.source.slice(object), "the" | "a" | "an" | "part" | "pattern") || end.text().is_empty() {
            return (object, end);
        }
        let finding = Finding::error(&INCOMPLETE, format!("`{}` isn't needed here", self.source.slice(object)));
        let help = format!("did you mean `{} = {} {}`?", row.value, self.source.slice(verb), end.text());
        self.tell(finding.help(help), object);
        self.mended = true;
        end.word()
    }

    fn unknown_instruction(&mut self, word: &str, place: Span) {
        let finding = Finding::error(&UNKNOWN_INSTRUCTION, format!("`{word}` is not an instruction"));
        let finding = match words::nearest(word, INSTRUCTIONS) {
            Some(near) if !word.is_empty() => finding.help(format!("did you mean `{near}`?")),
            _ => finding.help("the instructions are `strum PATTERN`, `play PATTERN`, `with PART`, `under PART`, `over PART` and `rest`"),
        };
        self.tell(finding, place);
    }

    /// A name; signs around it that do not belong to it are reported and removed.
    pub(super) fn named(&mut self, what: &str, name: Spanned<String>) -> Spanned<String> {
        if bare_name(&name.value).is_none() {
            self.check_name(what, &name);
            return name;
        }
        let bare = self.bare(name.span);
        let message = match name.value.strip_suffix(':') == Some(&bare.value) {
            true => format!("the `:` after `{}` isn't needed", bare.value),
            false => format!("a {what}'s name can have only letters, digits and hyphens, not `{}`", name.value),
        };
        let head = if what == "row" { String::new() } else { format!("{what} ") };
        let finding = Finding::error(&WRONG_NAME, message).help(format!("did you mean `{head}{}`?", bare.value));
        self.tell(finding, name.span);
        self.mended = true;
        self.check_name(what, &bare);
        bare
    }

    pub(super) fn spanned(&self, span: Span) -> Spanned<String> {
        Spanned::new(self.source.slice(span).to_owned(), span)
    }

    /// Names are words of letters, digits and hyphens, so that they stand in forms and instructions without quotes.
    pub(super) fn check_name(&mut self, what: &str, name: &Spanned<String>) {
        let text = name.value.as_str();
        let message = if text.chars().any(|c| !c.is_alphanumeric() && c != '-') {
            format!("a {what}'s name can have only letters, digits and hyphens, not `{text}`")
        } else if text.len() > MAX_NAME {
            format!("a {what}'s name has at most {MAX_NAME} letters")
        } else if setting::WORDS.contains(&text) || STATEMENTS.contains(&text) {
            format!("`{text}` is a word of the notation and can't name a {what}")
        } else if times(text).is_some() {
            format!("`{text}` means a number of times in a form and can't name a {what}")
        } else {
            return;
        };
        let hyphens: String = text.chars().map(|c| if c.is_alphanumeric() { c } else { '-' }).collect();
        let finding = Finding::error(&WRONG_NAME, message);
        let finding = match hyphens.trim_matches('-') {
            other if other != text && !other.is_empty() && other.len() <= MAX_NAME && text.contains(|c| c != '-') => {
                finding.help(format!("give it another name, for example `{other}`"))
            }
            _ => finding.help("give it another name"),
        };
        self.tell(finding, name.span);
    }
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

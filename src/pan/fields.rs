//! The keys and values of a table in a band or pan file, each taken out with its place.
//!
//! The tables come from `toml`'s own parser; they are taken apart here and not by derived code, so that all mistakes of a
//! file are reported in one run, each in the trade's words.

use std::sync::Arc;

use toml::Spanned as At;
use toml::de::{DeTable, DeValue};

use super::findings::{UNKNOWN_SETTING, WRONG_ENTRY, WRONG_NOTE};
use super::misplaced::misplaced;
pub use super::place::span;
use super::wrong_toml;
use crate::music::NoteName;
use crate::notation::wrong_note;
use crate::text::{Finding, Source, Span, Spanned, words};

/// The longest text of a band or pan file, in letters: the notes of a pan in one text are about two hundred.
const MAX_TEXT: usize = 1000;

/// How many unknown keys are answered with the nearest known one.
const MOST_LOOKED_UP: usize = 100;

/// Reads a whole file; what is not TOML becomes findings.
pub fn parse<'a>(source: &'a Arc<Source>, findings: &mut Vec<Finding>) -> At<DeTable<'a>> {
    let (table, errors) = DeTable::parse_recoverable(source.text());
    let placed = |error: &toml::de::Error| {
        let span = error.span().map_or(Span::default(), |range| on_letters(source, range.start, range.end));
        let message = error.message().lines().next().unwrap_or("this can't be read").trim_end_matches('.');
        (message.to_owned(), span)
    };
    findings.extend(wrong_toml::findings(source, &errors.iter().map(placed).collect::<Vec<_>>()));
    table
}

/// A span that begins and ends between characters, whatever an error said.
fn on_letters(source: &Source, start: usize, end: usize) -> Span {
    let text = source.text();
    let floor = |at: usize| (0..=at.min(text.len())).rev().find(|at| text.is_char_boundary(*at)).unwrap_or(0);
    Span::new(floor(start), floor(end))
}

/// A table being taken apart.
pub struct Fields<'a> {
    source: &'a Arc<Source>,
    table: &'a DeTable<'a>,
    /// Where the table is, for findings about missing keys.
    pub place: Span,
    /// The table's heading, if it is in a band file.
    within: Option<&'static str>,
    known: Vec<&'static str>,
}

impl<'a> Fields<'a> {
    /// The fields of a table; `place`: where it is.
    pub fn new(source: &'a Arc<Source>, table: &'a DeTable<'a>, place: Span) -> Self {
        Fields { source, table, place, within: None, known: Vec::new() }
    }

    /// The fields of a table of a band file with this heading, such as `[fit]`.
    pub fn within(self, heading: &'static str) -> Self {
        Fields { within: Some(heading), ..self }
    }

    /// The value of a key.
    pub fn get(&mut self, key: &'static str) -> Option<&'a At<DeValue<'a>>> {
        if !self.known.contains(&key) {
            self.known.push(key);
        }
        self.table.get(key)
    }

    /// A finding about a place of this file.
    pub fn wrong(&self, message: impl Into<String>, place: Span) -> Finding {
        Finding::error(&WRONG_ENTRY, message).at(self.source, place)
    }

    /// A text.
    pub fn text(&mut self, key: &'static str, findings: &mut Vec<Finding>) -> Option<Spanned<String>> {
        let value = self.get(key)?;
        match value.get_ref() {
            DeValue::String(text) if text.chars().nth(MAX_TEXT).is_some() => {
                findings.push(self.wrong(format!("the text of `{key}` has at most {MAX_TEXT} letters"), span(value)));
                None
            }
            DeValue::String(text) => Some(Spanned::new(text.to_string(), span(value))),
            other => {
                let message = format!("`{key}` is a text in quotes, not {}", sort(other));
                findings.push(self.wrong(message, span(value)).help(format!("for example `{key} = \"…\"`")));
                None
            }
        }
    }

    /// A text that must be there and must not be empty.
    pub(crate) fn needed_text(&mut self, key: &'static str, findings: &mut Vec<Finding>) -> Option<Spanned<String>> {
        let is_there = self.table.contains_key(key);
        let text = self.text(key, findings);
        if text.as_ref().map_or(!is_there, |text| text.value.trim().is_empty()) {
            let place = text.as_ref().map_or(self.place, |text| text.span);
            findings.push(self.wrong(format!("`{key}` is missing"), place).help(format!("write `{key} = \"…\"`")));
            return None;
        }
        text
    }

    /// A number from `low` to `high`.
    pub fn number(
        &mut self,
        key: &'static str,
        (low, high): (f64, f64),
        unit: &str,
        findings: &mut Vec<Finding>,
    ) -> Option<f64> {
        let value = self.get(key)?;
        match number(value.get_ref()).filter(|number| (low..=high).contains(number)) {
            Some(number) => Some(number),
            None => {
                let found = self.source.slice(span(value));
                let message = format!("`{key}` is a number from {low} to {high} {unit}, not `{found}`");
                let finding = self.wrong(message, span(value));
                let bare = found.trim_matches(['"', '\'']).trim();
                findings.push(match bare.parse::<f64>() {
                    Ok(number) if bare != found && (low..=high).contains(&number) => {
                        finding.help(format!("did you mean `{key} = {bare}`, without quotes?"))
                    }
                    _ => finding,
                });
                None
            }
        }
    }

    /// A list of texts.
    pub fn texts(&mut self, key: &'static str, findings: &mut Vec<Finding>) -> Vec<Spanned<String>> {
        let Some(value) = self.get(key) else { return Vec::new() };
        let mut texts = Vec::new();
        match value.get_ref() {
            DeValue::String(text) => texts.push(Spanned::new(text.to_string(), span(value))),
            DeValue::Array(items) => {
                for item in items.iter() {
                    match item.get_ref() {
                        DeValue::String(text) => texts.push(Spanned::new(text.to_string(), span(item))),
                        _ => findings.push(self.wrong(format!("`{key}` is a list of texts in quotes"), span(item))),
                    }
                }
            }
            _ => findings.push(self.wrong(format!("`{key}` is a list of texts in quotes"), span(value))),
        }
        texts
    }

    /// A list of tables, as `[[key]]` writes them.
    pub fn tables(&mut self, key: &'static str, findings: &mut Vec<Finding>) -> Vec<(Span, &'a DeTable<'a>)> {
        let Some(value) = self.get(key) else { return Vec::new() };
        let mut tables = Vec::new();
        let DeValue::Array(items) = value.get_ref() else {
            findings.push(self.wrong(format!("`{key}` is a list: write `[[{key}]]` above each"), span(value)));
            return tables;
        };
        for item in items.iter() {
            match item.get_ref() {
                DeValue::Table(table) => tables.push((span(item), table)),
                _ => findings.push(self.wrong(format!("`{key}` is a list of tables"), span(item))),
            }
        }
        tables
    }

    /// A table of its own.
    pub fn table(&mut self, key: &'static str, findings: &mut Vec<Finding>) -> Option<(Span, &'a DeTable<'a>)> {
        let value = self.get(key)?;
        match value.get_ref() {
            DeValue::Table(table) => Some((span(value), table)),
            _ => {
                findings.push(self.wrong(format!("`{key}` is a table: write it in curly brackets"), span(value)));
                None
            }
        }
    }

    /// A table with a heading and its lines below; `help` says how it is written.
    pub(crate) fn headed(
        &mut self,
        key: &'static str,
        help: &str,
        findings: &mut Vec<Finding>,
    ) -> Option<(Span, &'a DeTable<'a>)> {
        let value = self.get(key)?;
        match value.get_ref() {
            DeValue::Table(table) => Some((span(value), table)),
            other => {
                let message =
                    format!("`{key}` is a heading in square brackets on a line of its own, not {}", sort(other));
                findings.push(self.wrong(message, span(value)).help(help));
                None
            }
        }
    }

    /// Notes, without the empty places.
    pub fn notes(&mut self, key: &'static str, findings: &mut Vec<Finding>) -> Vec<Spanned<NoteName>> {
        self.places(key, findings).into_iter().flatten().map(|place| place.name).collect()
    }

    /// Notes, as one text of words (`"C#3 E3 G3"`) or as a list of texts; `None` stands for a `.`, an empty place.
    pub fn places(&mut self, key: &'static str, findings: &mut Vec<Finding>) -> Vec<Option<Placed>> {
        let Some(value) = self.get(key) else { return Vec::new() };
        let mut notes = Vec::new();
        match value.get_ref() {
            DeValue::String(_) => self.words(value, &mut notes, findings),
            DeValue::Array(items) => items.iter().for_each(|item| match item.get_ref() {
                DeValue::String(_) => self.words(item, &mut notes, findings),
                _ => findings.push(self.wrong(format!("`{key}` is a list of notes"), span(item))),
            }),
            other => {
                let message = format!("`{key}` is a list of notes, not {}", sort(other));
                findings
                    .push(self.wrong(message, span(value)).help(format!("for example `{key} = [\"C#3\", \"E3\"]`")));
            }
        }
        notes
    }

    fn words(&self, value: &At<DeValue<'a>>, notes: &mut Vec<Option<Placed>>, findings: &mut Vec<Finding>) {
        for word in self.source.slice(span(value)).trim_matches(['"', '\'']).split_whitespace() {
            let span = self.source.span_of(word);
            if word == "." {
                notes.push(None);
                continue;
            }
            match placed(word, span) {
                Ok(placed) => notes.push(Some(placed)),
                Err(finding) => findings.push(finding.at(self.source, span)),
            }
        }
    }

    /// Reports every key that was not asked for.
    pub fn finish(self, findings: &mut Vec<Finding>) {
        let mut unknown: Vec<_> =
            self.table.keys().filter(|key| !self.known.contains(&key.get_ref().as_ref())).collect();
        unknown.sort_by_key(|key| key.span().start);
        for (number, key) in unknown.into_iter().enumerate() {
            let misplaced = |heading| misplaced(self.source, key.get_ref(), span(key), heading);
            if let Some(finding) = self.within.and_then(misplaced) {
                findings.push(finding);
                continue;
            }
            let finding = Finding::error(&UNKNOWN_SETTING, format!("there is no setting `{}` here", key.get_ref()));
            let finding = finding.at(self.source, span(key));
            // Nobody reads that many; the nearest of each would take seconds.
            if number > MOST_LOOKED_UP {
                findings.push(finding);
                continue;
            }
            findings.push(match words::nearest(key.get_ref(), self.known.iter().copied()) {
                Some(near) => finding.help(format!("did you mean `{near}`?")),
                None => {
                    let known: Vec<String> = self.known.iter().map(|key| format!("`{key}`")).collect();
                    finding.help(format!("choose from the settings here: {}", words::and(&known)))
                }
            });
        }
    }
}

/// Every key of a table that takes any, with its text, in the order of the file.
///
/// - `within`: the table's heading;
/// - `fits`: whether the table takes a text. Where it does not, a key that belongs to the whole band is reported as misplaced.
pub(crate) fn named_texts<'a>(
    source: &'a Arc<Source>,
    table: &'a DeTable<'a>,
    within: &str,
    fits: impl Fn(&str) -> bool,
    findings: &mut Vec<Finding>,
) -> Vec<(Spanned<String>, Spanned<String>)> {
    let mut texts = Vec::new();
    let mut entries: Vec<_> = table.iter().collect();
    entries.sort_by_key(|(key, _)| key.span().start);
    for (key, value) in entries {
        let name = Spanned::new(key.get_ref().to_string(), span(key));
        // `level` fits everywhere, and is meant for the whole band unless it is marked as a name by quotes.
        let fits = |text: &str| fits(text) && (name.value != "level" || source.slice(name.span) != "level");
        if !value.get_ref().as_str().is_some_and(fits)
            && let Some(finding) = misplaced(source, &name.value, name.span, within)
        {
            findings.push(finding);
            continue;
        }
        match value.get_ref() {
            DeValue::String(text) => texts.push((name, Spanned::new(text.to_string(), span(value)))),
            other => {
                let message = format!("`{}` is a text in quotes, not {}", name.value, sort(other));
                let finding = Finding::error(&WRONG_ENTRY, message).at(source, span(value));
                findings.push(finding.help(format!("for example `{} = \"…\"`", name.value)));
            }
        }
    }
    texts
}

/// A note of a list, with its angle when one is written after an `@`.
pub struct Placed {
    /// The note.
    pub name: Spanned<NoteName>,
    /// Where on its ring it lies, in degrees clockwise from the player.
    pub angle: Option<f64>,
}

/// `G2`, or `G2@109.4` for a note at 109.4 degrees.
fn placed(word: &str, span: Span) -> Result<Placed, Box<Finding>> {
    let Some((name, angle)) = word.split_once('@') else {
        return Ok(Placed { name: Spanned::new(note(word)?, span), angle: None });
    };
    let name = Spanned::new(note(name)?, span);
    match angle.parse::<f64>().ok().filter(|angle| (0.0..360.0).contains(angle)) {
        Some(angle) => Ok(Placed { name, angle: Some(angle) }),
        None => {
            let message = format!("an angle from 0 up to 360 degrees goes after the `@`, not `{angle}`");
            let help = "0 is nearest to the player, and it counts clockwise as seen from above";
            Err(Box::new(Finding::error(&WRONG_NOTE, message).help(help)))
        }
    }
}

/// A note name.
///
/// # Errors
/// When it is not a note name, or is beyond what can be played: a finding, without its place.
pub fn note(word: &str) -> Result<NoteName, Box<Finding>> {
    let finding = |message: String| Finding::error(&WRONG_NOTE, message);
    match word.parse::<NoteName>() {
        Ok(name) if name.pitch().is_some() => Ok(name),
        Ok(_) => Err(Box::new(finding(format!("`{word}` is beyond what can be played")))),
        Err(error) => {
            let better = match word.chars().next() {
                _ if let Some(better) = wrong_note::octave_first(word) => better,
                Some('H' | 'h') => format!("B{}", &word[1..]),
                Some(first) => format!("{}{}", first.to_ascii_uppercase(), &word[first.len_utf8()..]),
                None => String::new(),
            };
            let finding = finding(format!("`{word}` is not a note: {error}"));
            Err(Box::new(if better != word && better.parse::<NoteName>().is_ok() {
                finding.help(format!("did you mean `{better}`?"))
            } else {
                finding.help("write it like `F#4` or `Bb3`")
            }))
        }
    }
}

/// A number, whole or not.
pub fn number(value: &DeValue) -> Option<f64> {
    match value {
        DeValue::Integer(integer) => i64::from_str_radix(integer.as_str(), integer.radix()).ok().map(|n| n as f64),
        DeValue::Float(float) => float.as_str().parse().ok(),
        _ => None,
    }
}

/// What sort of value it is, for sentences.
fn sort(value: &DeValue) -> &'static str {
    match value {
        DeValue::String(_) => "a text",
        DeValue::Integer(_) | DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a heading",
    }
}

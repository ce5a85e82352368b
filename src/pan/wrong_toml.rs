//! What to say about a band or pan file that is not TOML: what its owner most likely meant to write.

use std::sync::Arc;

use toml::de::DeTable;

use super::findings::BAND_SYNTAX;
use crate::text::{Finding, Source, Span};

/// The tables of a band file that are written in double brackets.
const LISTS: [&str; 2] = ["pan", "percussion"];

/// Quotes that word processors put in place of straight ones.
const CURLY: [char; 6] = ['“', '”', '„', '«', '»', '″'];

/// Findings for what the parser found wrong, from its messages and their places. One mistake is reported once, with all its places.
pub fn findings(source: &Arc<Source>, errors: &[(String, Span)]) -> Vec<Finding> {
    let mut told: Vec<Finding> = Vec::new();
    let mut lines: Vec<usize> = Vec::new();
    for (message, span) in errors {
        let line = source.line_of(span.start);
        // What goes wrong twice on a line is one mistake.
        if lines.contains(&line) {
            continue;
        }
        lines.push(line);
        let finding = explained(source, message, *span);
        match told.iter_mut().find(|other| other.message == finding.message) {
            Some(first) => {
                let is_new = |span: &Span| first.place.as_ref().is_none_or(|place| place.span != *span);
                let span = finding.place.map(|place| place.span).filter(is_new);
                first.more.extend(span);
            }
            None => told.push(finding),
        }
    }
    told
}

fn explained(source: &Arc<Source>, message: &str, span: Span) -> Finding {
    let at = |message: String, span: Span| Finding::error(&BAND_SYNTAX, message).at(source, span);
    if message == "duplicate key" {
        let key = source.slice(span);
        return match LISTS.contains(&key).then(|| single_brackets(source, key)).flatten() {
            Some(first) => at(format!("a band has a list of `{key}`, and `[{key}]` begins a single one"), first)
                .help(format!("did you mean `[[{key}]]`?")),
            None => at(format!("`{key}` is there twice"), span).help("remove one of the two"),
        };
    }
    let line = source.slice(source.line_span(source.line_of(span.start)));
    if line.contains(CURLY) {
        let finding = at("texts go in straight quotes, not curly ones".to_owned(), span);
        return finding.help("type them again as `\"`, and switch smart quotes off in your editor");
    }
    if let Some((better, message)) = meant(line) {
        return at(message.to_owned(), span).help(format!("did you mean `{better}`?"));
    }
    if message.contains("missing comma") {
        return at("a comma is missing in this list".to_owned(), span)
            .help("write it between the texts, as in `plays = [\"Red rim\", \"Brake drum\"]`");
    }
    at(format!("this line can't be read: {}", plain(message)), span)
        .help("write lines such as `name = \"Red rim\"`: texts go in quotes, lists in square brackets")
}

/// What the parser says, in words that fit a file rather than a program.
fn plain(message: &str) -> String {
    message
        .replace("array elements", "the texts of a list")
        .replace("array table", "heading in `[[…]]`")
        .replace("array", "list")
        .replace("key with no value, expected `=`", "it has no `=`")
        .replace("inline table", "entry in braces")
}

/// The place of a table whose heading has single brackets.
fn single_brackets(source: &Source, key: &str) -> Option<Span> {
    let heading = format!("[{key}]");
    let lines = (1..=source.line_count()).map(|line| source.line_span(line));
    lines.into_iter().find(|line| source.slice(*line).trim() == heading)
}

/// The line `key = value` that was meant by a line, and what is wrong with it; only if it can be read then.
fn meant(line: &str) -> Option<(String, &'static str)> {
    let line = line.trim();
    let is_key = |key: &str| !key.is_empty() && key.chars().all(|c| c.is_ascii_alphanumeric() || c == '_' || c == '-');
    let (key, value, colon) = match (line.split_once('='), line.split_once(':')) {
        (Some((key, value)), _) if is_key(key.trim()) => (key.trim(), value.trim(), false),
        (_, Some((key, value))) if is_key(key.trim()) => (key.trim(), value.trim(), true),
        _ => return None,
    };
    let open = |quote: char| value.starts_with(quote) && !value[1..].contains(quote);
    let message = match colon {
        true => "a `=` goes between a name and its value",
        false if open('"') || open('\'') => "the quote at the end of this text is missing",
        false => "a text goes in quotes",
    };
    let is_read = |value: &str| {
        let line = format!("{key} = {value}");
        DeTable::parse(&line).is_ok().then_some(line)
    };
    if value.is_empty() {
        return None;
    }
    if colon && let Some(line) = is_read(value) {
        return Some((line, message));
    }
    let number = value.trim_end_matches(|c: char| c.is_alphabetic() || c == '%').trim_end();
    if number != value && number.parse::<f64>().is_ok() {
        return is_read(number).map(|line| (line, "a number goes without its unit"));
    }
    let quoted = match value.strip_prefix('[').and_then(|items| items.strip_suffix(']')) {
        Some(items) => format!("[{}]", items.split(',').map(quote).collect::<Vec<_>>().join(", ")),
        None => quote(value),
    };
    is_read(&quoted).map(|line| (line, message))
}

/// A text in quotes, whatever quotes it had.
fn quote(text: &str) -> String {
    format!("\"{}\"", text.trim().trim_matches(['"', '\'']))
}

#[cfg(test)]
mod tests {
    use crate::pan::fields::parse;
    use crate::text::Source;

    /// What is said of a file, with the number of further places.
    fn told(text: &str) -> Vec<String> {
        let source = Source::new("band.toml", text);
        let mut findings = Vec::new();
        parse(&source, &mut findings);
        findings.iter().map(|f| format!("{}; {} ({})", f.message, f.help.join("; "), f.more.len())).collect()
    }

    #[test]
    fn one_mistake_is_told_once_with_what_was_meant() {
        let table = [
            ("name: \"Quay\"", "a `=` goes between a name and its value; did you mean `name = \"Quay\"`? (0)"),
            ("name: Quay", "a `=` goes between a name and its value; did you mean `name = \"Quay\"`? (0)"),
            ("name = Lantern Quay", "a text goes in quotes; did you mean `name = \"Lantern Quay\"`? (0)"),
            ("name = \"Quay", "the quote at the end of this text is missing; did you mean `name = \"Quay\"`? (0)"),
            (
                "plays = [\"A\" \"B\"]",
                "a comma is missing in this list; write it between the texts, as in `plays = [\"Red rim\", \"Brake drum\"]` (0)",
            ),
            ("layout = lead-c", "a text goes in quotes; did you mean `layout = \"lead-c\"`? (0)"),
            ("plays = [lead, second]", "a text goes in quotes; did you mean `plays = [\"lead\", \"second\"]`? (0)"),
            ("a4 = 440hz", "a number goes without its unit; did you mean `a4 = 440`? (0)"),
            (
                "name = “Quay”",
                "texts go in straight quotes, not curly ones; type them again as `\"`, and switch smart quotes off in your editor (0)",
            ),
            (
                "[pan]\nname = \"A\"\n[[pan]]\nname = \"B\"\n[[pan]]\nname = \"C\"",
                "a band has a list of `pan`, and `[pan]` begins a single one; did you mean `[[pan]]`? (0)",
            ),
            (
                "Our band\nRed rim lead\nBlue second",
                "this line can't be read: it has no `=`; write lines such as `name = \"Red rim\"`: texts go in quotes, lists in square brackets (2)",
            ),
        ];
        for (text, expected) in table {
            assert_eq!(told(text), [expected], "{text}");
        }
        assert_eq!(told("name = \"A\"\nname = \"B\"\n"), ["`name` is there twice; remove one of the two (0)"]);
    }
}

//! What to say about a line that begins no statement: what was most likely meant, and whether to read on as if that were written,
//! so that nothing that only follows from the mistake is reported.

use super::reserved::{INSTRUCTIONS, STATEMENTS, times};
use super::{cell, setting};
use crate::text::{Source, words};

/// What was meant by a line.
pub struct Meant {
    /// What is wrong: a sentence in lower case.
    pub message: String,
    /// What to do.
    pub help: String,
    /// What it is read as.
    pub reads: Reads,
}

/// What a line is read as.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reads {
    /// A statement that begins with this word; if that is not `sure`, other mistakes of the line are not reported.
    Keyword {
        /// The word.
        word: &'static str,
        /// Whether there is hardly any doubt.
        sure: bool,
    },
    /// `part` left out in front of the line.
    Part,
    /// A section whose name is the line.
    Section,
    /// A row with an instruction, its `=` left out.
    Instruction,
    /// Nothing.
    Nothing,
}

/// Other words for settings, from other programs' files and other countries (common practice, no source).
const SYNONYMS: [(&str, &str); 15] = [
    ("time", "meter"),
    ("metre", "meter"),
    ("signature", "meter"),
    ("time-signature", "meter"),
    ("bpm", "tempo"),
    ("speed", "tempo"),
    ("name", "title"),
    ("author", "by"),
    ("composer", "by"),
    ("arranger", "by"),
    ("upbeat", "pickup"),
    ("anacrusis", "pickup"),
    ("parts", "part"),
    ("order", "form"),
    ("structure", "form"),
];

/// The longest line that a help repeats, in letters.
const SHORT: usize = 70;

/// Every word that begins a statement other than a row.
fn keywords() -> impl Iterator<Item = &'static str> {
    setting::WORDS.into_iter().chain(STATEMENTS)
}

/// What was meant by a line, from its first word and the rest; `section`: whether it is in one.
pub fn meant(word: &str, rest: &str, section: bool) -> Meant {
    comment(word)
        .or_else(|| keyword(word, rest))
        .or_else(|| headline(word, rest))
        .or_else(|| instruction(word, rest))
        .or_else(|| part(word, rest, section))
        .or_else(|| row(word, rest, section))
        .or_else(|| mistyped(word))
        .unwrap_or_else(|| unknown(word, section))
}

/// Whether the letters of a text can be the name of a part, a section or a pattern.
pub fn is_name(text: &str) -> bool {
    !text.is_empty() && text.chars().all(|c| c.is_alphanumeric() || c == '-')
}

/// A name without colons, quotes and the like around it, if it is a name then.
pub(crate) fn bare_name(text: &str) -> Option<&str> {
    let around = |c: char| ":;,.\"'“”„‘’()[]{}".contains(c);
    let bare = text.trim_matches(around);
    (bare != text && is_name(bare)).then_some(bare)
}

/// What to do about a line `pattern` without a name or a bar line; `rest` is what follows the name.
pub fn pattern(name: &str, rest: &str) -> String {
    let cells = rest.trim_start_matches(['=', ':', ' ', '\t']);
    let are_cells =
        !cells.is_empty() && cells.split_whitespace().all(|word| word == "|" || cell::cell(word, 0).is_some());
    match bare_name(name).or_else(|| is_name(name).then_some(name)) {
        Some(name) if are_cells && cells.chars().count() <= SHORT => {
            format!("did you mean `pattern {name} | {} |`?", cells.trim_end_matches(['|', ' ']))
        }
        Some(name) if rest.contains('|') && is_name(&format!("{name}{}", first(rest))) => {
            format!("a name is one word: `pattern {name}-{} | … |`", first(rest))
        }
        _ => "for example `pattern offbeat | . x . x |`".to_owned(),
    }
}

/// The first section that a form names and the tune does not have.
pub fn missing_section(source: &Source) -> Option<&str> {
    let lines = || source.text().lines().map(|line| line.split_whitespace().collect::<Vec<_>>());
    let heads = lines().filter(|words| words.first() == Some(&"section"));
    let known: Vec<&str> = heads.filter_map(|words| words.get(1).copied()).collect();
    let forms = lines().filter(|words| words.first() == Some(&"form"));
    let mut named = forms.flat_map(|words| words.into_iter().skip(1).filter(|word| times(word).is_none()));
    named.find(|name| !known.contains(name) && is_name(name))
}

fn first(text: &str) -> &str {
    text.split(|c: char| c.is_whitespace() || c == '|').next().unwrap_or_default()
}

/// What to do about something after a section's name.
pub(crate) fn after_name(name: &str, more: &str) -> String {
    let word = more.trim_matches(['(', ')']);
    let times = word.strip_prefix('x').or_else(|| word.strip_suffix('x')).is_some_and(|n| n.parse::<u32>().is_ok());
    if times {
        return format!("how often a section is played goes in the form: `form {name} x2`");
    }
    if more.starts_with(['(', '[', '-', '–', ',']) {
        return "take it out, or write a `#` before it".to_owned();
    }
    let joined = format!("{name}-{}", more.split_whitespace().collect::<Vec<_>>().join("-"));
    if is_name(&joined) { format!("a name is one word: `section {joined}`") } else { "take it out".to_owned() }
}

/// `//`, `;` or `--` before a comment.
fn comment(word: &str) -> Option<Meant> {
    let sign = ["//", "/*", "--", ";"].into_iter().find(|sign| word.starts_with(sign))?;
    let message = format!("a comment begins with `#`, not `{sign}`");
    Some(Meant { message, help: "write a `#` before the comment".to_owned(), reads: Reads::Nothing })
}

/// A known word with a colon after it, or in capitals, or another word for it.
fn keyword(word: &str, rest: &str) -> Option<Meant> {
    let plain = word.trim_end_matches(':');
    let lower = plain.to_lowercase();
    if let Some(known) = keywords().find(|known| *known == lower) {
        let message = match plain == word {
            true => format!("`{word}` is written in lower case"),
            false => format!("the `:` after `{plain}` isn't needed"),
        };
        // What else is wrong with a form is told too, so that the offer must not have it.
        let rest = if known == "form" { rest.replace([',', ';'], " ") } else { rest.to_owned() };
        let rest = rest.split_whitespace().collect::<Vec<_>>().join(" ");
        return Some(Meant {
            message,
            help: did_you_mean(known, &rest),
            reads: Reads::Keyword { word: known, sure: true },
        });
    }
    let (_, known) = SYNONYMS.into_iter().find(|(other, _)| *other == lower)?;
    let help = format!("did you mean `{known}`?");
    let message = match setting::WORDS.contains(&known) {
        true => format!("`{word}` is not a setting of a tune"),
        false => no_line(word),
    };
    Some(Meant { message, help, reads: Reads::Keyword { word: known, sure: false } })
}

fn no_line(word: &str) -> String {
    format!("no line of a tune begins with `{word}`")
}

/// The line as it should be, or only its first word when the line is too long to repeat.
fn did_you_mean(word: &str, rest: &str) -> String {
    let line = format!("{word} {rest}");
    if line.chars().count() <= SHORT && !rest.is_empty() {
        format!("did you mean `{line}`?")
    } else {
        format!("did you mean `{word}`?")
    }
}

/// `verse:` or `[verse]` alone on a line.
fn headline(word: &str, rest: &str) -> Option<Meant> {
    let name = bare_name(word).filter(|_| rest.is_empty())?;
    let help = format!("did you mean `section {name}`?");
    Some(Meant { message: "a section begins with the word `section`".to_owned(), help, reads: Reads::Section })
}

/// `second strum offbeat`, `second: strum offbeat`.
fn instruction(word: &str, rest: &str) -> Option<Meant> {
    let name = bare_name(word).unwrap_or(word);
    let told = rest.trim_start_matches([':', '-', '–', '>', '=', ' ', '\t']);
    let is_instruction = |word: Option<&str>| word.is_some_and(|word| INSTRUCTIONS.contains(&word));
    if is_instruction(Some(name)) && !rest.contains('|') {
        let message = format!("`{name}` needs the name of a part before it");
        let help = format!("write the part that plays it: `second = {name} {rest}`");
        return Some(Meant { message, help, reads: Reads::Nothing });
    }
    if !is_name(name) || !is_instruction(told.split_whitespace().next()) || rest.contains('|') {
        return None;
    }
    let message = match told == rest && name == word {
        true => format!("the `=` after `{name}` is missing"),
        false => format!("a `=` is missing after `{name}`"),
    };
    let told: Vec<&str> = told.split_whitespace().collect();
    let help = match told[..] {
        [verb] if verb != "rest" => {
            let what = if matches!(verb, "strum" | "play") { "pattern" } else { "part" };
            format!("write `{name} = {verb}` and the name of a {what}")
        }
        _ => did_you_mean(name, &format!("= {}", told.join(" "))),
    };
    Some(Meant { message, help, reads: Reads::Instruction })
}

/// `second on double-second`.
fn part(word: &str, rest: &str, section: bool) -> Option<Meant> {
    let mut words = rest.split_whitespace();
    if section || words.next() != Some("on") || words.next().is_none() || !is_name(word) {
        return None;
    }
    let help = did_you_mean("part", &format!("{word} {rest}"));
    Some(Meant { message: no_line(word), help, reads: Reads::Part })
}

/// Cells, with some or all bar lines missing.
fn row(word: &str, rest: &str, section: bool) -> Option<Meant> {
    let name = bare_name(word).unwrap_or(word);
    let message = no_line(word);
    let nothing = |help: String| Some(Meant { message, help, reads: Reads::Nothing });
    if let Some((before, _)) = rest.split_once('|') {
        let more = before.trim();
        if more.split_whitespace().count() == 1 && !more.contains(|c: char| matches!(c, 'A'..='G' | '.' | '-' | '~')) {
            let longer = format!("{name}-{}", bare_name(more).unwrap_or(more));
            let both = format!("write a bar line right after `{name}`, or `{longer}` if that is the part's name");
            return nothing(if is_name(&longer) { both } else { format!("write a bar line right after `{name}`") });
        }
        return nothing(format!("write a bar line right after the name: `{name} | {more} | …`"));
    }
    let cells = rest.split_whitespace().filter(|word| cell::cell(word, 0).is_some()).count();
    let reserved = matches!(name, "chords" | "words" | "dynamics");
    if section && !rest.is_empty() && (reserved || cells == rest.split_whitespace().count()) {
        let help = format!("a row needs bar lines: `{name} | {rest} |`");
        return nothing(if help.chars().count() <= SHORT {
            help
        } else {
            format!("a row needs bar lines: `{name} | … |`")
        });
    }
    (section && rest.contains(['¦', '│', '∣'])).then(|| Meant {
        message: no_line(word),
        help: "a bar line is the sign `|`".to_owned(),
        reads: Reads::Nothing,
    })
}

/// A word that is nearly one of those that begin statements.
fn mistyped(word: &str) -> Option<Meant> {
    let known = words::nearest(word, keywords())?;
    let help = format!("did you mean `{known}`?");
    Some(Meant { message: no_line(word), help, reads: Reads::Keyword { word: known, sure: false } })
}

fn unknown(word: &str, section: bool) -> Meant {
    let help = match section {
        true => "a row needs bar lines: `lead | D5 . G5 . |`".to_owned(),
        false => {
            let known: Vec<String> = keywords().map(|word| format!("`{word}`")).collect();
            format!("above the first section a line begins with {}", words::or(&known))
        }
    };
    Meant { message: no_line(word), help, reads: Reads::Nothing }
}

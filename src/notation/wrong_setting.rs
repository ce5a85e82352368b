//! What was most likely meant by a setting's value that can't be read: `key g major`, `tempo 104 bpm`, `meter 4:4`.

use crate::music::key::Mode;
use crate::music::pitch::split_tone;
use crate::music::{Key, Tone};

/// A value as it should probably be written; the caller tries whether it is valid.
pub fn meant(word: &str, text: &str) -> Option<String> {
    let text = bare(text);
    match word {
        "key" => key(text),
        "meter" => meter(text),
        "tempo" => tempo(text),
        "swing" => swing(text),
        "pickup" | "roll" => beats(word, text),
        _ => Some(text.to_owned()),
    }
}

/// A value without what doesn't belong to it: a sign before it, quotes around it.
pub fn bare(text: &str) -> &str {
    let text = text.trim_start_matches([':', '=', ' ', '\t']);
    let quotes = ['"', '“', '”', '„', '\'', '‘', '’'];
    match text.strip_prefix(quotes).and_then(|text| text.strip_suffix(quotes)) {
        Some(inner) if !inner.contains(quotes) => inner.trim(),
        _ => text,
    }
}

/// A key in words: letter, `sharp` or `flat`, `major` or `minor`, in any case and with hyphens. A key that would need more than
/// seven sharps or flats becomes the one that sounds the same.
fn key(text: &str) -> Option<String> {
    let text = text.to_lowercase().replace(['-', '_'], " ");
    let mut words: Vec<&str> =
        text.split_whitespace().filter(|word| !matches!(*word, "in" | "of" | "key" | "scale")).collect();
    let mut minor = false;
    let mut sign = "";
    let mut first = None;
    for word in std::mem::take(&mut words) {
        match word {
            "major" | "maj" | "dur" => {}
            "minor" | "min" | "moll" | "m" => minor = true,
            "sharp" => sign = "#",
            "flat" => sign = "b",
            _ if first.is_none() => first = Some(word),
            _ => return None,
        }
    }
    let mut name = first?;
    for (ending, is_minor) in [("major", false), ("minor", true), ("maj", false), ("min", true), ("m", true)] {
        if let Some(shorter) = name.strip_suffix(ending).filter(|shorter| !shorter.is_empty()) {
            (name, minor) = (shorter, minor || is_minor);
            break;
        }
    }
    let mut letters = name.chars();
    let letter = letters.next().map(|letter| if letter == 'h' { 'B' } else { letter.to_ascii_uppercase() })?;
    let name = format!("{letter}{}{sign}", letters.as_str());
    let (tonic, rest) = split_tone(&name).ok()?;
    let mode = if minor { Mode::Minor } else { Mode::Major };
    rest.is_empty().then(|| Key::new(tonic, mode).or_else(|| alike(tonic, mode))).flatten().map(|key| key.to_string())
}

/// The key that sounds the same as one that would need too many sharps or flats.
fn alike(tonic: Tone, mode: Mode) -> Option<Key> {
    let mut keys = (-7..=7).filter_map(|fifths| Key::from_fifths(fifths, mode));
    keys.find(|key| key.tonic().class() == tonic.class())
}

/// Two numbers, whatever stands between them; the signs for four and two beats.
fn meter(text: &str) -> Option<String> {
    match text.to_lowercase().as_str() {
        "c" | "common" | "common time" => return Some("4/4".to_owned()),
        "cut" | "cut time" | "¢" => return Some("2/2".to_owned()),
        _ => {}
    }
    let numbers: Vec<&str> = text.split(|c: char| !c.is_ascii_digit()).filter(|number| !number.is_empty()).collect();
    // `2+2/4` is not 2/2, and its own question.
    match numbers[..] {
        [count, unit] if !text.contains('+') => Some(format!("{count}/{unit}")),
        _ => None,
    }
}

/// The only number of a text; a comma counts as a decimal point.
fn tempo(text: &str) -> Option<String> {
    let text = text.replace(',', ".");
    let number = |c: char| c.is_ascii_digit() || c == '.';
    let mut numbers =
        text.split(|c: char| !number(c)).map(|word| word.trim_matches('.')).filter(|word| !word.is_empty());
    let only = numbers.next()?.to_owned();
    numbers.next().is_none().then_some(only)
}

fn swing(text: &str) -> Option<String> {
    let text = text.to_lowercase();
    if text.starts_with("66") || text.starts_with("67") || text.starts_with("triplet") {
        return Some("2:1".to_owned());
    }
    let numbers: Vec<&str> = text.split(|c: char| !c.is_ascii_digit()).filter(|number| !number.is_empty()).collect();
    match numbers[..] {
        [first, second] => Some(format!("{first}:{second}")),
        _ => None,
    }
}

/// Beats with the word after them or as a word; `roll off`.
fn beats(word: &str, text: &str) -> Option<String> {
    let lower = text.to_lowercase();
    if word == "roll" && ["off", "no", "never", "0"].contains(&lower.as_str()) {
        return Some("none".to_owned());
    }
    let number = match lower.strip_suffix("beats").or_else(|| lower.strip_suffix("beat")) {
        Some(number) => number.trim(),
        None => lower.as_str(),
    };
    let words = ["one", "two", "three", "four", "five", "six", "seven", "eight"];
    let spelled = words.iter().position(|word| *word == number).map(|at| (at + 1).to_string());
    spelled.or_else(|| (!number.is_empty() && number != text).then(|| number.to_owned()))
}

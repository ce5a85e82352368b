//! Names for parts and sections, from what a file calls them: one word of letters, digits and hyphens, each once.

use std::collections::{BTreeMap, BTreeSet};

use crate::notation::limits::MAX_NAME;
use crate::notation::limits::MAX_TEXT;
use crate::notation::setting;
use crate::tune::header::RESERVED;

/// Bytes of a name that is made here; the notation takes more, but rows of such names are hard to read.
const LONGEST: usize = 24;

/// What programs call a part that has no name.
const NO_NAME: &str = "musicxml-part";

/// Words that begin statements of the notation.
const STATEMENTS: [&str; 4] = ["part", "pattern", "form", "section"];

/// Names that were given out.
#[derive(Debug, Default)]
pub struct Names {
    given: BTreeSet<String>,
    /// The highest number that each name has been given out with.
    numbered: BTreeMap<String, usize>,
}

impl Names {
    /// A name that is not given out yet: `wanted` as one word, or `otherwise` if nothing is left of it. The second use of a name
    /// gets `-2` after it.
    pub fn give(&mut self, wanted: &str, otherwise: &str) -> String {
        let word = word(wanted);
        let base = if word.is_empty() || word == NO_NAME { otherwise.to_owned() } else { word };
        let free = |given: &BTreeSet<String>, name: &String| !given.contains(name) && !is_taken(name);
        let name = if free(&self.given, &base) {
            base
        } else {
            let last = self.numbered.entry(base.clone()).or_insert(1);
            let next = (*last + 1..).find(|number| free(&self.given, &format!("{base}-{number}")));
            *last = next.expect("there is always a next number");
            format!("{base}-{last}")
        };
        self.given.insert(name.clone());
        name
    }

    /// The name letter by letter, if the notation takes it and it is not given out yet; else as [`Names::give`].
    pub fn keep(&mut self, wanted: &str, otherwise: &str) -> String {
        let is_word = !wanted.is_empty() && wanted.chars().all(|c| c.is_alphanumeric() || c == '-');
        if is_word && wanted.len() <= MAX_NAME && !is_taken(wanted) && self.given.insert(wanted.to_owned()) {
            return wanted.to_owned();
        }
        self.give(wanted, otherwise)
    }
}

/// A text as one word in lower case.
pub fn word(text: &str) -> String {
    let mut word = String::new();
    for c in text.chars().flat_map(char::to_lowercase) {
        if word.len() + c.len_utf8() > LONGEST {
            break;
        }
        if c.is_alphanumeric() {
            word.push(c);
        } else if !word.is_empty() && !word.ends_with('-') {
            word.push('-');
        }
    }
    word.trim_end_matches('-').to_owned()
}

/// Whether a name means something else in the notation.
fn is_taken(name: &str) -> bool {
    let times = name.strip_prefix('x').is_some_and(|digits| digits.bytes().all(|b| b.is_ascii_digit()));
    RESERVED.contains(&name) || setting::WORDS.contains(&name) || STATEMENTS.contains(&name) || times
}

/// The letters `a` to `z`, then `aa` and so on, for sections that have no name.
pub fn letters(number: usize) -> String {
    let letter = char::from(b'a' + (number % 26) as u8);
    if number < 26 { letter.to_string() } else { format!("{}{letter}", letters(number / 26 - 1)) }
}

/// A text for one line, no longer than a tune may have it: without line ends, bar lines, and signs that steer a terminal.
pub fn line(text: &str) -> String {
    let plain = text.replace('|', "/");
    let plain: String = plain.chars().map(|c| if c.is_control() || c == '\u{feff}' { ' ' } else { c }).collect();
    plain.split_whitespace().collect::<Vec<_>>().join(" ").chars().take(MAX_TEXT).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_words_of_their_own() {
        let mut names = Names::default();
        let given: Vec<String> = ["Steel Drums (1)", "steel-drums 1", "words", "", "x2", "Größe", "MusicXML Part"]
            .into_iter()
            .map(|wanted| names.give(wanted, "part-1"))
            .collect();
        assert_eq!(given, ["steel-drums-1", "steel-drums-1-2", "words-2", "part-1", "x2-2", "größe", "part-1-2"]);
    }

    #[test]
    fn letters_go_on_after_z() {
        assert_eq!([0, 25, 26, 27, 701].map(letters), ["a", "z", "aa", "ab", "zz"]);
    }
}

//! What was most likely meant by a cell that is no note or stroke: signs in another order, note names of other countries, cells
//! that touch each other.

use crate::music::NoteName;
use crate::music::pitch::split_tone;

/// What was meant by a wrong cell: what is wrong with it, and what to do.
pub struct Meant {
    /// A sentence in lower case.
    pub message: String,
    /// What to write.
    pub instead: Instead,
}

/// What to write instead of a wrong cell.
pub enum Instead {
    /// This, for sure.
    This(String),
    /// One of several things: a sentence that lists them.
    Ask(String),
}

/// Spoken words for a rest.
const RESTS: [&str; 4] = ["rest", "Rest", "r", "z"];

/// Marks that are put around or after words in ordinary text.
const AROUND: [char; 12] = ['(', ')', '[', ']', '"', '“', '”', '„', '‘', '’', ',', ';'];

/// What was meant by a cell, or by a piece of one without its signs; `None` when that can't be guessed.
pub fn meant(stem: &str) -> Option<Meant> {
    let this = |message: String, better: String| Some(Meant { message, instead: Instead::This(better) });
    if RESTS.contains(&stem) {
        return this(format!("a rest is a `.`, not `{stem}`"), ".".to_owned());
    }
    if let Some(sign) = one_sign(stem) {
        let apart = vec![sign.to_string(); stem.chars().count()].join(" ");
        return this(format!("cells need a space between them: `{stem}`"), apart);
    }
    if let Some(better) = octave_first(stem).or_else(|| in_words(stem)) {
        let message = format!("a note is a letter, then its sharp or flat, then its octave, not `{stem}`");
        return this(message, better);
    }
    if let Some(better) = degree(stem) {
        return this(format!("the sharp or flat of a degree goes before it, not as in `{stem}`"), better);
    }
    let plain = stem.trim_matches(AROUND);
    if plain != stem && super::cell::cell(plain, 0).is_some() {
        return this(format!("a cell has no brackets, quotes or commas: `{stem}`"), plain.to_owned());
    }
    numbered_stroke(stem).or_else(|| touching(stem))
}

/// The sign that a text repeats, if it is nothing else.
fn one_sign(stem: &str) -> Option<char> {
    let first = stem.chars().next().filter(|first| matches!(first, '-' | '.' | '~'))?;
    (stem.chars().count() > 1 && stem.chars().all(|sign| sign == first)).then_some(first)
}

fn good(name: String) -> Option<String> {
    name.parse::<NoteName>().ok().and_then(NoteName::pitch).map(|_| name)
}

/// `F#4` for `F4#`, `4F#` and `#F4`.
pub fn octave_first(stem: &str) -> Option<String> {
    let is_sign = |c: char| matches!(c, '#' | 'b' | '♯' | '♭');
    let letter: Vec<char> = stem.chars().filter(|c| matches!(c, 'A'..='G')).collect();
    let digits: Vec<char> = stem.chars().filter(char::is_ascii_digit).collect();
    let signs: String = stem.chars().filter(|c| is_sign(*c)).collect();
    let [letter] = letter[..] else { return None };
    let [octave] = digits[..] else { return None };
    // Every letter, digit and sign, and nothing else; signs on both sides of the octave may mean anything.
    let together = signs.is_empty() || stem.contains(&signs);
    (together && 2 + signs.chars().count() == stem.chars().count()).then_some(())?;
    good(format!("{letter}{signs}{octave}"))
}

/// `F#4` for `Fis4` and `Fsharp4`, `Eb4` for `Es4` and `Eflat4`.
fn in_words(stem: &str) -> Option<String> {
    let letter = stem.chars().next().filter(|c| matches!(c, 'A'..='H'))?;
    let rest = &stem[1..];
    let (word, octave) = rest.split_at(rest.find(|c: char| c.is_ascii_digit())?);
    let sign = match (letter, word.trim_matches('-')) {
        (_, "is" | "sharp" | "s") if letter != 'E' && letter != 'A' => "#",
        (_, "is" | "sharp") => "#",
        ('E' | 'A', "s") | (_, "es" | "flat") => "b",
        _ => return None,
    };
    let letter = if letter == 'H' { 'B' } else { letter };
    good(format!("{letter}{sign}{octave}"))
}

/// `b7` for `7b`, and `♯5` for `5#`: a `#` at the front of a cell would begin a comment.
fn degree(stem: &str) -> Option<String> {
    let digits = stem.trim_end_matches(['b', '#', '♭', '♯']);
    let signs = stem[digits.len()..].replace('#', "♯");
    let better = format!("{signs}{digits}");
    (!signs.is_empty() && better.parse::<crate::music::Degree>().is_ok()).then_some(better)
}

/// `x4`: a stroke with a number, which may be an octave or a number of strokes.
fn numbered_stroke(stem: &str) -> Option<Meant> {
    let mark = stem.chars().next().filter(|c| matches!(c, 'x' | 'X' | 'o' | 's'))?;
    let number: usize = stem[1..].parse().ok().filter(|number| (1..=8).contains(number))?;
    let several = vec![mark.to_string(); number.max(2)].join("/");
    let message = format!("a percussion stroke has no number: `{stem}`");
    let ask = format!("write `{mark}` for one stroke, `{several}` for {} in the time of one cell", number.max(2));
    Some(Meant { message, instead: Instead::Ask(ask) })
}

/// `C5G5`, `C5,E5`: two notes without a space between them.
fn touching(stem: &str) -> Option<Meant> {
    let second = stem.char_indices().skip(1).find(|(_, c)| matches!(c, 'A'..='G')).map(|(at, _)| at)?;
    let (first, second) = stem.split_at(second);
    let first = first.trim_end_matches(['-', ',', ';', '&', '|', '_']);
    if [first, second].iter().any(|note| note.parse::<NoteName>().is_err() && !is_tone(note)) {
        return None;
    }
    let message = format!("cells need a space between them: `{stem}`");
    let ask = format!(
        "write `{first} {second}` for two cells, `{first}/{second}` for both in one cell, `{first}+{second}` for both at once"
    );
    Some(Meant { message, instead: Instead::Ask(ask) })
}

/// Whether a text is a note without its octave, with a sharp or flat, so that it is not just a letter of a word.
fn is_tone(text: &str) -> bool {
    text.len() > 1 && split_tone(text).is_ok_and(|(_, rest)| rest.is_empty())
}

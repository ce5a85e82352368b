//! What to say about a cell that can't be read: what was most likely meant.

use super::capitals::{capitals, upper_case};
use super::findings::WRONG_CELL;
use super::wrong_note::{self, Instead};
use crate::music::NoteName;
use crate::music::pitch::{NoteNameError, split_tone};
use crate::text::{Edit, Finding, Span};

/// A finding for a cell, without its place.
pub fn explain(text: &str, span: Span) -> Finding {
    let is_wrong = |piece: &&str| !is_good(piece) && capitals(piece).is_none();
    let piece = text.split(['/', '+']).find(is_wrong).unwrap_or(text);
    let stem = piece.trim_end_matches(['>', '\'', 'L', 'R']);
    let signs = &piece[stem.len()..];
    let finding = |message: String| Finding::error(&WRONG_CELL, message);
    let instead = |finding: Finding, better: String| {
        let whole = text.replacen(piece, &format!("{better}{signs}"), 1);
        finding.help(format!("did you mean `{whole}`?")).edit(Edit::new(span, whole))
    };
    if let Some(whole) = straight(text) {
        let finding = finding(match text.contains(APOSTROPHES) {
            true => format!("the apostrophe in `{text}` is a curly one; to damp a note type a straight `'`"),
            false => format!("an accent is a `>` after the note, not as in `{text}`"),
        });
        return finding.help(format!("did you mean `{whole}`?")).edit(Edit::new(span, whole));
    }
    if text.contains(char::is_whitespace) {
        let whole: String = text.split_whitespace().collect();
        let finding = finding(format!("two notes at once are written without spaces: `{text}`"));
        return if is_good(&whole) {
            finding.help(format!("did you mean `{whole}`?")).edit(Edit::new(span, whole))
        } else {
            finding.help("write them as one cell, as in `G4+B4`")
        };
    }
    if text == "/" {
        return finding("a `/` alone is not a cell".to_owned())
            .help("write `| % |` to play the bar before again; `A5/B5` puts two strokes into a cell");
    }
    if text == ":" {
        return finding("a row has no repeat signs".to_owned()).help(
            "write `| % |` to play the bar before again, or how often a section is played in the form: `form verse x2`",
        );
    }
    if text.contains('%') {
        return finding("a `%` must be alone in its bar".to_owned()).help("write `| % |` to play the bar before again");
    }
    if piece.is_empty() {
        return finding(format!("the sign in `{text}` needs a note or a stroke on both sides"))
            .help("`A5/B5` puts two strokes into a cell, `G4+B4` strikes two notes at once");
    }
    if stem.is_empty() {
        return finding(format!("a note is missing before `{piece}`"))
            .help("`>`, `'` and the sticks `L` and `R` go after a note, as in `G4>` or `G4L`");
    }
    if let Some(whole) = upper_sticks(text) {
        let finding = finding(format!("the sticks `L` and `R` are capitals, not as in `{text}`"));
        return finding.help(format!("did you mean `{whole}`?")).edit(Edit::new(span, whole));
    }
    if let Some(finding) = sticks(text, piece, stem, &finding) {
        return finding;
    }
    if let Some(better) = german_h(stem) {
        return instead(finding(format!("there is no note `{stem}`: notes run from A to G")), better);
    }
    if let Some(better) = other_mark(stem) {
        let is_dash = better == "-" && !stem.is_ascii();
        let but = if is_dash { ": it only looks like the hyphen, which holds a note" } else { "" };
        return instead(finding(format!("`{stem}` is not a stroke{but}")), better);
    }
    if let Some(glued) = stem.strip_suffix(['-', '~', '.']).filter(|note| note.parse::<NoteName>().is_ok()) {
        let sign = &stem[glued.len()..];
        return finding(format!("cells need a space between them: `{piece}`"))
            .help(format!("did you mean `{glued} {sign}`?"));
    }
    if let Some(meant) = wrong_note::meant(stem) {
        return match meant.instead {
            Instead::This(better) => instead(finding(meant.message), better),
            Instead::Ask(help) => finding(meant.message).help(help),
        };
    }
    if is_degree(stem) {
        let message = format!("a chord has no degree `{stem}`");
        return finding(message).help("use a degree from `1`, the root, to `13`; `b7` is the flat seventh");
    }
    note(stem, finding).unwrap_or_else(|| {
        finding(format!("`{piece}` is neither a note nor a stroke"))
            .help("a note is a letter and its octave (`F#4`), a degree of the chord a number (`5`), a percussion stroke `x`, `X`, `o` or `s`; `.` rests, `-` holds, `~` rolls")
    })
}

/// What is wrong with the sticks of a cell whose notes are good.
fn sticks(text: &str, piece: &str, stem: &str, finding: &impl Fn(String) -> Finding) -> Option<Finding> {
    let slot = text.split('/').find(|slot| !is_good(slot))?;
    let notes: Vec<&str> = slot.split('+').collect();
    if notes.iter().all(|note| is_good(note)) && notes.iter().any(|note| note.contains(['L', 'R'])) {
        return Some(match notes.len() {
            2 => finding(format!("one stick can't strike both notes of `{slot}`"))
                .help("let one end in `L` and the other in `R`, as in `G4L+B4R`"),
            _ => finding(format!("`L` and `R` go with one or two notes, not with `{slot}`"))
                .help("more notes are shared out among players"),
        });
    }
    let signs = &piece[stem.len()..];
    let letters: Vec<char> = signs.chars().filter(char::is_ascii_uppercase).collect();
    let finding = |stem: &str| finding(format!("`{stem}` takes one stick, `L` or `R`, not `{piece}`"));
    let others = signs.replace(['L', 'R'], "");
    match letters[..] {
        _ if !is_good(stem) => None,
        [] => None,
        [letter] => Some(finding(stem).help(format!("did you mean `{stem}{letter}{others}`?"))),
        _ => Some(finding(stem).help(format!("write `{stem}L` or `{stem}R`"))),
    }
}

/// Signs that word processors put in place of a straight `'`, or that look like it.
const APOSTROPHES: [char; 6] = ['’', '‘', 'ʼ', '´', '`', '′'];

/// A cell with a straight damping sign and a plain accent, if that makes it valid.
fn straight(text: &str) -> Option<String> {
    let whole = text.replace(APOSTROPHES, "'").replace(['!', '！', '＞', '^'], ">");
    (whole != text && is_good(&whole)).then_some(whole)
}

fn is_good(piece: &str) -> bool {
    super::cell::cell(piece, 0).is_some()
}

/// `C5L` for `C5l` or `c5l`, if that makes the whole cell valid.
fn upper_sticks(text: &str) -> Option<String> {
    let sticks = text.replace('l', "L").replace('r', "R");
    let notes = sticks.split_inclusive(['/', '+']).map(|piece| {
        let stem = piece.trim_end_matches(['/', '+', '>', '\'', 'L', 'R']);
        upper_case(stem).map_or_else(|| piece.to_owned(), |better| piece.replacen(stem, &better, 1))
    });
    let notes = notes.collect::<String>();
    [sticks, notes].into_iter().find(|better| better != text && text.contains(['l', 'r']) && is_good(better))
}

/// In German note names H is B, and B is B flat.
fn german_h(stem: &str) -> Option<String> {
    let rest = stem.strip_prefix(['H', 'h'])?;
    let better = format!("B{rest}");
    better.parse::<NoteName>().is_ok().then_some(better)
}

fn other_mark(stem: &str) -> Option<String> {
    match stem {
        "O" | "0" => Some("o".to_owned()),
        "S" => Some("s".to_owned()),
        "*" => Some("x".to_owned()),
        "—" | "–" | "−" | "‐" | "‑" | "_" => Some("-".to_owned()),
        "," | "…" => Some(".".to_owned()),
        _ => None,
    }
}

fn is_degree(stem: &str) -> bool {
    let digits = stem.trim_start_matches(['b', '#', '♭', '♯']);
    !digits.is_empty() && digits.chars().all(|c| c.is_ascii_digit())
}

/// What is wrong with text that begins like a note.
fn note(stem: &str, finding: impl Fn(String) -> Finding) -> Option<Finding> {
    let (_, rest) = match split_tone(stem) {
        Ok(split) => split,
        Err(NoteNameError::Accidental) => {
            return Some(finding(format!("`{stem}` has too many sharps or flats")).help("a note has at most two"));
        }
        Err(_) => return None,
    };
    if let Ok(name) = stem.parse::<NoteName>() {
        let help = "octaves run from C-1 to G9; pans lie between E1 and F#6";
        return name.pitch().is_none().then(|| finding(format!("`{stem}` is beyond what can be played")).help(help));
    }
    let after: &str = rest.trim_start_matches(|c: char| c.is_ascii_digit() || c == '-');
    let junk: &str = if after.is_empty() { rest } else { after };
    Some(finding(format!("`{junk}` can't be read in `{stem}`")).help(
        "a note is a letter, its sharp or flat, and its octave: `F#4`; an accent `>` or a damping `'` may follow",
    ))
}

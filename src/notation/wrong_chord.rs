//! What to say about a chord symbol that can't be read: what was most likely meant.
//!
//! A guess never changes digits and signs of a chord: `C9` is another chord than `C7`, not a slip for it.

use super::findings::WRONG_CHORD;
use crate::music::Chord;
use crate::music::chord::{ChordError, KINDS};
use crate::text::{Finding, words};

/// Ways to write a kind of chord that are not accepted, and what each means. From charts of many countries (common practice, no source).
const MEANT: [(&str, &str); 23] = [
    ("major", ""),
    ("minor", "m"),
    ("major7", "maj7"),
    ("minor7", "m7"),
    ("dom", "7"),
    ("dom7", "7"),
    ("7M", "maj7"),
    ("j7", "maj7"),
    ("^7", "maj7"),
    ("^", "maj7"),
    ("^9", "maj9"),
    ("(maj7)", "maj7"),
    ("m/maj7", "m(maj7)"),
    ("m/M7", "m(maj7)"),
    ("-Δ7", "m(maj7)"),
    ("madd2", "madd9"),
    ("4", "sus4"),
    ("sus7", "7sus4"),
    ("halfdim", "m7b5"),
    ("diminished", "dim"),
    ("diminished7", "dim7"),
    ("augmented", "aug"),
    ("min7(b5)", "m7b5"),
];

/// What chords look like.
const EXAMPLES: &str = "chords look like `G`, `Em`, `D7`, `Cmaj7`, `F#m7b5`, `G/B`";

/// The kinds that are listed when a real chord is not known.
const KNOWN: &str = "write a simpler chord; known after the root are `m`, `7`, `m7`, `maj7`, `6`, `m6`, `9`, `m9`, `maj9`, `11`, `m11`, `maj11`, `13`, `m13`, `maj13`, `dim`, \
                     `dim7`, `m7b5`, `aug`, `sus2`, `sus4`, `7sus4`, `add2`, `add9`, `omit5`, `7b9`, `7#9`";

/// A finding for a cell of the row `chords`, without its place. `before` is the cell before it in the bar, or nothing.
pub fn explain(text: &str, error: &ChordError, before: &str) -> Finding {
    let finding = |message: String| Finding::error(&WRONG_CHORD, message);
    if let Some(held) = text.strip_suffix(['-', '–', '—']).filter(|held| is_chord(held)) {
        let minor = format!("{held}m");
        return match is_chord(&minor) && !held.ends_with('m') {
            true => {
                finding(format!("`{text}` may be a minor chord, or a chord and a hold without a space between them"))
                    .help(format!("write `{minor}` for the minor chord, or `{held} -` if `{held}` is held"))
            }
            false => {
                finding(format!("cells need a space between them: `{text}`")).help(format!("did you mean `{held} -`?"))
            }
        };
    }
    if let Some(chord) = text.strip_suffix('/').filter(|chord| is_chord(chord)) {
        return finding(format!("a bass note is missing after the `/` of `{text}`"))
            .help(format!("did you mean `{chord}`? With a bass note it looks like `{chord}/A`"));
    }
    let glued = format!("{before}{text}");
    if !before.is_empty() && is_chord(before) && is_chord(&glued) {
        return finding(format!("`{text}` alone is not a chord symbol"))
            .help(format!("did you mean `{glued}`, in one word?"));
    }
    let is_word = is_chord(before) && text.starts_with(|c: char| c.is_lowercase()) && meant(text, error).is_none();
    let in_words = is_word.then(|| meant(&glued, &glued.parse::<Chord>().err()?)).flatten();
    if let Some(better) = in_words.filter(|better| better.starts_with(before)) {
        return finding(format!("`{text}` alone is not a chord symbol"))
            .help(format!("did you mean `{better}` for `{before} {text}`?"));
    }
    let finding = match error {
        ChordError::Bass(number) if number.starts_with(|c: char| c.is_ascii_digit()) => {
            return finding(format!("panfold does not know the chord `{text}`")).help(KNOWN);
        }
        ChordError::Kind(kind) if is_likely(kind) => finding(format!("panfold does not know the chord `{text}`")),
        _ => finding(format!("`{text}` is not a chord symbol: {error}")),
    };
    if let ChordError::Kind(kind) = error
        && kind == "2"
    {
        let root = text.replacen(kind, "", 1);
        return finding.help(format!("write `{root}sus2` without the third, or `{root}add9` with it"));
    }
    if let Some(better) = meant(text, error) {
        return finding.help(format!("did you mean `{better}`?"));
    }
    match error {
        ChordError::Kind(kind) if is_likely(kind) => finding.help(KNOWN),
        ChordError::Kind(_) => finding.help(EXAMPLES),
        _ => finding.help(format!("{EXAMPLES}; `N.C.` means no chord")),
    }
}

fn is_chord(text: &str) -> bool {
    text.parse::<Chord>().is_ok()
}

/// Whether the text after a root looks like a kind of chord that other people use: numbers with the usual signs and words.
fn is_likely(kind: &str) -> bool {
    let usual = |c: char| c.is_ascii_digit() || "b#♭♯+-()/,mMajinsuddøΔ°o".contains(c);
    kind.contains(|c: char| c.is_ascii_digit()) && kind.chars().all(usual) || kind == "7alt" || kind == "alt"
}

/// The first way to read a symbol that makes it a chord.
fn meant(text: &str, error: &ChordError) -> Option<String> {
    let text = text.replace('\\', "/");
    let (chord, bass) = match text.rsplit_once('/') {
        Some((chord, bass)) if !bass.starts_with(|c: char| c.is_ascii_digit()) => (chord, Some(bass)),
        _ => (text.as_str(), None),
    };
    let whole = |chord: &str, bass: Option<&str>| match bass {
        Some(bass) => format!("{chord}/{bass}"),
        None => chord.to_owned(),
    };
    let upper = letter(chord);
    let upper_bass = bass.map(letter);
    let spelled = upper.replacen("flat", "b", 1).replacen("sharp", "#", 1);
    let mut readings = vec![
        whole(&spelled, upper_bass.as_deref()),
        whole(chord, bass),
        whole(&upper, upper_bass.as_deref()),
        whole(chord, upper_bass.as_deref()),
    ];
    let upper_text = letter(&text);
    for (kind, usual) in MEANT {
        for (root, bass) in [(upper.strip_suffix(kind), upper_bass.as_deref()), (upper_text.strip_suffix(kind), None)] {
            readings.extend(root.map(|root| whole(&format!("{root}{usual}"), bass)));
        }
    }
    if let ChordError::Kind(kind) = error {
        readings.extend(typo(kind).map(|near| text.replacen(kind.as_str(), near, 1)));
    }
    readings.into_iter().find(|reading| is_chord(reading))
}

/// A name with its letter in upper case; in German note names H is B.
fn letter(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(|first| match first.to_ascii_uppercase() {
        'H' => 'B',
        upper => upper,
    });
    first.into_iter().chain(letters).collect()
}

/// The kind of chord that was most likely mistyped in its letters, if it has the same digits and signs.
fn typo(kind: &str) -> Option<&'static str> {
    let signs = |text: &str| text.chars().filter(|c| !c.is_alphabetic()).collect::<String>();
    // With one or two letters, one of them is half the word.
    let letters = |text: &str| text.chars().filter(|c| c.is_ascii_alphabetic()).count();
    let known = KINDS.iter().flat_map(|known| known.suffixes.iter().copied());
    words::nearest(
        kind,
        known.filter(|known| {
            letters(known) > 2 && known.starts_with(|c: char| c.is_lowercase()) && signs(known) == signs(kind)
        }),
    )
}

//! The values of settings: `key G`, `meter 6/8`, `tempo 104`, `swing 2:1`, `pickup 1/2`, `roll 2`.

use num_rational::Ratio;

use super::findings::WRONG_VALUE;
use super::limits::MAX_TEXT;
use super::tree::Value;
use super::wrong_setting;
use crate::music::tempo::{FASTEST, SLOWEST};
use crate::music::{Key, Meter, Tempo, meter};
use crate::text::Finding;

/// The words that begin a setting.
pub const WORDS: [&str; 9] = ["title", "by", "band", "key", "meter", "tempo", "swing", "pickup", "roll"];

/// The settings that a section may change.
pub(crate) const IN_SECTION: [&str; 3] = ["key", "meter", "tempo"];

/// The largest part of a swung beat: 9 to 1 is further than anyone swings.
pub const MAX_SWING: u8 = 9;

/// The smallest fraction of a beat in `pickup` and `roll`: a 24th.
const MAX_PARTS: i64 = 24;

/// The longest note that `roll` may name, and the longest pickup, in beats.
const MAX_BEATS: i64 = 64;

/// The value of a setting; if it is wrong, the value that was most likely meant, and a finding without its place.
///
/// # Panics
/// When `word` is none of [`WORDS`].
pub fn read(word: &str, text: &str) -> (Value, Option<Box<Finding>>) {
    let finding = match value(word, text) {
        Ok(value) => return (value, None),
        Err(finding) => finding,
    };
    let better = wrong_setting::meant(word, text).filter(|better| !better.is_empty());
    let better = better.and_then(|better| Some((value(word, &better).ok()?, better)));
    match better {
        Some((value, better)) => {
            let help = vec![format!("did you mean `{word} {better}`?")];
            (value, Some(Box::new(Finding { help, ..*finding })))
        }
        None => (Value::Broken, Some(finding)),
    }
}

/// The value of a setting; an error is a finding without its place.
///
/// # Panics
/// When `word` is none of [`WORDS`].
fn value(word: &str, text: &str) -> Result<Value, Box<Finding>> {
    match word {
        _ if text.starts_with(['=', ':']) => {
            Err(wrong(format!("the `{}` after `{word}` isn't needed", &text[..1]), ""))
        }
        "band" if wrong_setting::bare(text) != text => {
            Err(wrong(format!("the name of the band's file takes no quotes: `{text}`"), ""))
        }
        "title" | "by" if text.chars().nth(MAX_TEXT).is_some() => {
            Err(wrong(format!("the text after `{word}` has at most {MAX_TEXT} letters"), "make it shorter"))
        }
        "title" => Ok(Value::Title(text.to_owned())),
        "by" => Ok(Value::By(text.to_owned())),
        "band" => Ok(Value::Band(text.to_owned())),
        "key" => key(text),
        "meter" => meter(text),
        "tempo" => tempo(text),
        "swing" => swing(text),
        "pickup" => match beats(text).filter(|beats| *beats > Ratio::from_integer(0)) {
            Some(beats) => Ok(Value::Pickup(beats)),
            None => Err(wrong(
                format!("a pickup is a number of beats, not `{text}`"),
                "for example `pickup 1` or `pickup 1/2`",
            )),
        },
        "roll" if text == "none" => Ok(Value::Roll(None)),
        "roll" => match beats(text).filter(|beats| *beats > Ratio::from_integer(0)) {
            Some(beats) => Ok(Value::Roll(Some(beats))),
            None => Err(wrong(format!("a roll is set in beats, not `{text}`"), "for example `roll 2`, or `roll none`")),
        },
        _ => unreachable!("a setting's word"),
    }
}

fn wrong(message: String, help: &str) -> Box<Finding> {
    let finding = Finding::error(&WRONG_VALUE, message);
    Box::new(if help.is_empty() { finding } else { finding.help(help) })
}

fn key(text: &str) -> Result<Value, Box<Finding>> {
    if let Ok(key) = text.parse::<Key>() {
        return Ok(Value::Key(key));
    }
    Err(wrong(format!("`{text}` is not a key"), "major keys look like `G` or `Bb`, minor keys like `Em`"))
}

fn meter(text: &str) -> Result<Value, Box<Finding>> {
    match text.parse::<Meter>() {
        Ok(meter) => Ok(Value::Meter(meter)),
        Err(_) => Err(wrong(
            format!("`{text}` is not a meter"),
            &format!(
                "write how many notes a bar (1 to {}) and which: 1, 2, 4, 8, 16 or 32; for example `meter 4/4` or `meter 6/8`",
                meter::MAX_COUNT
            ),
        )),
    }
}

fn tempo(text: &str) -> Result<Value, Box<Finding>> {
    match text.parse::<f64>().ok().and_then(Tempo::bpm) {
        Some(tempo) => Ok(Value::Tempo(tempo)),
        None => Err(wrong(
            format!("a tempo is from {SLOWEST} to {FASTEST} beats a minute, not `{text}`"),
            "for example `tempo 104`",
        )),
    }
}

fn swing(text: &str) -> Result<Value, Box<Finding>> {
    let numbers = text.split_once(':').and_then(|(a, b)| Some((a.trim().parse().ok()?, b.trim().parse().ok()?)));
    match numbers.filter(|(a, b)| (1..=MAX_SWING).contains(a) && (1..=MAX_SWING).contains(b)) {
        Some((first, second)) => Ok(Value::Swing(first, second)),
        None => Err(wrong(
            format!("`{text}` does not give the two parts of a beat"),
            &format!("for example `swing 2:1`; each part is from 1 to {MAX_SWING}"),
        )),
    }
}

/// Beats such as `2`, `1.5`, `1/2` or `3/2`.
fn beats(text: &str) -> Option<Ratio<i64>> {
    let ratio = if let Some((above, below)) = text.split_once('/') {
        let (above, below): (i64, i64) = (above.parse().ok()?, below.parse().ok()?);
        (below != 0).then(|| Ratio::new(above, below))?
    } else if let Some((whole, part)) = text.split_once('.') {
        let digits = u32::try_from(part.len()).ok().filter(|digits| (1..=3).contains(digits))?;
        let parts: i64 = part.bytes().all(|b| b.is_ascii_digit()).then(|| part.parse().ok())??;
        Ratio::from_integer(whole.parse::<u16>().ok()?.into()) + Ratio::new(parts, 10i64.pow(digits))
    } else {
        Ratio::from_integer(text.parse::<u16>().ok()?.into())
    };
    (*ratio.denom() <= MAX_PARTS && ratio <= Ratio::from_integer(MAX_BEATS)).then_some(ratio)
}

/// An example of a value for a setting, for sentences.
pub fn example(word: &str) -> &'static str {
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

//! The highest tempo of a line in words: in beats a minute, in a table, in a sentence.

use super::tempo::{SHARES, Share};
use crate::music::Tempo;
use crate::tune::Tune;

/// What to say about a line that no tempo makes possible.
pub const AT_NO_TEMPO: &str = "not possible at any tempo";

/// From this share of the tempo on a sentence gives no number: it makes no difference then how fast exactly. A table, which is there
/// for its numbers, goes on to the fastest share that is looked for.
const FAR_BEYOND: Share = 2000;

/// Whole beats a minute at a share of a tempo, and `of` that: 1, or what is comfortable.
pub fn beats(written: Tempo, share: Share, of: f64) -> f64 {
    (written.beats_a_minute() * f64::from(share) / 1000.0 * of).floor()
}

/// A limit in a table; the fastest share that is looked for stands for all above.
pub fn in_table(written: Tempo, share: Option<Share>, of: f64) -> String {
    let Some(share) = share else { return "none".to_owned() };
    let more = if share == SHARES.1 { "over " } else { "" };
    format!("{more}{}", beats(written, share, of))
}

/// A limit in a sentence: `at 96`; `number` gives the number, unless the share is far beyond.
fn in_sentence(share: Share, number: impl FnOnce() -> String) -> String {
    match share {
        FAR_BEYOND.. => "at twice the tempo and more".to_owned(),
        _ => format!("at {}", number()),
    }
}

/// `at 96`.
pub fn at(written: Tempo, share: Share) -> String {
    in_sentence(share, || beats(written, share, 1.0).to_string())
}

/// `at 96 or slower`, for a whole tune; in percent when sections have tempos of their own.
pub fn or_slower(tune: &Tune, share: Share) -> String {
    in_sentence(share, || match has_one_tempo(tune) {
        true => format!("{} or slower", beats(tune.tempo, share, 1.0)),
        false => format!("{} % of its tempo or slower", share / 10),
    })
}

/// Whether all sections are played at the tune's tempo.
pub fn has_one_tempo(tune: &Tune) -> bool {
    tune.sections.iter().all(|section| section.tempo == tune.tempo)
}

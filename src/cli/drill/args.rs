//! The arguments of `panfold drill`.

use std::path::PathBuf;

use clap::{Args, ValueEnum, ValueHint};

use crate::cli::play_args::{MixWord, tempo};
use crate::performance::TempoChoice;

/// Makes a practice track for one part: some bars of the tune looped, climbing in tempo, to be answered, or one bar
/// longer each time.
///
/// The plan is printed: what comes when, in minutes and seconds. Without a file to write, that is all. Every drill begins
/// with a count-in, and no drill changes the pitch.
#[derive(Debug, Args)]
#[command(after_long_help = HELP)]
pub struct DrillArgs {
    /// Tune file
    #[arg(value_name = "TUNE", value_hint = ValueHint::FilePath)]
    pub tune: PathBuf,
    /// The part that is practised
    #[arg(long, value_name = "PART")]
    pub part: String,
    /// How it is practised
    #[arg(long, value_name = "KIND", default_value = "loop")]
    pub kind: KindWord,
    /// Practise this section; the whole tune if left out
    #[arg(long, value_name = "SECTION")]
    pub section: Option<String>,
    /// Practise these bars of the section or tune, for example `5-8` or `5`; a pickup is bar 0
    #[arg(long, value_name = "BARS", value_parser = bars)]
    pub bars: Option<(usize, usize)>,
    /// How many times the bars are played (loop): 4 if not given
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1000))]
    pub times: Option<u32>,
    /// The tempo to begin with (ladder): 60% if not given
    #[arg(long, value_name = "PERCENT", value_parser = percent)]
    pub from: Option<f64>,
    /// The tempo to end with (ladder): 100% if not given
    #[arg(long, value_name = "PERCENT", value_parser = percent)]
    pub to: Option<f64>,
    /// What each step adds (ladder): 5% if not given
    #[arg(long, value_name = "PERCENT", value_parser = step)]
    pub step: Option<f64>,
    /// How many bars a phrase has (echo: up to the next rest if not given) or are added each time (chain: 1 if not given)
    #[arg(long, value_name = "BARS", value_parser = clap::value_parser!(u32).range(1..=1000))]
    pub by: Option<u32>,
    /// What you hear: the part loud and the band soft if not given
    #[arg(long, value_name = "MIX")]
    pub mix: Option<MixWord>,
    /// Play it at this tempo: `80%` of what is written, or `92` beats a minute at the opening
    #[arg(long, value_name = "TEMPO", value_parser = tempo)]
    pub tempo: Option<TempoChoice>,
    /// Use the band of this file instead of the one that the tune names
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub band: Option<PathBuf>,
    /// Write the track here; the name ends in `.mp3`, `.flac`, `.wav` or `.mid`
    #[arg(short, long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub out: Option<PathBuf>,
    /// Write over a file even if panfold did not write it; its own files are replaced without asking
    #[arg(long)]
    pub replace: bool,
    /// Write the plan as JSON, for other programs
    #[arg(long)]
    pub json: bool,
}

const HELP: &str = "\
Examples:
  panfold drill sea-grape-road.tune --part lead --section chorus --times 8 -o chorus.mp3
  panfold drill sea-grape-road.tune --part lead --kind ladder --bars 5-8 --from 50% -o ladder.mp3
  panfold drill sea-grape-road.tune --part second --kind echo --section verse
  panfold drill sea-grape-road.tune --part bass --kind chain --section verse --mix alone -o bass.mid

JSON: { \"seconds\", \"steps\": [ { \"seconds\", \"what\", \"percent\" } ] }";

/// How the bars are practised.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum KindWord {
    /// These bars again and again, without a gap
    Loop,
    /// Again and again, from a slow tempo to full tempo in steps
    Ladder,
    /// A phrase, then the same length for your answer, with the iron keeping time
    Echo,
    /// The first bar; the first two; the first three; and so on
    Chain,
}

/// `5-8` or `5`: bars from 1, and 0 for a pickup.
fn bars(text: &str) -> Result<(usize, usize), String> {
    let expected = || "expected bars such as `5-8` or `5`, counted from 1; a pickup is bar 0".to_owned();
    let number = |text: &str| text.trim().parse::<usize>().ok();
    let (first, last) = text.split_once('-').unwrap_or((text, text));
    let (first, last) = number(first).zip(number(last)).ok_or_else(expected)?;
    if first > last { Err(format!("bar {first} comes after bar {last}")) } else { Ok((first, last)) }
}

fn percent(text: &str) -> Result<f64, String> {
    let number = text.trim_end_matches('%').trim().parse::<f64>().ok();
    number.filter(|percent| (10.0..=400.0).contains(percent)).ok_or_else(|| "expected from 10% to 400%".to_owned())
}

fn step(text: &str) -> Result<f64, String> {
    let number = text.trim_end_matches('%').trim().parse::<f64>().ok();
    number.filter(|percent| (0.1..=100.0).contains(percent)).ok_or_else(|| "expected from 0.1% to 100%".to_owned())
}

#[cfg(test)]
mod tests {
    use super::bars;

    #[test]
    fn bars_count_from_one_and_a_pickup_is_zero() {
        assert_eq!(bars("5-8"), Ok((5, 8)));
        assert_eq!(bars("5"), Ok((5, 5)));
        assert_eq!(bars("0-4"), Ok((0, 4)), "from the pickup on");
        assert!(bars("-1").is_err() && bars("8-5").is_err() && bars("five").is_err());
    }
}

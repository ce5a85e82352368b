//! The arguments of `render` and `pack`, and their help.

use std::path::PathBuf;

use clap::{ArgGroup, Args, ValueEnum, ValueHint};

use super::track::Format;
use crate::music::Tempo;
use crate::music::tempo::{FASTEST, SLOWEST};
use crate::performance::TempoChoice;
use crate::sound::Depth;
use crate::sound::settings::RATES;

/// Plays a tune out and writes it as a MIDI file, as sound, or as JSON.
///
/// Sound comes from the band's own pans, with their own notes and tuning, at one loudness (-16 LUFS, at most -1 dBTP),
/// after a count-in.
#[derive(Debug, Args)]
#[command(after_long_help = RENDER_HELP, override_usage = "panfold render <--midi <FILE>|--sound <FILE>|--json> [OPTIONS] <TUNE>", group = ArgGroup::new("outputs").multiple(true))]
pub struct RenderArgs {
    /// Tune file
    #[arg(value_name = "TUNE", value_hint = ValueHint::FilePath)]
    pub tune: PathBuf,
    /// Write a Standard MIDI File here; the name ends in `.mid`
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath, group = "outputs")]
    pub midi: Option<PathBuf>,
    /// Write sound here; the name ends in `.mp3`, `.flac` or `.wav`
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath, group = "outputs")]
    pub sound: Option<PathBuf>,
    /// Write everything that is struck, and when, as JSON to the screen
    #[arg(long, group = "outputs")]
    pub json: bool,
    /// Use the band of this file instead of the one that the tune names
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub band: Option<PathBuf>,
    /// Play this part only (with --mix: the part that the mix is for); may be given several times
    #[arg(long, value_name = "PART")]
    pub part: Vec<String>,
    /// What you hear
    #[arg(long, value_name = "MIX", requires = "part")]
    pub mix: Option<MixWord>,
    /// Which of the band's pans sounds for the part, when several play it
    #[arg(long, value_name = "PAN", requires = "part")]
    pub pan: Option<String>,
    /// Play this section only, once
    #[arg(long, value_name = "SECTION")]
    pub section: Option<String>,
    /// Play it at this tempo: `80%` of what is written, or `92` beats a minute at the opening
    #[arg(long, value_name = "TEMPO", value_parser = tempo)]
    pub tempo: Option<TempoChoice>,
    /// Leave the count-in out of the sound
    #[arg(long)]
    pub no_count_in: bool,
    /// Put a count-in before MIDI and JSON too
    #[arg(long, conflicts_with = "no_count_in")]
    pub count_in: bool,
    /// Add a little of the sound of a room
    #[arg(long)]
    pub room: bool,
    /// Samples a second of the sound: 44100 if not given
    #[arg(long, value_name = "HERTZ", value_parser = rate)]
    pub rate: Option<u32>,
    /// How samples are written in FLAC and WAV: 16 bits if not given
    #[arg(long, value_name = "BITS")]
    pub bits: Option<Bits>,
    /// Write over a file even if panfold did not write it; its own files are replaced without asking
    #[arg(long)]
    pub replace: bool,
}

const RENDER_HELP: &str = "\
Examples:
  panfold render sea-grape-road.tune --midi sea-grape-road.mid
  panfold render sea-grape-road.tune --sound lead-slow.mp3 --part lead --mix loud --tempo 70%
  panfold render sea-grape-road.tune --sound chorus.flac --section chorus

JSON: title, by, begin, end (exact quarter notes as texts, as in \"3/2\"), seconds,
voices, strokes (voice, at, seconds, length, lasts, note or mark, key, velocity,
damped, roll, bar, section), tempos, meters, keys, bars, sections, chords, words.
Voices, bars and parts count from 0, channels and programs from 1.";

/// Writes a folder with everything that the players need to practise a tune.
///
/// It holds the report of the check, the tune as MIDI, the whole band as sound, and a folder for every part with two
/// tracks (the part loud and the band soft at full tempo, and the same at 70 %), a practice page and a sheet for each pan that
/// plays it. index.html lists all of it with links, README.txt says what is what. Tracks are mono MP3 files, for phones.
/// Problems are shown but don't stop it.
#[derive(Debug, Args)]
#[command(after_long_help = PACK_HELP)]
pub struct PackArgs {
    /// Tune files
    #[arg(required = true, value_name = "TUNE", value_hint = ValueHint::FilePath)]
    pub tunes: Vec<PathBuf>,
    /// The folder that it goes into; if left out, one named after the tune, and after the parts with --part or --pan. Several tunes share it
    #[arg(short, long, value_name = "DIR", value_hint = ValueHint::DirPath)]
    pub output: Option<PathBuf>,
    /// Write nothing when there are problems or possible problems
    #[arg(long)]
    pub strict: bool,
    /// Also write over files in the folder that `panfold pack` did not put there
    #[arg(long)]
    pub replace: bool,
    /// What the sound files are; if left out, MP3
    #[arg(long, value_name = "FORMAT")]
    pub format: Option<PackFormat>,
    /// Give MP3 files two channels, left and right; they are twice as large
    #[arg(long)]
    pub stereo: bool,
    /// Pack only for those who play this part; may be given several times
    #[arg(long, value_name = "PART")]
    pub part: Vec<String>,
    /// Pack only for the player of this pan; may be given several times
    #[arg(long, value_name = "PAN")]
    pub pan: Vec<String>,
    /// Put each player's folder into one archive, to send it
    #[arg(long)]
    pub zip: bool,
    /// Use the band of this file instead of the one that the tune names
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub band: Option<PathBuf>,
}

const PACK_HELP: &str = "\
Examples:
  panfold pack sea-grape-road.tune
  panfold pack sea-grape-road.tune -o for-the-players --strict
  panfold pack sea-grape-road.tune --part lead --part tenor --zip
  panfold pack sea-grape-road.tune --format flac
  panfold pack tunes/*.tune -o for-the-players

The pack is made elsewhere, and moved into its folder when all of it is ready. pack.json
lists the files that panfold wrote: only these are replaced, or removed when no longer
needed. If another file has the name of one that the pack needs, nothing is written. Several tunes may go into one folder; they share one
index.html, README.txt and check.txt.";

/// How the sound of a pack is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, ValueEnum)]
pub enum PackFormat {
    /// Small, for phones: half a megabyte a minute
    #[default]
    Mp3,
    /// Without any loss, in stereo: nine times as large
    Flac,
    /// The samples as they are, in stereo: twenty times as large
    Wav,
    /// No sound: pages and sheets alone
    None,
}

impl PackFormat {
    /// The format of the files, if there are any.
    pub fn format(self) -> Option<Format> {
        match self {
            PackFormat::Mp3 => Some(Format::Mp3),
            PackFormat::Flac => Some(Format::Flac),
            PackFormat::Wav => Some(Format::Wav),
            PackFormat::None => None,
        }
    }
}

/// Who is heard.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum MixWord {
    /// The part alone
    Alone,
    /// The part loud, the band soft
    Loud,
    /// The band without the part
    Without,
}

/// How samples are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Bits {
    /// 16 bits, as on a compact disc
    #[value(name = "16")]
    Sixteen,
    /// 24 bits
    #[value(name = "24")]
    TwentyFour,
    /// 32-bit floating point (24 bits in FLAC)
    Float,
}

impl From<Bits> for Depth {
    fn from(bits: Bits) -> Depth {
        match bits {
            Bits::Sixteen => Depth::Bits16,
            Bits::TwentyFour => Depth::Bits24,
            Bits::Float => Depth::Float,
        }
    }
}

/// The slowest and the fastest that a tune may be played, in percent of the written tempo. Our own setting: a number beyond
/// that is likely mistyped.
const PERCENT: std::ops::RangeInclusive<f64> = 10.0..=400.0;

pub(super) fn tempo(text: &str) -> Result<TempoChoice, String> {
    let number = |text: &str| text.trim().parse::<f64>().ok();
    if let Some(percent) = text.strip_suffix('%') {
        let percent = number(percent).filter(|percent| PERCENT.contains(percent));
        let expected = format!("expected from {} to {} percent, for example `80%`", PERCENT.start(), PERCENT.end());
        return percent.map(TempoChoice::Percent).ok_or(expected);
    }
    let expected = format!("expected from {SLOWEST} to {FASTEST} beats a minute, or a percentage such as `80%`");
    number(text).and_then(Tempo::bpm).map(TempoChoice::Bpm).ok_or(expected)
}

fn rate(text: &str) -> Result<u32, String> {
    let rate = text.parse().ok().filter(|rate| RATES.contains(rate));
    rate.ok_or_else(|| format!("expected from {} to {} samples a second", RATES.start(), RATES.end()))
}

//! What can be asked for on the command line, and its help.

use std::ffi::OsString;
use std::path::PathBuf;

use clap::{ArgGroup, Args, CommandFactory, FromArgMatches, Parser, Subcommand, ValueEnum, ValueHint};

use super::groups;
use super::track::Format;
use crate::music::Tempo;
use crate::music::tempo::{FASTEST, SLOWEST};
use crate::performance::TempoChoice;
use crate::sound::Depth;
use crate::sound::settings::RATES;

/// What was asked for.
#[derive(Debug, Parser)]
#[command(name = "panfold", version, about, disable_help_subcommand = true, help_expected = true)]
#[command(subcommand_required = true, arg_required_else_help = true)]
pub struct Ask {
    /// The command with its arguments.
    #[command(subcommand)]
    pub command: Command,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Say what is wrong with tunes on the band's pans, and what to do about it
    Check(CheckArgs),
    /// List the kinds of finding, or say why one matters
    Findings(FindingsArgs),
    /// Line the cells of tunes up under each other
    Tidy(TidyArgs),
    /// List the built-in layouts, or show the notes of a layout, a pan or a band
    Pans(PansArgs),
    /// Write a tune as MIDI, as sound, or as JSON
    Render(RenderArgs),
    /// Write everything that the players need to practise a tune, in named folders
    Pack(PackArgs),
    /// Write a small band and a tune to change, with comments that teach
    Start(StartArgs),
}

/// Reads the arguments; the first is the program's own name.
///
/// # Errors
/// Help and version that were asked for, and what is wrong with the arguments.
pub fn read(arguments: impl IntoIterator<Item = OsString>) -> Result<Ask, clap::Error> {
    let mut command = groups::by_who_uses_them(Ask::command());
    let matches = command.try_get_matches_from_mut(arguments)?;
    Ask::from_arg_matches(&matches).map_err(|error| error.format(&mut command))
}

/// Checks every note of the tunes against the pans that play it, and everything else that is written.
///
/// Each finding names the file, line and column, shows the line with a mark under the place, and says what to type
/// instead. At the end stands a table with a line a part: how many notes it has, how many different ones, from which
/// note to which, on which pans, and how many findings. A tune without findings gets one line.
#[derive(Debug, Args)]
#[command(after_long_help = CHECK_HELP)]
pub struct CheckArgs {
    /// Tune files
    #[arg(required = true, value_name = "TUNE", value_hint = ValueHint::FilePath)]
    pub tunes: Vec<PathBuf>,
    /// Try the tunes on the band of this file, whatever band they name
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub band: Option<PathBuf>,
    /// How many cents a note of a pan may be off before it is told, instead of what the band file says (10 if nothing)
    #[arg(long, value_name = "CENTS", value_parser = cents)]
    pub tolerance: Option<f64>,
    /// Show the table of the parts for tunes without findings too
    #[arg(long)]
    pub table: bool,
    /// Write the findings as JSON, for other programs (described below with --help)
    #[arg(long)]
    pub json: bool,
}

const CHECK_HELP: &str = "\
Examples:
  panfold check sea-grape-road.tune
  panfold check tunes/*.tune --band visiting-band.toml

The program ends with 0 when nothing is in the way (there may be warnings and
advice), with 1 when there are errors to mend, with 2 when a tune could not be
checked: its file or its band can't be read.

JSON: { \"tunes\": [ TUNE ] }
  TUNE      file, title, band (its name, or null), errors, warnings, advice
            (numbers), findings, parts
  findings  kind (see `panfold findings`), severity (error, warning, advice),
            message, label, help (texts, best first), part (or null),
            place (or null), more (places), edits (each a place and the text
            to put there, best first: any one of them settles it)
  place     file, line, column, end_line, end_column (from 1, in characters;
            the end is just after the last), text
  parts     name, on, players (names), strokes (form played out, a roll is
            one), different, lowest, highest (notes, or null), errors,
            warnings, advice";

fn cents(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(cents) if (0.0..=100.0).contains(&cents) => Ok(cents),
        _ => Err("expected a number of cents from 0 to 100".to_owned()),
    }
}

/// Lists the kinds of finding that panfold makes, each with one sentence; with names, says why they matter and what
/// usually helps.
#[derive(Debug, Args)]
pub struct FindingsArgs {
    /// Kinds of finding, for example `missing-note`
    #[arg(value_name = "KIND")]
    pub kinds: Vec<String>,
}

/// Plays a tune out and writes it as a MIDI file, as sound, or as JSON.
///
/// Sound comes from the band's own pans, with their own notes and tuning, at one loudness (-16 LUFS, at most -1 dBTP),
/// after a count-in.
#[derive(Debug, Args)]
#[command(after_long_help = RENDER_HELP, group = ArgGroup::new("outputs").required(true).multiple(true))]
pub struct RenderArgs {
    /// Tune file
    #[arg(value_name = "TUNE", value_hint = ValueHint::FilePath)]
    pub tune: PathBuf,
    /// Write a Standard MIDI File here
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath, group = "outputs")]
    pub midi: Option<PathBuf>,
    /// Write sound here; the name ends in `.wav` or `.flac`
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath, group = "outputs")]
    pub sound: Option<PathBuf>,
    /// Write everything that is struck, and when, as JSON to the screen
    #[arg(long, group = "outputs")]
    pub json: bool,
    /// Play it on the band of this file, whatever band it names
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub band: Option<PathBuf>,
    /// Play this part only (with --mix: the part that the mix is for); may be given several times
    #[arg(long, value_name = "PART")]
    pub part: Vec<String>,
    /// Who is heard beside the part
    #[arg(long, value_name = "MIX", requires = "part")]
    pub mix: Option<MixWord>,
    /// Which of the band's pans sounds for the part, when several play it
    #[arg(long, value_name = "PAN", requires = "part")]
    pub pan: Option<String>,
    /// Play this section only, once
    #[arg(long, value_name = "SECTION")]
    pub section: Option<String>,
    /// Play it so fast: `80%` of what is written, or `92` beats a minute at the opening
    #[arg(long, value_name = "TEMPO", value_parser = tempo)]
    pub tempo: Option<TempoChoice>,
    /// Leave the count-in out of the sound
    #[arg(long)]
    pub no_count_in: bool,
    /// Put a count-in before MIDI and JSON too
    #[arg(long, conflicts_with = "no_count_in")]
    pub count_in: bool,
    /// Let the sound ring in a light room
    #[arg(long)]
    pub room: bool,
    /// Samples a second of the sound: 44100 if not given
    #[arg(long, value_name = "HERTZ", value_parser = rate)]
    pub rate: Option<u32>,
    /// How samples are written: 16 bits if not given
    #[arg(long, value_name = "BITS")]
    pub bits: Option<Bits>,
}

const RENDER_HELP: &str = "\
Examples:
  panfold render sea-grape-road.tune --midi sea-grape-road.mid
  panfold render sea-grape-road.tune --sound lead-slow.wav --part lead --mix front --tempo 70%
  panfold render sea-grape-road.tune --sound chorus.flac --section chorus";

/// Writes a folder with everything that the players need to practise a tune.
///
/// It holds the report of the check, the tune as MIDI, the whole band as sound, and a folder for every part with two
/// tracks: the part in front of the band at full speed, and the same at 70 %. A file README.txt says what is what.
/// Findings are told but don't stop it.
#[derive(Debug, Args)]
#[command(after_long_help = PACK_HELP)]
pub struct PackArgs {
    /// Tune file
    #[arg(value_name = "TUNE", value_hint = ValueHint::FilePath)]
    pub tune: PathBuf,
    /// The folder that it goes into; if left out, one named after the tune
    #[arg(short, long, value_name = "DIR", value_hint = ValueHint::DirPath)]
    pub output: Option<PathBuf>,
    /// Write nothing when there are errors or warnings
    #[arg(long)]
    pub strict: bool,
    /// What the sound files are; if left out, FLAC
    #[arg(long, value_name = "FORMAT")]
    pub format: Option<Format>,
    /// Play it on the band of this file, whatever band it names
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub band: Option<PathBuf>,
}

const PACK_HELP: &str = "\
Examples:
  panfold pack sea-grape-road.tune
  panfold pack sea-grape-road.tune -o for-the-players --strict
  panfold pack sea-grape-road.tune --format wav

Files that are there already are replaced one by one, each when its new one is
complete; nothing else in the folder is touched.";

/// Writes a small band file and a tune for it, with comments that explain them, to change into your own.
///
/// Nothing is written over: if one of the two files is there already, neither is written.
#[derive(Debug, Args)]
pub struct StartArgs {
    /// The folder that they go into; it is made if it is not there
    #[arg(value_name = "DIR", value_hint = ValueHint::DirPath)]
    pub folder: PathBuf,
}

/// Who is heard.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum MixWord {
    /// The part alone
    Alone,
    /// The part in front, the band behind it
    Front,
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

/// The slowest and the fastest that a tune may be played, in percent of what is written. Our own setting: beyond, a
/// number is likely mistyped.
const PERCENT: std::ops::RangeInclusive<f64> = 10.0..=400.0;

fn tempo(text: &str) -> Result<TempoChoice, String> {
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

/// Lines the cells of tunes up under each other. Comments and meaning stay as they are, and a line that can't be
/// understood is left alone.
#[derive(Debug, Args)]
pub struct TidyArgs {
    /// Tune files
    #[arg(required = true, value_name = "TUNE", value_hint = ValueHint::FilePath)]
    pub tunes: Vec<PathBuf>,
    /// Change nothing; end with 1 if any of them is not tidy
    #[arg(long)]
    pub check: bool,
}

/// Lists the built-in layouts; with a name, shows where the notes of a layout, of a pan, or of all pans of a band lie.
#[derive(Debug, Args)]
pub struct PansArgs {
    /// A layout (lead-c), a kind of pan (guitar), a pan file or a band file
    #[arg(value_name = "NAME-or-FILE")]
    pub name: Option<String>,
    /// Print the file of a layout, to copy and change
    #[arg(long, requires = "name", conflicts_with = "json")]
    pub file: bool,
    /// Write the pans as JSON, for other programs: { "pans": [ … ] }
    #[arg(long)]
    pub json: bool,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn arguments_are_put_together_well() {
        groups::by_who_uses_them(Ask::command()).debug_assert();
    }
}

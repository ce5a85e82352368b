//! The arguments of the command line, and their help.

use std::ffi::OsString;
use std::path::PathBuf;

use clap::{Args, CommandFactory, FromArgMatches, Parser, Subcommand, ValueHint};

use super::cover::CoverArgs;
use super::drill::args::DrillArgs;
use super::exit_codes;
use super::export::ExportArgs;
use super::fit::FitArgs;
use super::groups;
use super::import::args::ImportArgs;
use super::lineup::LineupArgs;
use super::page::PageArgs;
use super::pans::new::NewArgs;
use super::patterns::PatternsArgs;
use super::play::PlayArgs;
use super::play_args::{PackArgs, RenderArgs};
use super::prompt::{CompletionsArgs, ManArgs};
use super::share::ShareArgs;
use super::sheet::args::SheetArgs;
use super::sticks::SticksArgs;

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
    /// List the kinds of problem and advice, or say why one matters
    Findings(FindingsArgs),
    /// Make a practice track for one part: looped, climbing in tempo, with gaps to answer in, or one bar longer each time
    Drill(DrillArgs),
    /// Play a tune from the speakers
    Play(PlayArgs),
    /// Find the fewest octave changes that let your pans play the tune
    Fit(FitArgs),
    /// Say what a pan is good for in the tunes that a band plays, and which notes it lacks
    Cover(CoverArgs),
    /// Write MIDI files and MusicXML as tunes
    Import(ImportArgs),
    /// List the ready-made strums, basses and rhythms, or print one, or let you hear it
    Patterns(PatternsArgs),
    /// Say who plays what in which tune, who sits idle, and how the strokes are spread
    Lineup(LineupArgs),
    /// Line up the cells of tunes under each other
    Tidy(TidyArgs),
    /// List the built-in layouts, or show the notes of a layout, a pan or a band
    Pans(PansArgs),
    /// Write a tune as MIDI, as sound, or as JSON
    Render(RenderArgs),
    /// Write a tune as MusicXML, for notation programs and for guests who read music
    Export(ExportArgs),
    /// Write everything that the players need to practise a tune, in a folder for each part
    Pack(PackArgs),
    /// Write a practice page for a part, which opens in any browser
    Page(PageArgs),
    /// Print a part for the music stand, or a pan for the wall
    Sheet(SheetArgs),
    /// Choose which stick strikes what, and say how fast a part can be played
    Sticks(SticksArgs),
    /// Share a part that is too busy for one player between two
    Share(ShareArgs),
    /// Write a small band and a tune for you to change, with comments that explain them
    Start(StartArgs),
    /// Say how something is done, a topic at a time
    Guide(GuideArgs),
    /// Write a script that completes commands for you when you press Tab
    Completions(CompletionsArgs),
    /// Write manual pages
    Man(ManArgs),
}

/// The command line with all of its help.
pub fn whole() -> clap::Command {
    exit_codes::told(groups::by_who_uses_them(Ask::command()))
}

/// Reads the arguments; the first is the program's own name.
///
/// # Errors
/// Help or version if they were asked for, and what is wrong with the arguments.
pub fn read(arguments: impl IntoIterator<Item = OsString>) -> Result<Ask, clap::Error> {
    let mut command = whole();
    let matches = command.try_get_matches_from_mut(arguments)?;
    Ask::from_arg_matches(&matches).map_err(|error| error.format(&mut command))
}

/// Checks every note of the tunes against the pans that play it, and everything else that is written.
///
/// Each problem names the bar, shows the row with a mark under the place, and says what to try.
/// At the end there is a table with a line for each part: how many strokes it has, how many different notes, from which
/// note to which, on which pans, and how many problems. A tune without problems gets one line.
#[derive(Debug, Args)]
#[command(after_long_help = CHECK_HELP)]
pub struct CheckArgs {
    /// Tune files
    #[arg(required = true, value_name = "TUNE", value_hint = ValueHint::FilePath)]
    pub tunes: Vec<PathBuf>,
    /// Try the tunes on the band of this file, whatever band they name
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub band: Option<PathBuf>,
    /// How many cents a note of a pan may be off before it is reported, instead of what the band file says (10 if it says nothing)
    #[arg(long, value_name = "CENTS", value_parser = cents)]
    pub tolerance: Option<f64>,
    /// Also show what panfold chose where the tune leaves it open: octaves, degrees, strums, harmony lines
    #[arg(long)]
    pub explain: bool,
    /// Show the table of the parts for tunes without problems too
    #[arg(long)]
    pub table: bool,
    /// Check again whenever one of the files is saved, until Ctrl-C
    #[arg(long, conflicts_with = "json")]
    pub watch: bool,
    /// Write the report as JSON, for other programs (described below with --help)
    #[arg(long)]
    pub json: bool,
}

const CHECK_HELP: &str = "\
Examples:
  panfold check sea-grape-road.tune
  panfold check tunes/*.tune --band visiting-band.toml
  panfold check sea-grape-road.tune --watch

With possible problems and advice alone the exit code is 0. A tune is not checked if its
file, or its band's file, can't be read.

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
            warnings, advice
  With --explain also chosen: rows (section, part, what, bars) and strums
            (section, chords, cost and bound in thousandths)";

fn cents(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(cents) if (0.0..=100.0).contains(&cents) => Ok(cents),
        _ => Err("expected a number of cents from 0 to 100".to_owned()),
    }
}

/// Lists the kinds of problem and advice, each with one sentence; with names, says why they matter, what usually helps, and how they
/// look.
#[derive(Debug, Args)]
#[command(after_long_help = FINDINGS_HELP)]
pub struct FindingsArgs {
    /// Kinds of problem or advice, for example `missing-note`
    #[arg(value_name = "KIND")]
    pub kinds: Vec<String>,
    /// Explain every kind, with an example of every message
    #[arg(long, conflicts_with = "kinds")]
    pub all: bool,
}

const FINDINGS_HELP: &str = "\
Examples:
  panfold findings
  panfold findings missing-note too-fast
  panfold findings --all | less";

/// Lists the topics of the guide, for the arranger, the leader and the player; with a topic, prints it.
#[derive(Debug, Args)]
#[command(after_long_help = GUIDE_HELP)]
pub struct GuideArgs {
    /// A topic, or a command
    #[arg(value_name = "TOPIC")]
    pub topic: Option<String>,
}

const GUIDE_HELP: &str = "\
Examples:
  panfold guide
  panfold guide strums
  panfold guide drill";

/// Writes a small band file and a tune for it, with comments that explain them, to change into your own.
///
/// Nothing is written over: if one of the two files is there already, neither is written.
#[derive(Debug, Args)]
#[command(after_long_help = START_HELP)]
pub struct StartArgs {
    /// The folder that they go into; it is made if it is not there
    #[arg(value_name = "DIR", value_hint = ValueHint::DirPath)]
    pub folder: PathBuf,
}

const START_HELP: &str = "\
Examples:
  panfold start our-band
  panfold check our-band/first-tune.tune";

/// Lines the cells of tunes up under each other. Comments and meaning stay as they are, and a line that can't be
/// understood is left alone.
#[derive(Debug, Args)]
#[command(after_long_help = TIDY_HELP)]
pub struct TidyArgs {
    /// Tune files
    #[arg(required = true, value_name = "TUNE", value_hint = ValueHint::FilePath)]
    pub tunes: Vec<PathBuf>,
    /// Change nothing; end with 1 if any of them is not tidy
    #[arg(long)]
    pub check: bool,
}

const TIDY_HELP: &str = "\
Examples:
  panfold tidy sea-grape-road.tune
  panfold tidy tunes/*.tune --check";

/// Lists the built-in layouts; with a name, shows where the notes of a layout, of a pan, or of all pans of a band lie.
/// `panfold pans new` makes a pan file from what you tell it.
#[derive(Debug, Args)]
#[command(args_conflicts_with_subcommands = true, after_long_help = PANS_HELP)]
pub struct PansArgs {
    /// Something to do instead of showing.
    #[command(subcommand)]
    pub action: Option<PansAction>,
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

const PANS_HELP: &str = "\
Examples:
  panfold pans
  panfold pans double-second
  panfold pans our-band.toml
  panfold pans lead-c --file > our-lead.toml
  panfold pans new";

/// What there is to do with pans besides showing them.
#[derive(Debug, Subcommand)]
pub enum PansAction {
    /// Ask for the notes of a pan and write its file
    New(NewArgs),
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn arguments_are_put_together_well() {
        groups::by_who_uses_them(Ask::command()).debug_assert();
    }
}

//! The arguments of `import`, and their help.

use std::path::PathBuf;

use clap::{Args, ValueEnum, ValueHint};

use crate::exchange::quantise::Grid;
use crate::exchange::{Options, SharePans};

/// Writes MIDI files and MusicXML (plain or .mxl) as tunes: parts, chords, words, sections, and the form, with the cells lined
/// up.
///
/// What a tune can't say is listed with its measure and part. A tune that is there already is not written over without
/// --replace.
#[derive(Debug, Args)]
#[command(after_long_help = IMPORT_HELP)]
pub struct ImportArgs {
    /// MIDI files (.mid), MusicXML (.musicxml, .xml) or packed MusicXML (.mxl)
    #[arg(required = true, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub files: Vec<PathBuf>,
    /// The tune to write, or the folder for the tunes of several files; left out, a single tune is printed
    #[arg(short, long, value_name = "TUNE-or-DIR", value_hint = ValueHint::AnyPath)]
    pub output: Option<PathBuf>,
    /// Give the parts to the pans of this band, by their notes and names, and name the band in the tune
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub band: Option<PathBuf>,
    /// Take this part only; may be given several times
    #[arg(long, value_name = "PART")]
    pub part: Vec<String>,
    /// Take the part or track of this number only, from 1; may be given several times
    #[arg(long, value_name = "NUMBER")]
    pub track: Vec<usize>,
    /// Move all notes onto pieces of a whole note: 16 for sixteenths, 12 for eighth triplets, 16,12 for both; what moves is
    /// listed. Without it, exact timing stays exact, notes that are a little off in a MIDI file move onto the plainest cells, and
    /// free playing moves onto 16,12
    #[arg(long, value_name = "PIECES")]
    pub grid: Option<Grid>,
    /// Keep notes that are left over from chords of more than two notes, as parts of their own. Without it, they go to a stick
    /// that is free or are left out, and listed
    #[arg(long)]
    pub keep_all: bool,
    /// When parts may share a pan of the band: `if-needed` where there are more parts than pans, `rows` wherever that saves
    /// strokes, `merged` like `rows`, but those that share become one part of two notes at a time
    #[arg(long, value_name = "WHEN", default_value = "if-needed", requires = "band")]
    pub share_pans: SharePansName,
    /// Write over tunes that are there already
    #[arg(long)]
    pub replace: bool,
    /// Write what was done as JSON, for other programs (described below with --help)
    #[arg(long, requires = "output")]
    pub json: bool,
}

/// The names of [`SharePans`].
#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum SharePansName {
    /// Where there are more parts than pans
    IfNeeded,
    /// Wherever fewer strokes are missing that way
    Rows,
    /// Like `rows`, but those that share become one part
    Merged,
}

impl ImportArgs {
    /// How the music is brought in.
    pub fn options(&self) -> Options {
        let share_pans = match self.share_pans {
            SharePansName::IfNeeded => SharePans::IfNeeded,
            SharePansName::Rows => SharePans::Rows,
            SharePansName::Merged => SharePans::Merged,
        };
        Options { keep_all: self.keep_all, share_pans }
    }
}

const IMPORT_HELP: &str = "\
Examples:
  panfold import lantern-song.musicxml -o lantern-song.tune --band our-band.toml
  panfold import songs/*.mid -o tunes
  panfold import lantern-song.mxl --part melody
  panfold import quartet.musicxml --band our-band.toml --share-pans merged

What could not be carried over is listed; the files are written anyway.

JSON: { \"tunes\": [ TUNE ] }
  TUNE      file, output, title, bars (as played), form (names of sections),
            parts, findings (as `panfold check --json` has them); of a file that could
            not be brought in: file, output (null), findings
  parts     name, on, pan (of the band; null without one), why";

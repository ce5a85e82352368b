//! The arguments of `sheet`, and their help.

use std::path::PathBuf;

use clap::{Args, ValueEnum, ValueHint};

use crate::drawing::sheet::Paper;

/// Prints a part for the music stand: the pan on top, the part below as rows of cells under the count; or a pan alone, for
/// the wall.
#[derive(Debug, Args)]
#[command(after_long_help = SHEET_HELP, override_usage = SHEET_USAGE)]
pub struct SheetArgs {
    /// Tune files; if left out, `--pan` prints a pan alone
    #[arg(value_name = "TUNE", required_unless_present = "pan", value_hint = ValueHint::FilePath)]
    pub tunes: Vec<PathBuf>,
    /// The part; repeat it for percussion parts of one player, which share a sheet. If left out, a sheet for every part
    #[arg(long, value_name = "PART", requires = "tunes")]
    pub part: Vec<String>,
    /// With a tune: which of the band's pans, when several play the part. Without: the pan to print, a layout (lead-c), a kind
    /// (guitar), a pan file or a band file
    #[arg(long, value_name = "NAME-or-FILE")]
    pub pan: Option<String>,
    /// The file to write, which ends in `.pdf` or `.svg`, or a folder. If left out, a PDF named after the tune and the part, or the pan
    #[arg(short, long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub output: Option<PathBuf>,
    /// Show the stick of every stroke, L or R, as `panfold sticks` chooses it (those that the tune writes are always shown)
    #[arg(long, requires = "tunes")]
    pub sticks: bool,
    /// The size of the paper: A4 if not given
    #[arg(long, value_name = "PAPER")]
    pub paper: Option<PaperWord>,
    /// Write over a file even if panfold did not write it; its own files are replaced without asking
    #[arg(long)]
    pub replace: bool,
    /// Use the band of this file instead of the one that the tune names
    #[arg(long, value_name = "FILE", requires = "tunes", value_hint = ValueHint::FilePath)]
    pub band: Option<PathBuf>,
}

const SHEET_USAGE: &str = "\
panfold sheet TUNE... [--part PART]... [--output FILE]
       panfold sheet --pan NAME-or-FILE [--output FILE]";

const SHEET_HELP: &str = "\
Examples:
  panfold sheet sea-grape-road.tune --part lead
  panfold sheet sea-grape-road.tune --part iron --part shaker
  panfold sheet sea-grape-road.tune -o all-parts.pdf --paper letter
  panfold sheet tunes/*.tune -o sheets/
  panfold sheet --pan double-second -o seconds.svg

A PDF has its font in it, and its text can be selected. An SVG holds
one page: several go into files of their own, `lead-1.svg`, `lead-2.svg`.";

/// The size of the paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum PaperWord {
    /// 210 by 297 mm
    A4,
    /// US letter, 8.5 by 11 inches
    Letter,
}

impl From<PaperWord> for Paper {
    fn from(word: PaperWord) -> Paper {
        match word {
            PaperWord::A4 => Paper::A4,
            PaperWord::Letter => Paper::Letter,
        }
    }
}

//! The arguments of `sheet`, and their help.

use std::path::PathBuf;

use clap::{Args, ValueEnum, ValueHint};

use crate::drawing::sheet::{Format, Paper, Size};

/// Prints a part for the music stand: the pan on top, the part below as rows of cells under the count; or a pan alone, for
/// the wall; or a booklet with all tunes of a player.
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
    /// Make a booklet of all these tunes for this player of the band, to be printed on both sides; repeat it for several players
    #[arg(long, value_name = "PLAYER", requires = "tunes", conflicts_with_all = ["part", "pan"])]
    pub booklet: Vec<String>,
    /// Make a booklet for each player who plays in these tunes
    #[arg(long, requires = "tunes", conflicts_with_all = ["part", "pan", "booklet"])]
    pub booklets: bool,
    /// The file to write, which ends in `.pdf` or `.svg`, or a folder. If left out, a PDF named after the tune and the part, or the
    /// pan, or the player
    #[arg(short, long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub output: Option<PathBuf>,
    /// Show the stick of every stroke, L or R, as `panfold sticks` chooses it (those that the tune writes are always shown)
    #[arg(long, requires = "tunes")]
    pub sticks: bool,
    /// How large it is written: for the hand if not given
    #[arg(long, value_name = "SIZE", requires = "tunes")]
    pub size: Option<SizeWord>,
    /// The size of the paper: A4 if not given
    #[arg(long, value_name = "PAPER")]
    pub paper: Option<PaperWord>,
    /// Write over a file even if panfold did not write it; its own files are replaced without asking
    #[arg(long)]
    pub replace: bool,
    /// Use the band of this file instead of the one that the tune names
    #[arg(long, value_name = "FILE", requires = "tunes", value_hint = ValueHint::FilePath)]
    pub band: Option<PathBuf>,
    /// Write as JSON to the screen which files were written, and what is on which page
    #[arg(long)]
    pub json: bool,
}

impl SheetArgs {
    /// The paper, and how large it is written on.
    pub fn format(&self) -> Format {
        Format {
            paper: self.paper.map_or_else(Paper::default, Paper::from),
            size: self.size.map_or_else(Size::default, Size::from),
        }
    }
}

const SHEET_USAGE: &str = "\
panfold sheet TUNE... [--part PART]... [--output FILE]
       panfold sheet TUNE... --booklet PLAYER [--output FILE]
       panfold sheet --pan NAME-or-FILE [--output FILE]";

const SHEET_HELP: &str = "\
Examples:
  panfold sheet sea-grape-road.tune --part lead
  panfold sheet sea-grape-road.tune --part lead --pan \"Blue rim\" --sticks
  panfold sheet sea-grape-road.tune --part iron --part shaker
  panfold sheet sea-grape-road.tune --part bass --size wall --paper a3
  panfold sheet sea-grape-road.tune --band other-band.toml -o other-band.pdf
  panfold sheet sea-grape-road.tune -o all-parts.pdf --paper letter --replace
  panfold sheet tunes/*.tune -o sheets/
  panfold sheet tunes/*.tune --booklet Ida --size stand -o ida.pdf
  panfold sheet tunes/*.tune --booklets -o booklets/
  panfold sheet --pan double-second --paper tabloid -o seconds.svg
  panfold sheet --pan my-band.toml --json

A PDF has its font in it, and its text can be selected. An SVG holds
one page: several go into files of their own, `lead-1.svg`, `lead-2.svg`.

JSON: files (their names), pages (how many), and
  sheets  of a tune: parts, pan (or null), page (the first), pages
  pans    of pans alone: pan, page, pages
Several tunes: { \"tunes\": [ the same and file, or file and errors ] }
Booklets: { \"booklets\": [ { player, files, pages, contents } ] }
  contents  tune, parts, pan (or null), page (the first), pages";

/// How large it is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum SizeWord {
    /// Notes in letters of 9.5 points, to be held in the hand
    Hand,
    /// Notes in letters of 14 points or more, for a stand
    Stand,
    /// Notes in letters of 24 points or more, for a wall, sideways
    Wall,
}

impl From<SizeWord> for Size {
    fn from(word: SizeWord) -> Size {
        match word {
            SizeWord::Hand => Size::Hand,
            SizeWord::Stand => Size::Stand,
            SizeWord::Wall => Size::Wall,
        }
    }
}

/// The size of the paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum PaperWord {
    /// 210 by 297 mm
    A4,
    /// 297 by 420 mm
    A3,
    /// US letter, 8.5 by 11 inches
    Letter,
    /// US tabloid, 11 by 17 inches
    Tabloid,
}

impl From<PaperWord> for Paper {
    fn from(word: PaperWord) -> Paper {
        match word {
            PaperWord::A4 => Paper::A4,
            PaperWord::A3 => Paper::A3,
            PaperWord::Letter => Paper::Letter,
            PaperWord::Tabloid => Paper::Tabloid,
        }
    }
}

//! `panfold page`: the practice page of a part.

use std::path::{Path, PathBuf};

use clap::{Args, ValueHint};

use super::choice::{self, wrong};
use super::console::Console;
use super::many::{self, Done, Way};
use super::sheet;
use super::{Outcome, Stop};
use crate::door::files;
use crate::door::loaded::Loaded;
use crate::door::target::Target;
use crate::page;
use crate::text::Finding;

/// Writes a page that a player practises a part with: it shows the pan and what to strike on it, and plays the part with the
/// band behind it, at any tempo.
///
/// The page is one file. It opens in the browser of a phone or a computer, needs no network, and asks for nothing.
#[derive(Debug, Args)]
#[command(after_long_help = HELP)]
pub struct PageArgs {
    /// Tune files
    #[arg(required = true, value_name = "TUNE", value_hint = ValueHint::FilePath)]
    pub tunes: Vec<PathBuf>,
    /// The part; repeat it for percussion parts of one player, which share a page
    #[arg(long, value_name = "PART", required = true)]
    pub part: Vec<String>,
    /// Which of the band's pans, when several play the part
    #[arg(long, value_name = "NAME")]
    pub pan: Option<String>,
    /// The file to write, which ends in `.html`, or a folder. If left out, the file is named after the tune and the part
    #[arg(short, long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub output: Option<PathBuf>,
    /// Write over a file even if panfold did not write it; its own files are replaced without asking
    #[arg(long)]
    pub replace: bool,
    /// Use the band of this file instead of the one that the tune names
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub band: Option<PathBuf>,
}

const HELP: &str = "\
Examples:
  panfold page sea-grape-road.tune --part lead
  panfold page sea-grape-road.tune --part second -o seconds.html
  panfold page sea-grape-road.tune --part iron --part shaker
  panfold page tunes/*.tune --part lead -o lead-pages/

On the page you play and pause (the space bar too), change the tempo from 30 to 120 %
(the pitch stays), tap a bar to play from there, choose bars to loop with two taps,
choose one of four drills, and hear your part loud with the band soft, alone, or not
at all. A tap on a note of the pan sounds it.";

/// How several tunes are handled.
const WAY: Way = Way { fine: "done", headed: false, in_turn: false };

/// Writes the pages.
pub fn run(args: &PageArgs, console: &mut Console) -> Result<Outcome, Stop> {
    let first = many::place(args.output.as_deref(), (args.tunes.len(), "tune"), PathBuf::from("lead.html"))?;
    ending(&first)?;
    many::named_apart(&args.tunes)?;
    let all = many::each(WAY, &args.tunes, console, |path, console, _| one(args, path, console))?;
    many::ended(WAY, &args.tunes, all, console)
}

/// Writes the page of a tune.
fn one(args: &PageArgs, tune_file: &Path, console: &mut Console) -> Done<()> {
    let loaded = Loaded::playable(tune_file, args.band.as_deref())?;
    console.tell(&loaded.findings)?;
    let tune = &loaded.tune;
    let parts = choice::together(tune, &args.part, "page")?;
    let parts: Vec<usize> = parts.into_iter().map(|part| choice::version(tune, part, args.pan.as_deref())).collect();
    let pan = sheet::hung(args.pan.as_deref(), tune, parts[0], console)?;
    let stem = tune_file.file_stem().unwrap_or(tune_file.as_os_str()).to_string_lossy();
    let usual = PathBuf::from(format!("{stem}-{}.html", sheet::called(tune, &parts)));
    let path = many::place(args.output.as_deref(), (args.tunes.len(), "tune"), usual)?;
    Target::off(&loaded.files, args.replace).may(&path)?;
    let text = page::page(tune, &parts, pan);
    let length = text.len();
    many::make_folder(args.output.as_deref(), &path)?;
    files::write_made(&path, text.into_bytes())?;
    console.say(&format!("wrote {}: {}", path.display(), size(length)))?;
    Ok((Outcome::Fine, ()))
}

fn ending(path: &Path) -> Result<(), Box<Finding>> {
    let ending = path.extension().and_then(|ending| ending.to_str()).unwrap_or_default().to_lowercase();
    if ["html", "htm"].contains(&ending.as_str()) {
        return Ok(());
    }
    let message = format!("a page is written as HTML, and `{}` does not end in `.html`", path.display());
    Err(Box::new(wrong(message).help("let the name end in `.html`")))
}

/// A size as people say it.
fn size(bytes: usize) -> String {
    match bytes {
        0..1_000_000 => format!("{} kB", bytes.div_ceil(1000)),
        _ => format!("{:.1} MB", bytes as f64 / 1e6),
    }
}

//! `panfold export`: a tune for notation programs, and for guests who read staff.

use std::path::{Path, PathBuf};

use clap::{ArgGroup, Args, ValueHint};
use serde_json::Value;

use super::choice::{self, wrong};
use super::console::Console;
use super::many::{self, Done, Way};
use super::{Outcome, Stop};
use crate::door::files;
use crate::door::json::may_hold;
use crate::door::loaded::Loaded;
use crate::door::notes_json;
use crate::door::target::Target;
use crate::exchange::musicxml_out::{self, container};
use crate::text::{Finding, words};
use crate::tune::Tune;

/// Writes a tune as MusicXML, which notation programs open: for guests who read staff.
///
/// Every part has a staff of its own, or those that are named. Sections stand in the order in which they are played, with
/// their names; what is played several times in a row stands between repeat signs. Rolls are tremolos of three strokes.
#[derive(Debug, Args)]
#[command(after_long_help = EXPORT_HELP, override_usage = "panfold export <--output <FILE>|--json> [OPTIONS] <TUNE>...", group = ArgGroup::new("outputs").multiple(true))]
pub struct ExportArgs {
    /// Tune files
    #[arg(required = true, value_name = "TUNE", value_hint = ValueHint::FilePath)]
    pub tunes: Vec<PathBuf>,
    /// Write it here; the name ends in `.musicxml`, or in `.mxl` for a smaller file. Several tunes go into a folder
    #[arg(short, long, value_name = "FILE", value_hint = ValueHint::FilePath, group = "outputs")]
    pub output: Option<PathBuf>,
    /// Write the notes as they are written, form played out, as JSON to the screen
    #[arg(long, group = "outputs")]
    pub json: bool,
    /// Write this part only; may be given several times
    #[arg(long, value_name = "PART")]
    pub part: Vec<String>,
    /// Write over a file even if panfold did not write it; its own files are replaced without asking
    #[arg(long)]
    pub replace: bool,
    /// Use the band of this file instead of the one that the tune names
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub band: Option<PathBuf>,
}

const EXPORT_HELP: &str = "\
Examples:
  panfold export sea-grape-road.tune -o sea-grape-road.musicxml
  panfold export sea-grape-road.tune -o lead.mxl --part lead
  panfold export tunes/*.tune -o scores/

The tune file stays the one to keep: a score has what is played, but not its patterns,
its strums, or the sections that are never played. `panfold import` makes a tune of the
score again, with the same sections, parts, strokes and sticks.

JSON: title, parts (name, on, percussion, notes), dynamics (at, is)
  notes  at and length (exact quarter notes as texts, as in \"3/2\"; straight, as
         on paper, even if the tune swings), notes (names) or mark, accent,
         damped, rolled (by a `~`, or because it is long)
Several tunes: { \"tunes\": [ the same and file, or file and errors ] }";

/// What a file is, by its name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Form {
    Plain,
    Contained,
}

impl Form {
    fn of(path: &Path) -> Result<Form, Box<Finding>> {
        let ending = path.extension().map(|ending| ending.to_string_lossy().to_lowercase());
        match ending.as_deref() {
            Some("musicxml" | "xml") => Ok(Form::Plain),
            Some("mxl") => Ok(Form::Contained),
            _ => {
                let finding = wrong(format!("scores are written as MusicXML, and `{}` ends otherwise", path.display()));
                Err(Box::new(finding.help("let the name end in `.musicxml` or `.mxl`")))
            }
        }
    }
}

/// How several tunes are handled.
const WAY: Way = Way { fine: "done", headed: false, in_turn: false };

/// Writes scores, or prints their notes.
pub fn run(args: &ExportArgs, console: &mut Console) -> Result<Outcome, Stop> {
    if args.output.is_none() && !args.json {
        return Err(no_output(&args.tunes[0]).into());
    }
    if let Some(output) = &args.output {
        let first = many::place(Some(output), (args.tunes.len(), "tune"), usual(&args.tunes[0]))?;
        Form::of(&first)?;
        many::named_apart(&args.tunes)?;
    }
    let all = many::each(WAY, &args.tunes, console, |path, console, _| one(args, path, console))?;
    many::answered(WAY, &args.tunes, all, args.json, Some(4), console)
}

/// The name of a tune's score in a folder.
fn usual(tune: &Path) -> PathBuf {
    PathBuf::from(tune.file_name().unwrap_or(tune.as_os_str())).with_extension("musicxml")
}

/// Writes a score, or prints its notes.
fn one(args: &ExportArgs, path: &Path, console: &mut Console) -> Done<Option<Value>> {
    let output =
        args.output.as_deref().map(|output| many::place(Some(output), (args.tunes.len(), "tune"), usual(path)));
    let output = output.transpose()?;
    let form = output.as_deref().map(Form::of).transpose()?;
    let loaded = Loaded::playable(path, args.band.as_deref())?;
    console.tell(&loaded.findings)?;
    if let Some(path) = &output {
        Target::off(&loaded.files, args.replace).may(path)?;
    }
    let tune = &loaded.tune;
    let parts = parts(tune, &args.part)?;
    if let (Some(path), Some(form)) = (&output, form) {
        let document = musicxml_out::write(tune, &parts).ok_or_else(|| nothing(tune))?;
        let bytes = if form == Form::Contained { container::contain(&document) } else { document };
        many::make_folder(args.output.as_deref(), path)?;
        files::write_made(path, bytes)?;
        console.say(&wrote(path, tune, parts.len()))?;
    }
    if args.json {
        may_hold(notes_json::count(tune, &parts))?;
        return Ok((Outcome::Fine, Some(notes_json::document(tune, &parts))));
    }
    Ok((Outcome::Fine, None))
}

/// A finding for somebody who has not said what to write, or where.
fn no_output(tune: &Path) -> Finding {
    let name = tune.display();
    let score = tune.with_extension("musicxml");
    wrong("say where the score goes")
        .help(format!("for example `panfold export {name} -o {}`", score.display()))
        .help("a name that ends in `.mxl` gives a smaller file; `--json` writes the notes to the screen")
}

/// What was written, and what was left out.
fn wrote(path: &Path, tune: &Tune, parts: usize) -> String {
    let played = |section: usize| tune.form.iter().any(|step| step.section == section);
    let left_out = (0..tune.sections.len()).filter(|section| !played(*section));
    let names: Vec<String> = left_out.map(|section| format!("`{}`", tune.sections[section].name)).collect();
    let left_out = match names.as_slice() {
        [] => String::new(),
        [_] => format!("; {} is never played and left out", names[0]),
        _ => format!("; {} are never played and left out", words::and(&names)),
    };
    format!("wrote {}: {}{left_out}", path.display(), words::count(parts, "part"))
}

/// The numbers of the parts that were asked for, in the order of the tune; all if none was.
fn parts(tune: &Tune, names: &[String]) -> Result<Vec<usize>, Box<Finding>> {
    let mut parts = names.iter().map(|name| choice::part(tune, name)).collect::<Result<Vec<_>, _>>()?;
    if parts.is_empty() {
        return Ok(tune.heard(&[]));
    }
    parts.sort_unstable();
    parts.dedup();
    Ok(parts)
}

fn nothing(tune: &Tune) -> Box<Finding> {
    let what = if tune.parts.is_empty() { "part" } else { "bar that is played" };
    let finding = wrong(format!("`{}` has no {what}, so there is nothing to write", tune.source.name()));
    Box::new(finding.help("write a part, such as `part lead on lead`, and a section with its bars"))
}

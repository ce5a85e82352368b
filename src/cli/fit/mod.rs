//! `panfold fit`: the fewest octave changes that let the band's pans play a tune.

mod changes;
pub mod report;

use std::path::{Path, PathBuf};

use clap::{Args, ValueHint};
use serde_json::Value;

use self::changes::changes;
use self::report::{ranking, report};
use super::choice::{self, wrong};
use super::console::Console;
use super::many::{self, Done, Way};
use super::{Outcome, Stop};
use crate::door::files;
use crate::door::fit_json::as_json;
use crate::door::loaded::Loaded;
use crate::fit::each::{self, Each};
use crate::fit::plan::{self, FAR, KeyFit, Lack, Options, PartFit};
use crate::music::Key;
use crate::text::{Edit, Finding, edit, words};

/// Finds the fewest octave changes that let the pans play every part, exactly, and shows them as a change of the tune file.
/// Nothing is changed without --write.
///
/// A move of one note by one octave costs 1; a jump of an octave inside a phrase costs more, except at a rest. Octaves
/// that are left open (`G`, `5`) are found and written in. With --key all keys are compared, or one is taken. Of a part that
/// fits nowhere it says who else could play it. The band file may set the costs (`[fit]`).
#[derive(Debug, Args)]
#[command(after_long_help = HELP)]
pub struct FitArgs {
    /// Tune files
    #[arg(required = true, value_name = "TUNE", value_hint = ValueHint::FilePath)]
    pub tunes: Vec<PathBuf>,
    /// Fit this part only
    #[arg(long, value_name = "PART")]
    pub part: Option<String>,
    /// Fit this section only
    #[arg(long, value_name = "SECTION")]
    pub section: Option<String>,
    /// Another key: `any` compares them all and takes the cheapest, `Bb` takes that one
    #[arg(long, value_name = "KEY")]
    pub key: Option<String>,
    /// Fit it to the band of this file, whatever band it names
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub band: Option<PathBuf>,
    /// Fit a part for each of its pans alone: where one pan lacks a note, that pan gets rows of its own, and the others
    /// play on as they did
    #[arg(long, conflicts_with = "key")]
    pub each: bool,
    /// Change the tune file; only the cells that move are touched
    #[arg(long)]
    pub write: bool,
    /// Write the result as JSON, for other programs (described below with --help)
    #[arg(long, conflicts_with = "write")]
    pub json: bool,
}

const HELP: &str = "\
Examples:
  panfold fit jetty-jam.tune
  panfold fit jetty-jam.tune --part lead --write
  panfold fit jetty-jam.tune --key any
  panfold fit jetty-jam.tune --part lead --each
  panfold fit tunes/*.tune --band visiting-band.toml

JSON: { \"keys\": [ KEY ], \"edits\": [ { line, column, from, to } ] }; the first key is the one taken
  KEY    key, semitones, cost (thousandths), parts, lacks (what rows with
         chosen notes suffer), swaps (parts that could change pans)
  nobody names of parts that nobody in the band plays
  parts  name, moves, breaks, breaks_at_rests, turns, crossings, leaps, missing
         (costs in thousandths), moved (notes by octaves), lacking (strokes); of the
         key taken also notes (section, bar, line, column, written, played,
         octaves, costs), hands (pan, from, moved, cost), jumps (of an octave, within
         phrases and at rests), and with --each: each (pans, moved, lacking)
Several tunes: { \"tunes\": [ the same and file, or file and errors ] }";

/// How several tunes are handled.
const WAY: Way = Way { fine: "without problems", headed: true, in_turn: false };

/// Fits the tunes.
pub fn run(args: &FitArgs, console: &mut Console) -> Result<Outcome, Stop> {
    let all = many::each(WAY, &args.tunes, console, |path, console, _| one(args, path, console))?;
    many::answered(WAY, &args.tunes, all, args.json, None, console)
}

/// Fits a tune.
fn one(args: &FitArgs, path: &Path, console: &mut Console) -> Done<Option<Value>> {
    let loaded = Loaded::playable(path, args.band.as_deref())?;
    console.tell(&loaded.findings)?;
    let tune = &loaded.open;
    let part = args.part.as_deref().map(|name| choice::part(&loaded.tune, name)).transpose()?;
    let section = args.section.as_deref().map(|name| choice::section(&loaded.tune, name)).transpose()?;
    if args.key.is_some() && (part.is_some() || section.is_some()) {
        return Err(wrong("a change of key is for the whole tune").help("leave out `--part` and `--section`").into());
    }
    let options = Options { part, section, ..Options::of(tune) };
    let keys = match args.key.as_deref() {
        None => vec![plan::in_key(tune, 0, &options)],
        Some("any") => plan::keys(tune, &options),
        Some(name) => vec![plan::in_key(tune, semitones(tune.key, name)?, &options)],
    };
    let best = &keys[0];
    let each: Vec<Each> = if args.each {
        best.parts.iter().filter_map(|fit| each::each(tune, fit.part, &options)).collect()
    } else {
        Vec::new()
    };
    let edits = all_edits(&loaded, best, &each);
    let json = args.json.then(|| as_json(tune, &keys, &options, &each, &edits));
    if !args.json {
        if keys.len() > 1 {
            write!(console.out(), "{}", ranking(tune, &keys))?;
        }
        write!(console.out(), "{}", report(tune, best, &each, &options))?;
        if !args.write {
            write!(console.out(), "{}", changes(&tune.source, &edits))?;
        }
    }
    if args.write && !edits.is_empty() {
        files::rewrite(path, &tune.source, &edit::apply(&tune.source, &edits))?;
        console.say(&format!("changed {} in {}", words::count(edits.len(), "cell"), path.display()))?;
    }
    let fitted = |fit: &&PartFit| each.iter().all(|each| each.part != fit.part);
    let of_each = each.iter().flat_map(|each| each.groups.iter().map(|group| &group.fit));
    let lacking = best.parts.iter().filter(fitted).chain(of_each).any(|part| part.missing().next().is_some())
        || !plan::unplayed(tune, &options).is_empty()
        || best.lacks.iter().any(|lack| matches!(lack, Lack::Note { .. }));
    Ok((if lacking { Outcome::Mend } else { Outcome::Fine }, json))
}

/// The edits of all parts; for parts that are fitted pan by pan, the edits of that.
fn all_edits(loaded: &Loaded, best: &KeyFit, each: &[Each]) -> Vec<Edit> {
    let tune = &loaded.open;
    let mut together = best.clone();
    together.parts.retain(|fit| each.iter().all(|each| each.part != fit.part));
    let mut edits = plan::edits(tune, &together);
    edits.extend(each.iter().flat_map(|each| each::edits(&loaded.tree, tune, each)));
    edits.sort_by_key(|edit| edit.span);
    edits
}

/// How many semitones a key is away, by the shorter way.
fn semitones(from: Key, name: &str) -> Result<i32, Box<Finding>> {
    let key: Key = name.parse().map_err(|_| {
        Box::new(
            wrong(format!("`{name}` is not a key")).help("for example `--key Bb`, or `--key any` to compare them all"),
        )
    })?;
    if key.mode() != from.mode() {
        let help = "a change of key moves all notes by as many semitones; major stays major, minor stays minor";
        return Err(Box::new(wrong(format!("the tune is in `{from}`, and `{key}` is of the other mode")).help(help)));
    }
    let up = i32::from(key.tonic().class().number()) - i32::from(from.tonic().class().number());
    Ok((up + FAR - 1).rem_euclid(12) - FAR + 1)
}

//! `panfold fit`: the least that must change so that the band's pans can play a tune.

use std::collections::BTreeMap;
use std::path::PathBuf;

use clap::{Args, ValueHint};
use serde_json::{Value, json};
use similar::TextDiff;

use super::choice::{self, wrong};
use super::console::Console;
use super::load::Loaded;
use super::{Outcome, Stop, files};
use crate::fit::plan::{self, FAR, KeyFit, Options, PartFit};
use crate::music::Key;
use crate::text::{Finding, Source, edit, words};
use crate::tune::Tune;

/// Finds the least octave moves that put every part on the pans that play it, exactly, and shows them as a change of the tune
/// file. Nothing is changed without --write.
///
/// A move of one note by one octave costs 1; tearing a line costs more than moving it together, except across a rest. With
/// --key all keys are compared, or one is taken.
#[derive(Debug, Args)]
#[command(after_long_help = HELP)]
pub struct FitArgs {
    /// Tune file
    #[arg(value_name = "TUNE", value_hint = ValueHint::FilePath)]
    pub tune: PathBuf,
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

JSON: { \"keys\": [ KEY ], \"edits\": [ { line, column, from, to } ] }; the first key is the one taken
  KEY    key, semitones, cost (thousandths), parts
  parts  name, moves, breaks, breaks_at_rests, turns, missing (costs in
         thousandths), moved (notes by octaves), lacking (notes)";

/// Fits a tune.
pub fn run(args: &FitArgs, console: &mut Console) -> Result<Outcome, Stop> {
    let loaded = Loaded::playable(&args.tune, args.band.as_deref())?;
    console.tell(&loaded.findings)?;
    let tune = &loaded.tune;
    let part = args.part.as_deref().map(|name| choice::part(tune, name)).transpose()?;
    let section = args.section.as_deref().map(|name| choice::section(tune, name)).transpose()?;
    if args.key.is_some() && (part.is_some() || section.is_some()) {
        return Err(wrong("a change of key is for the whole tune").help("leave out `--part` and `--section`").into());
    }
    let options = Options { part, section, ..Options::default() };
    let keys = match args.key.as_deref() {
        None => vec![plan::in_key(tune, 0, &options)],
        Some("any") => plan::keys(tune, &options),
        Some(name) => vec![plan::in_key(tune, semitones(tune.key, name)?, &options)],
    };
    let best = &keys[0];
    let edits = plan::edits(tune, best);
    let fitted = edit::apply(&tune.source, &edits);
    if args.json {
        serde_json::to_writer_pretty(console.out(), &as_json(tune, &keys, &edits)).map_err(std::io::Error::from)?;
        writeln!(console.out())?;
    } else {
        if keys.len() > 1 {
            write!(console.out(), "{}", ranking(tune, &keys))?;
        }
        write!(console.out(), "{}", report(tune, best))?;
        if !args.write {
            write!(console.out(), "{}", diff(&tune.source, &fitted))?;
        }
    }
    if args.write && !edits.is_empty() {
        write_back(args, &tune.source, &fitted)?;
        console.say(&format!("changed {} in {}", words::count(edits.len(), "cell"), args.tune.display()))?;
    }
    let lacking = best.parts.iter().any(|part| part.missing().next().is_some());
    Ok(if lacking { Outcome::Mend } else { Outcome::Fine })
}

/// How many semitones a key is away, by the shorter way.
fn semitones(from: Key, name: &str) -> Result<i32, Box<Finding>> {
    let key: Key = name.parse().map_err(|_| {
        Box::new(
            wrong(format!("`{name}` is no key")).help("for example `--key Bb`, or `--key any` to compare them all"),
        )
    })?;
    if key.mode() != from.mode() {
        let help = "a change of key moves all notes by as many semitones; major stays major, minor stays minor";
        return Err(Box::new(wrong(format!("the tune is in `{from}`, and `{key}` is of the other mode")).help(help)));
    }
    let up = i32::from(key.tonic().class().number()) - i32::from(from.tonic().class().number());
    Ok((up + FAR - 1).rem_euclid(12) - FAR + 1)
}

/// The tune file is replaced only if it still is what was read.
fn write_back(args: &FitArgs, source: &Source, fitted: &str) -> Result<(), Stop> {
    let now = files::read(&args.tune)?;
    if now.text() != source.text() {
        let finding = wrong(format!("`{}` has changed meanwhile", args.tune.display()));
        return Err(finding.help("nothing was written: run it again").into());
    }
    let mark = if source.has_bom() { "\u{feff}" } else { "" };
    files::write(&args.tune, |out| write!(out, "{mark}{fitted}"))?;
    Ok(())
}

/// A line a part: what moves, and what no octave helps.
fn report(tune: &Tune, fitted: &KeyFit) -> String {
    let mut text = String::new();
    if fitted.semitones != 0 {
        let direction = if fitted.semitones > 0 { "up" } else { "down" };
        let far = words::count(fitted.semitones.unsigned_abs() as usize, "semitone");
        text.push_str(&format!("in {} ({far} {direction}):\n", fitted.key));
    }
    for part in &fitted.parts {
        text.push_str(&format!("{}: {}\n", tune.parts[part.part].name, said(tune, part)));
    }
    text
}

/// What happens to a part, to be read aloud.
fn said(tune: &Tune, part: &PartFit) -> String {
    let moves = part.moves();
    let mut sentences: Vec<String> = moves.iter().rev().map(|(octaves, count)| moved(*octaves, *count)).collect();
    let missing: Vec<&_> = part.missing().collect();
    if let Some(first) = missing.first() {
        let (section, bar) = first.place;
        let count = words::count(missing.len(), "stroke");
        let where_from = format!("the first in bar {} of section `{}`", bar + 1, tune.sections[section].name);
        sentences.push(format!("{count} can't be played in any octave ({where_from})"));
    }
    if sentences.is_empty() { "nothing moves".to_owned() } else { words::and(&sentences) }
}

fn moved(octaves: i32, count: usize) -> String {
    let notes = words::count(count, "note");
    let verb = if count == 1 { "goes" } else { "go" };
    let direction = if octaves < 0 { "down" } else { "up" };
    match octaves.unsigned_abs() {
        1 => format!("{notes} {verb} {direction} an octave"),
        n => format!("{notes} {verb} {direction} {n} octaves"),
    }
}

/// All keys, the cheapest first.
fn ranking(tune: &Tune, keys: &[KeyFit]) -> String {
    let mut rows = vec![["key", "semitones", "lacking", "moved", "cost", "most of it"].map(String::from).to_vec()];
    for key in keys {
        let moved: usize = key.parts.iter().map(|part| part.moves().values().sum::<usize>()).sum();
        let lacking: usize = key.parts.iter().map(|part| part.missing().count()).sum();
        let worst = key.parts.iter().max_by_key(|part| part.terms.total()).filter(|part| part.terms.total() > 0);
        let worst = worst.map_or_else(|| "-".to_owned(), |part| tune.parts[part.part].name.clone());
        rows.push(vec![
            key.key.to_string(),
            format!("{:+}", key.semitones),
            lacking.to_string(),
            moved.to_string(),
            units(key.cost),
            worst,
        ]);
    }
    format!("{}\n", super::table::lines(&rows, &[1, 2, 3, 4]))
}

/// A cost in units, with as many decimals as it needs.
fn units(cost: i64) -> String {
    let text = format!("{}.{:03}", cost / 1000, cost % 1000);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// The change of the file as a unified diff; empty when nothing changes.
fn diff(source: &Source, fitted: &str) -> String {
    if source.text() == fitted {
        return String::new();
    }
    let name = source.name();
    let diff = TextDiff::from_lines(source.text(), fitted);
    format!("\n{}", diff.unified_diff().context_radius(1).header(name, name))
}

fn as_json(tune: &Tune, keys: &[KeyFit], edits: &[crate::text::Edit]) -> Value {
    let part = |part: &PartFit| {
        let terms = part.terms;
        let moved: BTreeMap<String, usize> =
            part.moves().into_iter().map(|(octaves, n)| (format!("{octaves:+}"), n)).collect();
        json!({
            "name": tune.parts[part.part].name,
            "moves": terms.moves,
            "breaks": terms.breaks,
            "breaks_at_rests": terms.breaks_at_rests,
            "turns": terms.turns,
            "missing": terms.missing,
            "moved": moved,
            "lacking": part.missing().count(),
        })
    };
    let key = |key: &KeyFit| {
        let parts: Vec<Value> = key.parts.iter().map(part).collect();
        json!({ "key": key.key.to_string(), "semitones": key.semitones, "cost": key.cost, "parts": parts })
    };
    let edit = |edit: &crate::text::Edit| {
        let at = tune.source.position(edit.span.start);
        json!({ "line": at.line, "column": at.column, "from": tune.source.slice(edit.span), "to": edit.text })
    };
    let keys: Vec<Value> = keys.iter().map(key).collect();
    json!({ "keys": keys, "edits": edits.iter().map(edit).collect::<Vec<_>>() })
}

//! `panfold patterns`: the library of strum, bass and engine-room patterns.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::{Args, ValueHint};
use serde_json::{Value, json};

use super::choice::wrong;
use super::console::Console;
use super::table;
use super::track::{self, Format};
use super::{Outcome, Stop};
use crate::door::json::write_json;
use crate::fit;
use crate::notation;
use crate::pan::read_band;
use crate::performance::{self, Options};
use crate::sound::{self, Settings};
use crate::text::{Finding, Source, words};
use crate::tune::Tune;
use crate::tune::library::{LibraryPattern, Style, names, pattern, styles};

/// Lists the patterns of the library; with names, prints those as they are written, to copy into a tune and change.
///
/// A tune plays a pattern of the library by its name, without copying it: `guitar = strum calypso-strum`,
/// `bass = play calypso-bass`. Where every pattern is from is said beside it.
#[derive(Debug, Args)]
#[command(after_long_help = HELP)]
pub struct PatternsArgs {
    /// Patterns (calypso-strum), or styles with all their patterns (calypso)
    #[arg(value_name = "NAME")]
    pub names: Vec<String>,
    /// Write a loop of the pattern here, to hear it; the name ends in `.wav` or `.flac`
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath, requires = "names")]
    pub sound: Option<PathBuf>,
    /// Write the patterns as JSON, for other programs: { "patterns": [ { name, style, plays, meter, tempo, bars, what,
    /// origin, text } ] }
    #[arg(long, conflicts_with = "sound")]
    pub json: bool,
}

const HELP: &str = "\
Examples:
  panfold patterns
  panfold patterns calypso
  panfold patterns soca-strum --sound soca-strum.wav";

/// How often a loop is played: long enough to walk along with.
const TIMES: u32 = 8;

/// Lists patterns, prints them, or lets one be heard.
pub fn run(args: &PatternsArgs, console: &mut Console) -> Result<Outcome, Stop> {
    let mut chosen: Vec<&LibraryPattern> = Vec::new();
    for name in &args.names {
        match (pattern(name), styles().iter().find(|style| style.name == *name)) {
            (Some(pattern), _) => chosen.push(pattern),
            (None, Some(style)) => chosen.extend(&style.patterns),
            (None, None) => return Err(unknown(name).into()),
        }
    }
    if let Some(path) = &args.sound {
        let [pattern] = chosen[..] else {
            return Err(wrong("a loop is made of one pattern").help("name one, for example `calypso-strum`").into());
        };
        return write_loop(pattern, path, console);
    }
    if args.json {
        let all =
            if args.names.is_empty() { styles().iter().flat_map(|style| &style.patterns).collect() } else { chosen };
        let all: Vec<Value> = all.into_iter().map(as_json).collect();
        write_json(console.out(), &json!({ "patterns": all }))?;
    } else if args.names.is_empty() {
        write!(console.out(), "{}", list())?;
    } else {
        for pattern in chosen {
            writeln!(console.out(), "{}  # {}: {}; {}", pattern.text, pattern.role, pattern.what, pattern.origin)?;
        }
    }
    Ok(Outcome::Fine)
}

fn unknown(name: &str) -> Finding {
    let finding = wrong(format!("there is no pattern `{name}` in the library"));
    match words::nearest(name, names().chain(styles().iter().map(|style| style.name))) {
        Some(near) => finding.help(format!("did you mean `{near}`?")),
        None => finding.help("`panfold patterns` lists them all"),
    }
}

/// All patterns by style.
fn list() -> String {
    let mut rows: Vec<Vec<String>> = Vec::new();
    let mut heads: Vec<(usize, String)> = Vec::new();
    for Style { title, meter, tempo, patterns, .. } in styles() {
        heads.push((rows.len(), format!("{title}, {meter}, about {tempo}")));
        rows.extend(
            patterns.iter().map(|pattern| vec![pattern.name().to_owned(), pattern.role.clone(), pattern.what.clone()]),
        );
    }
    let lines = table::lines(&rows, &[]);
    let mut text = String::new();
    let mut heads = heads.into_iter().peekable();
    for (number, line) in lines.lines().enumerate() {
        if let Some((_, head)) = heads.next_if(|(first, _)| *first == number) {
            text.push_str(&format!("{}{head}\n", if number == 0 { "" } else { "\n" }));
        }
        text.push_str(&format!("  {line}\n"));
    }
    text + "\n`panfold patterns NAME` prints one to copy; a tune plays it with `= strum NAME` or `= play NAME`.\n"
}

fn as_json(pattern: &LibraryPattern) -> Value {
    let style = styles().iter().find(|style| pattern.name().starts_with(style.name));
    json!({
        "name": pattern.name(),
        "style": style.map(|style| style.name),
        "plays": pattern.role,
        "meter": pattern.meter.to_string(),
        "tempo": pattern.tempo.to_string(),
        "bars": pattern.line.bars.len(),
        "what": pattern.what,
        "origin": pattern.origin,
        "text": pattern.text,
    })
}

fn write_loop(pattern: &LibraryPattern, path: &Path, console: &mut Console) -> Result<Outcome, Stop> {
    let format = Format::of(path)?;
    let tune = loop_of(pattern);
    let performance = performance::perform(&tune, &Options::default());
    let settings = Settings::default();
    let tags = sound::tags(&performance, &settings);
    let report = track::write(path, format, &performance, &tune.band, &settings, &tags)?;
    console.say(&format!("wrote {}: {}", path.display(), track::minutes(report.seconds())))?;
    Ok(Outcome::Fine)
}

/// A tune that plays a pattern alone: on a double second, a six bass or its own instrument, over a chord of G.
pub fn loop_of(pattern: &LibraryPattern) -> Tune {
    let (kind, verb) = match pattern.role.as_str() {
        "strum" => ("double-second", "strum"),
        "bass" => ("six-bass", "play"),
        role => (role, "play"),
    };
    let band = match pattern.role.as_str() {
        "strum" | "bass" => format!("[[pan]]\nname = \"the pan\"\nlayout = \"{kind}\"\n"),
        role => format!("[[percussion]]\nname = \"it\"\nkind = \"{role}\"\n"),
    };
    let band = Source::new("band.toml", format!("name = \"the library\"\n{band}"));
    let (band, _) = read_band(&band, &mut |_| unreachable!("the band is one file"));
    let name = pattern.name();
    let bars = "| G ".repeat(pattern.line.bars.len());
    let text = format!(
        "title {name}\nmeter {}\ntempo {}\npart it on {kind}\nform loop x{TIMES}\nsection loop\n chords {bars}|\n it = {verb} {name}\n",
        pattern.meter, pattern.tempo
    );
    let (tree, _) = notation::parse(&Source::new(format!("{name}.tune"), text));
    fit::resolve(&tree, &Arc::new(band.expect("the band of one pan is read"))).0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_pattern_sounds() {
        for pattern in styles().iter().flat_map(|style| &style.patterns) {
            let tune = loop_of(pattern);
            let performance = performance::perform(&tune, &Options::default());
            let bars = pattern.line.bars.len() as u32 * TIMES;
            let bar = pattern.tempo.seconds(pattern.meter.bar(), pattern.meter);
            assert!((performance.seconds() - bar * f64::from(bars)).abs() < 1e-6, "{}", pattern.name());
            assert!(performance.strokes.len() >= TIMES as usize, "{}", pattern.name());
        }
    }
}

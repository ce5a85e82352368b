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
use crate::door::target::Target;
use crate::fit;
use crate::music::Meter;
use crate::notation;
use crate::pan::read_band;
use crate::performance::{self, Options};
use crate::sound::{self, Settings};
use crate::text::{Finding, Source, words};
use crate::tune::Tune;
use crate::tune::library::{LibraryPattern, Style, names, styles, versions};

/// Lists the patterns of the library; with names, prints those as they are written, to copy into a tune and change.
///
/// A tune plays a pattern of the library by its name, without copying it: `guitar = strum calypso-strum`,
/// `bass = play calypso-bass`. A style has its patterns in one meter or in several, under the same names: a section gets
/// those for its own meter. Where every pattern is from is said beside it.
#[derive(Debug, Args)]
#[command(after_long_help = HELP)]
pub struct PatternsArgs {
    /// Patterns (calypso-strum), or styles with all their patterns (calypso)
    #[arg(value_name = "NAME")]
    pub names: Vec<String>,
    /// Only those for this meter (6/8); left out, a pattern is printed for the usual meter of its style
    #[arg(long, value_name = "METER")]
    pub meter: Option<Meter>,
    /// Write a loop of the pattern here, to hear it; the name ends in `.mp3`, `.flac` or `.wav`
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath, requires = "names")]
    pub sound: Option<PathBuf>,
    /// Write over a file even if panfold did not write it; its own files are replaced without asking
    #[arg(long)]
    pub replace: bool,
    /// Write the patterns as JSON, for other programs, an entry for each meter: { "patterns": [ { name, style, plays, meter,
    /// tempo, bars, what, origin, text } ] }
    #[arg(long, conflicts_with = "sound")]
    pub json: bool,
}

const HELP: &str = "\
Examples:
  panfold patterns
  panfold patterns --meter 6/8
  panfold patterns calypso
  panfold patterns march --meter 6/8
  panfold patterns soca-strum --sound soca-strum.wav";

/// How often a loop is played: long enough to walk along with.
const TIMES: u32 = 8;

/// Lists patterns, prints them, or lets one be heard.
pub fn run(args: &PatternsArgs, console: &mut Console) -> Result<Outcome, Stop> {
    let meters: Vec<Meter> = styles().iter().map(|style| style.meter).collect();
    if let Some(meter) = args.meter.filter(|meter| !meters.contains(meter)) {
        return Err(no_meter(meter, &meters).into());
    }
    let chosen = chosen(args)?;
    if let Some(path) = &args.sound {
        let usual = usual(&chosen, args.meter)?;
        let [pattern] = usual[..] else {
            return Err(wrong("a loop is made of one pattern").help("name one, for example `calypso-strum`").into());
        };
        Format::of(path)?;
        Target::off([""; 0], args.replace).may(path)?;
        return write_loop(pattern, path, console);
    }
    if args.json {
        let wanted = |pattern: &&&LibraryPattern| args.meter.is_none_or(|meter| pattern.meter == meter);
        let all: Vec<Value> = chosen.iter().filter(wanted).map(|pattern| as_json(pattern)).collect();
        write_json(console.out(), &json!({ "patterns": all }))?;
    } else if args.names.is_empty() {
        write!(console.out(), "{}", list(args.meter))?;
    } else {
        for pattern in usual(&chosen, args.meter)? {
            writeln!(console.out(), "{}  # {}: {}; {}", pattern.text, pattern.role, pattern.what, pattern.origin)?;
        }
        if args.meter.is_none() {
            others(&chosen).into_iter().try_for_each(|line| console.say(&line))?;
        }
    }
    Ok(Outcome::Fine)
}

/// The patterns that were asked for, each in all its meters; all patterns if none was named.
fn chosen(args: &PatternsArgs) -> Result<Vec<&'static LibraryPattern>, Box<Finding>> {
    let all = || styles().iter().flat_map(|style| &style.patterns);
    if args.names.is_empty() {
        return Ok(all().collect());
    }
    let mut chosen: Vec<&LibraryPattern> = Vec::new();
    for name in &args.names {
        let before = chosen.len();
        chosen.extend(versions(name));
        if chosen.len() == before {
            chosen.extend(all().filter(|pattern| pattern.style == *name));
        }
        if chosen.len() == before {
            return Err(Box::new(unknown(name)));
        }
    }
    Ok(chosen)
}

/// Of patterns in all their meters those for one meter; without one, for the usual meter of their style.
fn usual(
    chosen: &[&'static LibraryPattern],
    asked: Option<Meter>,
) -> Result<Vec<&'static LibraryPattern>, Box<Finding>> {
    let mut usual: Vec<&LibraryPattern> = Vec::new();
    for pattern in chosen {
        let meters: Vec<Meter> = versions(pattern.name()).map(|version| version.meter).collect();
        let meter = asked.unwrap_or(meters[0]);
        if !meters.contains(&meter) {
            let message = format!("`{}` is there for {}, not for {meter}", pattern.name(), words::and(&said(&meters)));
            let help = format!("`panfold patterns --meter {meter}` lists those for {meter}");
            return Err(Box::new(wrong(message).help(help)));
        }
        if pattern.meter == meter {
            usual.push(pattern);
        }
    }
    Ok(usual)
}

/// A line about styles that have more meters than the one that was printed: `calypso is there for 2/4 and 2/2 too`.
fn others(chosen: &[&LibraryPattern]) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for pattern in chosen {
        let meters: Vec<Meter> = versions(pattern.name()).map(|version| version.meter).skip(1).collect();
        let Some(first) = meters.first() else { continue };
        let (style, and) = (pattern.style, words::and(&said(&meters)));
        let line = format!("{style} is there for {and} too: `--meter {first}` prints that");
        if !lines.contains(&line) {
            lines.push(line);
        }
    }
    lines
}

fn said(meters: &[Meter]) -> Vec<String> {
    meters.iter().map(Meter::to_string).collect()
}

fn no_meter(meter: Meter, meters: &[Meter]) -> Finding {
    let mut known: Vec<Meter> = Vec::new();
    meters.iter().for_each(|meter| known.extend((!known.contains(meter)).then_some(meter)));
    known.sort_by_key(|meter| (meter.unit(), meter.count()));
    let finding = wrong(format!("the library has no patterns for {meter}"));
    finding
        .help(format!("it has some for {}", words::and(&said(&known))))
        .help("write one of your own above the sections: `pattern push | x . . x . |`")
}

fn unknown(name: &str) -> Finding {
    let finding = wrong(format!("there is no pattern `{name}` in the library"));
    match words::nearest(name, names().chain(styles().iter().map(|style| style.name))) {
        Some(near) => finding.help(format!("did you mean `{near}`?")),
        None => finding.help("`panfold patterns` lists them all"),
    }
}

/// All patterns by style, or those for one meter.
fn list(asked: Option<Meter>) -> String {
    let mut rows: Vec<Vec<String>> = Vec::new();
    let mut heads: Vec<(usize, String)> = Vec::new();
    for versions in styles().chunk_by(|one, other| one.name == other.name) {
        let listed: Vec<&Style> =
            versions.iter().copied().filter(|style| asked.is_none_or(|meter| style.meter == meter)).collect();
        let Some(first) = listed.first() else { continue };
        heads.push((rows.len(), head(&listed)));
        rows.extend(
            first
                .patterns
                .iter()
                .map(|pattern| vec![pattern.name().to_owned(), pattern.role.clone(), pattern.what.clone()]),
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
    text + "\n`panfold patterns NAME` prints one to copy; a tune plays it with `= strum NAME` or `= play NAME`, in its own \
            meter.\n"
}

/// The line over a style's patterns: `Calypso, 4/4, about 108; also 2/4, about 108; 2/2, about 108`.
fn head(versions: &[&Style]) -> String {
    let of = |style: &Style| format!("{}, about {}", style.meter, style.tempo);
    let head = format!("{}, {}", versions[0].title, of(versions[0]));
    let others: Vec<String> = versions[1..].iter().map(|style| of(style)).collect();
    if others.is_empty() { head } else { format!("{head}; also {}", others.join("; ")) }
}

fn as_json(pattern: &LibraryPattern) -> Value {
    json!({
        "name": pattern.name(),
        "style": pattern.style,
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
    use crate::check::{self, check};

    /// Every pattern of every style in each of its meters.
    fn all() -> impl Iterator<Item = &'static LibraryPattern> {
        styles().iter().flat_map(|style| &style.patterns)
    }

    #[test]
    fn every_pattern_sounds() {
        for pattern in all() {
            let tune = loop_of(pattern);
            let performance = performance::perform(&tune, &Options::default());
            let bars = pattern.line.bars.len() as u32 * TIMES;
            let bar = pattern.tempo.seconds(pattern.meter.bar(), pattern.meter);
            assert!((performance.seconds() - bar * f64::from(bars)).abs() < 1e-6, "{}", pattern.name());
            assert!(performance.strokes.len() >= TIMES as usize, "{}", pattern.name());
        }
    }

    /// Two sticks can play each at the tempo of its style, and nothing else is said of it either.
    #[test]
    fn nothing_is_said_of_any_pattern() {
        for pattern in all() {
            let report = check(&loop_of(pattern), &check::Options::default());
            assert!(report.findings.is_empty(), "{} in {}: {:?}", pattern.name(), pattern.meter, report.findings);
        }
    }

    /// A loop is of the version that was asked for, not of the usual one.
    #[test]
    fn a_loop_is_in_the_patterns_own_meter() {
        for pattern in all() {
            let tune = loop_of(pattern);
            assert_eq!(tune.sections[0].meter, pattern.meter);
            let struck = tune.sections[0].rows[0].as_ref().map_or(0, |row| row.events.len());
            let (_, bars) = pattern.text.split_once('|').expect("bars");
            let written = bars.split_whitespace().filter(|cell| !["|", ".", "-"].contains(cell)).count();
            assert_eq!(struck, written, "{} in {}", pattern.name(), pattern.meter);
        }
    }
}

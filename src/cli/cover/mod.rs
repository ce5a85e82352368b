//! `panfold cover`: what a pan is good for, and the repertoire as a grid of parts and pans.

mod screen;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use clap::{Args, ValueHint};

use super::choice::{self, wrong};
use super::console::Console;
use super::many::{self, Way};
use super::{Outcome, Stop};
use crate::cover::{Report, grid, report};
use crate::door::cover_json;
use crate::door::files;
use crate::door::json::write_json;
use crate::door::loaded::{self, Loaded, Named, Sought};
use crate::door::target::Target;
use crate::drawing::ink::Theme;
use crate::drawing::{face, svg};
use crate::music::{Cents, Pitch};
use crate::pan::findings::UNKNOWN_LAYOUT;
use crate::pan::{Pan, PanKind, layouts};
use crate::text::{Finding, words};
use crate::tune::Tune;
use crate::tune::model::Open;

/// Says what a pan is good for: how much of each part of the tunes it plays as written, with octave moves, and in another
/// key; which notes it misses most; and the fewest to ask a tuner for.
///
/// The pan is a layout (lead-c), a pan file, or a pan of the tunes' band by its name. With --kind all built-in layouts of a
/// kind stand beside each other, with --band all pans of the band, with --beside any others.
#[derive(Debug, Args)]
#[command(override_usage = "panfold cover PAN TUNE... [OPTIONS]\n       panfold cover --kind KIND TUNE... [OPTIONS]\n       \
                            panfold cover --band [BAND.toml] TUNE... [OPTIONS]", after_long_help = HELP)]
pub struct CoverArgs {
    /// The pan (unless --kind or --band is given), and the tune files
    #[arg(required = true, value_name = "PAN TUNE", value_hint = ValueHint::FilePath)]
    pub names: Vec<String>,
    /// Look at this part only
    #[arg(long, value_name = "PART")]
    pub part: Option<String>,
    /// Compare all built-in layouts of a kind of pan, for example `lead`
    #[arg(long, value_name = "KIND", conflicts_with_all = ["band", "beside"])]
    pub kind: Option<String>,
    /// Compare all pans of the tunes' band, or those of another band's file
    #[arg(long, value_name = "FILE", num_args = 0..=1, require_equals = true, default_missing_value = "",
          conflicts_with = "beside")]
    pub band: Option<String>,
    /// Compare the pan with this one (a layout, a pan file, or a pan of the band); may be given several times
    #[arg(long, value_name = "PAN")]
    pub beside: Vec<String>,
    /// Draw the pan as SVG: how often each note is struck, and the missing notes beneath it. Counts the parts for this kind
    /// of pan and those of which the pan has half, or the one that --part names
    #[arg(long, value_name = "FILE.svg", value_hint = ValueHint::FilePath, conflicts_with_all = ["kind", "band", "beside"])]
    pub picture: Option<PathBuf>,
    /// Write over a file even if panfold did not write it; its own files are replaced without asking
    #[arg(long)]
    pub replace: bool,
    /// Write the result as JSON, for other programs (described below with --help)
    #[arg(long)]
    pub json: bool,
}

const HELP: &str = "\
Examples:
  panfold cover lead-c sea-grape-road.tune
  panfold cover pans/old-guitar.toml tunes/*.tune --part guitar
  panfold cover \"Red rim\" tunes/*.tune --beside \"Blue rim\"
  panfold cover lead-c tunes/*.tune --picture lead-c.svg
  panfold cover --kind lead tunes/*.tune --part lead
  panfold cover --band tunes/*.tune
  panfold cover --band visiting-band.toml tunes/*.tune

Strokes are counted with the form played out; a roll is one. A stroke of two
notes counts only if the pan has both. Sections that are never played are not
counted. Notes that a tune leaves open (G, degrees, strums, harmony lines) are
chosen for the pan that is asked about.

JSON for one pan: { \"pan\", \"parts\": [ PART ], \"missing\": [ NOTE ] }
  PART  file, tune, part, on, strokes, needed (notes with their strokes),
        missing (notes), as_written, with_moves (strokes), moved (notes),
        better (null, or key, semitones, as_written, with_moves, moved),
        octaves (how many it lies higher than on its own kind of pan),
        extra (as_written, with_moves: the fewest notes more; proved: whether
        the choice of octaves is surely the best), now (the pans that play it),
        in_reach (whether it counts for `missing`), verdict
  NOTE  note, strokes, gained (strokes that lack nothing else), completes,
        completes_with_moves (parts)
JSON for several: { \"pans\", \"parts\": [ file, tune, part, on, strokes,
  pans: [ as_written, with_moves, octaves, plays_it_now ] ] }";

/// Answers what was asked.
pub fn run(args: &CoverArgs, console: &mut Console) -> Result<Outcome, Stop> {
    let (band, names) = band_and_names(args)?;
    let (name, files) = pan_and_tunes(args, &names)?;
    if let Some(path) = args.picture.as_deref().filter(|path| path.extension().is_none_or(|ending| ending != "svg")) {
        let finding = wrong(format!("a picture is an SVG file, not `{}`", path.display()));
        return Err(finding.help("give a name that ends in `.svg`").into());
    }
    let Read { tunes, mut files, left_out } = read(files, band, console)?;
    if let Some(part) = &args.part {
        has_part(&tunes, part)?;
    }
    let chosen = |tune: &Tune<Open>, part: usize| args.part.as_ref().is_none_or(|name| *name == tune.parts[part].name);
    let pans = match name {
        None => compared(args, &tunes)?,
        Some(name) => {
            let names = [name].into_iter().chain(args.beside.iter().map(String::as_str));
            names.map(|name| pan(name, &tunes, console)).collect::<Result<Vec<Pan>, Stop>>()?
        }
    };
    match pans.as_slice() {
        [pan] if name.is_some() => {
            let report = report(pan, &tunes, chosen);
            if let Some(path) = &args.picture {
                files.extend(name.map(PathBuf::from));
                Target::off(&files, args.replace).may(path)?;
                let drawn = picture(pan, &report, args.part.is_some());
                files::write_made(path, drawn.into_bytes())?;
                console.say(&format!("wrote {}", path.display()))?;
            }
            if args.json {
                write_json(console.out(), &cover_json::report(pan, &tunes, &report))?;
            } else {
                write!(console.out(), "{}", screen::report(pan, &tunes, &report))?;
            }
        }
        _ => {
            let pans: Vec<&Pan> = pans.iter().collect();
            let rows = grid(&pans, &tunes, chosen);
            let width = console.screen.width;
            if args.json {
                write_json(console.out(), &cover_json::grid(&pans, &tunes, &rows))?;
            } else {
                write!(console.out(), "{}", screen::grid(&pans, &tunes, &rows, width))?;
            }
        }
    }
    Ok(if left_out { Outcome::Failed } else { Outcome::Fine })
}

/// The pan with how often each note is struck, in all parts of the report or in those in reach.
fn picture(pan: &Pan, report: &Report, all: bool) -> String {
    let mut struck: BTreeMap<Pitch, u64> = BTreeMap::new();
    for entry in report.entries.iter().filter(|entry| all || entry.is_in_reach(pan)) {
        entry.need.notes().into_iter().for_each(|(note, times)| *struck.entry(note).or_insert(0) += times);
    }
    let wanted = struck.keys().copied().collect();
    // How far a note is off has its place where the number of strokes stands.
    let options = face::Options { wanted, struck, tolerance: Cents(f64::INFINITY), ..face::Options::default() };
    svg::file(&face::face(pan, &options), Theme::Light)
}

/// The band file, if one is given, and the other names.
///
/// After a bare `--band` come the tunes, none of which is a `.toml` file: such a file can only be the band's.
fn band_and_names(args: &CoverArgs) -> Result<(Option<&str>, Vec<&str>), Stop> {
    let mut names: Vec<&str> = args.names.iter().map(String::as_str).collect();
    let is_toml = |name: &&str| Path::new(name).extension().is_some_and(|ending| ending == "toml");
    let band = match args.band.as_deref() {
        Some("") => names.iter().position(is_toml).map(|number| names.remove(number)),
        given => given,
    };
    match band {
        Some(band) if names.is_empty() => {
            let finding = wrong(format!("no tune is named beside the band `{band}`"));
            Err(finding.help(format!("`panfold cover --band {band} TUNE`, with one or more tune files")).into())
        }
        band => Ok((band, names)),
    }
}

/// The pan that is asked about, unless a kind or the band is, and the tune files.
fn pan_and_tunes<'a>(args: &CoverArgs, names: &'a [&'a str]) -> Result<(Option<&'a str>, &'a [&'a str]), Stop> {
    if args.kind.is_some() || args.band.is_some() {
        return Ok((None, names));
    }
    let (pan, tunes) = names.split_first().expect("at least one is required");
    if Path::new(pan).extension().is_some_and(|ending| ending == "tune") {
        let finding = wrong(format!("`{pan}` is a tune, and a pan is needed before it"));
        return Err(finding
            .help("for example `panfold cover lead-c TUNE`; or compare pans with `--kind` or `--band`")
            .into());
    }
    if tunes.is_empty() {
        let finding = wrong(format!("no tune is named beside the pan `{pan}`"));
        return Err(finding.help(format!("`panfold cover {pan} TUNE`, with one or more tune files")).into());
    }
    Ok((Some(*pan), tunes))
}

/// How several tunes are handled.
const WAY: Way = Way { fine: "looked at", headed: false, in_turn: false };

/// What was read.
struct Read {
    tunes: Vec<Tune<Open>>,
    /// All files that were read for them.
    files: Vec<PathBuf>,
    /// Whether a tune could not be read, so that the answer is only about the others.
    left_out: bool,
}

/// Reads the tunes; of several those that can be played.
fn read(names: &[&str], band: Option<&str>, console: &mut Console) -> Result<Read, Stop> {
    let paths: Vec<PathBuf> = names.iter().map(PathBuf::from).collect();
    let all = many::each(WAY, &paths, console, |path, console, _| {
        let loaded = Loaded::playable(path, band.map(Path::new))?;
        console.tell(&loaded.findings)?;
        Ok((Outcome::Fine, loaded))
    })?;
    if all.iter().any(Result::is_err) {
        many::sum_up(WAY, &paths, &all, console)?;
    }
    let mut read = Read { tunes: Vec::new(), files: Vec::new(), left_out: false };
    let mut reasons = Vec::new();
    for done in all {
        match done {
            Ok((_, loaded)) => {
                read.tunes.push(loaded.open);
                read.files.extend(loaded.files);
            }
            Err(Stop::Told(findings)) => reasons.extend(findings),
        }
    }
    read.left_out = !reasons.is_empty();
    match read.tunes.is_empty() {
        true if paths.len() == 1 => Err(Stop::Told(reasons)),
        true => Err(wrong("none of the tunes can be played, so there is nothing to cover").into()),
        false => Ok(read),
    }
}

/// Makes sure that at least one of the tunes has the part.
fn has_part(tunes: &[Tune<Open>], name: &str) -> Result<(), Stop> {
    if tunes.iter().any(|tune| tune.part(name).is_some()) {
        return Ok(());
    }
    if let [tune] = tunes {
        choice::part(tune, name)?;
    }
    let names: Vec<&str> = tunes.iter().flat_map(|tune| tune.parts.iter().map(|part| part.name.as_str())).collect();
    let finding = wrong(format!("none of the tunes has a part `{name}`"));
    Err(near(finding, name, &names, "`panfold check TUNE --table` shows the parts of a tune").into())
}

/// A pan by its name in a tune's band, a layout, or a pan file.
fn pan(name: &str, tunes: &[Tune<Open>], console: &mut Console) -> Result<Pan, Stop> {
    let mut pans = tunes.iter().flat_map(|tune| &tune.band.pans);
    if let Some(found) = pans.find(|pan| pan.pan.name.eq_ignore_ascii_case(name)) {
        return Ok(found.pan.clone());
    }
    match loaded::pan_or_band(name) {
        Ok(Sought { named: Named::Pan(pan), findings, .. }) => {
            console.tell(&findings)?;
            Ok(*pan)
        }
        Ok(Sought { named: Named::Band(_), .. }) => {
            let finding = wrong(format!("`{name}` is a band, not a pan"));
            Err(finding.help(format!("name one of its pans, or compare them all with `--band={name}`")).into())
        }
        Err(findings) if findings.iter().any(|finding| *finding.kind == UNKNOWN_LAYOUT && finding.place.is_none()) => {
            let mut names: Vec<&str> =
                tunes.iter().flat_map(|tune| tune.band.pans.iter().map(|pan| pan.pan.name.as_str())).collect();
            names.extend(layouts::layouts().iter().map(|pan| pan.name.as_str()));
            names.extend(PanKind::ALL.iter().flat_map(|kind| kind.names()));
            let finding = Finding::error(&UNKNOWN_LAYOUT, format!("there is no pan and no layout `{name}`"));
            let help = "`panfold pans` lists the layouts, `panfold pans BAND-FILE` the pans of a band";
            Err(near(finding, name, &names, help).into())
        }
        Err(findings) => Err(Stop::Told(findings)),
    }
}

/// The layouts of a kind, or the pans of the band.
fn compared(args: &CoverArgs, tunes: &[Tune<Open>]) -> Result<Vec<Pan>, Stop> {
    if let Some(name) = &args.kind {
        let Some(kind) = PanKind::from_name(name) else {
            let names: Vec<&str> = PanKind::ALL.iter().flat_map(|kind| kind.names()).copied().collect();
            let finding = Finding::error(&UNKNOWN_LAYOUT, format!("`{name}` is not a kind of pan"));
            return Err(near(finding, name, &names, "`panfold pans` lists the layouts with their kinds").into());
        };
        return Ok(layouts::layouts().iter().filter(|pan| pan.kind == kind).cloned().collect());
    }
    let band = &tunes[0].band;
    if band.pans.is_empty() {
        let finding = wrong(format!("the band `{}` has no pans to compare", band.name));
        return Err(finding
            .help("add them to its file (`[[pan]]`), or name a pan: `panfold cover lead-c TUNE`")
            .into());
    }
    if let Some(other) = tunes.iter().find(|tune| tune.band.source.name() != band.source.name()) {
        let finding = wrong(format!(
            "`{}` is for `{}`, and `{}` for `{}`",
            tunes[0].source.name(),
            band.name,
            other.source.name(),
            other.band.name
        ));
        return Err(finding.help("give the band to compare them on with `--band=FILE`").into());
    }
    Ok(band.pans.iter().map(|pan| pan.pan.clone()).collect())
}

fn near(finding: Finding, name: &str, names: &[&str], help: &str) -> Finding {
    match words::nearest(name, names.iter().copied()) {
        Some(near) => finding.help(format!("did you mean `{near}`?")),
        None => finding.help(help),
    }
}

//! `panfold import`: MIDI files and MusicXML as tunes.

pub mod args;

use std::collections::BTreeSet;
use std::path::{Component, Path, PathBuf};

use rayon::prelude::*;
use serde_json::{Value, json};

use self::args::ImportArgs;
use super::choice::wrong;
use super::console::Console;
use super::{Outcome, Stop};
use crate::door::files;
use crate::door::findings_json;
use crate::door::json::write_json;
use crate::door::kinds::THERE_ALREADY;
use crate::door::loaded::band_from;
use crate::door::target::{self, ends_in};
use crate::exchange::score::NoPart;
use crate::exchange::{self, Imported, Seat};
use crate::pan::Band;
use crate::text::finding::shortened;
use crate::text::{Finding, Severity, words};

/// How many files are read at once, so that a thousand of them are not in memory together.
const AT_ONCE: usize = 64;

/// A file as a tune.
struct Done {
    file: PathBuf,
    title: String,
    tune: Imported,
    findings: Vec<Finding>,
}

/// A file that is brought in, or why it can't be.
type Brought = Result<Done, Vec<Finding>>;

/// Brings files in.
pub fn run(args: &ImportArgs, console: &mut Console) -> Result<Outcome, Stop> {
    let target = Target::of(args)?;
    let band = match &args.band {
        Some(file) => Some(band(file, &target, console)?),
        None => None,
    };
    let mut outcome = Outcome::Fine;
    let mut entries: Vec<Value> = Vec::new();
    let mut written: BTreeSet<PathBuf> = BTreeSet::new();
    for files in args.files.chunks(AT_ONCE) {
        let done: Vec<Brought> = files.par_iter().map(|file| import(file, args, band.as_ref())).collect();
        for (file, one) in files.iter().zip(done) {
            let ended =
                one.and_then(|done| put(&done, args, &target, &mut written, console).map(|entry| (done, entry)));
            match ended {
                Ok((done, entry)) => {
                    if args.json {
                        entries.push(entry);
                    } else {
                        console.tell(&done.findings)?;
                    }
                }
                Err(findings) => {
                    outcome = Outcome::Failed;
                    if args.json {
                        let findings = findings_json::findings(&findings);
                        entries
                            .push(json!({ "file": file.display().to_string(), "output": null, "findings": findings }));
                    } else {
                        console.tell(&findings)?;
                    }
                }
            }
        }
    }
    if band.is_none() && !written.is_empty() && !args.json {
        // A screen that has gone is noticed when the findings are told.
        let _ = console
            .say("to check and hear them, name a band in the tune (`band our-band.toml`), or import with `--band`");
    }
    if args.json {
        write_json(console.out(), &json!({ "tunes": entries }))?;
    }
    Ok(outcome)
}

/// Where tunes go.
enum Target {
    Screen,
    File(PathBuf),
    Folder(PathBuf),
}

impl Target {
    fn of(args: &ImportArgs) -> Result<Target, Box<Finding>> {
        let many = args.files.len() > 1;
        match &args.output {
            None if many => {
                let finding = wrong("several files need a folder for their tunes");
                Err(Box::new(finding.help("name it: `-o tunes`")))
            }
            None => Ok(Target::Screen),
            Some(path) => {
                let is_file = !many && !path.is_dir() && path.extension().is_some();
                if is_file {
                    ends_in(path, "a tune", &["tune"])?;
                    return Ok(Target::File(path.clone()));
                }
                files::folder(path)?;
                Ok(Target::Folder(path.clone()))
            }
        }
    }

    /// The folder that tunes lie in.
    fn folder(&self) -> &Path {
        match self {
            Target::Screen => Path::new("."),
            Target::File(path) => path.parent().filter(|folder| *folder != Path::new("")).unwrap_or(Path::new(".")),
            Target::Folder(folder) => folder,
        }
    }
}

/// The band, and its path as a tune in the target's folder names it.
fn band(file: &Path, target: &Target, console: &mut Console) -> Result<(Band, String), Stop> {
    let source = files::read(file)?;
    let (band, findings) = band_from(&source, file, &mut Vec::new());
    if findings.iter().any(|finding| finding.severity == Severity::Error) {
        return Err(Stop::Told(findings));
    }
    console.tell(&findings)?;
    let band = band.ok_or(Stop::Told(Vec::new()))?;
    Ok((band, from_folder(target.folder(), file)))
}

/// A path as it is named from a folder.
fn from_folder(folder: &Path, file: &Path) -> String {
    let (Ok(folder), Ok(file)) = (folder.canonicalize(), file.canonicalize()) else { return slashes(file) };
    let (from, to): (Vec<Component>, Vec<Component>) = (folder.components().collect(), file.components().collect());
    let common = from.iter().zip(&to).take_while(|(a, b)| a == b).count();
    if common == 0 {
        return slashes(&file);
    }
    let up = std::iter::repeat_n(Component::ParentDir, from.len() - common);
    slashes(&up.chain(to[common..].iter().copied()).collect::<PathBuf>())
}

fn slashes(path: &Path) -> String {
    path.display().to_string().replace('\\', "/")
}

fn import(file: &Path, args: &ImportArgs, band: Option<&(Band, String)>) -> Brought {
    let told = |finding: Box<Finding>| vec![*finding];
    let name = file.display().to_string();
    let bytes = files::bytes(file).map_err(|error| vec![files::unreadable(file, &error)])?;
    let mut music = exchange::read(&name, bytes, args.grid.as_ref()).map_err(told)?;
    music.score.pick(&args.part, &args.track).map_err(|none| vec![no_part(&name, &none)])?;
    let stem = file.file_stem().map_or_else(String::new, |stem| stem.to_string_lossy().into_owned());
    let band = band.map(|(band, path)| (band, path.as_str()));
    let tune = exchange::tune(&music.score, band, &stem, &args.options(), &mut music.lost).map_err(told)?;
    let mut findings = music.lost.findings(&name, music.source.as_ref());
    findings.extend(tune.shared.iter().cloned());
    Ok(Done { file: file.to_owned(), title: shortened(music.score.title.clone().unwrap_or(stem)), tune, findings })
}

fn no_part(name: &str, none: &NoPart) -> Finding {
    let finding = wrong(format!("`{name}` has no part {}", words::or(&none.missing)));
    finding.help(format!("its parts are {}", words::and(&none.known)))
}

/// Writes a tune where it goes, and says so.
fn put(
    done: &Done,
    args: &ImportArgs,
    target: &Target,
    written: &mut BTreeSet<PathBuf>,
    console: &mut Console,
) -> Result<Value, Vec<Finding>> {
    let told = |finding: Box<Finding>| vec![*finding];
    let path = match target {
        Target::Screen => {
            let shown = write!(console.out(), "{}", done.tune.text);
            return shown.map(|()| Value::Null).map_err(|error| vec![files::unwritable("standard output", &error)]);
        }
        Target::File(path) => path.clone(),
        Target::Folder(folder) => {
            let stem = done.file.file_stem().map_or_else(|| "tune".into(), |stem| stem.to_string_lossy().into_owned());
            // Two files of one name from different folders are two tunes.
            let names =
                std::iter::once(format!("{stem}.tune")).chain((2..).map(|number| format!("{stem}-{number}.tune")));
            let paths = names.map(|name| folder.join(name)).find(|path| !written.contains(path));
            paths.expect("there is always a next number")
        }
    };
    // Another input may be brought in later.
    target::Target::off(args.files.iter().chain(&args.band), true).may(&path).map_err(told)?;
    if path.exists() && !args.replace {
        let finding = Finding::error(&THERE_ALREADY, format!("`{}` is there already", path.display()));
        return Err(vec![finding.help("give another name, or write over it with `--replace`")]);
    }
    files::write(&path, |out| out.write_all(done.tune.text.as_bytes())).map_err(told)?;
    written.insert(path.clone());
    let tune = &done.tune;
    if !args.json {
        let (parts, bars) = (words::count(tune.parts.len(), "part"), words::count(tune.bars, "bar"));
        // A screen that has gone is noticed when the findings are told.
        let _ = console.say(&format!("wrote {}: {parts}, {bars}", path.display()));
        if args.band.is_some() {
            for (name, seat) in &tune.parts {
                let _ = console.say(&format!("  {name} on {}: {}", seat.on, seat.why));
            }
        }
    }
    let part = |(name, seat): &(String, Seat)| {
        let pan = seat.pan_name.as_ref().filter(|_| args.band.is_some());
        json!({ "name": name, "on": seat.on, "pan": pan, "why": seat.why })
    };
    let parts: Vec<Value> = tune.parts.iter().map(part).collect();
    Ok(json!({
        "file": done.file.display().to_string(),
        "output": path.display().to_string(),
        "title": done.title,
        "bars": tune.bars,
        "form": tune.form,
        "parts": parts,
        "findings": findings_json::findings(&done.findings),
    }))
}

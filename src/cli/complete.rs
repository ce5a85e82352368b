//! What a shell completes when you press Tab: clap completes commands, options and files; this file, the names of things that a
//! tune, a band or panfold itself has.
//!
//! The shell runs panfold for this, with the words of the line so far; tunes among these words are read.

use std::ffi::{OsStr, OsString};
use std::path::{Path, PathBuf};

use clap::Command;
use clap_complete::engine::{ArgValueCompleter, CompletionCandidate, PathCompleter, ValueCompleter};
use clap_complete::env::{CompleteEnv, EnvCompleter, Shells};

use super::guide;
use super::kinds;
use crate::door::loaded::Loaded;
use crate::pan::{Level, PanKind, layouts};
use crate::tune::Tune;
use crate::tune::library::styles;

/// The variable that a shell's script sets to the shell's name when it asks.
pub const VARIABLE: &str = "PANFOLD_COMPLETE";

/// Answers a shell that asks what fits at the cursor; returns whether one did.
pub fn answered(arguments: &[OsString], command: impl Fn() -> Command) -> bool {
    if std::env::var_os(VARIABLE).is_none() {
        return false;
    }
    let line: Vec<OsString> = arguments.to_vec();
    let whole = move || completing(command(), &line);
    let asked = CompleteEnv::with_factory(whole).var(VARIABLE).bin("panfold");
    // What can't be completed is completed to nothing: an error would stand in the line that somebody types.
    asked.try_complete(arguments.to_vec(), std::env::current_dir().ok().as_deref()).unwrap_or(true)
}

/// The script with which a shell asks.
pub fn script(shell: &str) -> Option<Vec<u8>> {
    let shells = Shells::builtins();
    let completer: &dyn EnvCompleter = shells.completer(shell)?;
    let mut script = Vec::new();
    completer.write_registration(VARIABLE, "panfold", "panfold", "panfold", &mut script).ok()?;
    Some(script)
}

/// The command, with each argument knowing what it completes to.
fn completing(command: Command, line: &[OsString]) -> Command {
    let name = command.get_name().to_owned();
    let command = command.mut_args(|arg| {
        let names = names(&name, arg.get_id().as_str());
        match names {
            Some(names) => arg.add(ArgValueCompleter::new(Names { of: names, line: line.to_vec() })),
            None => arg,
        }
    });
    command.mut_subcommands(|command| completing(command, line))
}

/// What an argument names.
#[derive(Clone, Copy)]
enum Of {
    Parts,
    Sections,
    Pans,
    /// Pans of the band, layouts, kinds of pan, and files.
    AnyPan,
    Patterns,
    KindsOfPan,
    Findings,
    Topics,
    Levels,
}

fn names(command: &str, argument: &str) -> Option<Of> {
    Some(match (command, argument) {
        (_, "part") => Of::Parts,
        (_, "section") => Of::Sections,
        ("sheet", "pan") | ("pans", "name") | ("cover", "names" | "beside") => Of::AnyPan,
        (_, "pan") => Of::Pans,
        ("patterns", "names") => Of::Patterns,
        ("cover", "kind") => Of::KindsOfPan,
        ("findings", "kinds") => Of::Findings,
        ("guide", "topic") => Of::Topics,
        (_, "level") => Of::Levels,
        _ => return None,
    })
}

/// Names, looked up only when a shell asks for them.
struct Names {
    of: Of,
    line: Vec<OsString>,
}

impl ValueCompleter for Names {
    fn complete(&self, current: &OsStr) -> Vec<CompletionCandidate> {
        let known = self.known();
        let begun = current.to_string_lossy();
        let fits = known.into_iter().filter(|name| name.starts_with(begun.as_ref()));
        let mut candidates: Vec<CompletionCandidate> = fits.map(CompletionCandidate::new).collect();
        if matches!(self.of, Of::AnyPan) {
            candidates.extend(PathCompleter::any().complete(current));
        }
        candidates
    }
}

impl Names {
    fn known(&self) -> Vec<String> {
        let texts = |texts: &[&str]| texts.iter().map(|text| (*text).to_owned()).collect();
        match self.of {
            Of::Parts => self.of_tunes(|tune| tune.parts.iter().map(|part| part.name.clone()).collect()),
            Of::Sections => self.of_tunes(|tune| tune.sections.iter().map(|section| section.name.clone()).collect()),
            Of::Pans => self.of_tunes(pans),
            Of::AnyPan => {
                let mut all = self.of_tunes(pans);
                all.extend(layouts::layouts().iter().map(|pan| pan.name.clone()));
                all.extend(kinds_of_pan());
                all
            }
            Of::Patterns => {
                let of_style = |style: &crate::tune::library::Style| {
                    let patterns = style.patterns.iter().map(|pattern| pattern.name().to_owned());
                    std::iter::once(style.name.to_owned()).chain(patterns).collect::<Vec<_>>()
                };
                let mut all: Vec<String> = styles().iter().copied().flat_map(of_style).collect();
                all.sort();
                all.dedup();
                all
            }
            Of::KindsOfPan => kinds_of_pan().collect(),
            Of::Findings => kinds::all().iter().map(|kind| kind.name.to_owned()).collect(),
            Of::Topics => texts(&guide::names()),
            Of::Levels => Level::ALL.iter().map(|level| level.name().to_owned()).collect(),
        }
    }

    /// Names of all tunes on the line, each once, in their order.
    fn of_tunes(&self, names: impl Fn(&Tune) -> Vec<String>) -> Vec<String> {
        let mut all: Vec<String> = Vec::new();
        for tune in self.tunes() {
            for name in names(&tune) {
                if !all.contains(&name) {
                    all.push(name);
                }
            }
        }
        all
    }

    /// The tunes on the line, as far as they can be read.
    fn tunes(&self) -> impl Iterator<Item = Tune> {
        let is_tune = |path: &&Path| path.extension().is_some_and(|ending| ending == "tune");
        let paths: Vec<PathBuf> = self.line.iter().map(Path::new).filter(is_tune).map(Path::to_owned).collect();
        paths.into_iter().filter_map(|path| Some(Loaded::read(&path, None).ok()?.tune))
    }
}

fn pans(tune: &Tune) -> Vec<String> {
    tune.band.pans.iter().map(|pan| pan.pan.name.clone()).collect()
}

fn kinds_of_pan() -> impl Iterator<Item = String> {
    PanKind::ALL.iter().filter_map(|kind| kind.names().first().map(|name| (*name).to_owned()))
}

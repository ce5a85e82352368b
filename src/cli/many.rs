//! Commands that take several tunes: each tune is done whatever happens to the others, one progress bar counts them, the messages come
//! in the order of the tunes, and a line at the end sums up.

use std::collections::BTreeMap;
use std::ffi::OsStr;
use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use super::choice::wrong;
use super::console::{Console, Kept};
use super::progress::Progress;
use super::threads;
use super::{Outcome, Stop};
use crate::door::files;
use crate::door::findings_json;
use crate::door::json::{write_json, write_lists};
use crate::text::{Finding, words};

/// How many tunes are named in the line that sums up.
const NAMED: usize = 4;

/// How a command handles several tunes.
#[derive(Clone, Copy, Debug)]
pub struct Way {
    /// The words for tunes with which all is fine: `done`, `without problems`.
    pub fine: &'static str,
    /// Whether the messages about a tune need the tune's name before them.
    pub headed: bool,
    /// Whether the tunes are done one after the other, since each takes the whole machine; then the bar counts the files that the command
    /// reports to it.
    pub in_turn: bool,
}

/// The result of a command for one tune: how it ended, and what else it returns.
pub type Done<T> = Result<(Outcome, T), Stop>;

/// Does the same with every tune, and returns the results in their order. What the work writes to its console comes to the screen in
/// that order too. With a single tune, everything is as if there were no others to think of.
pub fn each<T: Send>(
    way: Way,
    tunes: &[PathBuf],
    console: &mut Console,
    work: impl Fn(&Path, &mut Console, &Progress) -> Done<T> + Sync,
) -> Result<Vec<Done<T>>, Stop> {
    let progress = Progress::new(if way.in_turn { "files" } else { "tunes" });
    if let [one] = tunes {
        let done = work(one, console, &progress);
        progress.end();
        return Ok(vec![done]);
    }
    let looks = console.looks();
    let work = |tune: &PathBuf| {
        let mut kept = Console::for_later(looks);
        let done = work(tune, &mut kept, &progress);
        (done, kept.kept())
    };
    let mut all = Vec::new();
    if way.in_turn {
        for tune in tunes {
            let (done, kept) = work(tune);
            progress.aside(|| show(way, tune, &done, kept, console))?;
            all.push(done);
        }
    } else {
        progress.expect(tunes.len());
        let made = threads::in_order(threads::cores(), tunes, |tune| {
            let made = work(tune);
            progress.finished(&tune.display().to_string());
            made
        });
        for (tune, (done, kept)) in tunes.iter().zip(made) {
            progress.aside(|| show(way, tune, &done, kept, console))?;
            all.push(done);
        }
    }
    progress.end();
    Ok(all)
}

/// Shows the messages about one of several tunes.
fn show<T>(way: Way, tune: &Path, done: &Done<T>, kept: Kept, console: &mut Console) -> Result<(), Stop> {
    let is_headed = way.headed && !kept.is_empty();
    if is_headed {
        writeln!(console.out(), "{}\n", tune.display())?;
    }
    console.replay(kept)?;
    if is_headed {
        writeln!(console.out())?;
    }
    if let Err(Stop::Told(findings)) = done {
        if findings.iter().all(|finding| finding.place.is_none()) {
            console.say(&format!("{}:", tune.display()))?;
        }
        console.tell(findings)?;
    }
    Ok(())
}

/// Says how many of several tunes ended in which way.
pub fn sum_up<T>(way: Way, tunes: &[PathBuf], all: &[Done<T>], console: &mut Console) -> Result<(), Stop> {
    if tunes.len() > 1 {
        console.say(&summary(way, tunes, all))?;
    }
    Ok(())
}

/// `5 tunes: 3 done, 1 with problems (x.tune), 1 left out (y.tune)`.
fn summary<T>(way: Way, tunes: &[PathBuf], all: &[Done<T>]) -> String {
    let of = |wanted: Outcome| {
        let ended = tunes.iter().zip(all).filter(move |(_, done)| outcome(done) == wanted);
        ended.map(|(tune, _)| tune.display().to_string()).collect::<Vec<_>>()
    };
    let fine = of(Outcome::Fine).len();
    let mut said = if fine > 0 { vec![format!("{fine} {}", way.fine)] } else { Vec::new() };
    for (what, names) in [("with problems", of(Outcome::Mend)), ("left out", of(Outcome::Failed))] {
        match names.len() {
            0 => {}
            many if many <= NAMED => said.push(format!("{many} {what} ({})", names.join(", "))),
            many => said.push(format!("{many} {what} ({} and {} more)", names[..NAMED].join(", "), many - NAMED)),
        }
    }
    format!("{}: {}", words::count(tunes.len(), "tune"), said.join(", "))
}

/// How a command ended with a tune.
fn outcome<T>(done: &Done<T>) -> Outcome {
    done.as_ref().map_or(Outcome::Failed, |(outcome, _)| *outcome)
}

/// Sums up, and returns how the command ended: as it did with the one tune, or as with the worst of several.
pub fn ended<T>(way: Way, tunes: &[PathBuf], mut all: Vec<Done<T>>, console: &mut Console) -> Result<Outcome, Stop> {
    sum_up(way, tunes, &all, console)?;
    match all.len() {
        1 => all.remove(0).map(|(outcome, _)| outcome),
        _ => Ok(all.iter().map(outcome).max().unwrap_or(Outcome::Fine)),
    }
}

/// Writes the JSON of all tunes, if there is any, and returns how the command ended. The JSON of a single tune is written as it is;
/// several are in a list, each with its file, and with the reasons where it could not be done. What lies `depth` levels deep in the
/// JSON of one tune is written on one line.
pub fn answered(
    way: Way,
    tunes: &[PathBuf],
    mut all: Vec<Done<Option<Value>>>,
    json: bool,
    depth: Option<usize>,
    console: &mut Console,
) -> Result<Outcome, Stop> {
    let write = |console: &mut Console, value: &Value, deeper: usize| match depth {
        Some(depth) => write_lists(console.out(), value, depth + deeper),
        None => write_json(console.out(), value),
    };
    if let [Ok((_, value))] = &mut all[..] {
        if let Some(value) = value.take().filter(|_| json) {
            write(console, &value, 0)?;
        }
    } else if json && all.len() > 1 {
        let entries = tunes.iter().zip(&mut all).map(|(tune, done)| entry(tune, done));
        write(console, &json!({ "tunes": entries.collect::<Vec<_>>() }), 2)?;
    }
    ended(way, tunes, all, console)
}

/// The entry of one of several tunes in the list.
fn entry(tune: &Path, done: &mut Done<Option<Value>>) -> Value {
    let mut entry = match done {
        Ok((_, value)) => value.take().unwrap_or_else(|| json!({})),
        Err(Stop::Told(findings)) => json!({ "errors": findings_json::findings(findings) }),
    };
    entry["file"] = json!(tune.display().to_string());
    entry
}

/// Where a command writes what it makes of one of several things, such as tunes. `usual` is the name if no other is asked for.
///
/// # Errors
/// When several would be written to one file.
pub fn place(output: Option<&Path>, (several, what): (usize, &str), usual: PathBuf) -> Result<PathBuf, Box<Finding>> {
    let Some(output) = output else { return Ok(usual) };
    if is_folder(output) {
        return Ok(output.join(usual));
    }
    if several == 1 {
        return Ok(output.to_owned());
    }
    if output.extension().is_some() {
        let message = format!("{} can't go into one file, `{}`", words::count(several, what), output.display());
        let help = format!("name a folder: `-o {}/`", output.with_extension("").display());
        return Err(Box::new(wrong(message).help(help)));
    }
    Ok(output.join(usual))
}

/// Makes the folder that was asked for, if it does not exist. A folder that only comes before the name of a file is not made: it may be
/// misspelt.
///
/// # Errors
/// When it can't be made.
pub fn make_folder(output: Option<&Path>, path: &Path) -> Result<(), Box<Finding>> {
    let asked = output.filter(|output| *output != path);
    asked.and(path.parent()).map_or(Ok(()), files::folder)
}

/// Whether a name is a folder's: an existing one, or a name that ends like a folder's.
fn is_folder(output: &Path) -> bool {
    output.is_dir() || output.as_os_str().to_string_lossy().ends_with(std::path::is_separator)
}

/// Refuses tunes whose files would have the same name and be written over each other.
///
/// # Errors
/// A finding that names two of them.
pub fn named_apart(tunes: &[PathBuf]) -> Result<(), Box<Finding>> {
    let mut names: BTreeMap<String, &PathBuf> = BTreeMap::new();
    for tune in tunes {
        let name = tune.file_stem().unwrap_or(OsStr::new("")).to_string_lossy().to_lowercase();
        if let Some(other) = names.insert(name, tune) {
            let (one, other) = (other.display(), tune.display());
            let message = format!("what is written for `{one}` and for `{other}` would have the same name");
            return Err(Box::new(wrong(message).help("take them one at a time, each with a place of its own (`-o`)")));
        }
    }
    Ok(())
}

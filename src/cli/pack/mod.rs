//! `panfold pack`: everything that the players need to practise a tune, in named folders.

mod archive;
mod list;
mod make;
mod plan;
mod size;
mod swap;
mod wanted;

use std::path::Path;

use self::list::{List, Packed};
use self::make::Pack;
use self::wanted::Wanted;
use super::check::Whole;
use super::choice::wrong;
use super::console::Console;
use super::many::{self, Done, Way};
use super::play_args::PackArgs;
use super::progress::Progress;
use super::screen::{Screen, printable};
use super::{Outcome, Stop};
use crate::check::Options;
use crate::door::files;
use crate::door::loaded::Loaded;
use crate::door::names::safe;
use crate::door::target::Target;
use crate::door::unfinished::Side;
use crate::page;
use crate::page::index::{self, Index};
use crate::text::finding::worst;
use crate::text::{Finding, Severity, words};

/// How the check report looks in its file.
const PAPER: Screen = Screen { colours: false, width: 100 };

/// How several tunes are handled: one after the other, since the files of each are made side by side.
const WAY: Way = Way { fine: "done", headed: false, in_turn: true };

/// Writes the packs.
pub fn run(args: &PackArgs, console: &mut Console) -> Result<Outcome, Stop> {
    many::named_apart(&args.tunes)?;
    let all = many::each(WAY, &args.tunes, console, |tune, console, progress| one(args, tune, progress, console))?;
    many::ended(WAY, &args.tunes, all, console)
}

/// Writes a pack.
fn one(args: &PackArgs, tune: &Path, progress: &Progress, console: &mut Console) -> Done<()> {
    let loaded = Loaded::playable(tune, args.band.as_deref())?;
    let whole = Whole::checked(&loaded, &Options::default());
    console.tell(&whole.findings)?;
    if args.strict && worst(&whole.findings) >= Some(Severity::Warning) {
        console.say(&whole.report(false))?;
        console.say("nothing was written, because of `--strict`")?;
        return Ok((Outcome::Mend, ()));
    }
    let wanted = Wanted::of(&loaded.tune, &stem(tune)?, args)?;
    let folder = args.output.clone().unwrap_or_else(|| wanted.folder());
    let files = plan::files(&loaded.tune, &wanted);
    let old = match List::read(&folder) {
        Err(_) if args.replace => List::empty(),
        list => list?,
    };
    let off = Target::off(&loaded.files, true);
    old.may(&folder, &wanted.stem, &files, args.replace)?;
    files.iter().map(|file| folder.join(file)).try_for_each(|path| off.may(&path))?;
    let bytes = size::about(&loaded.tune, &wanted);
    let count = words::count(files.len() + list::COMMON.len() + 1, "file");
    let said = format!("writing {count} into {}, about {}", folder.display(), index::size(bytes));
    progress.aside(|| console.say(&said))?;
    size::has_room(&folder, bytes)?;
    files::folder(&folder)?;
    let side = Side::begin(&folder).map_err(|error| files::unwritable(&folder.display().to_string(), &error))?;
    let packed = Pack::new(&loaded.tune, &wanted, side.path()).write(report(&whole), files, progress)?;
    let list = old.with(packed.clone());
    common(&list, side.path())?;
    let gone = swap::put(&side, &folder, &old, &list, &packed)?;
    Ok((tell(&whole, &list, &packed, gone, &folder, console)?, ()))
}

/// Says what was done.
fn tell(
    whole: &Whole,
    list: &List,
    packed: &Packed,
    gone: usize,
    folder: &Path,
    console: &mut Console,
) -> Result<Outcome, Stop> {
    let written = words::count(packed.files.len() + list::COMMON.len() + 1, "file");
    let found = if whole.findings.is_empty() { "" } else { "; the report is in check.txt" };
    writeln!(console.out(), "{}", whole.report(false).trim_end())?;
    writeln!(console.out(), "wrote {written} into {}{found}", folder.display())?;
    if gone > 0 {
        writeln!(console.out(), "took away {} that the pack no longer has", words::count(gone, "file"))?;
    }
    for other in list.packs.iter().filter(|pack| !pack.whole) {
        console.say(&format!(
            "the pack of `{}` was stopped half way and is not in the index: pack it again",
            other.name
        ))?;
    }
    Ok(Outcome::Fine)
}

/// Writes what all tunes of a folder share.
fn common(list: &List, side: &Path) -> Result<(), Box<Finding>> {
    let packs: Vec<&Packed> = list.packs.iter().filter(|pack| pack.whole).collect();
    let reports: Vec<&str> = packs.iter().map(|pack| pack.report.as_str()).collect();
    let index: Vec<Index> = packs.iter().map(|pack| pack.index.clone()).collect();
    let texts = [printable(&plan::readme(&packs)), reports.join("\n"), page::index(&index)];
    for (name, text) in list::COMMON.iter().zip(texts) {
        files::write(&side.join(name), |out| out.write_all(text.as_bytes()))?;
    }
    Ok(())
}

/// The tune file's name without its ending, as every system takes it: what everything in the pack is called after.
fn stem(tune: &Path) -> Result<String, Box<Finding>> {
    let stem = tune.file_stem().map(|stem| stem.to_string_lossy().into_owned());
    stem.map(|stem| safe(&stem))
        .ok_or_else(|| Box::new(wrong(format!("`{}` has no name to name a folder after", tune.display()))))
}

/// The check report as a text.
fn report(whole: &Whole) -> String {
    let findings: String = PAPER.findings(&whole.findings).into_iter().map(|finding| finding + "\n\n").collect();
    findings + &whole.report(true)
}

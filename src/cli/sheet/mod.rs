//! `panfold sheet`: a part, or a pan, on paper.

pub mod args;
mod booklet;
mod written;

use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use self::args::SheetArgs;
use self::written::ending;
pub(super) use self::written::file_name;
use super::choice::{self, wrong};
use super::console::Console;
use super::many::{self, Done, Way};
use super::{Outcome, Stop};
use crate::door::json::write_json;
use crate::door::loaded::{self, Loaded, Named};
use crate::door::target::Target;
use crate::drawing::face::Options;
use crate::drawing::{poster, sheet};
use crate::hands::line::sticks;
use crate::pan::Pan;
use crate::people::handouts;
use crate::text::words;
use crate::tune::Tune;
use crate::tune::model::Player;

/// How several tunes are handled.
const WAY: Way = Way { fine: "done", headed: false, in_turn: false };

/// Prints what was asked for.
pub fn run(args: &SheetArgs, console: &mut Console) -> Result<Outcome, Stop> {
    if args.booklets || !args.booklet.is_empty() {
        return booklet::run(args, console);
    }
    // A wrong ending is told before anything is read.
    ending(&many::place(args.output.as_deref(), (args.tunes.len().max(1), "tune"), PathBuf::from("lead.pdf"))?)?;
    match &args.pan {
        Some(pan) if args.tunes.is_empty() => pans(args, pan, console),
        _ => {
            many::named_apart(&args.tunes)?;
            let all = many::each(WAY, &args.tunes, console, |path, console, _| parts(args, path, console))?;
            many::answered(WAY, &args.tunes, all, args.json, None, console)
        }
    }
}

/// The sheets of a tune.
fn parts(args: &SheetArgs, path: &Path, console: &mut Console) -> Done<Option<Value>> {
    let loaded = Loaded::read(path, args.band.as_deref())?;
    if !loaded.is_understood() {
        return Err(Stop::Told(loaded.refusal()));
    }
    console.tell(&loaded.findings)?;
    let tune = &loaded.tune;
    let chosen = choice::together(tune, &args.part, "sheet")?;
    let stem = path.file_stem().unwrap_or(path.as_os_str()).to_string_lossy();
    if args.pan.is_some() && chosen.len() != 1 {
        return Err(wrong("`--pan` is about one part").help("name it with `--part PART`").into());
    }
    let of_parts = if chosen.is_empty() { String::new() } else { format!("-{}", called(tune, &chosen)) };
    let usual = PathBuf::from(format!("{stem}{of_parts}.pdf"));
    let sheets = if chosen.is_empty() {
        handouts(tune).into_iter().map(|handout| handout.parts).collect()
    } else {
        vec![chosen.into_iter().map(|part| choice::version(tune, part, args.pan.as_deref())).collect()]
    };
    let mut pages = Vec::new();
    let mut told = Vec::new();
    for parts in sheets {
        let number = hung(args.pan.as_deref(), tune, parts[0], console)?;
        let stuck = number.filter(|_| args.sticks).map(|number| sticks(tune, parts[0], number));
        let pan = number.map(|number| &tune.band.pans[number].pan);
        let own = sheet::parts(tune, &parts, pan, stuck.as_deref(), args.format());
        told.push(json!({
            "parts": sheet::names(tune, &parts),
            "pan": pan.map(|pan| &pan.name),
            "page": pages.len() + 1,
            "pages": own.len(),
        }));
        pages.extend(own);
    }
    let target = Target::off(&loaded.files, args.replace);
    let path = many::place(args.output.as_deref(), (args.tunes.len(), "tune"), usual)?;
    many::make_folder(args.output.as_deref(), &path)?;
    let files = written::write(&path, &target, &pages, &tune.title, console)?;
    Ok((Outcome::Fine, Some(json!({ "files": written::names(&files), "pages": pages.len(), "sheets": told }))))
}

/// The number of the pan that is drawn for a part: the one that was asked for, else the first one that plays it.
pub(super) fn hung(
    asked: Option<&str>,
    tune: &Tune,
    part: usize,
    console: &mut Console,
) -> Result<Option<usize>, Stop> {
    let pan = |number: usize| &tune.band.pans[number].pan;
    if let Some(name) = asked {
        return Ok(Some(choice::pan(tune, part, name)?));
    }
    let Player::Pans { pans, .. } = &tune.parts[part].player else { return Ok(None) };
    if let [first, others @ ..] = &pans[..]
        && !others.is_empty()
    {
        let others: Vec<String> = others.iter().map(|other| format!("`{}`", pan(*other).name)).collect();
        let (part, first) = (&tune.parts[part].name, &pan(*first).name);
        let text = format!("`{part}` is drawn on `{first}`; use --pan for {}", words::and(&others));
        console.say(&text)?;
    }
    Ok(pans.first().copied())
}

/// The pages of pans alone.
fn pans(args: &SheetArgs, name: &str, console: &mut Console) -> Result<Outcome, Stop> {
    let sought = loaded::pan_or_band(name).map_err(Stop::Told)?;
    console.tell(&sought.findings)?;
    let paper = args.format().paper;
    let (pans, options, title): (Vec<&Pan>, Options, &str) = match &sought.named {
        Named::Pan(pan) => (vec![&**pan], Options::default(), &pan.name),
        Named::Band(band) => {
            let options = Options { tolerance: band.tolerance, ..Options::default() };
            (band.pans.iter().map(|pan| &pan.pan).collect(), options, &band.name)
        }
    };
    let mut pages = Vec::new();
    let mut told = Vec::new();
    for pan in pans {
        let own = poster::pan(pan, &options, paper);
        told.push(json!({ "pan": pan.name, "page": pages.len() + 1, "pages": own.len() }));
        pages.extend(own);
    }
    let usual = PathBuf::from(format!("{}.pdf", file_name(title)));
    let path = many::place(args.output.as_deref(), (1, "pan"), usual)?;
    many::make_folder(args.output.as_deref(), &path)?;
    let files = written::write(&path, &Target::off(sought.files, args.replace), &pages, title, console)?;
    if args.json {
        write_json(console.out(), &json!({ "files": written::names(&files), "pages": pages.len(), "pans": told }))?;
    }
    Ok(Outcome::Fine)
}

/// Parts in the name of a file.
pub(super) fn called(tune: &Tune, parts: &[usize]) -> String {
    file_name(&sheet::names(tune, parts).join("-"))
}

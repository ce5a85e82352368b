//! `panfold sheet`: a part, or a pan, on paper.

pub mod args;

use std::path::{Path, PathBuf};

use self::args::SheetArgs;
use super::choice::{self, wrong};
use super::console::Console;
use super::many::{self, Done, Way};
use super::{Outcome, Stop};
use crate::door::files;
use crate::door::loaded::{self, Loaded, Named};
use crate::door::names::safe;
use crate::door::target::Target;
use crate::drawing::face::Options;
use crate::drawing::ink::Theme;
use crate::drawing::sheet::{self, Paper};
use crate::drawing::{Picture, pdf, svg};
use crate::hands::line::sticks;
use crate::people::handouts;
use crate::text::{Finding, words};
use crate::tune::Tune;
use crate::tune::model::Player;

/// How several tunes are handled.
const WAY: Way = Way { fine: "done", headed: false, in_turn: false };

/// Prints what was asked for.
pub fn run(args: &SheetArgs, console: &mut Console) -> Result<Outcome, Stop> {
    // A wrong ending is told before anything is read.
    ending(&many::place(args.output.as_deref(), args.tunes.len().max(1), PathBuf::from("lead.pdf"))?)?;
    let paper = args.paper.map_or(Paper::default(), Paper::from);
    match &args.pan {
        Some(pan) if args.tunes.is_empty() => pans(args, pan, paper, console),
        _ => {
            many::named_apart(&args.tunes)?;
            let all = many::each(WAY, &args.tunes, console, |path, console, _| parts(args, path, paper, console))?;
            many::ended(WAY, &args.tunes, all, console)
        }
    }
}

/// How pages are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Ending {
    Pdf,
    Svg,
}

fn ending(path: &Path) -> Result<Ending, Box<Finding>> {
    let ending = path.extension().and_then(|ending| ending.to_str()).unwrap_or_default().to_lowercase();
    match ending.as_str() {
        "pdf" => Ok(Ending::Pdf),
        "svg" => Ok(Ending::Svg),
        _ => {
            let message = format!("sheets are written as PDF or SVG, and `{}` ends in neither", path.display());
            Err(Box::new(wrong(message).help("let the name end in `.pdf` or `.svg`")))
        }
    }
}

fn parts(args: &SheetArgs, path: &Path, paper: Paper, console: &mut Console) -> Done<()> {
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
    for parts in sheets {
        let number = hung(args.pan.as_deref(), tune, parts[0], console)?;
        let stuck = number.filter(|_| args.sticks).map(|number| sticks(tune, parts[0], number));
        let pan = number.map(|number| &tune.band.pans[number].pan);
        pages.extend(sheet::parts(tune, &parts, pan, stuck.as_deref(), paper));
    }
    let target = Target::off(&loaded.files, args.replace);
    let path = many::place(args.output.as_deref(), args.tunes.len(), usual)?;
    many::make_folder(args.output.as_deref(), &path)?;
    Ok((write(&path, &target, &pages, &tune.title, console)?, ()))
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

fn pans(args: &SheetArgs, name: &str, paper: Paper, console: &mut Console) -> Result<Outcome, Stop> {
    let sought = loaded::pan_or_band(name).map_err(Stop::Told)?;
    console.tell(&sought.findings)?;
    let (pages, title): (Vec<Picture>, String) = match sought.named {
        Named::Pan(pan) => (sheet::pan(&pan, &Options::default(), paper), pan.name.clone()),
        Named::Band(band) => {
            let options = Options { tolerance: band.tolerance, ..Options::default() };
            let pages = band.pans.iter().flat_map(|pan| sheet::pan(&pan.pan, &options, paper));
            (pages.collect(), band.name.clone())
        }
    };
    let usual = PathBuf::from(format!("{}.pdf", file_name(&title)));
    let path = many::place(args.output.as_deref(), 1, usual)?;
    many::make_folder(args.output.as_deref(), &path)?;
    write(&path, &Target::off(sought.files, args.replace), &pages, &title, console)
}

/// Parts in the name of a file.
pub(super) fn called(tune: &Tune, parts: &[usize]) -> String {
    file_name(&sheet::names(tune, parts).join("-"))
}

/// A name as the name of a file: letters, digits and hyphens.
pub(super) fn file_name(name: &str) -> String {
    let plain: String = name.to_lowercase().chars().map(|c| if c.is_alphanumeric() { c } else { '-' }).collect();
    let plain = plain.trim_matches('-').to_owned();
    if plain.is_empty() { "sheet".to_owned() } else { safe(&plain) }
}

fn write(path: &Path, target: &Target, pages: &[Picture], title: &str, console: &mut Console) -> Result<Outcome, Stop> {
    let count = words::count(pages.len(), "page");
    match ending(path)? {
        Ending::Pdf => {
            target.may(path)?;
            files::write_made(path, pdf::document(pages, title))?;
            console.say(&format!("wrote {}: {count}", path.display()))?;
        }
        Ending::Svg => {
            let paths = numbered(path, pages.len());
            paths.iter().try_for_each(|path| target.may(path))?;
            for (page, path) in pages.iter().zip(&paths) {
                files::write_made(path, svg::file(page, Theme::Light).into_bytes())?;
            }
            let name = |path: &PathBuf| path.display().to_string();
            let names = match &paths[..] {
                [first, _, .., last] => format!("{} to {}", name(first), name(last)),
                paths => words::and(&paths.iter().map(name).collect::<Vec<_>>()),
            };
            console.say(&format!("wrote {names}: {count}"))?;
        }
    }
    Ok(Outcome::Fine)
}

/// A path for each of several files: `lead.svg` becomes `lead-1.svg`, `lead-2.svg`.
fn numbered(path: &Path, files: usize) -> Vec<PathBuf> {
    if files == 1 {
        return vec![path.to_owned()];
    }
    let (stem, ending) = (path.file_stem().unwrap_or_default(), path.extension().unwrap_or_default());
    let name = |number: usize| format!("{}-{number}.{}", stem.to_string_lossy(), ending.to_string_lossy());
    (1..=files).map(|number| path.with_file_name(name(number))).collect()
}

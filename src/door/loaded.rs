//! A tune with its band, from their files, with everything that is wrong with any of them in one go.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::door::files;
use crate::door::kinds::{NO_BAND, NOT_UNDERSTOOD, WRONG_CHOICE};
use crate::fit::settle::{SectionStrum, Settled, settle};
use crate::music::Tuning;
use crate::notation;
use crate::notation::tree::Tree;
use crate::pan::findings::UNKNOWN_LAYOUT;
use crate::pan::{Band, Costs, Level, Pan, PanKind, band, layouts, read_band, read_pan};
use crate::people;
use crate::text::finding::at_most;
use crate::text::{Finding, Refusal, Severity, Source, Span, words};
use crate::tune::findings::{NOBODY_NAMED, NOTHING_TO_PLAY};
use crate::tune::model::Open;
use crate::tune::{self, Tune, told};

/// How many files beside a tune are searched for its band; among more of them a guess would be worth nothing.
const MOST_BESIDE: usize = 20;

/// Opens a tune with the band that it names, to be fitted, checked and played.
///
/// # Errors
/// With everything that keeps it from being played.
pub fn open(path: impl AsRef<Path>) -> Result<Loaded, Refusal> {
    Loaded::playable(path.as_ref(), None)
}

/// A tune as far as it could be read.
#[derive(Debug)]
pub struct Loaded {
    /// What the tune file says.
    pub tree: Tree,
    /// The tune; what is not understood becomes rests. Without a band, it is resolved for a band that has nothing.
    pub tune: Tune,
    /// The tune as it is written, with what it leaves open.
    pub open: Tune<Open>,
    /// How its sections are strummed.
    pub strums: Vec<SectionStrum>,
    /// The band, if it could be read.
    pub band: Option<Arc<Band>>,
    /// What reading tune, band and pans found, the band's first.
    pub findings: Vec<Finding>,
    /// The files that were read, or looked for: the tune's, the band's, its pans'.
    pub files: Vec<PathBuf>,
}

impl Loaded {
    /// Reads a tune and its band.
    ///
    /// - `path`: the tune file.
    /// - `band`: the band file, if it is to be another than the tune names.
    ///
    /// # Errors
    /// When the tune file itself can't be read.
    pub fn read(path: &Path, band: Option<&Path>) -> Result<Loaded, Box<Finding>> {
        let source = tune_text(path)?;
        let (tree, in_tune) = notation::parse(&source);
        let mut findings = Vec::new();
        let mut files = vec![path.to_owned()];
        let band = read_its_band(path, band, &tree, (&mut findings, &mut files));
        let plays = band.clone().unwrap_or_else(|| Arc::new(nobody(&source)));
        let (open, in_names) = people::resolve(&tree, &plays);
        let Settled { tune, strums } = settle(&open);
        // Without a band nobody can be looked up in it.
        let known = in_names.into_iter().filter(|finding| band.is_some() || *finding.kind != NOBODY_NAMED);
        let mut of_tune = told::once(in_tune, known.collect(), &source);
        of_tune.sort_by_key(|finding| finding.place.as_ref().map(|place| place.span));
        findings.extend(of_tune);
        Ok(Loaded { tree, tune, open, strums, band, findings: at_most(findings), files })
    }

    /// Reads a tune that is to be played out, and its band.
    ///
    /// # Errors
    /// With everything that keeps it from being played.
    pub fn playable(path: &Path, band: Option<&Path>) -> Result<Loaded, Refusal> {
        let loaded = Loaded::read(path, band)?;
        if loaded.is_understood() { Ok(loaded) } else { Err(Refusal(loaded.refusal())) }
    }

    /// Whether nothing is in the way of playing it.
    pub fn is_understood(&self) -> bool {
        self.band.is_some() && !self.has_errors()
    }

    /// Whether reading found errors, in the tune or in its band.
    pub fn has_errors(&self) -> bool {
        self.findings.iter().any(|finding| finding.severity == Severity::Error)
    }

    /// Whether the band's files have errors, so that a pan may be missing or be another than was meant.
    pub fn band_has_errors(&self) -> bool {
        let elsewhere = |finding: &Finding| finding.place.as_ref().is_none_or(|place| place.source != self.tree.source);
        self.findings.iter().any(|finding| finding.severity == Severity::Error && elsewhere(finding))
    }

    /// The findings, and at the end one that says why the tune is not played; it adds nothing when there is no band for the tune
    /// and the tune itself has no problems.
    pub fn refusal(mut self) -> Vec<Finding> {
        let in_tune = |finding: &Finding| finding.place.as_ref().is_some_and(|place| place.source == self.tree.source);
        let is_wrong = |finding: &Finding| finding.severity == Severity::Error && in_tune(finding);
        if self.band.is_none() && !self.findings.iter().any(is_wrong) {
            return self.findings;
        }
        let name = self.tune.source.name();
        let errors = self.findings.iter().filter(|finding| finding.severity == Severity::Error).count();
        let message = format!("`{name}` can't be played: there {} above", mistakes(errors));
        let why = Finding::error(&NOT_UNDERSTOOD, message).help("fix the problems above, then try again");
        self.findings.push(why);
        self.findings
    }
}

fn mistakes(errors: usize) -> String {
    format!("{} {}", if errors == 1 { "is" } else { "are" }, words::count(errors, "problem"))
}

/// The band that was given or that the tune names.
fn read_its_band(
    path: &Path,
    given: Option<&Path>,
    tree: &Tree,
    (findings, files): (&mut Vec<Finding>, &mut Vec<PathBuf>),
) -> Option<Arc<Band>> {
    let named = tune::band_path(tree);
    let file = match (given, &named) {
        (Some(file), _) => file.to_owned(),
        (None, Some(named)) => beside(path, &named.value),
        (None, None) => {
            let finding = Finding::error(&NO_BAND, "the tune names no band").at(&tree.source, Span::new(0, 0));
            let help = "write `band my-band.toml` above the parts, or give a band with `--band FILE`";
            findings.push(finding.help(help));
            return None;
        }
    };
    files.push(file.clone());
    let source = match files::read(&file) {
        Ok(source) => source,
        Err(finding) => {
            findings.push(missing_band(*finding, given.is_some(), &file, tree));
            return None;
        }
    };
    let (band, found) = band_from(&source, &file, files);
    findings.extend(found);
    band.map(Arc::new)
}

/// The finding for a band file that can't be read; its place is the tune's line that names the file.
fn missing_band(finding: Finding, given: bool, file: &Path, tree: &Tree) -> Finding {
    let Some(named) = tune::band_path(tree).filter(|_| !given && finding.place.is_none()) else { return finding };
    let finding = finding.at(&tree.source, named.span);
    if file.exists() {
        return finding.help("write the name of the band's file after `band`, for example `band our-band.toml`");
    }
    let finding = finding.label("the band is looked for beside the tune");
    let near = files::neighbour(file).map(|near| from(&tree.source, &near).display().to_string());
    let finding = Finding { help: Vec::new(), ..finding };
    let finding = match near {
        Some(near) => finding.help(format!("did you mean `band {near}`?")),
        None => match only_band(&tree.source) {
            Some(only) => return finding.help(format!("did you mean `band {only}`?")),
            None => finding,
        },
    };
    finding.help(format!("put the band's file at `{}`, or give another with `--band FILE`", file.display()))
}

/// A file as a line of the tune names it: relative to the tune's folder.
fn from<'a>(tune: &Source, file: &'a Path) -> &'a Path {
    let folder = Path::new(tune.name()).parent();
    folder.and_then(|folder| file.strip_prefix(folder).ok()).unwrap_or(file)
}

/// The name of the only band file beside the tune.
fn only_band(tune: &Source) -> Option<String> {
    let folder = Path::new(tune.name()).parent().filter(|folder| !folder.as_os_str().is_empty());
    let entries = fs::read_dir(folder.unwrap_or(Path::new("."))).ok()?;
    let names = entries.filter_map(|entry| entry.ok()?.file_name().into_string().ok());
    let mut bands: Vec<String> = names.filter(|name| name.ends_with(".toml")).take(MOST_BESIDE).collect();
    let is_one =
        |name: &String| files::read(&beside(Path::new(tune.name()), name)).is_ok_and(|source| is_band(&source));
    bands.retain(is_one);
    bands.pop().filter(|_| bands.is_empty())
}

/// Reads a band from its text; its pans' own files lie beside it, and are added to `read`.
pub fn band_from(source: &Arc<Source>, file: &Path, read: &mut Vec<PathBuf>) -> (Option<Band>, Vec<Finding>) {
    if is_tune(source) {
        let finding = Finding::error(&WRONG_CHOICE, format!("`{}` is a tune, not a band", file.display()));
        return (None, vec![finding.help("give the file of a band: it ends in `.toml` and lists the pans")]);
    }
    read_band(source, &mut |name| {
        read.push(beside(file, name));
        files::read(&beside(file, name))
    })
}

/// The path of a file that another names, relative to that other's folder.
fn beside(path: &Path, name: &str) -> PathBuf {
    path.parent().map_or_else(|| PathBuf::from(name), |folder| folder.join(name))
}

/// A band that has nothing, so that a tune without one can still be checked.
fn nobody(source: &Arc<Source>) -> Band {
    Band {
        name: String::new(),
        tuning: Tuning::default(),
        tolerance: band::TOLERANCE,
        level: Level::default(),
        levels: Vec::new(),
        costs: Costs::default(),
        pans: Vec::new(),
        percussion: Vec::new(),
        players: Vec::new(),
        source: Arc::clone(source),
    }
}

/// Reads the text of a tune file. A band or pan file is refused, since it would give one long list of mistakes.
///
/// # Errors
/// When it can't be read, or is a band or a pan.
pub fn tune_text(path: &Path) -> Result<Arc<Source>, Box<Finding>> {
    if let Some(finding) = is_a_score(path) {
        return Err(Box::new(finding));
    }
    let source = files::read(path)?;
    let is_silent = |line: &str| line.trim().is_empty() || line.trim_start().starts_with('#');
    if source.text().lines().all(is_silent) {
        let what = if source.text().trim().is_empty() { "is empty" } else { "has only comments" };
        let finding = Finding::error(&NOTHING_TO_PLAY, format!("`{}` {what}", path.display()));
        return Err(Box::new(finding.help("`panfold start` writes a tune to begin with")));
    }
    if path.extension().is_none_or(|ending| ending != "toml") && !is_band(&source) {
        return Ok(source);
    }
    let name = path.display();
    let finding = Finding::error(&WRONG_CHOICE, format!("`{name}` is a band or a pan, not a tune"));
    Err(Box::new(finding.help(format!("`panfold pans {name}` shows its pans; to try a tune on it: `--band {name}`"))))
}

/// A finding for a file that `import` makes a tune of.
fn is_a_score(path: &Path) -> Option<Finding> {
    let ending = path.extension()?.to_str()?.to_lowercase();
    let what = match ending.as_str() {
        "mid" | "midi" => "a MIDI file",
        "musicxml" | "mxl" | "xml" => "a score",
        _ => return None,
    };
    if !path.is_file() {
        return None;
    }
    let name = path.display();
    let finding = Finding::error(&WRONG_CHOICE, format!("`{name}` is {what}, not a tune"));
    Some(finding.help(format!("`panfold import {name}` makes a tune of it")))
}

/// Whether a text is a tune rather than a band: it has a line `section …`, which no band file can have.
fn is_tune(source: &Source) -> bool {
    let words = |line: &str| line.split_whitespace().take(2).map(str::to_owned).collect::<Vec<_>>();
    let is_section =
        |line: &str| matches!(&words(line)[..], [word, name] if word == "section" && !name.starts_with('='));
    source.text().lines().any(is_section)
}

/// What `panfold pans` was asked for.
#[derive(Debug)]
pub enum Named {
    /// A layout or a pan file.
    Pan(Box<Pan>),
    /// A band file.
    Band(Box<Band>),
}

/// A pan or a band that somebody named.
#[derive(Debug)]
pub struct Sought {
    /// What it is.
    pub named: Named,
    /// What is wrong with its file.
    pub findings: Vec<Finding>,
    /// The files that were read: none for a layout, and a band's pan files too.
    pub files: Vec<PathBuf>,
}

/// A layout by its name, or a pan or band by its file.
///
/// # Errors
/// When there is neither, or nothing of the file could be read.
pub fn pan_or_band(name: &str) -> Result<Sought, Vec<Finding>> {
    if let Some(pan) = layouts::layout(name) {
        return Ok(Sought { named: Named::Pan(Box::new(pan.clone())), findings: Vec::new(), files: Vec::new() });
    }
    let path = Path::new(name);
    let looks_like_file = path.extension().is_some() || path.components().count() > 1;
    if !looks_like_file && !path.exists() {
        return Err(vec![no_layout(name)]);
    }
    let source = files::read(path).map_err(|finding| vec![*finding])?;
    if is_tune(&source) {
        let finding = Finding::error(&WRONG_CHOICE, format!("`{name}` is a tune, not a band or a pan"));
        return Err(vec![finding.help(format!("`panfold check {name}` looks through it"))]);
    }
    let mut files = vec![path.to_owned()];
    let (named, findings) = if is_band(&source) {
        let (band, findings) = band_from(&source, path, &mut files);
        (band.map(|band| Named::Band(Box::new(band))), findings)
    } else {
        let (pan, findings) = read_pan(&source);
        (pan.map(|pan| Named::Pan(Box::new(pan))), findings)
    };
    let findings = at_most(findings);
    match named {
        Some(named) => Ok(Sought { named, findings, files }),
        None => Err(findings),
    }
}

fn no_layout(name: &str) -> Finding {
    let names = layouts::layouts().iter().map(|pan| pan.name.as_str());
    let kinds: Vec<&str> = PanKind::ALL.iter().flat_map(|kind| kind.names()).copied().collect();
    let finding = Finding::error(&UNKNOWN_LAYOUT, format!("there is no layout `{name}`"));
    match words::nearest(name, names.chain(words::singular(&kinds))) {
        Some(near) => finding.help(format!("did you mean `{near}`?")),
        None => finding.help("`panfold pans` lists the layouts; a pan or band file ends in `.toml`"),
    }
}

/// Whether a file is a band rather than a pan: it has `[[pan]]` or `[[percussion]]`.
fn is_band(source: &Source) -> bool {
    let heads = ["[[pan]]", "[[percussion]]"];
    source.text().lines().any(|line| heads.iter().any(|head| line.trim_start().starts_with(head)))
}

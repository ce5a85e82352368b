//! `panfold pack`: everything that the players need to practise a tune, in named folders.

mod list;
mod plan;
mod swap;

use std::path::{Path, PathBuf};
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};

use self::list::{List, Packed};
use self::plan::{PaperPlan, SLOW, TrackPlan};
use super::check::Whole;
use super::choice::wrong;
use super::console::Console;
use super::many::{self, Done, Way};
use super::play_args::PackArgs;
use super::progress::Progress;
use super::screen::{Screen, printable};
use super::threads;
use super::track::{self, Format};
use super::{Outcome, Stop};
use crate::check::Options;
use crate::door::files;
use crate::door::loaded::Loaded;
use crate::door::names::safe;
use crate::door::target::Target;
use crate::door::unfinished::Side;
use crate::drawing::pdf;
use crate::drawing::sheet::{self, Paper};
use crate::midi;
use crate::page;
use crate::page::index::Index;
use crate::people::handouts;
use crate::performance::{self, Performance, TempoChoice};
use crate::sound::levels::{self, Compared};
use crate::sound::{self, Mix, Parts, Settings};
use crate::text::finding::worst;
use crate::text::{Finding, Severity, words};
use crate::tune::Tune;

/// How many tracks are rendered side by side at most, however many cores there are. Each holds up to 160 MiB.
const SIDE_BY_SIDE: usize = 4;

/// How the check report looks in its file.
const PAPER: Screen = Screen { colours: false, width: 100 };

/// How several tunes are gone through: their files are made side by side already.
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
    let stem = stem(tune)?;
    let folder = args.output.clone().unwrap_or_else(|| PathBuf::from(&stem));
    let format = args.format.unwrap_or(FORMAT);
    let files = plan::files(&loaded.tune, &stem, format.ending());
    let old = match List::read(&folder) {
        Err(_) if args.replace => List::empty(),
        list => list?,
    };
    let off = Target::off(&loaded.files, true);
    old.may(&folder, &stem, &files, args.replace)?;
    files.iter().map(|file| folder.join(file)).try_for_each(|path| off.may(&path))?;
    files::folder(&folder)?;
    let side = Side::begin(&folder).map_err(|error| files::unwritable(&folder.display().to_string(), &error))?;
    let pack = Pack::new(&loaded.tune, &stem, side.path(), format);
    let packed = pack.write(report(&whole), files, progress)?;
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

/// The tempos of a pack.
const FULL: TempoChoice = TempoChoice::AsWritten;
const AT_SLOW: TempoChoice = TempoChoice::Percent(SLOW as f64);

/// What sound files are when nothing else is asked for.
const FORMAT: Format = Format::Flac;

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

/// Something that takes a while to write.
enum Job<'a> {
    Track(&'a TrackPlan),
    Papers(&'a PaperPlan),
}

impl Job<'_> {
    /// What it is, in words.
    fn what(&self, tune: &Tune) -> String {
        match self {
            Job::Track(plan) => plan.what.clone(),
            Job::Papers(plan) => format!("{}{}: page and sheet", plan::names(tune, &plan.parts), plan.whose),
        }
    }
}

/// A performance, and how loud what each player plays is beside the rest.
struct Played {
    performance: Performance,
    beside: Vec<(Parts, Compared)>,
}

impl Played {
    /// What the whole band plays, and each player's own of it. Levels are measured once for all: each track would listen to the
    /// whole band again.
    fn of_band(tune: &Tune, tempo: TempoChoice) -> Played {
        let heard = tune.heard(&[]);
        let whole = |parts: &Vec<usize>| parts.iter().all(|part| heard.contains(part));
        let parts = handouts(tune).into_iter().map(|handout| handout.parts).filter(whole);
        Played::new(tune, tempo, heard.clone(), &parts.map(|parts| parts.into_iter().collect()).collect::<Vec<_>>())
    }

    /// What is heard when a player plays a version of a part that is their pan's own.
    fn of_version(tune: &Tune, tempo: TempoChoice, own: &Parts) -> Played {
        let parts: Vec<usize> = own.iter().collect();
        Played::new(tune, tempo, tune.heard(&parts), std::slice::from_ref(own))
    }

    fn new(tune: &Tune, tempo: TempoChoice, heard: Vec<usize>, own: &[Parts]) -> Played {
        let options = performance::Options { tempo, count_in: true, parts: Some(heard), ..Default::default() };
        let performance = performance::perform(tune, &options);
        let beside = levels::beside(&performance, &tune.band, &Settings::default(), own, f64::INFINITY);
        Played { performance, beside: own.iter().cloned().zip(beside).collect() }
    }

    fn beside(&self, own: &Parts) -> Option<&Compared> {
        self.beside.iter().find(|(parts, _)| parts == own).map(|(_, beside)| beside)
    }
}

/// A pack that is to be written.
struct Pack<'a> {
    tune: &'a Tune,
    stem: &'a str,
    folder: &'a Path,
    format: Format,
    tracks: Vec<TrackPlan>,
    papers: Vec<PaperPlan>,
    /// At full speed, and slow.
    played: [Played; 2],
}

impl<'a> Pack<'a> {
    fn new(tune: &'a Tune, stem: &'a str, folder: &'a Path, format: Format) -> Self {
        let (full, slow) = rayon::join(|| Played::of_band(tune, FULL), || Played::of_band(tune, AT_SLOW));
        Pack {
            tune,
            stem,
            folder,
            format,
            tracks: plan::tracks(tune, stem, format.ending()),
            papers: plan::papers(tune, stem),
            played: [full, slow],
        }
    }

    /// Writes all files but those that several tunes share; gives what the list says of them. The small one comes first, so that
    /// a folder that can't be written to is found at once.
    fn write(&self, report: String, files: Vec<String>, progress: &Progress) -> Result<Packed, Stop> {
        let score = performance::perform(self.tune, &performance::Options::default());
        let path = self.folder.join(plan::midi(self.stem));
        files::folder(path.parent().unwrap_or(self.folder))?;
        files::write_made(&path, midi::write(&score))?;
        self.write_all(progress)?;
        Ok(Packed {
            name: self.stem.to_owned(),
            whole: true,
            index: plan::index(self.tune, &self.tracks, &self.papers, self.stem),
            head: plan::head(self.tune),
            rows: plan::rows(self.tune, &self.tracks, &self.papers, self.stem),
            report,
            files,
        })
    }

    /// Writes the tracks, pages and sheets side by side. The threads are our own, since one of a shared pool that waits inside a track would
    /// begin another, and the memory of both would be held.
    fn write_all(&self, progress: &Progress) -> Result<(), Stop> {
        let tracks = self.tracks.iter().map(Job::Track);
        let jobs: Vec<Job> = tracks.chain(self.papers.iter().map(Job::Papers)).collect();
        progress.expect(jobs.len());
        let next = AtomicUsize::new(0);
        let failed = AtomicBool::new(false);
        let findings: Mutex<Vec<(usize, Box<Finding>)>> = Mutex::default();
        let work = || {
            while !failed.load(Ordering::Relaxed) {
                let number = next.fetch_add(1, Ordering::Relaxed);
                let Some(job) = jobs.get(number) else { break };
                match self.job(job) {
                    Ok(()) => progress.finished(&job.what(self.tune)),
                    Err(finding) => {
                        failed.store(true, Ordering::Relaxed);
                        findings.lock().expect("no thread panics while it holds this").push((number, finding));
                    }
                }
            }
        };
        threads::side_by_side(threads::cores().min(SIDE_BY_SIDE), work);
        let mut findings = findings.into_inner().expect("no thread panics while it holds this");
        findings.sort_by_key(|(number, _)| *number);
        match findings.into_iter().next() {
            Some((_, finding)) => Err(finding.into()),
            None => Ok(()),
        }
    }

    fn job(&self, job: &Job) -> Result<(), Box<Finding>> {
        match job {
            Job::Track(plan) => self.track(plan),
            Job::Papers(plan) => self.papers(plan),
        }
    }

    fn papers(&self, plan: &PaperPlan) -> Result<(), Box<Finding>> {
        let path = |name: &Path| self.folder.join(name);
        files::folder(path(&plan.page).parent().unwrap_or(self.folder))?;
        let page = page::page(self.tune, &plan.parts, plan.pan);
        files::write_made(&path(&plan.page), page.into_bytes())?;
        let pan = plan.pan.map(|pan| &self.tune.band.pans[pan].pan);
        let sheet = pdf::document(&sheet::parts(self.tune, &plan.parts, pan, None, Paper::default()), &self.tune.title);
        files::write_made(&path(&plan.sheet), sheet)
    }

    fn track(&self, plan: &TrackPlan) -> Result<(), Box<Finding>> {
        let path = self.folder.join(&plan.path);
        files::folder(path.parent().unwrap_or(self.folder))?;
        let slow = plan.percent != 100;
        let of_band = &self.played[usize::from(slow)];
        let version;
        let mut settings = Settings::of(plan.mix.clone());
        let mut played = of_band;
        if let Some(own) = plan.mix.own() {
            if of_band.beside(own).is_none() {
                version = Played::of_version(self.tune, if slow { AT_SLOW } else { FULL }, own);
                played = &version;
            }
            settings.beside = played.beside(own).cloned();
        }
        let tags = self.tags(plan, &played.performance, &settings);
        track::write(&path, self.format, &played.performance, &self.tune.band, &settings, &tags).map(drop)
    }

    /// The usual tags, but with what the track is in its title: players on phones show little else.
    fn tags(&self, plan: &TrackPlan, performance: &Performance, settings: &Settings) -> Vec<sound::Tag> {
        let mut tags = sound::tags(performance, settings);
        tags.retain(|(name, _)| name != "TITLE");
        let title =
            if plan.mix == Mix::Band { self.tune.title.clone() } else { format!("{}: {}", self.tune.title, plan.what) };
        tags.insert(0, ("TITLE".to_owned(), title));
        tags.push(("ALBUM".to_owned(), self.tune.title.clone()));
        tags
    }
}

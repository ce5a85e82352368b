//! The files of a pack, made side by side in a folder beside its place.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::sync::atomic::{AtomicBool, Ordering};

use super::archive;
use super::list::Packed;
use super::plan::{self, PaperPlan, SLOW, TrackPlan};
use super::wanted::Wanted;
use crate::cli::Stop;
use crate::cli::progress::Progress;
use crate::cli::threads;
use crate::cli::track::{self, Format};
use crate::door::files;
use crate::drawing::pdf;
use crate::drawing::sheet::{self, Paper};
use crate::midi;
use crate::page;
use crate::performance::{self, Performance, TempoChoice};
use crate::sound::levels::{self, Compared};
use crate::sound::{self, Mix, Parts, Settings};
use crate::text::Finding;
use crate::tune::Tune;

/// How many tracks are rendered side by side at most, however many cores there are. Each holds up to 160 MiB.
const SIDE_BY_SIDE: usize = 4;

/// The tempos of a pack.
pub const FULL: TempoChoice = TempoChoice::AsWritten;
pub const AT_SLOW: TempoChoice = TempoChoice::Percent(SLOW as f64);

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

/// A performance, and how loud each player's own parts are beside the rest.
struct Played {
    performance: Performance,
    beside: Vec<(Parts, Compared)>,
}

impl Played {
    /// What the whole band plays, and each player's own parts in it. Levels are measured once for all players; else each track would
    /// listen to the whole band again.
    fn of_band(tune: &Tune, wanted: &Wanted, tempo: TempoChoice) -> Played {
        let heard = tune.heard(&[]);
        let parts = wanted.folders.iter().map(|folder| &folder.handout.parts);
        let whole = parts.filter(|parts| parts.iter().all(|part| heard.contains(part)));
        let own: Vec<Parts> = whole.map(|parts| parts.iter().copied().collect()).collect();
        Played::new(tune, wanted, tempo, heard, &own)
    }

    /// What is heard when a player plays their pan's own version of a part.
    fn of_version(tune: &Tune, wanted: &Wanted, tempo: TempoChoice, own: &Parts) -> Played {
        let parts: Vec<usize> = own.iter().collect();
        Played::new(tune, wanted, tempo, tune.heard(&parts), std::slice::from_ref(own))
    }

    fn new(tune: &Tune, wanted: &Wanted, tempo: TempoChoice, heard: Vec<usize>, own: &[Parts]) -> Played {
        let options = performance::Options { tempo, count_in: true, parts: Some(heard), ..Default::default() };
        let performance = performance::perform(tune, &options);
        let beside = levels::beside(&performance, &tune.band, &wanted.settings(), own, f64::INFINITY);
        Played { performance, beside: own.iter().cloned().zip(beside).collect() }
    }

    fn beside(&self, own: &Parts) -> Option<&Compared> {
        self.beside.iter().find(|(parts, _)| parts == own).map(|(_, beside)| beside)
    }
}

/// A pack that is to be written.
pub struct Pack<'a> {
    tune: &'a Tune,
    wanted: &'a Wanted,
    folder: &'a Path,
    tracks: Vec<TrackPlan>,
    papers: Vec<PaperPlan>,
    /// At full speed, and slow; nothing where there is no sound.
    played: Option<[Played; 2]>,
}

impl<'a> Pack<'a> {
    /// A pack of a tune, whose files are made in a folder.
    pub fn new(tune: &'a Tune, wanted: &'a Wanted, folder: &'a Path) -> Self {
        let of_band = |tempo| Played::of_band(tune, wanted, tempo);
        let played = wanted.format.map(|_| rayon::join(|| of_band(FULL), || of_band(AT_SLOW)).into());
        Pack { tune, wanted, folder, tracks: plan::tracks(tune, wanted), papers: plan::papers(tune, wanted), played }
    }

    /// Writes all files but those that several tunes share; gives what the list says of them. The small one comes first, so that
    /// a folder that can't be written to is found at once.
    pub fn write(&self, report: String, files: Vec<String>, progress: &Progress) -> Result<Packed, Stop> {
        if self.wanted.everybody {
            let score = performance::perform(self.tune, &performance::Options::default());
            let path = self.folder.join(plan::midi(&self.wanted.stem));
            files::folder(path.parent().unwrap_or(self.folder))?;
            files::write_made(&path, midi::write(&score))?;
        }
        let lengths = self.write_all(progress)?;
        if self.wanted.archives {
            archive::put_together(self.folder, &plan::contents(self.tune, self.wanted))?;
        }
        let mut index = plan::index(self.tune, self.wanted, &self.tracks, &self.papers);
        for entry in index.parts.iter_mut().flat_map(|part| &mut part.entries).chain(&mut index.everybody) {
            entry.bytes = fs::metadata(self.folder.join(&entry.path)).ok().map(|file| file.len());
            entry.seconds = lengths.get(&entry.path).copied();
        }
        Ok(Packed {
            name: self.wanted.stem.clone(),
            whole: true,
            index,
            head: plan::head(self.tune),
            rows: plan::rows(self.tune, self.wanted, &self.tracks, &self.papers),
            report,
            files,
        })
    }

    /// Writes the tracks, pages and sheets side by side. The threads are our own, since one of a shared pool that waits inside a track would
    /// begin another, and the memory of both would be held.
    ///
    /// Gives how long each track is, in seconds.
    fn write_all(&self, progress: &Progress) -> Result<BTreeMap<String, f64>, Stop> {
        let tracks = self.tracks.iter().map(Job::Track);
        let jobs: Vec<Job> = tracks.chain(self.papers.iter().map(Job::Papers)).collect();
        progress.expect(jobs.len());
        // After one that failed, the others are not begun.
        let failed = AtomicBool::new(false);
        let made = threads::in_order(threads::cores().min(SIDE_BY_SIDE), &jobs, |job| {
            if failed.load(Ordering::Relaxed) {
                return Ok(None);
            }
            let made = self.job(job);
            match &made {
                Ok(_) => progress.finished(&job.what(self.tune)),
                Err(_) => failed.store(true, Ordering::Relaxed),
            }
            made
        });
        let lengths = made.into_iter().collect::<Result<Vec<_>, _>>()?;
        Ok(lengths.into_iter().flatten().collect())
    }

    /// Does a job; gives the track that comes of it, and how long it is.
    fn job(&self, job: &Job) -> Result<Option<(String, f64)>, Box<Finding>> {
        match (job, self.wanted.format, &self.played) {
            (Job::Track(plan), Some(format), Some(played)) => self.track(plan, format, played).map(Some),
            (Job::Track(_), ..) => Ok(None),
            (Job::Papers(plan), ..) => self.papers(plan).map(|()| None),
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

    fn track(&self, plan: &TrackPlan, format: Format, played: &[Played; 2]) -> Result<(String, f64), Box<Finding>> {
        let path = self.folder.join(&plan.path);
        files::folder(path.parent().unwrap_or(self.folder))?;
        let slow = plan.percent != 100;
        let of_band = &played[usize::from(slow)];
        let version;
        let mut settings = Settings { mix: plan.mix.clone(), ..self.wanted.settings() };
        let mut played = of_band;
        if let Some(own) = plan.mix.own() {
            if of_band.beside(own).is_none() {
                version = Played::of_version(self.tune, self.wanted, if slow { AT_SLOW } else { FULL }, own);
                played = &version;
            }
            settings.beside = played.beside(own).cloned();
        }
        let tags = self.tags(plan, &played.performance, &settings);
        let report = track::write(&path, format, &played.performance, &self.tune.band, &settings, &tags)?;
        Ok((plan::name(&plan.path), report.seconds()))
    }

    /// The usual tags, but the title says which track it is: players on phones show little else.
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

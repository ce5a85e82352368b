//! `panfold render`: a tune as MIDI, as sound, or as JSON.

use std::path::Path;

use super::choice::{self, wrong};
use super::console::Console;
use super::play_args::{MixWord, RenderArgs};
use super::track::{self, Format};
use super::{Outcome, Stop};
use crate::door::files;
use crate::door::json::{may_hold, write_lists};
use crate::door::loaded::Loaded;
use crate::door::performance_json;
use crate::door::target::{Target, ends_in};
use crate::midi;
use crate::performance::{self, Options, Performance};
use crate::sound::{self, Mix, Settings};
use crate::text::Finding;
use crate::tune::Tune;

/// Plays a tune out and writes what was asked for.
pub fn run(args: &RenderArgs, console: &mut Console) -> Result<Outcome, Stop> {
    if args.midi.is_none() && args.sound.is_none() && !args.json {
        return Err(no_output(&args.tune).into());
    }
    let format = args.sound.as_deref().map(Format::of).transpose()?;
    if let Some(format) = format {
        track::may(format, args.rate, args.bits.is_some())?;
    }
    if let Some(path) = &args.midi {
        ends_in(path, "a MIDI file", &MIDI)?;
    }
    let loaded = Loaded::playable(&args.tune, args.band.as_deref())?;
    console.tell(&loaded.findings)?;
    let target = Target::off(&loaded.files, args.replace);
    args.midi.iter().chain(&args.sound).try_for_each(|path| target.may(path))?;
    let tune = &loaded.tune;
    let chosen = Chosen::of(args, tune)?;
    let score = chosen.performance(tune, Some(chosen.heard(tune)), args.count_in);
    if let Some(path) = &args.midi {
        files::write_made(path, midi::write(&score))?;
        console.say(&wrote(path, &track::minutes(score.seconds())))?;
    }
    if let (Some(path), Some(format)) = (&args.sound, format) {
        let settings = chosen.settings(args);
        let parts = if chosen.mix == Mix::Band { Some(chosen.heard(tune)) } else { None };
        let performance = chosen.performance(tune, parts, !args.no_count_in);
        let tags = sound::tags(&performance, &settings);
        let report = track::write(path, format, &performance, &tune.band, &settings, &tags)?;
        console.say(&wrote(path, &levels(&report)))?;
    }
    if args.json {
        may_hold(score.strokes.len())?;
        write_lists(console.out(), &performance_json::document(&score), 2)?;
    }
    Ok(Outcome::Fine)
}

/// The endings of MIDI files' names.
pub(super) const MIDI: [&str; 2] = ["mid", "midi"];

/// A finding for somebody who has not said what to write, or where.
fn no_output(tune: &Path) -> Finding {
    let (name, sound, midi) = (tune.display(), tune.with_extension("mp3"), tune.with_extension("mid"));
    wrong("say what to write: sound, MIDI, or both")
        .help(format!(
            "for sound: `panfold render {name} --sound {}`; `.flac` loses nothing, and is five times as large",
            sound.display()
        ))
        .help(format!("for MIDI: `panfold render {name} --midi {}`", midi.display()))
        .help("`--json` writes everything that is struck to the screen; `panfold play` plays it from the speakers")
}

fn wrote(path: &Path, what: &str) -> String {
    format!("wrote {}: {what}", path.display())
}

fn levels(report: &sound::Report) -> String {
    let length = track::minutes(report.seconds());
    if !report.loudness.is_finite() {
        return format!("{length}, silent or too short to measure");
    }
    let why = if report.reached { "" } else { "; its peaks allow no more" };
    format!("{length}, loudness {:.1} LUFS, true peak {:.1} dBTP{why}", report.loudness, report.true_peak)
}

/// What of the tune is played, and how.
struct Chosen {
    parts: Vec<usize>,
    section: Option<usize>,
    tempo: performance::TempoChoice,
    mix: Mix,
    /// The part and the band's pan that sounds for it.
    pan: Option<(usize, usize)>,
}

impl Chosen {
    fn of(args: &RenderArgs, tune: &Tune) -> Result<Chosen, Box<Finding>> {
        let parts = args
            .part
            .iter()
            .map(|name| choice::part(tune, name).map(|part| choice::version(tune, part, args.pan.as_deref())));
        let parts = parts.collect::<Result<Vec<_>, _>>()?;
        let section = args.section.as_deref().map(|name| choice::section(tune, name)).transpose()?;
        let one = |option: &str| match parts[..] {
            [part] => Ok(part),
            _ => Err(Box::new(wrong(format!("`{option}` is about one part")).help("name it with `--part PART`"))),
        };
        let mix = match args.mix {
            None => Mix::Band,
            Some(MixWord::Alone) => Mix::Alone(one("--mix")?.into()),
            Some(MixWord::Loud) => Mix::Loud(one("--mix")?.into()),
            Some(MixWord::Without) => Mix::Without(one("--mix")?.into()),
        };
        let pan = match &args.pan {
            None => None,
            Some(name) => {
                let part = one("--pan")?;
                Some((part, choice::pan(tune, part, name)?))
            }
        };
        Ok(Chosen { parts, section, tempo: args.tempo.unwrap_or_default(), mix, pan })
    }

    /// The parts that are heard at all.
    fn heard(&self, tune: &Tune) -> Vec<usize> {
        let own: Vec<usize> = self.mix.own().map_or_else(|| self.parts.clone(), |own| own.iter().collect());
        let all = tune.heard(&own).into_iter();
        match &self.mix {
            Mix::Band if !self.parts.is_empty() => all.filter(|part| self.parts.contains(part)).collect(),
            Mix::Band | Mix::Loud(_) => all.collect(),
            Mix::Alone(own) => own.iter().collect(),
            Mix::Without(own) => all.filter(|part| !own.has(*part)).collect(),
        }
    }

    fn performance(&self, tune: &Tune, parts: Option<Vec<usize>>, count_in: bool) -> Performance {
        performance::perform(tune, &Options { parts, section: self.section, tempo: self.tempo, count_in })
    }

    fn settings(&self, args: &RenderArgs) -> Settings {
        let usual = Settings::default();
        Settings {
            mix: self.mix.clone(),
            room: args.room,
            rate: args.rate.unwrap_or(usual.rate),
            depth: args.bits.map_or(usual.depth, Into::into),
            pans: self.pan.into_iter().collect(),
            ..usual
        }
    }
}

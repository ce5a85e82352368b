//! `panfold drill`: a practice track for one part, and its plan.

pub mod args;

use std::path::Path;

use serde_json::json;

use self::args::{DrillArgs, KindWord};
use super::choice::{self, wrong};
use super::console::Console;
use super::play_args::MixWord;
use super::render::MIDI;
use super::track::{self, Format};
use super::{Outcome, Stop};
use crate::door::files;
use crate::door::json::write_json;
use crate::door::loaded::Loaded;
use crate::door::target::{Target, ends_in};
use crate::midi;
use crate::music::count;
use crate::performance::drill::{Drill, Kind, LADDER, Refused, Request, drill};
use crate::sound::{self, Mix, Settings};
use crate::text::{Finding, words};

/// How often a loop is played if nothing is given.
const TIMES: u32 = 4;

/// Plans a drill, prints the plan, and writes the track.
pub fn run(args: &DrillArgs, console: &mut Console) -> Result<Outcome, Stop> {
    let kind = kind(args)?;
    if let Some(path) = &args.out {
        is_track(path)?;
    }
    let loaded = Loaded::playable(&args.tune, args.band.as_deref())?;
    console.tell(&loaded.findings)?;
    if let Some(path) = &args.out {
        Target::off(&loaded.files, args.replace).may(path)?;
    }
    let tune = &loaded.tune;
    let part = choice::part(tune, &args.part)?;
    let section = args.section.as_deref().map(|name| choice::section(tune, name)).transpose()?;
    // The number of the first bar of all: a pickup is bar 0.
    let opens =
        section.or(tune.form.first().map(|step| step.section)).map_or(1, |section| tune.sections[section].number_of(0));
    let bars = args.bars.map(|(first, last)| (first + 1 - opens, last + 1 - opens));
    let request = Request { part, kind, section, bars, tempo: args.tempo.unwrap_or_default() };
    let drill = drill(tune, &request).map_err(|refused| told(&refused, section.is_some(), opens))?;
    if args.json {
        let steps: Vec<_> = drill
            .steps
            .iter()
            .map(|step| json!({ "seconds": step.seconds, "what": step.what, "percent": step.percent }))
            .collect();
        let plan = json!({ "seconds": drill.performance.seconds(), "steps": steps });
        write_json(console.out(), &plan)?;
    } else {
        write!(console.out(), "{}", plan(&drill))?;
    }
    if let Some(path) = &args.out {
        let mix = match args.mix {
            Some(MixWord::Alone) => Mix::Alone(part.into()),
            Some(MixWord::Without) => Mix::Without(part.into()),
            Some(MixWord::Loud) | None => Mix::Loud(part.into()),
        };
        write(path, &drill, &tune.band, mix)?;
        console.say(&format!("wrote {}", path.display()))?;
    }
    Ok(Outcome::Fine)
}

/// Refuses a name that is not one for a track: sound or MIDI.
fn is_track(path: &Path) -> Result<(), Box<Finding>> {
    if Format::of(path).is_ok() {
        return Ok(());
    }
    ends_in(path, "a MIDI file", &MIDI).map_err(|_| {
        let finding = wrong(format!("a drill is written as sound or as MIDI, and `{}` ends otherwise", path.display()));
        Box::new(finding.help("let the name end in `.mp3`, `.flac`, `.wav` or `.mid`"))
    })
}

/// The kind of drill with its options; an option of another kind is a mistake.
fn kind(args: &DrillArgs) -> Result<Kind, Box<Finding>> {
    let given = [
        ("--times", args.times.is_some(), KindWord::Loop),
        ("--from", args.from.is_some(), KindWord::Ladder),
        ("--to", args.to.is_some(), KindWord::Ladder),
        ("--step", args.step.is_some(), KindWord::Ladder),
    ];
    if let Some((option, ..)) = given.iter().find(|(_, given, of)| *given && *of != args.kind) {
        return Err(Box::new(
            wrong(format!("`{option}` does not go with this kind of drill")).help("see `panfold drill --help`"),
        ));
    }
    if args.by.is_some() && !matches!(args.kind, KindWord::Echo | KindWord::Chain) {
        return Err(Box::new(wrong("`--by` goes with `echo` and `chain`")));
    }
    let by = args.by.map(|bars| bars as usize);
    Ok(match args.kind {
        KindWord::Loop => Kind::Loop { times: args.times.unwrap_or(TIMES) },
        KindWord::Ladder => Kind::Ladder {
            from: args.from.unwrap_or(LADDER.0),
            to: args.to.unwrap_or(LADDER.1),
            step: args.step.unwrap_or(LADDER.2),
        },
        KindWord::Echo => Kind::Echo { bars: by },
        KindWord::Chain => Kind::Chain { by: by.unwrap_or(1) },
    })
}

fn told(refused: &Refused, in_section: bool, opens: usize) -> Box<Finding> {
    let what = if in_section { "section" } else { "tune" };
    Box::new(match refused {
        Refused::NoSuchBars(bars) => wrong(format!("the {what} has {}", words::count(*bars + opens - 1, "bar")))
            .help("choose bars within it, for example `--bars 1-4`"),
        Refused::TooLong => {
            wrong(refused.to_string()).help("practise a section or some bars (`--section`, `--bars`), or fewer times")
        }
        Refused::NoLadder => wrong(refused.to_string()).help("for example `--from 60% --to 100% --step 5%`"),
    })
}

/// The plan as lines: when, and what.
fn plan(drill: &Drill) -> String {
    let mut text = format!("{:>6}  count-in\n", clock(0.0));
    for step in &drill.steps {
        text.push_str(&format!("{:>6}  {}\n", clock(step.seconds), step.what));
    }
    text.push_str(&format!("{:>6}  end\n", clock(drill.performance.seconds())));
    text
}

/// `3:05`: minutes and seconds.
fn clock(seconds: f64) -> String {
    let whole = count(seconds.round()) as u64;
    format!("{}:{:02}", whole / 60, whole % 60)
}

fn write(path: &Path, drill: &Drill, band: &crate::pan::Band, mix: Mix) -> Result<(), Stop> {
    let performance = &drill.performance;
    if ends_in(path, "a MIDI file", &MIDI).is_ok() {
        files::write_made(path, midi::write(performance))?;
        return Ok(());
    }
    let format = Format::of(path)?;
    let settings = Settings::of(mix);
    let mut tags = sound::tags(performance, &settings);
    let lines: Vec<String> = drill.steps.iter().map(|step| format!("{} {}", clock(step.seconds), step.what)).collect();
    tags.push(("DRILL".to_owned(), lines.join(", ")));
    track::write(path, format, performance, band, &settings, &tags)?;
    Ok(())
}

//! `panfold sticks`: which stick strikes what, and how fast a part can be played.

use std::path::{Path, PathBuf};

use clap::{Args, ValueHint};
use serde_json::{Value, json};

use super::choice::{self, wrong};
use super::console::Console;
use super::many::{self, Done, Way};
use super::table;
use super::{Outcome, Stop};
use crate::check::players::mistyped_levels;
use crate::check::reach;
use crate::door::loaded::Loaded;
use crate::fit::written::written;
use crate::hands::limit;
use crate::hands::movement::COMFORTABLE;
use crate::hands::report::{Played, SectionTempo};
use crate::hands::sharing::Rows;
use crate::hands::tempo::Share;
use crate::notation::{parse, tidy};
use crate::pan::band::SetFor;
use crate::pan::face::Sure;
use crate::pan::{Geometry, Level, Pan};
use crate::people;
use crate::text::{Finding, Source, words};
use crate::tune::Tune;
use crate::tune::model::Player;

/// Chooses which stick strikes what, and says how fast each section can be played.
///
/// The sticks are the best there are: no stroke comes late if that can be, then hands that don't cross, short ways and sticks
/// that alternate. They are printed as rows that can stand in the tune: `G5L` is struck with the left stick. Sticks that the
/// tune writes stay.
#[derive(Debug, Args)]
#[command(after_long_help = STICKS_HELP)]
pub struct SticksArgs {
    /// Tune files
    #[arg(required = true, value_name = "TUNE", value_hint = ValueHint::FilePath)]
    pub tunes: Vec<PathBuf>,
    /// The part and its player.
    #[command(flatten)]
    pub of: PlayerArgs,
}

/// A part and who plays it.
#[derive(Debug, Args)]
pub struct PlayerArgs {
    /// The part
    #[arg(long, value_name = "PART")]
    pub part: String,
    /// Which of the band's pans, when several play the part
    #[arg(long, value_name = "NAME")]
    pub pan: Option<String>,
    /// The player's level, instead of what the band file says: beginner, intermediate or experienced
    #[arg(long, value_name = "LEVEL", value_parser = level)]
    pub level: Option<Level>,
    /// Use the band of this file instead of the one that the tune names
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub band: Option<PathBuf>,
    /// Write it as JSON, for other programs (described below with --help)
    #[arg(long)]
    pub json: bool,
}

const STICKS_HELP: &str = "\
Examples:
  panfold sticks sea-grape-road.tune --part lead
  panfold sticks sea-grape-road.tune --part bass --level beginner
  panfold sticks tunes/*.tune --part lead

Speeds are in beats a minute: what is possible, and what is comfortable (85 % of it).
A section or a bar counts the strokes in it, and where the sticks were just before.
How long a stick takes from note to note comes from a published law of movement and
the places of the notes in millimetres.

JSON: part, pan, level, level_set_for (player, part, pan or band, as the band file says, or
      asked), percent (of the tempo that is possible, or null), sections
  sections  name, tempo, possible, comfortable (beats a minute, or null), crossings,
            bars (each its number from 1 and what is possible), strokes
  strokes   bar (from 1), notes, sticks (one a note), rolled
Several tunes: { \"tunes\": [ the same and file, or file and errors ] }";

/// A level on the command line.
pub fn level(text: &str) -> Result<Level, String> {
    let names: Vec<&str> = Level::ALL.iter().map(|level| level.name()).collect();
    Level::from_name(text).ok_or_else(|| format!("choose {}", words::or(&names)))
}

/// A tune, a part of it on pans, and one of the band's pans that plays it with its player's level.
pub struct Chosen {
    /// The tune.
    pub loaded: Loaded,
    /// The number of the part.
    pub part: usize,
    /// The number of the pan.
    pub pan: usize,
    /// The level.
    pub level: Level,
    /// What the band file sets the level for; `None`: the command line gives it.
    pub set_for: Option<SetFor>,
}

impl Chosen {
    /// `lead on Red rim, played by a beginner (set for the part)`.
    pub fn who(&self) -> String {
        let tune = &self.loaded.tune;
        let set = match self.set_for {
            Some(SetFor::Player) => " (set for the player)",
            Some(SetFor::Part) => " (set for the part)",
            Some(SetFor::Pan) => " (set for the pan)",
            Some(SetFor::Band) | None => "",
        };
        let (part, pan) = (&tune.parts[self.part].name, &tune.band.pans[self.pan].pan.name);
        format!("{part} on {pan}, played by {}{set}", self.level.somebody())
    }

    /// What the level was set for, in one word for JSON.
    pub fn set_for(&self) -> &'static str {
        match self.set_for {
            Some(SetFor::Player) => "player",
            Some(SetFor::Part) => "part",
            Some(SetFor::Pan) => "pan",
            Some(SetFor::Band) => "band",
            None => "asked",
        }
    }
}

/// Reads the tune and looks up the part and the pan.
pub fn choose(path: &Path, args: &PlayerArgs, console: &mut Console) -> Result<Chosen, Stop> {
    let loaded = Loaded::read(path, args.band.as_deref())?;
    if !loaded.is_understood() {
        return Err(Stop::Told(loaded.refusal()));
    }
    console.tell(&loaded.findings)?;
    let part = choice::version(&loaded.tune, choice::part(&loaded.tune, &args.part)?, args.pan.as_deref());
    console.tell(&reach::of_part(&loaded.tune, part))?;
    let pan = match &args.pan {
        Some(name) => choice::pan(&loaded.tune, part, name)?,
        None => first_pan(&loaded.tune, part)?,
    };
    let (level, set_for) = match args.level {
        Some(level) => (level, None),
        None => {
            // A level that is meant for this part may have missed it by a letter.
            console.tell(&mistyped_levels(&loaded.tune))?;
            let (level, set_for) = people::level(&loaded.tune, part, pan);
            (level, Some(set_for))
        }
    };
    Ok(Chosen { loaded, part, pan, level, set_for })
}

fn first_pan(tune: &Tune, part: usize) -> Result<usize, Box<Finding>> {
    let of = &tune.parts[part];
    match &of.player {
        Player::Pans { pans, .. } => pans.first().copied().ok_or_else(|| {
            let finding = wrong(format!("the band has no pan for the part `{}` on `{}`", of.name, of.on));
            Box::new(finding.help("sticks are chosen by where a pan's notes lie: add a pan to the band file"))
        }),
        Player::Percussion { .. } => {
            Err(Box::new(wrong(format!("the part `{}` is on `{}`, which has no notes", of.name, of.on))))
        }
    }
}

/// How several tunes are handled.
const WAY: Way = Way { fine: "done", headed: true, in_turn: false };

/// Shows a part's sticks in the tunes.
pub fn run(args: &SticksArgs, console: &mut Console) -> Result<Outcome, Stop> {
    let all = many::each(WAY, &args.tunes, console, |path, console, _| one(&args.of, path, console))?;
    many::answered(WAY, &args.tunes, all, args.of.json, None, console)
}

/// Shows a part's sticks in a tune.
fn one(args: &PlayerArgs, path: &Path, console: &mut Console) -> Done<Option<Value>> {
    let chosen = choose(path, args, console)?;
    let (tune, part) = (&chosen.loaded.tune, chosen.part);
    let played = Played::new(tune, part, &tune.band.pans[chosen.pan].pan, chosen.level);
    let sections = played.sections(tune, part);
    if args.json {
        return Ok((Outcome::Fine, Some(as_json(&chosen, &played, &sections))));
    }
    write!(console.out(), "{}", screen(&chosen, &played, &sections))?;
    Ok((Outcome::Fine, None))
}

fn screen(chosen: &Chosen, played: &Played, sections: &[SectionTempo]) -> String {
    let (tune, part) = (&chosen.loaded.tune, chosen.part);
    let name = &tune.parts[part].name;
    if sections.is_empty() {
        return format!("{name} on {}: nothing to play\n", played.pan.name);
    }
    let heading = ["section", "tempo", "possible", "comfortable", "hands cross", "hardest bar"];
    let mut rows = vec![heading.map(String::from).to_vec()];
    for of in sections {
        let section = &tune.sections[of.section];
        let hardest =
            of.bars.iter().min_by_key(|(_, share)| *share).map_or(0, |(bar, _)| section.number_of(*bar as usize));
        rows.push(vec![
            section.name.clone(),
            section.tempo.to_string(),
            limit::in_table(section.tempo, of.possible, 1.0),
            limit::in_table(section.tempo, of.possible, COMFORTABLE),
            if of.crossings == 0 { "-".to_owned() } else { words::count(of.crossings, "time") },
            hardest.to_string(),
        ]);
    }
    let whole = whole(tune, played.possible());
    let mut text = format!("{}: {whole}\n{}\n", chosen.who(), guess(played.pan));
    text.push_str(&table::lines(&rows, &[1, 2, 3, 5]));
    match written(tune, std::slice::from_ref(name), &[stuck(tune, part, played)]) {
        Some(rows) => text.push_str(&format!("\n{}", tidied(&rows))),
        None => text.push_str("\nthe bars are cut too finely for their sticks to be written out\n"),
    }
    text
}

/// A line for pans whose notes' places are not known.
fn guess(pan: &Pan) -> String {
    let unsure = |sure: Sure| matches!(sure, Sure::Schematic | Sure::Placeholder);
    let assumed = unsure(pan.sureness.rings) || !Geometry::of(pan).is_told();
    if !assumed {
        return String::new();
    }
    format!(
        "panfold assumes where the notes of {} lie, so these tempos are estimates: a pan file can describe your pan\n",
        pan.name
    )
}

/// A part's rows with their sticks.
fn stuck(tune: &Tune, part: usize, played: &Played) -> Rows {
    let mut rows: Rows = tune.sections.iter().map(|section| section.rows[part].clone()).collect();
    for ((section, event), stick) in played.line.places.iter().zip(&played.sticks) {
        if let Some(row) = &mut rows[*section] {
            row.events[*event].stick = Some(*stick);
        }
    }
    rows
}

/// Rows with their cells lined up.
pub fn tidied(text: &str) -> String {
    tidy(&parse(&Source::new("rows", text)).0)
}

/// How fast a whole part can be played.
pub fn whole(tune: &Tune, share: Option<Share>) -> String {
    let Some(share) = share else { return limit::AT_NO_TEMPO.to_owned() };
    if limit::has_one_tempo(tune) {
        let says = |of: f64| limit::in_table(tune.tempo, Some(share), of);
        return format!("possible at {}, comfortable at {} (written: {})", says(1.0), says(COMFORTABLE), tune.tempo);
    }
    let percent = |of: f64| (f64::from(share) / 10.0 * of).floor();
    format!("possible at {} % of the written tempos, comfortable at {} %", percent(1.0), percent(COMFORTABLE))
}

fn as_json(chosen: &Chosen, played: &Played, sections: &[SectionTempo]) -> Value {
    let (tune, part) = (&chosen.loaded.tune, chosen.part);
    let letter = |stick: crate::hands::sticking::Stick| stick.to_char();
    let section = |of: &SectionTempo| {
        let section = &tune.sections[of.section];
        let beats = |share: Option<Share>, part: f64| share.map(|share| limit::beats(section.tempo, share, part));
        let bars: Vec<Value> = of
            .bars
            .iter()
            .map(|(bar, share)| json!({ "bar": section.number_of(*bar as usize), "possible": beats(*share, 1.0) }))
            .collect();
        let strokes = played.line.places.iter().zip(&played.line.strokes).zip(&played.sticks);
        let strokes: Vec<Value> = strokes
            .filter(|((place, _), _)| place.0 == of.section)
            .map(|((place, stroke), stick)| {
                let row = section.rows[part].as_ref().expect("the row that the stroke is in");
                let notes = [Some(stroke.note), stroke.second].into_iter().flatten();
                let notes: Vec<String> = notes.map(|note| played.hands.note(note).name.to_string()).collect();
                let sticks: Vec<char> = [*stick, stick.other()].into_iter().take(notes.len()).map(letter).collect();
                let bar = section.number_of(row.events[place.1].bar as usize);
                json!({ "bar": bar, "notes": notes, "sticks": sticks, "rolled": stroke.rolled_until.is_some() })
            })
            .collect();
        json!({
            "name": section.name,
            "tempo": section.tempo.beats_a_minute(),
            "possible": beats(of.possible, 1.0),
            "comfortable": beats(of.possible, COMFORTABLE),
            "crossings": of.crossings,
            "bars": bars,
            "strokes": strokes,
        })
    };
    json!({
        "part": tune.parts[part].name,
        "pan": played.pan.name,
        "level": chosen.level.name(),
        "level_set_for": chosen.set_for(),
        "percent": played.possible().map(|share| f64::from(share) / 10.0),
        "sections": sections.iter().map(section).collect::<Vec<_>>(),
    })
}

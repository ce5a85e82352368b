//! `panfold share`: a part that is too busy for one player, shared out between two.

use std::path::PathBuf;

use clap::{Args, ValueHint};
use serde_json::{Value, json};

use super::choice::wrong;
use super::console::Console;
use super::sticks::{self, PlayerArgs};
use super::table;
use super::{Outcome, Stop};
use crate::door::json::write_json;
use crate::fit::written::written;
use crate::hands::limit::in_table;
use crate::hands::movement::COMFORTABLE;
use crate::hands::report::Played;
use crate::hands::sharing::{Shared, Split, share};
use crate::hands::tempo::Share;
use crate::text::words;
use crate::tune::Tune;

/// Shares a part that is too busy for one player between two, and says how fast each way of sharing can be played.
///
/// The ways are those of the trade: one takes the upper notes of pairs and the other the lower ones; each takes every other
/// beat; each takes every other stroke. The easiest that is comfortable at the tempo
/// written, or else the fastest, is printed as rows that can stand in the tune, with a part for each player.
#[derive(Debug, Args)]
#[command(after_long_help = SHARE_HELP)]
pub struct ShareArgs {
    /// Tune file
    #[arg(value_name = "TUNE", value_hint = ValueHint::FilePath)]
    pub tune: PathBuf,
    /// The part and its player.
    #[command(flatten)]
    pub of: PlayerArgs,
    /// Which way of sharing to print: notes, beats or strokes
    #[arg(long, value_name = "WAY", value_parser = way)]
    pub way: Option<Split>,
}

const SHARE_HELP: &str = "\
Examples:
  panfold share sea-grape-road.tune --part second
  panfold share sea-grape-road.tune --part lead --way beats

Both players are assumed to have the same pan and the same level.

JSON: part, pan, level, level_set_for (part, pan, band or asked), alone (percent of
      the tempo, or null), ways
  ways  way (notes, beats, strokes), percent (of the tempo at which both can play,
        or null), rows (the text)";

fn way(text: &str) -> Result<Split, String> {
    let names: Vec<&str> = Split::ALL.iter().map(|split| split.name()).collect();
    let found = Split::ALL.into_iter().find(|split| split.name() == text);
    found.ok_or_else(|| format!("choose {}", words::or(&names)))
}

/// Shares a part.
pub fn run(args: &ShareArgs, console: &mut Console) -> Result<Outcome, Stop> {
    let chosen = sticks::choose(&args.tune, &args.of, console)?;
    let (tune, part) = (&chosen.loaded.tune, chosen.part);
    let pan = &tune.band.pans[chosen.pan].pan;
    let played = Played::new(tune, part, pan, chosen.level);
    let ways = share(tune, part, pan, &played.hands);
    let alone = played.possible();
    if args.of.json {
        let json = as_json(&chosen, &played, alone, &ways);
        write_json(console.out(), &json)?;
        return Ok(Outcome::Fine);
    }
    let asked = match args.way {
        None => ways.first(),
        Some(way) => ways.iter().find(|shared| shared.split == way),
    };
    let Some(asked) = asked else {
        let finding =
            wrong(format!("the part `{}` can't be shared that way: one player would have nothing to do", args.of.part));
        return Err(finding
            .help("try another `--way`: `notes` needs pairs of notes, `beats` needs strokes on several beats")
            .into());
    };
    let mut text = format!("{}\n\n", chosen.who());
    let mut rows = vec![["shared", "possible", "comfortable"].map(String::from).to_vec()];
    let row = |what: &str, share: Option<Share>| {
        vec![what.to_owned(), in_table(tune.tempo, share, 1.0), in_table(tune.tempo, share, COMFORTABLE)]
    };
    rows.push(row("one player alone", alone));
    rows.extend(ways.iter().map(|shared| row(shared.split.what(), shared.limit)));
    text.push_str(&table::lines(&rows, &[1, 2]));
    text.push_str(&format!("\n{}:\n\n{}", asked.split.what(), rows_of(tune, part, asked)));
    write!(console.out(), "{text}")?;
    Ok(Outcome::Fine)
}

/// The lines that declare the two parts, and their rows.
fn rows_of(tune: &Tune, part: usize, shared: &Shared) -> String {
    let of = &tune.parts[part];
    let names = [1, 2].map(|player| format!("{}-{player}", of.name));
    let crate::tune::model::Player::Pans { kind, .. } = &of.player else { return String::new() };
    let Some(rows) = written(tune, &names, &shared.rows) else {
        return "the bars are cut too finely to be written out\n".to_owned();
    };
    let parts: String = names.iter().map(|name| format!("part {name} on {kind}\n")).collect();
    format!("{parts}\n{}", sticks::tidied(&rows))
}

fn as_json(chosen: &sticks::Chosen, played: &Played, alone: Option<Share>, ways: &[Shared]) -> Value {
    let (tune, part) = (&chosen.loaded.tune, chosen.part);
    let percent = |share: Option<Share>| share.map(|share| f64::from(share) / 10.0);
    let way = |shared: &Shared| {
        json!({
            "way": shared.split.name(),
            "percent": percent(shared.limit),
            "rows": rows_of(tune, part, shared),
        })
    };
    json!({
        "part": tune.parts[part].name,
        "pan": played.pan.name,
        "level": chosen.level.name(),
        "level_set_for": chosen.set_for(),
        "alone": percent(alone),
        "ways": ways.iter().map(way).collect::<Vec<_>>(),
    })
}

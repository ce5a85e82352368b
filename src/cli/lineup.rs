//! `panfold lineup`: who plays what in which tune, who sits idle, and how the strokes are spread.

use std::path::PathBuf;

use clap::{Args, ValueHint};
use serde_json::{Value, json};

use super::console::Console;
use super::screen::printable;
use super::table;
use super::{Outcome, Stop};
use crate::check;
use crate::cover::lineup::{PartStrokes, REGISTERS, balance, parts, players, without_player};
use crate::door::findings_json;
use crate::door::json::write_json;
use crate::door::loaded::Loaded;
use crate::pan::{Band, Piece};
use crate::text::{Finding, words};
use crate::tune::Tune;
use crate::tune::model::Player;

/// Says who plays what in which tune, who sits idle, which part nobody plays, how many strokes each player has, and in which
/// register they lie; with advice where the lead is covered or the middle is crowded.
#[derive(Debug, Args)]
#[command(after_long_help = HELP)]
pub struct LineupArgs {
    /// Tune files
    #[arg(required = true, value_name = "TUNE", value_hint = ValueHint::FilePath)]
    pub tunes: Vec<PathBuf>,
    /// Look at the band of this file, whatever band the tunes name
    #[arg(long, value_name = "FILE", value_hint = ValueHint::FilePath)]
    pub band: Option<PathBuf>,
    /// Write the result as JSON, for other programs (described below with --help)
    #[arg(long)]
    pub json: bool,
}

const HELP: &str = "\
Examples:
  panfold lineup tunes/*.tune
  panfold lineup sea-grape-road.tune --band visiting-band.toml

Strokes are counted with the form played out; a roll is one.

JSON: { \"tunes\": [ TUNE ] }
  TUNE     file, title, band, parts, players, nobody (parts without a player),
           findings (as of `panfold check`)
  parts    name, on, strokes, registers (notes struck, each with `from`, the
           lowest note of the register, or null)
  players  name (of the pan), what, people (whom the band file names), parts, strokes";

/// Shows who plays what in the tunes.
pub fn run(args: &LineupArgs, console: &mut Console) -> Result<Outcome, Stop> {
    let mut tunes: Vec<Tune> = Vec::new();
    for path in &args.tunes {
        let loaded = Loaded::playable(path, args.band.as_deref())?;
        console.tell(&loaded.findings)?;
        tunes.push(loaded.tune);
    }
    let found: Vec<Vec<Finding>> = tunes.iter().map(found).collect();
    if args.json {
        let tunes: Vec<Value> = tunes.iter().zip(&found).map(|(tune, found)| as_json(tune, found)).collect();
        write_json(console.out(), &json!({ "tunes": tunes }))?;
    } else {
        let mut text = String::new();
        for band in bands(&tunes) {
            text.push_str(&who_plays(band[0].band.as_ref(), &band));
            text.push('\n');
        }
        text.push_str(&tunes.iter().map(registers).collect::<String>());
        write!(console.out(), "{}", printable(&text))?;
        for findings in &found {
            console.show(findings)?;
        }
        write!(console.out(), "{}", printable(&summary(&tunes, &found)))?;
    }
    let alone = tunes.iter().any(|tune| !without_player(tune).is_empty());
    Ok(if alone { Outcome::Mend } else { Outcome::Fine })
}

/// Why nobody plays a part that somebody could, other findings about the seats, and advice on the balance.
fn found(tune: &Tune) -> Vec<Finding> {
    // That the band has nothing for a part stands in the table already.
    let seats = check::seats::seats(tune).into_iter().filter(|finding| *finding.kind != check::players::NO_PLAYER);
    seats.chain(balance(tune)).collect()
}

/// The tunes of each band, in the order in which the bands first come.
fn bands(tunes: &[Tune]) -> Vec<Vec<&Tune>> {
    let mut bands: Vec<Vec<&Tune>> = Vec::new();
    for tune in tunes {
        match bands.iter_mut().find(|band| band[0].band.source.name() == tune.band.source.name()) {
            Some(band) => band.push(tune),
            None => bands.push(vec![tune]),
        }
    }
    bands
}

fn name(band: &Band, piece: Piece) -> (&str, &'static str) {
    (band.name_of(piece), band.kind_of(piece))
}

/// The people whom the band file names for a pan or a piece of percussion: those with a seat there in the tune, else all who can play it.
fn people(tune: &Tune, piece: Piece) -> Vec<&str> {
    let seated: Vec<usize> = tune.seats.iter().filter(|seat| seat.piece == piece).map(|seat| seat.player).collect();
    let named = tune.people.iter().enumerate().filter(|(number, player)| {
        player.is_named && if seated.is_empty() { player.plays.contains(&piece) } else { seated.contains(number) }
    });
    named.map(|(_, player)| player.name.as_str()).collect()
}

/// A table with a row for each player and a column for each tune, with the parts; at the end the parts that nobody plays.
fn who_plays(band: &Band, tunes: &[&Tune]) -> String {
    let has_names = !band.players.is_empty();
    let mut heading = vec![band.name.clone(), "what".to_owned()];
    heading.extend(has_names.then(|| "who".to_owned()));
    heading.extend(tunes.iter().map(|tune| tune.title.clone()));
    heading.push("strokes".to_owned());
    let all: Vec<_> = tunes.iter().map(|tune| (players(tune), parts(tune))).collect();
    let called = |tune: &Tune, parts: &[usize]| {
        let names: Vec<&str> = parts.iter().map(|part| tune.parts[*part].name.as_str()).collect();
        if names.is_empty() { "-".to_owned() } else { names.join(" + ") }
    };
    let mut rows = vec![heading];
    for who in all[0].0.keys() {
        let (name, what) = name(band, *who);
        let mut row = vec![name.to_owned(), what.to_owned()];
        row.extend(has_names.then(|| who_of(tunes, *who)));
        row.extend(tunes.iter().zip(&all).map(|(tune, (players, _))| called(tune, &players[who])));
        row.push(all.iter().map(|(players, counts)| strokes(&players[who], counts)).sum::<u64>().to_string());
        rows.push(row);
    }
    if tunes.iter().any(|tune| !without_player(tune).is_empty()) {
        let mut row = vec!["(nobody)".to_owned(), String::new()];
        row.extend(has_names.then(String::new));
        row.extend(tunes.iter().map(|tune| called(tune, &without_player(tune))));
        row.push(
            tunes
                .iter()
                .zip(&all)
                .map(|(tune, (_, counts))| strokes(&without_player(tune), counts))
                .sum::<u64>()
                .to_string(),
        );
        rows.push(row);
    }
    table::lines(&rows, &[tunes.len() + 2 + usize::from(has_names)])
}

/// Who plays a pan in these tunes, by name: once where it is always the same person.
fn who_of(tunes: &[&Tune], piece: Piece) -> String {
    let mut names: Vec<&str> = Vec::new();
    for name in tunes.iter().flat_map(|tune| people(tune, piece)) {
        if !names.contains(&name) {
            names.push(name);
        }
    }
    if names.is_empty() { "-".to_owned() } else { names.join(", ") }
}

fn strokes(parts: &[usize], counts: &[PartStrokes]) -> u64 {
    parts.iter().map(|part| counts[*part].strokes).sum()
}

/// The names of the registers: `below C3`, `C3 to B3`, … `from C6`.
fn register_names() -> Vec<String> {
    let octave = |name: &str| name.replace('C', "B");
    let mut names = vec![format!("below {}", REGISTERS[0])];
    names.extend(REGISTERS.windows(2).map(|pair| format!("{} to {}", pair[0], octave(pair[0]))));
    names.push(format!("from {}", REGISTERS[REGISTERS.len() - 1]));
    names
}

/// A table with a row for each part and a column for each register: how many notes are struck there.
fn registers(tune: &Tune) -> String {
    let mut rows =
        vec![[tune.title.clone(), "strokes".to_owned()].into_iter().chain(register_names()).collect::<Vec<_>>()];
    let mut sums = vec![0; REGISTERS.len() + 1];
    for (part, count) in tune.parts.iter().zip(parts(tune)).filter(|(_, count)| !count.registers.is_empty()) {
        let mut row = vec![part.name.clone(), count.strokes.to_string()];
        row.extend(count.registers.iter().map(|notes| if *notes == 0 { "-".to_owned() } else { notes.to_string() }));
        rows.push(row);
        sums.iter_mut().zip(&count.registers).for_each(|(sum, notes)| *sum += notes);
    }
    let all: u64 = sums.iter().sum();
    if all > 0 {
        let share = |notes: &u64| format!("{} %", crate::cover::share::percent(*notes, all));
        rows.push([String::new(), String::new()].into_iter().chain(sums.iter().map(share)).collect());
    }
    format!("{}\n", table::lines(&rows, &(1..REGISTERS.len() + 3).collect::<Vec<_>>()))
}

/// A line that says enough when it is read aloud.
fn summary(tunes: &[Tune], found: &[Vec<Finding>]) -> String {
    let mut lines = String::new();
    for tune in tunes {
        // A player whose parts never play sits idle as well.
        let counts = parts(tune);
        let idle: Vec<String> = players(tune)
            .iter()
            .filter(|(_, parts)| strokes(parts, &counts) == 0)
            .map(|(who, _)| format!("`{}`", name(&tune.band, *who).0))
            .collect();
        let alone: Vec<String> =
            without_player(tune).iter().map(|part| format!("`{}`", tune.parts[*part].name)).collect();
        let idle = match idle.as_slice() {
            [] => "nobody sits idle".to_owned(),
            [one] => format!("{one} sits idle"),
            many => format!("{} sit idle", words::and(many)),
        };
        let alone = match alone.as_slice() {
            [] => "every part has a player".to_owned(),
            [one] => format!("nobody plays {one}"),
            many => format!("nobody plays {}", words::or(many)),
        };
        lines.push_str(&format!("{}: {alone}; {idle}\n", tune.title));
    }
    match found.iter().map(Vec::len).sum() {
        0 => {}
        1 => lines.push_str("1 piece of advice above\n"),
        n => lines.push_str(&format!("{n} pieces of advice above\n")),
    }
    lines
}

fn as_json(tune: &Tune, found: &[Finding]) -> Value {
    let counts = parts(tune);
    let names = |parts: &[usize]| parts.iter().map(|part| tune.parts[*part].name.clone()).collect::<Vec<String>>();
    let part = |(part, count): (&crate::tune::Part, &PartStrokes)| {
        let on = match &part.player {
            Player::Pans { kind, .. } => kind.name(),
            Player::Percussion { instrument, .. } => instrument.name(),
        };
        let from = [None].into_iter().chain(REGISTERS.into_iter().map(Some));
        let registers: Vec<Value> =
            from.zip(&count.registers).map(|(from, notes)| json!({ "from": from, "notes": notes })).collect();
        json!({ "name": part.name, "on": on, "strokes": count.strokes, "registers": registers })
    };
    let player = |(who, parts): (&Piece, &Vec<usize>)| {
        let (name, what) = name(&tune.band, *who);
        json!({ "name": name, "what": what, "people": people(tune, *who), "parts": names(parts), "strokes": strokes(parts, &counts) })
    };
    json!({
        "file": tune.source.name(),
        "title": tune.title,
        "band": tune.band.name,
        "parts": tune.parts.iter().zip(&counts).map(part).collect::<Vec<Value>>(),
        "players": players(tune).iter().map(player).collect::<Vec<Value>>(),
        "nobody": names(&without_player(tune)),
        "findings": findings_json::list(found),
    })
}

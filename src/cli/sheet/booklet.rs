//! `panfold sheet --booklet`: all tunes of a player in one file.

use std::path::PathBuf;

use serde_json::{Value, json};

use super::args::SheetArgs;
use super::written::{self, file_name};
use crate::cli::choice::{unknown_player, wrong};
use crate::cli::console::Console;
use crate::cli::many;
use crate::cli::{Outcome, Stop};
use crate::door::json::write_json;
use crate::door::loaded::Loaded;
use crate::door::target::Target;
use crate::drawing::booklet::{self, Booklet, Entry};
use crate::drawing::sheet::{self, Size};
use crate::hands::line::sticks;
use crate::pan::Piece;
use crate::text::Finding;
use crate::tune::Tune;

/// A booklet before it is written.
struct Made<'a> {
    player: String,
    path: PathBuf,
    entries: Vec<Entry<'a>>,
    booklet: Booklet,
}

/// Writes the booklets. All tunes are read before anything is written, and none is left out: a booklet that lacks a tune would be
/// noticed on stage.
pub fn run(args: &SheetArgs, console: &mut Console) -> Result<Outcome, Stop> {
    if args.format().size == Size::Wall {
        let finding =
            wrong("a booklet is held in the hand or stands on a stand, so it can't be as large as for a wall");
        return Err(finding.help("give `--size stand`, or print the sheets without `--booklet`").into());
    }
    let mut tunes = Vec::new();
    for path in &args.tunes {
        let loaded = Loaded::read(path, args.band.as_deref())?;
        if !loaded.is_understood() {
            return Err(Stop::Told(loaded.refusal()));
        }
        console.tell(&loaded.findings)?;
        tunes.push(loaded);
    }
    let read: Vec<&PathBuf> = tunes.iter().flat_map(|loaded| &loaded.files).collect();
    let target = Target::off(read, args.replace);
    let tunes: Vec<&Tune> = tunes.iter().map(|loaded| &loaded.tune).collect();
    let players = players(&tunes, args)?;
    let mut made: Vec<Made> = Vec::new();
    for player in &players {
        let usual = name_apart(player, &made);
        let path = many::place(args.output.as_deref(), (players.len(), "booklet"), usual)?;
        written::ending(&path)?;
        let entries = entries(&tunes, player, args.sticks)?;
        let band = &entries[0].tune.band.name;
        let booklet = booklet::booklet(player, band, &entries, args.format());
        written::places(&path, &target, booklet.pages.len())?;
        made.push(Made { player: player.clone(), path, entries, booklet });
    }
    let mut json = Vec::new();
    for made in &made {
        many::make_folder(args.output.as_deref(), &made.path)?;
        let files = written::write(&made.path, &target, &made.booklet.pages, &made.player, console)?;
        json.push(as_json(made, &files));
    }
    if args.json {
        write_json(console.out(), &json!({ "booklets": json }))?;
    }
    Ok(Outcome::Fine)
}

/// The players who get a booklet, by name.
fn players(tunes: &[&Tune], args: &SheetArgs) -> Result<Vec<String>, Box<Finding>> {
    let mut all: Vec<&str> = Vec::new();
    for player in tunes.iter().flat_map(|tune| tune.people.iter()) {
        if !all.contains(&player.name.as_str()) {
            all.push(&player.name);
        }
    }
    if args.booklets {
        let plays = |name: &&str| tunes.iter().any(|tune| !seats(tune, name).is_empty());
        let players: Vec<String> = all.into_iter().filter(plays).map(str::to_owned).collect();
        let nobody =
            || wrong("nobody in the band plays in these tunes").help("see who plays what with `panfold lineup`");
        return if players.is_empty() { Err(Box::new(nobody())) } else { Ok(players) };
    }
    let mut players: Vec<String> = Vec::new();
    for name in &args.booklet {
        if !all.contains(&name.as_str()) {
            return Err(Box::new(unknown_player(name, &all)));
        }
        if !players.contains(name) {
            players.push(name.clone());
        }
    }
    Ok(players)
}

/// The numbers of the seats of a player in a tune.
fn seats(tune: &Tune, player: &str) -> Vec<usize> {
    let is = |seat: &usize| tune.people[tune.seats[*seat].player].name == player;
    (0..tune.seats.len()).filter(is).collect()
}

/// What a player plays, tune by tune: a sheet for each part on a pan, and one for all their percussion together.
fn entries<'a>(tunes: &[&'a Tune], player: &str, with_sticks: bool) -> Result<Vec<Entry<'a>>, Box<Finding>> {
    let mut entries = Vec::new();
    for tune in tunes {
        let mut percussion: Vec<usize> = Vec::new();
        for seat in seats(tune, player).into_iter().map(|seat| &tune.seats[seat]) {
            match seat.piece {
                Piece::Pan(pan) => {
                    let sticks = with_sticks.then(|| sticks(tune, seat.part, pan).into_boxed_slice());
                    let pan = Some(&tune.band.pans[pan].pan);
                    entries.push(Entry { tune, parts: vec![seat.part], pan, sticks });
                }
                Piece::Percussion(_) => percussion.push(seat.part),
            }
        }
        percussion.sort_unstable();
        percussion.dedup();
        if !percussion.is_empty() {
            entries.push(Entry { tune, parts: percussion, pan: None, sticks: None });
        }
    }
    if entries.is_empty() {
        let which = if tunes.len() == 1 { "this tune" } else { "any of these tunes" };
        let finding = wrong(format!("`{player}` plays nothing in {which}"));
        return Err(Box::new(finding.help("see who plays what with `panfold lineup`, or name another player")));
    }
    Ok(entries)
}

/// The usual name of a player's booklet, which no other has.
fn name_apart(player: &str, made: &[Made]) -> PathBuf {
    let plain = file_name(player);
    let taken = |path: &PathBuf| made.iter().any(|made| made.path.file_name() == path.file_name());
    let names = (1..).map(|n| if n == 1 { format!("{plain}.pdf") } else { format!("{plain}-{n}.pdf") });
    names.map(PathBuf::from).find(|path| !taken(path)).unwrap_or_default()
}

fn as_json(made: &Made, files: &[PathBuf]) -> Value {
    let contents = made.entries.iter().zip(&made.booklet.entries).map(|(entry, (page, pages))| {
        json!({
            "tune": entry.tune.title,
            "parts": sheet::names(entry.tune, &entry.parts),
            "pan": entry.pan.map(|pan| &pan.name),
            "page": page,
            "pages": pages,
        })
    });
    json!({
        "player": made.player,
        "files": written::names(files),
        "pages": made.booklet.pages.len(),
        "contents": contents.collect::<Vec<_>>(),
    })
}

//! Who plays what, and the problems with it: a player who would have two parts at a time, habits of the band that a tune breaks,
//! wishes of the tune that can't be met, rows for a pan that does not play the part.

use std::collections::BTreeSet;

use super::players::no_player;
use crate::pan::{NoteSet, Piece};
use crate::people::{self, Unseated, habit_broken};
use crate::text::{Finding, Kind, words};
use crate::tune::Tune;
use crate::tune::model::{Player, Seat, Struck, Whom};

/// Two parts that one player would have to play at the same time.
pub(crate) static ONE_PLAYER_TWO_PARTS: Kind = Kind {
    name: "one-player-two-parts",
    what: "Everybody who could play a part plays another one at the same time.",
    why: "A player is at one pan at a time. Give the part to a pan that is free, write it for another kind of pan, or \
          let the two parts take turns: one player can have parts that never sound together.",
};

/// A pan plays a part that is not its habit.
pub(crate) static BROKEN_HABIT: Kind = Kind {
    name: "broken-habit",
    what: "A pan plays a part that its `plays` in the band file does not name.",
    why: "Panfold goes against `plays` only where the tune says so (`for`), or where a part would have nobody to play it.",
};

/// A part is not played by the player whom the tune names.
pub(crate) static ANOTHER_PLAYER: Kind = Kind {
    name: "another-player",
    what: "A tune gives a part to somebody (`for`), and somebody else plays it.",
    why: "The person that the tune names plays another part at the same time, or has no pan for it.",
};

/// A row for a pan that does not play the part.
pub(crate) static ROW_NOT_USED: Kind = Kind {
    name: "row-not-used",
    what: "A part has a row for one pan alone, and that pan does not play the part.",
    why: "The row is never played. Give the part to the pan (`part lead on lead for Green rim`), or take the row out.",
};

/// How many bars are listed, and how many pans that could take a part; our own setting.
const NAMED: usize = 4;

/// All findings about seats.
pub fn seats(tune: &Tune) -> Vec<Finding> {
    let mut findings = Vec::new();
    for open in people::unseated(tune) {
        findings.push(if open.taken.is_empty() { no_player(tune, open.part) } else { two_parts(tune, &open) });
    }
    findings.extend(tune.seats.iter().filter_map(|seat| broken_habit(tune, seat.part, seat.piece)));
    findings.extend((0..tune.parts.len()).filter_map(|part| another_player(tune, part)));
    findings.extend((0..tune.parts.len()).filter_map(|part| row_not_used(tune, part)));
    findings
}

/// A pan or piece of percussion, with its player if they have another name.
fn who(tune: &Tune, player: usize, piece: Piece) -> String {
    let (name, piece) = (&tune.people[player].name, tune.band.name_of(piece));
    if name == piece { format!("`{name}`") } else { format!("`{name}` (at `{piece}`)") }
}

fn two_parts(tune: &Tune, open: &Unseated) -> Finding {
    let of = &tune.parts[open.part];
    let first = open.taken.iter().max_by_key(|taken| taken.bars.len()).unwrap_or(&open.taken[0]);
    let other = &tune.parts[first.other].name;
    let player = who(tune, first.player, first.piece);
    let message = if first.bars.is_empty() {
        format!("nobody plays `{}`: {player} plays `{other}` and has no time to change instruments", of.name)
    } else if open.taken.len() == 1 {
        format!("nobody plays `{}`: {player} plays `{other}` at the same time", of.name)
    } else {
        format!("nobody plays `{}`: everybody who could plays something else at the same time", of.name)
    };
    let mut finding = Finding::error(&ONE_PLAYER_TWO_PARTS, message).at(&tune.source, of.span).part(&of.name);
    if !first.bars.is_empty() {
        finding =
            finding.help(format!("see where `{}` and `{other}` sound together: {}", of.name, bars(tune, &first.bars)));
    }
    let others: BTreeSet<usize> = open.taken.iter().map(|taken| taken.other).collect();
    let mut could: Vec<String> = Vec::new();
    for part in std::iter::once(open.part).chain(others) {
        could.extend(who_could(tune, part));
    }
    could.truncate(NAMED);
    if could.is_empty() {
        let kind = match &of.player {
            Player::Pans { kind, .. } => kind.name(),
            Player::Percussion { instrument, .. } => instrument.name(),
        };
        return finding
            .help(format!("add another {kind} to the band file, or let `{}` and `{other}` take turns", of.name));
    }
    could.into_iter().fold(finding, Finding::help)
}

/// `bars 1 to 4 and 7 of verse`.
fn bars(tune: &Tune, bars: &[(usize, u32)]) -> String {
    let mut sections: Vec<(usize, Vec<usize>)> = Vec::new();
    for (section, bar) in bars {
        let number = tune.sections[*section].number_of(*bar as usize);
        match sections.last_mut().filter(|(last, _)| last == section) {
            Some((_, all)) => all.push(number),
            None => sections.push((*section, vec![number])),
        }
    }
    let more = sections.len().saturating_sub(NAMED);
    let said = sections.iter().take(NAMED).map(|(section, bars)| {
        let name = &tune.sections[*section].name;
        if bars.len() == tune.sections[*section].bars() {
            return format!("all of `{name}`");
        }
        let runs = runs(bars);
        let noun = if bars.len() == 1 { "bar" } else { "bars" };
        format!("{noun} {} of `{name}`", words::and(&runs))
    });
    let mut said: Vec<String> = said.collect();
    if more > 0 {
        said.push(words::count(more, "more section"));
    }
    words::and(&said)
}

/// Rising numbers as runs: `1 to 4`, `7`; only the first few if there are many.
fn runs(bars: &[usize]) -> Vec<String> {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for bar in bars {
        match runs.last_mut().filter(|(_, end)| end + 1 == *bar) {
            Some((_, end)) => *end = *bar,
            None => runs.push((*bar, *bar)),
        }
    }
    let more = runs.len().saturating_sub(NAMED);
    let said = runs.iter().take(NAMED);
    let mut said: Vec<String> =
        said.map(|(start, end)| if start == end { start.to_string() } else { format!("{start} to {end}") }).collect();
    if more > 0 {
        said.push(format!("{more} more"));
    }
    said
}

/// The pans of the band that have nothing to play and could take a part, the one that lacks least first.
fn who_could(tune: &Tune, part: usize) -> Vec<String> {
    let of = &tune.parts[part];
    if !matches!(of.player, Player::Pans { .. }) {
        return Vec::new();
    }
    let free = |pan: &usize| tune.seats.iter().all(|seat| seat.piece != Piece::Pan(*pan));
    let has_player = |pan: &usize| {
        let idle = |player: &usize| tune.seats.iter().all(|seat| seat.player != *player);
        (0..tune.people.len()).filter(idle).any(|player| tune.people[player].plays.contains(&Piece::Pan(*pan)))
    };
    let mut could: Vec<(u64, u64, usize)> = (0..tune.band.pans.len())
        .filter(|pan| free(pan) && has_player(pan))
        .map(|pan| {
            let (lacking, all) = lacking(tune, part, tune.band.pans[pan].pan.note_set());
            (lacking, all, pan)
        })
        .filter(|(lacking, all, _)| lacking * 4 <= *all)
        .collect();
    could.sort_unstable();
    let said = could.into_iter().take(2).map(|(lacking, all, pan)| {
        let pan = &tune.band.pans[pan].pan;
        let there =
            if lacking == 0 { "all the notes".to_owned() } else { format!("{} of its {all} strokes", all - lacking) };
        format!(
            "`{}` ({}) is free and has {there}: write `part {} on {} for {}`",
            pan.name, pan.kind, of.name, pan.kind, pan.name
        )
    });
    said.collect()
}

/// How many strokes of a part need a note that is not in a set, of how many, with the form played out.
fn lacking(tune: &Tune, part: usize, set: NoteSet) -> (u64, u64) {
    let (mut lacking, mut all) = (0, 0);
    for step in &tune.form {
        let times = u64::from(step.times);
        for event in tune.sections[step.section].rows[part].iter().flat_map(|row| &row.events) {
            let Struck::Notes(notes) = &event.struck else { continue };
            all += times;
            lacking += if notes.iter().all(|note| set.has(note.pitch)) { 0 } else { times };
        }
    }
    (lacking, all)
}

fn broken_habit(tune: &Tune, part: usize, piece: Piece) -> Option<Finding> {
    let of = &tune.parts[part];
    let base = of.version.map_or(part, |version| version.of);
    // A name that is nearly the part's is a slip, which is told as one.
    let is_slip = |habit: &String| tune.part(habit).is_none() && words::nearest(habit, [of.name.as_str()]).is_some();
    if !habit_broken(tune, part, piece) || tune.band.habit(piece).iter().any(is_slip) {
        return None;
    }
    let name = tune.band.name_of(piece);
    let habit: Vec<String> = tune.band.habit(piece).iter().map(|part| format!("`{part}`")).collect();
    let why = match tune.parts[base].whom.is_empty() {
        true => "otherwise nobody would play it".to_owned(),
        false => format!("the tune says so, with `for` in the line of `{}`", of.name),
    };
    let message = format!("`{name}` plays `{}` here, though its `plays` says {}: {why}", of.name, words::or(&habit));
    let finding = Finding::advice(&BROKEN_HABIT, message).at(&tune.source, of.span).part(&of.name);
    Some(finding.help(format!("add `{}` to the `plays` of `{name}` if that is how you want it", of.name)))
}

fn another_player(tune: &Tune, part: usize) -> Option<Finding> {
    let of = &tune.parts[part];
    let seat = tune.seats.iter().find(|seat| {
        let is_part = seat.part == part || tune.parts[seat.part].version.is_some_and(|version| version.of == part);
        let is_asked = of.whom.contains(&Whom::Piece(seat.piece)) || of.whom.contains(&Whom::Player(seat.player));
        is_part && !is_asked
    });
    let seat = seat.filter(|_| !of.whom.is_empty())?;
    let named = |whom: &Whom| match whom {
        Whom::Piece(piece) => format!("`{}`", tune.band.name_of(*piece)),
        Whom::Player(player) => format!("`{}`", tune.people[*player].name),
    };
    let asked = words::and(&of.whom.iter().map(named).collect::<Vec<_>>());
    let message =
        format!("{} plays `{}`, which the tune gives to {asked}", who(tune, seat.player, seat.piece), of.name);
    let finding = Finding::warning(&ANOTHER_PLAYER, message).at(&tune.source, of.span).part(&of.name);
    Some(
        of.whom
            .iter()
            .fold(finding, |finding, whom| why_not(tune, part, whom).into_iter().fold(finding, Finding::help)),
    )
}

/// Why somebody whom the tune names does not play a part, and what to do about it.
fn why_not(tune: &Tune, part: usize, whom: &Whom) -> Vec<String> {
    let of = &tune.parts[part];
    let (pieces, name) = match whom {
        Whom::Piece(piece) => (vec![*piece], tune.band.name_of(*piece)),
        Whom::Player(player) => (tune.people[*player].plays.clone(), tune.people[*player].name.as_str()),
    };
    let fits = |piece: &Piece| people::is_of_kind(tune, part, *piece);
    let known: Vec<Piece> = pieces.iter().copied().filter(fits).collect();
    let is_busy = |seat: &&Seat| match whom {
        Whom::Piece(piece) => seat.piece == *piece,
        Whom::Player(player) => seat.player == *player,
    };
    if let (false, Some(seat)) = (known.is_empty(), tune.seats.iter().find(is_busy)) {
        let other = &tune.parts[seat.part].name;
        return vec![format!(
            "`{name}` plays `{other}` at the same time: take one `for {name}` out, or let the parts take turns"
        )];
    }
    let kind = match &of.player {
        Player::Pans { kind, .. } => kind.name(),
        Player::Percussion { instrument, .. } => instrument.name(),
    };
    let Whom::Player(_) = whom else {
        return vec![format!("`{name}` is a {}, and `{}` is on {kind}", tune.band.kind_of(pieces[0]), of.name)];
    };
    let mut plays: Vec<String> = pieces.iter().map(|piece| format!("\"{}\"", tune.band.name_of(*piece))).collect();
    let has: Vec<String> = pieces.iter().map(|piece| format!("`{}`", tune.band.name_of(*piece))).collect();
    let why = format!("`{name}` plays {}, and no {kind}", words::and(&has));
    match tune.band.pieces().find(fits) {
        Some(piece) => {
            plays.push(format!("\"{}\"", tune.band.name_of(piece)));
            vec![format!(
                "{why}: write `plays = [{}]` for `{name}` in the band file, or take `for {name}` out",
                plays.join(", ")
            )]
        }
        None => vec![format!("{why}: take `for {name}` out")],
    }
}

fn row_not_used(tune: &Tune, part: usize) -> Option<Finding> {
    let of = &tune.parts[part];
    let version = of.version?;
    if tune.seats.iter().any(|seat| seat.part == part) {
        return None;
    }
    let (pan, base) = (&tune.band.pans[version.pan].pan.name, &tune.parts[version.of].name);
    let message = format!("`{pan}` doesn't play `{base}` in this tune: its own row is never played");
    let finding = Finding::warning(&ROW_NOT_USED, message).at(&tune.source, of.span).part(&of.name);
    Some(finding.help(format!("give it the part (`part {base} on … for {pan}`), or take the row out")))
}

//! What two sticks can't reach in time, and where the hands cross.

use std::collections::BTreeSet;

use rayon::prelude::*;

use super::swing;
use super::uses::{Found, Places};
use crate::hands::limit;
use crate::hands::movement::{COMFORTABLE, FASTEST_REPEATS, Place, figures};
use crate::hands::report::Played;
use crate::hands::sharing::share;
use crate::hands::tempo::Share;
use crate::music::Tempo;
use crate::pan::{Level, Pan};
use crate::text::{Finding, Kind, Severity, words};
use crate::tune::Tune;
use crate::tune::model::Player;

/// A stroke that no stick reaches in time.
pub static TOO_FAST: Kind = Kind {
    name: "too-fast",
    what: "A stroke comes before either stick can get there.",
    why: "A stick needs time to travel: more when it goes farther, and when the note is smaller (a published law of \
          movement); and a hand can repeat only so fast. Panfold tries both sticks for every \
          stroke. It is a problem where no known hands are that fast (10 strokes a second with one hand), and a \
          possible problem where it is beyond the `level` that the band file gives the player. That is an estimate: \
          if your player manages it, raise the level. A slower tempo, one stroke fewer, or a second player helps.",
};

/// Hands that cross.
pub static CROSSED_HANDS: Kind = Kind {
    name: "crossed-hands",
    what: "The best sticking of a part crosses the hands, and there is no time to uncross them.",
    why: "It can be played, and needs practice: the sticks can hit each other. Another octave or order of the notes avoids it.",
};

/// Crossed hands are reported from one in this many of a part's strokes on, and from this many crossings on (common practice, no
/// source: a crossing here and there is ordinary).
const MANY_CROSSINGS: (usize, usize) = (4, 8);

/// How much slower a stroke has to be even for an experienced player before it is called impossible: an experienced hand repeats 7
/// times a second, a contest winner's 10, and movements are taken to be faster by as much. The figures for people are an estimate, and
/// on sets of two drums they are slower than the best players, so nothing less is an error.
fn sure() -> f64 {
    FASTEST_REPEATS / figures(Level::Experienced).repeats
}

/// The longest part, in strokes, for which ways to share it are tried: ten times a long piece, so that no file keeps anybody waiting.
const LONGEST_SHARED: usize = 30_000;

/// All findings about what the sticks can reach.
pub fn sticks(tune: &Tune) -> Vec<Finding> {
    let parts = 0..tune.parts.len();
    if tune.source.is_long() {
        return parts.into_par_iter().with_max_len(1).flat_map_iter(|part| of_part(tune, part)).collect();
    }
    parts.flat_map(|part| of_part(tune, part)).collect()
}

fn found(tune: &Tune, part: usize, played: &Played, stroke: usize) -> Found {
    let (section, event) = played.line.places[stroke];
    let row = tune.sections[section].rows[part].as_ref().expect("the row that the stroke is in");
    Found { span: row.events[event].span, section, bar: row.events[event].bar }
}

fn of_part(tune: &Tune, part: usize) -> Vec<Finding> {
    let Player::Pans { pans, .. } = &tune.parts[part].player else { return Vec::new() };
    let mut tried: Vec<(&Pan, Level)> = Vec::new();
    let mut worst: Option<Played> = None;
    for number in pans {
        let (pan, level) = (&tune.band.pans[*number].pan, crate::people::level(tune, part, *number).0);
        if tried.iter().any(|(other, its)| *its == level && other.kind == pan.kind && other.drums == pan.drums) {
            continue;
        }
        tried.push((pan, level));
        let played = Played::new(tune, part, pan, level);
        if worst.as_ref().is_none_or(|other| played.total() > other.total()) {
            worst = Some(played);
        }
    }
    let Some(played) = worst else { return Vec::new() };
    let mut findings = Vec::new();
    if played.total() > 0 {
        findings.extend(too_fast(tune, part, &played));
    }
    findings.extend(crossed(tune, part, &played));
    findings
}

/// One finding for what nobody can play, one for what is too fast for this player or nearly too fast for anybody.
fn too_fast(tune: &Tune, part: usize, played: &Played) -> Vec<Finding> {
    let sure = Played::slower(tune, part, played.pan, Level::Experienced, sure());
    let beyond: BTreeSet<(usize, u32)> = late(&sure).map(|stroke| sure.bar(tune, part, stroke)).collect();
    let mut findings = Vec::new();
    if !beyond.is_empty() {
        let best = Played::new(tune, part, played.pan, Level::Experienced);
        let mut strokes: Vec<usize> =
            late(&best).filter(|stroke| beyond.contains(&best.bar(tune, part, *stroke))).collect();
        if strokes.is_empty() {
            strokes = late(&best).collect();
        }
        if !strokes.is_empty() {
            findings.push(told(tune, part, Severity::Error, &best, &strokes));
        }
    }
    let hard: Vec<usize> = late(played).filter(|stroke| !beyond.contains(&played.bar(tune, part, *stroke))).collect();
    if !hard.is_empty() {
        findings.push(told(tune, part, Severity::Warning, played, &hard));
    }
    findings
}

fn late(played: &Played) -> impl Iterator<Item = usize> {
    (0..played.late.len()).filter(|stroke| played.late[*stroke] > 0)
}

/// A finding for these strokes; the worst of them is described.
fn told(tune: &Tune, part: usize, severity: Severity, played: &Played, strokes: &[usize]) -> Finding {
    let worst =
        *strokes.iter().max_by_key(|stroke| (played.late[**stroke], std::cmp::Reverse(**stroke))).expect("late");
    let at = found(tune, part, played, worst);
    let own = Places { spans: vec![at.span], section: at.section, bar: at.bar };
    let mut others: Vec<Found> = strokes.iter().map(|stroke| found(tune, part, played, *stroke)).collect();
    others.retain(|other| other.span != at.span);
    let others = Places::of(&others).map_or_else(Vec::new, |places| places.spans);
    let section = &tune.sections[at.section];
    let known = if severity == Severity::Error { ", faster than any known hands" } else { "" };
    let message = format!(
        "{}{known}: {}",
        way_in_words(played, worst),
        tempos(section.tempo, played.late_possible(tune, part, worst), played.hands.level())
    );
    let mut finding = Finding::new(severity, &TOO_FAST, message)
        .at(&tune.source, at.span)
        .label(own.name(tune))
        .part(&tune.parts[part].name)
        .more(&tune.source, &others);
    if let Some(help) = swing::straight(tune, part, played, worst, section.tempo) {
        finding = finding.help(help);
    }
    if let Some(help) = freed(tune, part, played, worst) {
        finding = finding.help(help);
        // Nothing else has to change then.
        if played.is_possible_freed() {
            return finding;
        }
    }
    if let Some(help) = whole(tune, played) {
        finding = finding.help(help);
    }
    if let Some(help) = shared(tune, part, played) {
        finding = finding.help(help);
    }
    let finding = finding.help("or leave a stroke out, or choose notes that lie closer together");
    match (severity, played.hands.level()) {
        (Severity::Error, _) | (_, Level::Experienced) => finding,
        _ => finding.help("this is an estimate: if your player manages it, raise their `level` in the band file"),
    }
}

/// What would be possible at the worst stroke if the tune did not say which stick strikes what, if that is more.
fn freed(tune: &Tune, part: usize, played: &Played, worst: usize) -> Option<String> {
    let share = played.bar_freed(tune, part, worst)??;
    if played.bar_possible(tune, part, worst).is_some_and(|bound| bound >= share) {
        return None;
    }
    let possible = limit::at(tune.sections[found(tune, part, played, worst).section].tempo, share);
    let level = played.hands.level().somebody();
    Some(format!(
        "without the sticks written here it is possible {possible} for {level}: take their letters out, or choose others"
    ))
}

/// `comfortable up to 92, possible up to 104 for an intermediate player`.
fn tempos(written: Tempo, share: Option<Share>, level: Level) -> String {
    let Some(share) = share else { return limit::AT_NO_TEMPO.to_owned() };
    format!(
        "comfortable up to {}, possible up to {} for {}",
        limit::beats(written, share, COMFORTABLE),
        limit::beats(written, share, 1.0),
        level.somebody()
    )
}

/// What the worst way of a stroke is, in words.
fn way_in_words(played: &Played, stroke: usize) -> String {
    let way = played.ways.iter().filter(|way| way.stroke == stroke).max_by_key(|way| way.late);
    let Some(way) = way.filter(|way| way.late > 0) else {
        let (from, to) = (played.line.strokes[stroke.saturating_sub(1)], played.line.strokes[stroke]);
        let (from, to, time) = (name(played, from.note), name(played, to.note), to.at - from.at);
        return format!("the player can't turn from {from} to {to} in {}", seconds(time));
    };
    let to = name(played, way.to);
    match way.from {
        Some(from) if from == way.to => format!("{to} twice is too fast for one stick ({})", seconds(way.time)),
        Some(from) => format!("{} to {to} is too fast for one stick ({})", name(played, from), seconds(way.time)),
        None => format!("no stick can be at {to} in time"),
    }
}

fn seconds(micros: i64) -> String {
    format!("{:.2} s", micros.max(0) as f64 / 1e6)
}

/// `C4 on the left drum`.
fn name(played: &Played, place: Place) -> String {
    let note = played.hands.note(place);
    let drum = match (played.pan.drums.len(), note.drum) {
        (1, _) => return format!("`{}`", note.name),
        (2, 0) => "the left drum".to_owned(),
        (2, _) => "the right drum".to_owned(),
        (3, 1) => "the middle drum".to_owned(),
        (3, drum) => format!("the {} drum", if drum == 0 { "left" } else { "right" }),
        (_, drum) => format!("drum {}", drum + 1),
    };
    format!("`{}` on {drum}", note.name)
}

/// The tempo limit of the whole part.
fn whole(tune: &Tune, played: &Played) -> Option<String> {
    let share = played.possible()?;
    let level = played.hands.level().somebody();
    Some(format!("play it slower: {level} can play the whole part {}", limit::or_slower(tune, share)))
}

/// How two players can share the part, if that helps.
fn shared(tune: &Tune, part: usize, played: &Played) -> Option<String> {
    if played.line.strokes.len() > LONGEST_SHARED {
        return None;
    }
    let best = share(tune, part, played.pan, &played.hands).into_iter().next()?;
    if best.limit <= played.possible() {
        return None;
    }
    let how = format!("`panfold share {} --part {}`", tune.source.name(), tune.parts[part].name);
    Some(format!("share it between two players, {}, {}: {how}", best.split.what(), limit::or_slower(tune, best.limit?)))
}

/// Hands crossed often.
fn crossed(tune: &Tune, part: usize, played: &Played) -> Option<Finding> {
    let strokes: BTreeSet<usize> = played.ways.iter().filter(|way| way.crossed).map(|way| way.stroke).collect();
    if strokes.len() < MANY_CROSSINGS.1 || strokes.len() * MANY_CROSSINGS.0 < played.line.strokes.len() {
        return None;
    }
    let found: Vec<Found> = strokes.iter().map(|stroke| found(tune, part, played, *stroke)).collect();
    let places = Places::of(&found)?;
    let times = words::count(strokes.len(), "time");
    let message =
        format!("the hands cross {times} on `{}`, however you share the strokes between the sticks", played.pan.name);
    let finding = Finding::advice(&CROSSED_HANDS, message)
        .help("another octave or another order of the notes may help; or write the sticks that you prefer")
        .part(&tune.parts[part].name);
    Some(places.mark(tune, finding))
}

#[cfg(test)]
#[path = "sticks_tests.rs"]
mod tests;

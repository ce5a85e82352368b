//! What to say about pans that parts share: which, why, and what could be done instead.

use std::collections::BTreeMap;

use super::seat::{Seats, SharePans};
use super::share_out::seats;
use crate::exchange::findings::PANS_SHARED;
use crate::exchange::score::{On, Score};
use crate::pan::Band;
use crate::text::{Finding, Severity, words};

/// How many shared pans are listed; our own setting.
const NAMED: usize = 4;

/// What is to be said.
///
/// - `score`, `found`: the music before rows were made into one, and its seats;
/// - `names`: what its parts are called.
pub fn shared(score: &Score, band: &Band, names: &[String], found: &Seats, share: SharePans) -> Vec<Finding> {
    if score.ours {
        return Vec::new();
    }
    let advice = |message: String| Finding::new(Severity::Advice, &PANS_SHARED, message);
    let groups = groups(found, band, names);
    let mut findings = Vec::new();
    let parts = words::count(score.parts.iter().filter(|part| part.on == On::Pan).count(), "part");
    let strokes = |missing: u64| words::count(usize::try_from(missing).unwrap_or(usize::MAX), "stroke");
    match share {
        SharePans::IfNeeded if !groups.is_empty() => {
            let pans = words::count(band.pans.len(), "pan");
            let message = format!("{parts} on {pans}: {}", words::and(&said(&groups, "share")));
            findings.push(advice(message).help("`--share-pans merged` makes one part of them, of two notes at a time"));
        }
        SharePans::Rows if !groups.is_empty() => {
            let message = format!("{}, so that fewer strokes are missing", words::and(&said(&groups, "share")));
            findings.push(advice(message).help("`--share-pans merged` makes one part of them, of two notes at a time"));
        }
        SharePans::Merged if !groups.is_empty() => {
            findings.push(advice(words::and(&said(&groups, "become one part at"))));
        }
        _ => {}
    }
    if share == SharePans::IfNeeded && found.missing > 0 {
        let otherwise = seats(score, Some(band), SharePans::Rows);
        if otherwise.missing < found.missing {
            let message = format!(
                "with a pan for each part {} are missing in every octave; {} if parts may share pans",
                strokes(found.missing),
                otherwise.missing
            );
            let help = "`--share-pans rows` lets them, each with its own row; `--share-pans merged` makes one part of those that \
                        share, of two notes at a time";
            findings.push(advice(message).help(help));
        }
    }
    findings
}

/// The pans that are shared, each with the names of its parts.
fn groups(found: &Seats, band: &Band, names: &[String]) -> Vec<(String, Vec<String>)> {
    let mut of_pan: BTreeMap<usize, Vec<String>> = BTreeMap::new();
    for (seat, name) in found.seats.iter().zip(names) {
        if let Some(pan) = seat.pan {
            of_pan.entry(pan).or_default().push(format!("`{name}`"));
        }
    }
    let shared = of_pan.into_iter().filter(|(_, names)| names.len() > 1);
    shared.map(|(pan, names)| (format!("`{}`", band.pans[pan].pan.name), names)).collect()
}

/// "`alto` and `tenor` share `Market seconds`", one for each pan.
fn said(groups: &[(String, Vec<String>)], verb: &str) -> Vec<String> {
    let one = |(pan, names): &(String, Vec<String>)| format!("{} {verb} {pan}", words::and(names));
    let mut said: Vec<String> = groups.iter().take(NAMED).map(one).collect();
    if groups.len() > NAMED {
        said.push(words::count(groups.len() - NAMED, "more pan"));
    }
    said
}

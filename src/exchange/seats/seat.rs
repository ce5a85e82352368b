//! What a part is played on, and why.

use super::candidates::Candidate;
use crate::exchange::names::word;
use crate::exchange::score::Part;
use crate::music::Pitch;
use crate::pan::{Band, Instrument, PanKind};

/// When parts may share a pan.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum SharePans {
    /// Where there are more parts than pans.
    #[default]
    IfNeeded,
    /// Wherever fewer strokes are missing that way; each keeps its own row.
    Rows,
    /// The same, and the rows of a pan become one, of at most two notes at a time.
    Merged,
}

/// What a part is played on, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Seat {
    /// The kind of pan or instrument, as the notation names it. A tune names only the kind, so that others of it may double the part.
    pub on: &'static str,
    /// Why, as half a sentence.
    pub why: String,
    /// The name that the part needs, since the pan's player takes only parts of that name.
    pub name: Option<String>,
    /// The number of the pan among the band's (without a band, among the layouts); `None` for percussion, and where there is no pan of
    /// the kind that is asked for.
    pub pan: Option<usize>,
    /// What that pan is called.
    pub pan_name: Option<String>,
}

impl Seat {
    fn new(on: &'static str, why: impl Into<String>) -> Seat {
        Seat { on, why: why.into(), name: None, pan: None, pan_name: None }
    }
}

/// The seats of a score, and what is missing with them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Seats {
    /// One for each part.
    pub seats: Vec<Seat>,
    /// Strokes that their pan has in no octave, with the form played out.
    pub missing: u64,
}

/// The seat of a part for whose kind there is no pan.
pub(super) fn nowhere(part: &Part, is_band: bool) -> Seat {
    let Some(kind) = part.kind else { return Seat::new(PanKind::Lead.name(), "there is no pan to choose from") };
    let none = if is_band { "; the band has none" } else { "" };
    Seat::new(kind.name(), format!("the file says so{none}"))
}

/// The seat of a part on a pan. `may_name`: whether the part may be called what the pan's player usually plays.
pub(super) fn seat(part: &Part, candidate: &Candidate, is_band: bool, may_name: bool) -> Seat {
    let pitches: Vec<Pitch> = part.pitches().collect();
    let covered = pitches.iter().filter(|pitch| candidate.notes.has(**pitch)).count();
    let mut seat = Seat {
        pan: Some(candidate.number),
        pan_name: Some(candidate.name.to_owned()),
        ..Seat::new(candidate.kind.name(), why(&pitches, covered, candidate, is_band))
    };
    if part.kind.is_some() {
        seat.why = format!("the file says so; {}", seat.why);
    }
    let name = word(&part.name);
    if may_name && !candidate.plays.is_empty() && !candidate.plays.contains(&name) {
        seat.name = candidate.plays.first().cloned();
        if !name.is_empty() {
            seat.why
                .push_str(&format!("; its player takes it as `{}`, the file calls it `{name}`", candidate.plays[0]));
        }
    }
    seat
}

fn why(pitches: &[Pitch], covered: usize, candidate: &Candidate, is_band: bool) -> String {
    let (Some(low), Some(high)) = (pitches.iter().min(), pitches.iter().max()) else { return "it has no notes".into() };
    let name = if is_band { format!("`{}`", candidate.name) } else { format!("the layout `{}`", candidate.name) };
    let range = if low == high { low.to_string() } else { format!("{low} to {high}") };
    let all = pitches.len();
    if covered == all {
        format!("{name} has all its notes, {range}")
    } else {
        format!("{name} has {covered} of its {all} notes, {range}")
    }
}

/// The seat of a part for an instrument of the engine room.
pub(super) fn percussion(instrument: Instrument, band: Option<&Band>) -> Seat {
    let player = band.and_then(|band| band.percussion.iter().find(|own| own.instrument == instrument));
    let why = match (player, band) {
        (Some(own), _) => format!("`{}` is one", own.name),
        (None, Some(_)) => "the band has none".to_owned(),
        (None, None) => "percussion".to_owned(),
    };
    Seat::new(instrument.name(), why)
}

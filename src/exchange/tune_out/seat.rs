//! Which pan a part is for: by the notes that it strikes, by what its name says, and by who has no part yet.

use crate::music::Pitch;
use crate::pan::{Band, Instrument, NoteSet, PanKind, layouts};

use crate::exchange::names::word;
use crate::exchange::score::{On, Part, Score};

/// Below this, a part's middle note is a bass's: C3. The lowest note of a cello is B2, the highest of a nine bass F#3.
const BASS_BELOW: f64 = 48.0;

/// What a part is played on, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Seat {
    /// The kind of pan or instrument, as the notation names it.
    pub on: &'static str,
    /// Why, as half a sentence.
    pub why: String,
    /// What the part is to be called, since the pan's player takes only parts of that name.
    pub name: Option<String>,
}

impl Seat {
    fn new(on: &'static str, why: impl Into<String>) -> Seat {
        Seat { on, why: why.into(), name: None }
    }
}

/// A pan that could take a part.
struct Candidate<'a> {
    kind: PanKind,
    name: &'a str,
    notes: NoteSet,
    plays: &'a [String],
    taken: bool,
}

/// A seat for each part: on the band's pans if there is one, else on the built-in layouts.
pub fn seats(score: &Score, band: Option<&Band>) -> Vec<Seat> {
    let mut candidates: Vec<Candidate> = match band {
        Some(band) => band.pans.iter().map(|own| candidate(&own.pan, &own.plays)).collect(),
        None => Vec::new(),
    };
    if candidates.is_empty() {
        let usual = layouts::layouts().iter().filter(|pan| {
            let is_asked = score.parts.iter().any(|part| part.kind == Some(pan.kind));
            pan.kind != PanKind::PingPong || is_asked
        });
        candidates = usual.map(|pan| candidate(pan, &[])).collect();
    }
    let mut seats = vec![Seat::new(PanKind::Lead.name(), ""); score.parts.len()];
    // The highest part chooses first.
    let mut order: Vec<(usize, f64)> = (0..score.parts.len()).map(|part| (part, middle(&score.parts[part]))).collect();
    order.sort_by(|a, b| b.1.total_cmp(&a.1));
    let mut is_first = true;
    for (number, middle) in order {
        let part = &score.parts[number];
        match part.on {
            On::Percussion(instrument) => seats[number] = percussion(instrument, band),
            On::Pan => {
                let name = if score.ours { part.name.clone() } else { word(&part.name) };
                seats[number] = seat(part, &name, middle, is_first, &mut candidates, band.is_some());
                if score.ours {
                    seats[number].name = None;
                }
                is_first = false;
            }
        }
    }
    seats
}

fn candidate<'a>(pan: &'a crate::pan::Pan, plays: &'a [String]) -> Candidate<'a> {
    Candidate { kind: pan.kind, name: &pan.name, notes: pan.note_set(), plays, taken: false }
}

/// The mean pitch of a part; 0 for one without notes.
fn middle(part: &Part) -> f64 {
    let (mut sum, mut count) = (0.0, 0.0);
    for pitch in part.pitches() {
        sum += f64::from(pitch.key());
        count += 1.0;
    }
    if count == 0.0 { 0.0 } else { sum / count }
}

fn seat(part: &Part, name: &str, middle: f64, is_first: bool, candidates: &mut [Candidate], is_band: bool) -> Seat {
    let pitches: Vec<Pitch> = part.pitches().collect();
    let is_asked = |candidate: &Candidate| part.kind.is_none_or(|kind| kind == candidate.kind);
    if let Some(kind) = part.kind.filter(|_| !candidates.iter().any(is_asked)) {
        let none = if is_band { "; the band has none" } else { "" };
        return Seat::new(kind.name(), format!("the file says so{none}"));
    }
    let hint = hint(name, middle, is_first);
    let covered = |candidate: &Candidate| pitches.iter().filter(|pitch| candidate.notes.has(**pitch)).count();
    let fits = |candidate: &Candidate| {
        let named = candidate.plays.iter().any(|plays| plays == name);
        // A player who takes parts of some names takes one more under one of them.
        let usable = candidate.plays.is_empty() || named || !candidate.taken;
        let apart = (middle - mean(candidate.notes)).abs();
        let hinted = hint.is_some_and(|hint| hint == candidate.kind || hint.is_bass() && candidate.kind.is_bass());
        // Whole percents, so that one odd note of a long part does not decide.
        let percent = covered(candidate) * 100 / pitches.len().max(1);
        (named, usable, percent, hinted, !candidate.taken, -(apart as i64))
    };
    let asked = (0..candidates.len()).rev().filter(|number| is_asked(&candidates[*number]));
    let best = asked.max_by_key(|number| fits(&candidates[*number]));
    let Some(best) = best else { return Seat::new(PanKind::Lead.name(), "there is no pan to choose from") };
    let best = &mut candidates[best];
    let mut seat = Seat::new(best.kind.name(), why(&pitches, covered(best), best, is_band));
    if part.kind.is_some() {
        seat.why = format!("the file says so; {}", seat.why);
    }
    if !best.plays.is_empty() && !best.plays.iter().any(|plays| plays == name) && !best.taken {
        seat.name = best.plays.first().cloned();
        if !name.is_empty() {
            seat.why.push_str(&format!("; its player takes it as `{}`, the file calls it `{name}`", best.plays[0]));
        }
    }
    best.taken = true;
    seat
}

/// What kind a part's name or place asks for.
fn hint(name: &str, middle: f64, is_first: bool) -> Option<PanKind> {
    // A voice called tenor or alto is no pan's: the words mean leads and double tenors in the trade, voices elsewhere.
    let word = |word: &str| PanKind::from_name(word).filter(|_| !matches!(word, "tenor" | "alto"));
    let named = word(name).or_else(|| name.split('-').find_map(word));
    named.or_else(|| is_first.then_some(PanKind::Lead)).or_else(|| (middle < BASS_BELOW).then_some(PanKind::SixBass))
}

fn mean(notes: NoteSet) -> f64 {
    let sum: f64 = notes.iter().map(|pitch| f64::from(pitch.key())).sum();
    sum / notes.len().max(1) as f64
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

fn percussion(instrument: Instrument, band: Option<&Band>) -> Seat {
    let player = band.and_then(|band| band.percussion.iter().find(|own| own.instrument == instrument));
    let why = match (player, band) {
        (Some(own), _) => format!("`{}` is one", own.name),
        (None, Some(_)) => "the band has none".to_owned(),
        (None, None) => "percussion".to_owned(),
    };
    Seat::new(instrument.name(), why)
}

#[cfg(test)]
#[path = "seat_tests.rs"]
mod seat_tests;
#[cfg(test)]
mod tests {
    use super::*;
    use crate::exchange::score::{Manner, Note, Struck};
    use crate::kit;
    use crate::music::Length;

    pub(super) fn part(name: &str, on: On, keys: &[u8]) -> Part {
        let note = |key: &u8| Note {
            measure: 0,
            start: Length::ZERO,
            length: Length::quarters(1, 1),
            struck: Struck::Notes(vec![Pitch::new(*key).expect("a key")]),
            manner: Manner::default(),
            tied: false,
            open: false,
        };
        Part { name: name.into(), from: 1, on, kind: None, notes: keys.iter().map(note).collect() }
    }

    pub(super) fn chosen(parts: Vec<Part>, band: Option<&str>) -> Vec<(&'static str, Option<String>, String)> {
        let band = band.map(kit::band);
        let score = Score { parts, ..Score::default() };
        seats(&score, band.as_deref()).into_iter().map(|seat| (seat.on, seat.name, seat.why)).collect()
    }

    const BAND: &str = "name = \"B\"\n[[pan]]\nname = \"Red\"\nlayout = \"lead-c\"\nplays = [\"tune\"]\n\
                        [[pan]]\nname = \"Second\"\nlayout = \"double-second\"\n[[pan]]\nname = \"Six\"\nlayout = \"six-bass\"\n\
                        [[percussion]]\nname = \"Drum\"\nkind = \"iron\"\n";

    #[test]
    fn parts_go_to_the_pans_that_have_their_notes() {
        let parts = vec![
            part("Tuba", On::Pan, &[36, 43, 48]),
            part("Voice", On::Pan, &[74, 79, 83]),
            part("Viola", On::Pan, &[60, 67, 71]),
            part("", On::Percussion(Instrument::Iron), &[]),
        ];
        let found = chosen(parts.clone(), Some(BAND));
        let seats: Vec<_> = found.iter().map(|(on, name, _)| (*on, name.as_deref())).collect();
        assert_eq!(seats, [("six-bass", None), ("lead", Some("tune")), ("double-second", None), ("iron", None)]);
        assert!(
            found[1].2.starts_with("`Red` has all its notes, D5 to B5; its player takes it as `tune`"),
            "{}",
            found[1].2
        );
        assert_eq!(found[3].2, "`Drum` is one");
        // Without a band the built-in layouts stand for it.
        let alone: Vec<_> = chosen(parts, None).into_iter().map(|(on, ..)| on).collect();
        assert_eq!((alone[1], alone[3]), ("lead", "iron"));
        assert!(alone[0].ends_with("bass"));
    }

    #[test]
    fn names_decide_where_notes_do_not() {
        let parts = vec![part("Guitar", On::Pan, &[55, 57, 60]), part("Cellos", On::Pan, &[55, 57, 60])];
        let kinds: Vec<_> = chosen(parts, None).into_iter().map(|(on, ..)| on).collect();
        assert_eq!(kinds, ["double-guitar", "triple-cello"]);
    }
}

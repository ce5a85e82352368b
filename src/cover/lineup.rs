//! The lineup: who plays what, how much, in which register, and what that does to the lead and to the middle. What is struck at the same
//! moment counts, but not what doubles the same notes; dynamics are not looked at.

use std::collections::{BTreeMap, BTreeSet};

use crate::music::{Length, Pitch};
use crate::pan::{NoteSet, Piece};
use crate::text::{Finding, Kind, words};
use crate::tune::model::{Player, Struck};
use crate::tune::{Section, Tune};

/// The lead is hard to hear.
pub static MASKED_LEAD: Kind = Kind {
    name: "masked-lead",
    what: "In a section, other pans often strike together with the lead, close to it or above it.",
    why: "The ear follows the highest voice, and two notes within about three semitones of each other cover one another. Leave it if you want it that way; otherwise move the other part down, let it rest, or mark it softer.",
};

/// Too many in one octave.
pub static CROWDED_MIDDLE: Kind = Kind {
    name: "crowded-middle",
    what: "In a section, three or more of the middle pans often strike different notes of one octave at the same time.",
    why: "A strum is heard best when it has an octave to itself, or beats to itself. Common practice, no source.",
};

/// How far below the lead a note may lie and still cover it, in semitones: 3. Two tones cover each other within a critical
/// band; by Zwicker and Terhardt (J. Acoust. Soc. Am. 68, 1980) it is 25 + 75 (1 + 1.4 f²)^0.69 Hz wide (f in kHz), which is
/// 2.4 to 3.6 semitones between C5 and E6, where leads play. The formula is from memory.
pub const NEAR: i32 = 3;

/// The share of a section's strokes (of the lead, or of the middle) from which on this is reported: a third. Our own setting.
const OFTEN: u64 = 3;

/// How many middle pans at once crowd an octave. Our own setting.
const CROWD: usize = 3;

/// The registers of the balance: the lowest note of each but the first.
pub const REGISTERS: [&str; 4] = ["C3", "C4", "C5", "C6"];

/// What a part gives its player to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PartStrokes {
    /// Strokes with the form played out; a roll is one.
    pub strokes: u64,
    /// Notes struck in each register, the lowest first; both notes of a pair count. Empty for percussion.
    pub registers: Vec<u64>,
}

/// How much each part strikes, by its number.
pub fn parts(tune: &Tune) -> Vec<PartStrokes> {
    let starts: Vec<Pitch> = REGISTERS.iter().filter_map(|name| name.parse().ok()).collect();
    let of_part = |part: usize| {
        let pans = matches!(tune.parts[part].player, Player::Pans { .. });
        let mut count = PartStrokes { strokes: 0, registers: vec![0; if pans { starts.len() + 1 } else { 0 }] };
        for (section, ..) in tune.passes() {
            for event in tune.sections[section].rows[part].iter().flat_map(|row| &row.events) {
                count.strokes += 1;
                let Struck::Notes(notes) = &event.struck else { continue };
                for note in notes {
                    count.registers[starts.partition_point(|start| *start <= note.pitch)] += 1;
                }
            }
        }
        count
    };
    (0..tune.parts.len()).map(of_part).collect()
}

/// The parts that each pan and each piece of percussion of the band has in a tune, the pans first; none: it is not used.
pub fn players(tune: &Tune) -> BTreeMap<Piece, Vec<usize>> {
    let mut players: BTreeMap<Piece, Vec<usize>> = tune.band.pieces().map(|piece| (piece, Vec::new())).collect();
    for seat in &tune.seats {
        players.entry(seat.piece).or_default().push(seat.part);
    }
    players
}

/// The parts that nobody plays.
pub fn without_player(tune: &Tune) -> Vec<usize> {
    crate::people::unseated(tune).into_iter().map(|open| open.part).collect()
}

/// The part that carries the tune: the one that is called `lead`, else the first on a lead or a ping-pong.
pub fn lead(tune: &Tune) -> Option<usize> {
    let on_lead = |part: &usize| matches!(tune.parts[*part].player, Player::Pans { kind, .. } if kind.is_lead());
    let called = tune.part("lead").filter(|part| matches!(tune.parts[*part].player, Player::Pans { .. }));
    called.or_else(|| (0..tune.parts.len()).find(on_lead))
}

/// What each part strikes at one moment.
type Moment = BTreeMap<usize, NoteSet>;

/// The moments of a section at which pans strike, in order.
fn moments(tune: &Tune, section: &Section) -> Vec<Moment> {
    let mut moments: BTreeMap<Length, Moment> = BTreeMap::new();
    for (part, row) in section.rows.iter().enumerate() {
        if !matches!(tune.parts[part].player, Player::Pans { .. }) || tune.parts[part].version.is_some() {
            continue;
        }
        for event in row.iter().flat_map(|row| &row.events) {
            let Struck::Notes(notes) = &event.struck else { continue };
            let notes: NoteSet = notes.iter().map(|note| note.pitch).collect();
            let at = moments.entry(event.start).or_default().entry(part).or_default();
            *at = at.or(notes);
        }
    }
    moments.into_values().collect()
}

/// Advice on the balance of a tune, section by section, of those that are played.
pub fn balance(tune: &Tune) -> Vec<Finding> {
    let played: BTreeSet<usize> = tune.form.iter().map(|step| step.section).collect();
    let lead = lead(tune);
    let mut findings = Vec::new();
    for section in played.into_iter().map(|number| &tune.sections[number]) {
        let moments = moments(tune, section);
        findings.extend(lead.and_then(|lead| masked(tune, section, lead, &moments)));
        findings.extend(crowded(tune, section, lead, &moments));
    }
    findings.sort_by_key(|finding| finding.place.as_ref().map(|place| place.span));
    findings
}

/// Whether a note covers the lead's: it is another (an octave of the same only strengthens it), and as high, higher, or just
/// below.
fn covers(note: Pitch, lead: Pitch) -> bool {
    note.class() != lead.class() && note.semitones_to(lead) <= NEAR
}

fn masked(tune: &Tune, section: &Section, lead: usize, moments: &[Moment]) -> Option<Finding> {
    let (mut all, mut masked) = (0, 0);
    let mut by_part: BTreeMap<usize, u64> = BTreeMap::new();
    for moment in moments {
        let Some(top) = moment.get(&lead).and_then(|notes| notes.highest()) else { continue };
        all += 1;
        let own = moment[&lead];
        let others = moment.iter().filter(|(part, _)| **part != lead);
        let over = others.filter(|(_, notes)| notes.without(own).iter().any(|note| covers(note, top)));
        let over: Vec<usize> = over.map(|(part, _)| *part).collect();
        masked += u64::from(!over.is_empty());
        over.into_iter().for_each(|part| *by_part.entry(part).or_insert(0) += 1);
    }
    if masked == 0 || OFTEN * masked < all {
        return None;
    }
    let mut by_part: Vec<(usize, u64)> = by_part.into_iter().collect();
    by_part.sort_by_key(|(part, count)| (std::cmp::Reverse(*count), *part));
    let said = by_part.iter().map(|(part, count)| format!("`{}` {}", tune.parts[*part].name, times(*count)));
    let said = words::and(&said.collect::<Vec<String>>());
    let name = &tune.parts[lead].name;
    let message =
        format!("`{name}` may be drowned out: another pan plays close to or above it in {masked} of {all} strokes");
    let finding = Finding::advice(&MASKED_LEAD, message).at(&tune.source, section.span).part(name);
    Some(finding.label(said).help(format!(
        "move `{}` down, let it rest while `{name}` plays, or mark it softer; or leave it if you want it that way",
        tune.parts[by_part[0].0].name
    )))
}

fn times(count: u64) -> String {
    if count == 1 { "once".to_owned() } else { format!("{count} times") }
}

/// Whether a part is one of the middle: on pans, and neither the lead, nor on a lead pan, nor a bass.
fn is_middle(tune: &Tune, part: usize) -> bool {
    matches!(tune.parts[part].player, Player::Pans { kind, .. } if kind.is_middle())
}

fn crowded(tune: &Tune, section: &Section, lead: Option<usize>, moments: &[Moment]) -> Option<Finding> {
    let (mut all, mut crowded) = (0, 0);
    let mut who: BTreeSet<usize> = BTreeSet::new();
    for moment in moments {
        let middle = |part: usize| is_middle(tune, part) && Some(part) != lead;
        let struck: Vec<(usize, NoteSet)> =
            moment.iter().filter(|(part, _)| middle(**part)).map(|(part, notes)| (*part, *notes)).collect();
        all += u64::from(!struck.is_empty());
        if let Some(parts) = crowd(&struck) {
            crowded += 1;
            who.extend(parts);
        }
    }
    if crowded == 0 || OFTEN * crowded < all {
        return None;
    }
    let names: Vec<String> = who.iter().map(|part| format!("`{}`", tune.parts[*part].name)).collect();
    let message =
        format!("the middle pans crowd one octave: {CROWD} or more of them strike in it at {crowded} of {all} moments");
    let finding = Finding::advice(&CROWDED_MIDDLE, message).at(&tune.source, section.span).label(words::and(&names));
    Some(finding.help("move one of them to another octave, let it strike at other moments, or let it rest"))
}

/// The parts that strike within one octave, if there are enough for a crowd; parts that strike the same notes are one voice.
fn crowd(struck: &[(usize, NoteSet)]) -> Option<Vec<usize>> {
    let bottoms: NoteSet = struck.iter().map(|(_, notes)| *notes).fold(NoteSet::EMPTY, NoteSet::or);
    let in_octave = |bottom: Pitch| {
        let inside = |note: Pitch| (0..12).contains(&bottom.semitones_to(note));
        let parts: Vec<&(usize, NoteSet)> = struck.iter().filter(|(_, notes)| notes.iter().any(inside)).collect();
        let mut voices: Vec<NoteSet> = Vec::new();
        parts.iter().for_each(|(_, notes)| {
            if !voices.contains(notes) {
                voices.push(*notes);
            }
        });
        (voices.len() >= CROWD).then(|| parts.iter().map(|(part, _)| *part).collect())
    };
    bottoms.iter().find_map(in_octave)
}

#[cfg(test)]
#[path = "lineup_tests.rs"]
mod tests;

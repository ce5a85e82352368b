//! The pans that could take the parts of a score.

use crate::exchange::score::Score;
use crate::pan::{Band, NoteSet, Pan, PanKind, Piece, layouts};

/// A pan that could take parts.
pub(super) struct Candidate<'a> {
    /// Its kind.
    pub kind: PanKind,
    /// What it is called.
    pub name: &'a str,
    /// Its number among the band's pans, or among the layouts.
    pub number: usize,
    /// Its notes.
    pub notes: NoteSet,
    /// The parts that the band usually gives it.
    pub plays: &'a [String],
    /// Who plays it, by their number in the band; the pan's own number where nobody is named.
    pub players: Vec<usize>,
}

/// The pans of a band that somebody plays; without a band all layouts, the ping-pong only where it is asked for.
pub(super) fn candidates<'a>(score: &Score, band: Option<&'a Band>) -> Vec<Candidate<'a>> {
    let own = band.map_or_else(Vec::new, |band| {
        let people = band.everybody();
        let of = |number: usize| {
            let plays = |player: &usize| people[*player].plays.contains(&Piece::Pan(number));
            (0..people.len()).filter(plays).collect()
        };
        let pans =
            band.pans.iter().enumerate().map(|(number, own)| candidate(&own.pan, number, &own.plays, of(number)));
        pans.filter(|candidate| !candidate.players.is_empty()).collect()
    });
    if !own.is_empty() {
        return own;
    }
    let is_asked =
        |pan: &&Pan| pan.kind != PanKind::PingPong || score.parts.iter().any(|part| part.kind == Some(pan.kind));
    let usual = layouts::layouts().iter().filter(is_asked);
    usual.enumerate().map(|(number, pan)| candidate(pan, number, &[], vec![number])).collect()
}

fn candidate<'a>(pan: &'a Pan, number: usize, plays: &'a [String], players: Vec<usize>) -> Candidate<'a> {
    Candidate { kind: pan.kind, name: &pan.name, number, notes: pan.note_set(), plays, players }
}

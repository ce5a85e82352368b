//! Notes struck together that lie too far apart for the sticks of those who play them.

use std::collections::BTreeMap;

use super::uses::{self, Found, Places};
use crate::hands::movement::{Hands, SPAN};
use crate::music::{Chord, Key, Length, Pitch};
use crate::pan::face::Sure;
use crate::pan::{Geometry, NoteSet, Pan};
use crate::text::{Finding, Kind, words};
use crate::tune::Tune;
use crate::tune::model::{Note, Player, Struck};

/// Two notes too far apart for one player.
pub(crate) static OUT_OF_REACH: Kind = Kind {
    name: "out-of-reach",
    what: "Notes are struck together that lie further apart than one player reaches.",
    why: "Both sticks strike at the same moment, so both notes must lie within the reach of two arms: 130 cm from middle to \
          middle, which is our own setting and the same for every level. On basses with six drums and more many notes lie further \
          apart. Nearby notes of the same chord sound as full, and a second player reaches the rest.",
};

/// A part's players: the notes that all their pans have, their hands, and the pans.
struct Players<'a> {
    set: NoteSet,
    hands: Vec<Hands>,
    pans: Vec<&'a Pan>,
}

impl<'a> Players<'a> {
    /// `None` for percussion, and where the band has no pan for the part, which is reported elsewhere.
    fn of(tune: &'a Tune, part: usize) -> Option<Players<'a>> {
        let Player::Pans { pans, .. } = &tune.parts[part].player else { return None };
        let pan = |number: &usize| &tune.band.pans[*number].pan;
        let set = pans.iter().map(|number| pan(number).note_set()).reduce(NoteSet::and)?;
        let level = |number: &usize| crate::people::level(tune, part, *number).0;
        let hands = pans.iter().map(|number| Hands::new(pan(number), level(number))).collect();
        Some(Players { set, hands, pans: pans.iter().map(pan).collect() })
    }

    /// How far it is from note to note, in mm, on the pan where the way is shortest; no way at all where a note is missing, which
    /// is reported elsewhere.
    fn apart(&self, a: Pitch, b: Pitch) -> f64 {
        let on = |hands: &Hands| Some(hands.apart(hands.place(a)?, hands.place(b)?));
        self.hands.iter().filter_map(on).reduce(f64::min).unwrap_or(0.0)
    }

    /// How far one player has to reach at least when these notes are shared out, one or two to a player, in mm; `None` when there are
    /// too many. Cost: all ways to pair the notes, of which a stroke has at most eight.
    fn least_reach(&self, notes: &[Pitch]) -> Option<f64> {
        self.shared(notes, self.hands.len())
    }

    fn shared(&self, notes: &[Pitch], players: usize) -> Option<f64> {
        let Some((first, rest)) = notes.split_first() else { return Some(0.0) };
        let players = players.checked_sub(1)?;
        let alone = self.shared(rest, players);
        let paired = (0..rest.len()).filter_map(|i| {
            let others: Vec<Pitch> = [&rest[..i], &rest[i + 1..]].concat();
            Some(self.shared(&others, players)?.max(self.apart(*first, rest[i])))
        });
        alone.into_iter().chain(paired).reduce(f64::min)
    }
}

/// Whether the pan's file doesn't say which drum its notes are on, or where on it.
fn is_assumed(pan: &Pan) -> bool {
    let unsure = |sure: Sure| matches!(sure, Sure::Schematic | Sure::Placeholder);
    unsure(pan.sureness.drums) || unsure(pan.sureness.rings) || !Geometry::of(pan).is_told()
}

/// A stroke of several notes.
struct Stroke<'a> {
    at: Found,
    start: Length,
    notes: &'a Vec<Note>,
}

/// All strokes out of reach, one finding a part and choice of notes.
pub fn reach(tune: &Tune) -> Vec<Finding> {
    (0..tune.parts.len()).flat_map(|part| of_part(tune, part)).collect()
}

/// The same for one part.
pub fn of_part(tune: &Tune, part: usize) -> Vec<Finding> {
    let Player::Pans { pans, .. } = &tune.parts[part].player else { return Vec::new() };
    let mut found: BTreeMap<Vec<Pitch>, Vec<Stroke>> = BTreeMap::new();
    for (section, _, event) in uses::events(tune, part) {
        let Struck::Notes(notes) = &event.struck else { continue };
        if notes.len() > pans.len().max(1) {
            let pitches = notes.iter().map(|note| note.pitch).collect();
            let at = Found { span: event.span, section, bar: event.bar };
            found.entry(pitches).or_default().push(Stroke { at, start: event.start, notes });
        }
    }
    if found.is_empty() {
        return Vec::new();
    }
    let Some(players) = Players::of(tune, part) else { return Vec::new() };
    let far = |(pitches, strokes): (Vec<Pitch>, Vec<Stroke>)| {
        let apart = players.least_reach(&pitches).filter(|apart| *apart > SPAN)?;
        finding(tune, part, &players, apart, &strokes)
    };
    found.into_iter().filter_map(far).collect()
}

fn finding(tune: &Tune, part: usize, players: &Players, apart: f64, strokes: &[Stroke]) -> Option<Finding> {
    let places = Places::of(&strokes.iter().map(|stroke| stroke.at).collect::<Vec<_>>())?;
    let first = strokes.iter().min_by_key(|stroke| stroke.at)?;
    let section = &tune.sections[first.at.section];
    let names: Vec<String> = first.notes.iter().map(|note| name(tune, section.key, note)).collect();
    let (apart, span) = (centimetres(apart), centimetres(SPAN));
    let message = match players.hands.len() {
        1 => format!("{} lie {apart} cm apart, and two hands reach {span} cm", words::and(&names)),
        n => format!(
            "{n} players share {}: one has to reach {apart} cm, and two hands reach {span} cm",
            words::and(&names)
        ),
    };
    let mut finding = Finding::warning(&OUT_OF_REACH, message).part(&tune.parts[part].name);
    if let [a, b] = first.notes.as_slice() {
        let helps = nearer(players, section.key, section.chord_at(first.start), [a.pitch, b.pitch]);
        finding = helps.into_iter().fold(finding, Finding::help);
    }
    finding = finding.help("or give one of the notes to another part");
    if let Some(Pan { name: pan, .. }) = players.pans.iter().find(|pan| is_assumed(pan)) {
        finding = finding.help(format!(
            "panfold assumes where the notes of `{pan}` lie: if yours lie elsewhere, describe it in a pan file"
        ));
    }
    Some(places.mark(tune, finding))
}

/// A note as it is written, or spelled in the key if it is in no file.
fn name(tune: &Tune, key: Key, note: &Note) -> String {
    format!("`{}`", uses::named(tune, note.span, note.pitch, key))
}

/// Whole centimetres, rounded up: what is too far is never shown as just far enough.
fn centimetres(mm: f64) -> i64 {
    (mm / 10.0).ceil() as i64
}

/// What could be struck instead: the same two notes in other octaves, or two notes of the chord.
fn nearer(players: &Players, key: Key, chord: Option<Chord>, written: [Pitch; 2]) -> Vec<String> {
    let [a, b] = written.map(Pitch::class);
    let same = |low: Pitch, high: Pitch| [[a, b], [b, a]].contains(&[low.class(), high.class()]);
    let name = |(low, high): (Pitch, Pitch)| format!("`{}+{}`", key.spell(low), key.spell(high));
    let octaves = nearest(players, written, same).map(name);
    let of_chord = chord.and_then(|chord| {
        let of_it = |low: Pitch, high: Pitch| {
            let [low, high] = [low, high].map(Pitch::class);
            low != high && chord.has(low) && chord.has(high)
        };
        Some((name(nearest(players, written, of_it)?), chord))
    });
    let mut helps: Vec<String> =
        octaves.iter().map(|pair| format!("use other octaves, within reach: {pair}")).collect();
    if let Some((pair, chord)) = of_chord.filter(|(pair, _)| octaves.as_ref() != Some(pair)) {
        helps.push(format!("use two notes of `{chord}` within reach: {pair}"));
    }
    helps
}

/// The pair within reach that differs least from the written one, in semitones, of those that will do; the lower note first.
/// Seconds and the minor ninth are left out, since they grind.
fn nearest(players: &Players, written: [Pitch; 2], will_do: impl Fn(Pitch, Pitch) -> bool) -> Option<(Pitch, Pitch)> {
    let [low, high] = [written[0].min(written[1]), written[0].max(written[1])];
    let pairs = players.set.iter().flat_map(|a| players.set.iter().filter(move |b| *b > a).map(move |b| (a, b)));
    let fits = |(a, b): &(Pitch, Pitch)| {
        will_do(*a, *b) && !matches!(a.semitones_to(*b), 1 | 2 | 13) && players.apart(*a, *b) <= SPAN
    };
    pairs.filter(fits).min_by_key(|(a, b)| (a.semitones_to(low).abs() + b.semitones_to(high).abs(), *a, *b))
}

#[cfg(test)]
#[path = "reach_tests.rs"]
mod tests;

//! A pan against many tunes, and many pans against many tunes.

use rayon::prelude::*;

use super::extra::{Extra, extra};
use super::need::Need;
use super::share::{Cover, Share, cover, share};
use super::taken::Taken;
use super::verdict::{Now, verdict};
use super::wish::{Wanted, Wish, wishes};
use crate::music::Pitch;
use crate::pan::{NoteSet, Pan, PanKind};
use crate::tune::Tune;
use crate::tune::model::{Open, Player};

/// A part of a tune on a pan.
#[derive(Clone, Debug)]
pub struct Entry {
    /// The tune, by its place in the list.
    pub tune: usize,
    /// The number of the part.
    pub part: usize,
    /// The kind of pan that the part is written for.
    pub kind: PanKind,
    /// What it needs of this pan.
    pub need: Need,
    /// What the pan plays of it.
    pub cover: Cover,
    /// The fewest extra notes with which it would play everything.
    pub extra: Extra,
    /// By how many octaves it lies higher than on its own kind of pan, where its notes are chosen for the pan.
    pub octaves: i32,
    /// The numbers of the band's pans that play the part now, and what they play of it.
    pub now: Vec<(usize, Share)>,
}

impl Entry {
    /// What is said of the part on a pan, with the band's names for the pans that play it now.
    pub fn sentence(&self, pan: &Pan, tune: &Tune<Open>) -> String {
        let now = |(number, share): &(usize, Share)| {
            let of = &tune.band.pans[*number].pan;
            Now { name: &of.name, share: *share, itself: of == pan }
        };
        verdict(&self.cover, &self.extra, self.octaves, &self.now.iter().map(now).collect::<Vec<Now>>())
    }
}

/// What a pan is good for.
#[derive(Clone, Debug)]
pub struct Report {
    /// Its notes.
    pub set: NoteSet,
    /// Every part on pans, in the order of the tunes.
    pub entries: Vec<Entry>,
    /// The missing notes that it needs most, over the parts that are [in reach](Entry::is_in_reach); parts by their place in
    /// `entries`.
    pub wishes: Vec<Wish>,
}

impl Entry {
    /// Whether the part's missing notes count as notes that the pan should have: it is for this kind of pan, or the pan plays at
    /// least half of it.
    pub fn is_in_reach(&self, pan: &Pan) -> bool {
        self.cover.strokes > 0 && (self.kind == pan.kind || self.cover.is_in_reach())
    }

    /// How often a note of the part is struck.
    pub fn struck(&self, note: Pitch) -> u64 {
        self.need.notes().get(&note).copied().unwrap_or(0)
    }
}

/// Compares a pan with the parts of tunes; `chosen` says which parts. What a tune leaves open is chosen for this pan, and for each
/// of those that play the part now, as if it took the part alone.
pub fn report(pan: &Pan, tunes: &[Tune<Open>], chosen: impl Fn(&Tune<Open>, usize) -> bool) -> Report {
    let set = pan.note_set();
    let all: Vec<(usize, PanPart)> =
        tunes.iter().enumerate().flat_map(|(tune, of)| parts(of, &chosen).map(move |part| (tune, part))).collect();
    let entry = |(number, PanPart { part, kind, pans }): (usize, PanPart)| {
        let tune = &tunes[number];
        let taken = Taken::new(tune, part, pan)?;
        let share = |number: usize| Some((number, on(tune, part, &tune.band.pans[number].pan)?));
        let entry = Entry {
            tune: number,
            part,
            kind,
            need: taken.need().clone(),
            cover: cover(&taken, set, tune.key),
            extra: extra(&taken, set),
            octaves: taken.octaves_off(tune, part),
            now: pans.into_iter().filter_map(share).collect(),
        };
        Some((entry, taken))
    };
    let (entries, taken): (Vec<Entry>, Vec<Taken>) = all.into_par_iter().filter_map(entry).unzip();
    let reached = |entry: &Entry| entry.is_in_reach(pan);
    let places: Vec<usize> = (0..entries.len()).filter(|place| reached(&entries[*place])).collect();
    let wanted: Vec<Wanted> =
        places.iter().map(|place| Wanted { part: &taken[*place], cover: &entries[*place].cover }).collect();
    let mut wishes = wishes(&wanted, set);
    for wish in &mut wishes {
        let all = wish.completes.iter_mut().chain(&mut wish.completes_with_moves);
        all.for_each(|part| *part = places[*part]);
    }
    Report { set, entries, wishes }
}

/// What a pan plays of a part.
fn on(tune: &Tune<Open>, part: usize, pan: &Pan) -> Option<Share> {
    Some(share(Taken::new(tune, part, pan)?.need(), pan.note_set()))
}

/// A part of a tune compared with many pans.
#[derive(Clone, Debug)]
pub struct Row {
    /// The tune, by its place in the list.
    pub tune: usize,
    /// The number of the part.
    pub part: usize,
    /// The kind of pan that it is written for.
    pub kind: PanKind,
    /// Its strokes, with the form played out.
    pub strokes: u64,
    /// What each pan plays of it.
    pub shares: Vec<Share>,
    /// By how many octaves it lies higher on each than on its own kind of pan.
    pub octaves: Vec<i32>,
    /// The numbers of the band's pans that play it now.
    pub now: Vec<usize>,
}

impl Row {
    /// The columns of the pans that play the part now.
    pub fn marked(&self, tunes: &[Tune<Open>], pans: &[&Pan]) -> Vec<usize> {
        let band = &tunes[self.tune].band;
        let plays = |pan: &Pan| self.now.iter().any(|now| band.pans[*now].pan.name == pan.name);
        (0..pans.len()).filter(|column| plays(pans[*column])).collect()
    }
}

/// Compares many pans with the parts of tunes; see [`report()`].
pub fn grid(pans: &[&Pan], tunes: &[Tune<Open>], chosen: impl Fn(&Tune<Open>, usize) -> bool) -> Vec<Row> {
    let mut rows = Vec::new();
    for (number, tune) in tunes.iter().enumerate() {
        for PanPart { part, kind, pans: now } in parts(tune, &chosen) {
            let on = |pan: &&Pan| {
                let taken = Taken::new(tune, part, pan)?;
                let share = share(taken.need(), pan.note_set());
                Some((taken.need().count(), share, taken.octaves_off(tune, part)))
            };
            let on: Vec<(u64, Share, i32)> = pans.par_iter().filter_map(on).collect();
            // As many strokes on every pan: what a pan lacks is missing, not left out.
            let strokes = on.first().map_or(0, |(strokes, ..)| *strokes);
            let (shares, octaves) = on.into_iter().map(|(_, share, octaves)| (share, octaves)).unzip();
            rows.push(Row { tune: number, part, kind, strokes, shares, octaves, now });
        }
    }
    rows
}

/// A part on pans.
struct PanPart {
    /// Its number in the tune.
    part: usize,
    /// The kind of pan that it is for.
    kind: PanKind,
    /// The band's pans that play it.
    pans: Vec<usize>,
}

/// The chosen parts on pans.
fn parts(tune: &Tune<Open>, chosen: &impl Fn(&Tune<Open>, usize) -> bool) -> impl Iterator<Item = PanPart> {
    let numbers = tune.heard(&[]).into_iter().filter(|part| chosen(tune, *part));
    numbers.filter_map(|part| match &tune.parts[part].player {
        Player::Pans { kind, pans } => Some(PanPart { part, kind: *kind, pans: pans.clone() }),
        Player::Percussion { .. } => None,
    })
}

//! A pan against many tunes, and many pans against many tunes.

use super::extra::{Extra, extra};
use super::need::Need;
use super::share::{Cover, Share, cover, share};
use super::wish::{Wanted, Wish, wishes};
use crate::music::Pitch;
use crate::pan::{NoteSet, Pan, PanKind};
use crate::tune::Tune;
use crate::tune::model::Player;

/// A part of a tune on a pan.
#[derive(Clone, Debug)]
pub struct Entry {
    /// The tune, by its place in the list.
    pub tune: usize,
    /// The number of the part.
    pub part: usize,
    /// The kind of pan that the part is written for.
    pub kind: PanKind,
    /// What it needs.
    pub need: Need,
    /// What the pan plays of it.
    pub cover: Cover,
    /// The fewest notes more with which it would play all.
    pub extra: Extra,
    /// The numbers of the band's pans that play the part now, and what they play of it.
    pub now: Vec<(usize, Share)>,
}

/// What a pan is good for.
#[derive(Clone, Debug)]
pub struct Report {
    /// Its notes.
    pub set: NoteSet,
    /// Every part on pans, in the order of the tunes.
    pub entries: Vec<Entry>,
    /// The notes that it misses most, over the parts that are [in reach](Entry::is_in_reach); parts by their place in
    /// `entries`.
    pub wishes: Vec<Wish>,
}

impl Entry {
    /// Whether the part's missing notes count for what the pan should have: it is for this kind of pan, or at least half of
    /// it is there.
    pub fn is_in_reach(&self, pan: &Pan) -> bool {
        self.cover.strokes > 0 && (self.kind == pan.kind || self.cover.is_in_reach())
    }

    /// How often a note of the part is struck.
    pub fn struck(&self, note: Pitch) -> u64 {
        self.need.notes().get(&note).copied().unwrap_or(0)
    }
}

/// Lays a pan beside the parts of tunes; `chosen` says which parts.
pub fn report(pan: &Pan, tunes: &[Tune], chosen: impl Fn(&Tune, usize) -> bool) -> Report {
    let set = pan.note_set();
    let mut entries = Vec::new();
    for (number, tune) in tunes.iter().enumerate() {
        for (part, need, kind, pans) in parts(tune, &chosen) {
            let cover = cover(&need, set, tune.key);
            let extra = extra(&need, set);
            let now = |pan: &usize| (*pan, share(&need, tune.band.pans[*pan].pan.note_set()));
            let now = pans.iter().map(now).collect();
            entries.push(Entry { tune: number, part, kind, need, cover, extra, now });
        }
    }
    let reached = |entry: &Entry| entry.is_in_reach(pan);
    let places: Vec<usize> = (0..entries.len()).filter(|place| reached(&entries[*place])).collect();
    let wanted: Vec<Wanted> =
        places.iter().map(|place| Wanted { need: &entries[*place].need, cover: &entries[*place].cover }).collect();
    let mut wishes = wishes(&wanted, set);
    for wish in &mut wishes {
        let all = wish.completes.iter_mut().chain(&mut wish.completes_with_moves);
        all.for_each(|part| *part = places[*part]);
    }
    Report { set, entries, wishes }
}

/// A part of a tune beside many pans.
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
    /// The numbers of the band's pans that play it now.
    pub now: Vec<usize>,
}

/// Lays many pans beside the parts of tunes.
pub fn grid(pans: &[&Pan], tunes: &[Tune], chosen: impl Fn(&Tune, usize) -> bool) -> Vec<Row> {
    let sets: Vec<NoteSet> = pans.iter().map(|pan| pan.note_set()).collect();
    let mut rows = Vec::new();
    for (number, tune) in tunes.iter().enumerate() {
        for (part, need, kind, now) in parts(tune, &chosen) {
            let shares = sets.iter().map(|set| share(&need, *set)).collect();
            rows.push(Row { tune: number, part, kind, strokes: need.count(), shares, now });
        }
    }
    rows
}

/// The chosen parts on pans: number, need, kind, and the band's pans that play it.
fn parts(
    tune: &Tune,
    chosen: &impl Fn(&Tune, usize) -> bool,
) -> impl Iterator<Item = (usize, Need, PanKind, Vec<usize>)> {
    let numbers = (0..tune.parts.len()).filter(|part| chosen(tune, *part));
    numbers.filter_map(|part| match &tune.parts[part].player {
        Player::Pans { kind, pans } => Some((part, Need::of(tune, part)?, *kind, pans.clone())),
        Player::Percussion { .. } => None,
    })
}

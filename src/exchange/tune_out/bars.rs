//! From written measures to bars of a tune: measures that together fill a bar are put together, repeats stay repeats.
//!
//! A tune's sections have one meter each, and only the bar that opens the tune may be shorter. So where a repeat begins within
//! a bar, the short measures on both sides of it become one bar; a short measure without its other half becomes a section with
//! a meter of its own.

use std::collections::{BTreeMap, BTreeSet};

use num_rational::Ratio;

use crate::exchange::score::{Loudness, Note, Score};
use crate::music::{Chord, Key, Length, Meter};

/// The finest pickup that the notation takes, as a fraction of a beat.
const PICKUP_PARTS: i64 = 24;

/// A bar of the tune.
#[derive(Clone, Debug)]
pub struct Bar {
    /// The written measures in it, and when each begins in the bar.
    pub pieces: Vec<(usize, Length)>,
    /// Notes that go on into the bar from measures that are not played before it, and are struck instead: piece and part.
    pub struck: BTreeSet<(usize, usize)>,
    /// How long it is.
    pub length: Length,
    /// Its meter; one that fits its length when no other bar makes up for what it lacks.
    pub meter: Meter,
    /// Its key.
    pub key: Key,
    /// Quarter notes a minute.
    pub tempo: Option<Ratio<i64>>,
    /// Whether it is a shortened first bar.
    pub is_pickup: bool,
    /// Where a section begins, if one begins in this bar: its name.
    pub mark: Option<String>,
}

/// The tune's bars and the order in which they are played.
#[derive(Clone, Debug, Default)]
pub struct Bars {
    /// Each different bar once, in the order in which they first come.
    pub bars: Vec<Bar>,
    /// The bars as played.
    pub order: Vec<usize>,
    /// Bars (by their first measure) whose length fits no meter, and which are filled up with silence.
    pub filled: Vec<usize>,
}

/// What makes two bars the same one: their measures, what is struck in them, and whether they are a pickup.
type Same = (Vec<usize>, BTreeSet<(usize, usize)>, bool);

/// Puts the measures of a score together into bars.
pub fn bars(score: &Score) -> Bars {
    let mut bars = Bars::default();
    let mut known: BTreeMap<Same, usize> = BTreeMap::new();
    let groups = groups(score);
    let continued = continued(score, &groups);
    let ever: BTreeSet<(usize, usize)> = continued.iter().map(|(place, part)| (score.order[*place], *part)).collect();
    let mut mark = None;
    for group in groups {
        let mut bar = bar(score, &group, &continued, &ever);
        if bar.mark.is_none() {
            bar.mark = mark.take();
        }
        mark = later_mark(score, &group);
        let key = (group.measures.clone(), bar.struck.clone(), bar.is_pickup);
        let number = *known.entry(key).or_insert_with(|| {
            if bar.length < group.length {
                bar.length = group.length;
            }
            if group.is_filled(score) {
                bars.filled.push(group.measures[0]);
            }
            bars.bars.push(bar);
            bars.bars.len() - 1
        });
        bars.order.push(number);
    }
    bars
}

/// Measures that make up a bar.
#[derive(Clone, Debug)]
struct Group {
    /// The measures' numbers.
    measures: Vec<usize>,
    /// The place of the first in the order of playing.
    place: usize,
    /// How long they are together.
    length: Length,
    pickup: bool,
    irregular: bool,
}

impl Group {
    /// The meter that a bar of these measures has.
    fn meter(&self, score: &Score) -> Meter {
        let first = score.measures[self.measures[0]].meter;
        if self.irregular { meter_of(self.length, first) } else { first }
    }

    /// Whether no meter has a bar of this length, so that silence is added at its end.
    fn is_filled(&self, score: &Score) -> bool {
        self.irregular && self.meter(score).bar() != self.length
    }
}

/// The measures in the order of playing, put together into bars.
fn groups(score: &Score) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    let mut open: Option<Group> = None;
    let short = |number: usize| score.measures[number].length < score.measures[number].meter.bar();
    for (place, number) in score.order.iter().copied().enumerate() {
        let measure = &score.measures[number];
        if measure.length.is_zero() {
            continue;
        }
        if let Some(mut group) = open.take() {
            let first = &score.measures[group.measures[0]];
            let together = group.length + measure.length;
            // In a tune of panfold's own measures are bars already.
            if first.meter == measure.meter && together <= measure.meter.bar() && !score.ours {
                group.measures.push(number);
                group.length = together;
                if together == measure.meter.bar() {
                    groups.push(group);
                } else {
                    open = Some(group);
                }
                continue;
            }
            group.irregular = true;
            groups.push(group);
        }
        let alone = Group { measures: vec![number], place, length: measure.length, pickup: false, irregular: false };
        if !short(number) {
            groups.push(Group { irregular: measure.length > measure.meter.bar(), ..alone });
        } else if groups.is_empty() && is_pickup(score, place)
            || groups.first().is_some_and(|first| first.pickup && first.measures == [number])
        {
            // When the music comes back to its beginning, the section that opens it begins with its short bar again.
            groups.push(Group { pickup: true, ..alone });
        } else {
            open = Some(alone);
        }
    }
    // What the last bar lacks is silence.
    groups.extend(open);
    groups
}

/// Whether the short measure at this place of the order, which opens the tune, is a pickup that the notation can say.
fn is_pickup(score: &Score, place: usize) -> bool {
    let measure = &score.measures[score.order[place]];
    let beats = measure.length.per(measure.meter.beat());
    let next = score.order.get(place + 1).map(|number| &score.measures[*number]);
    let fills =
        next.is_some_and(|next| next.meter == measure.meter && measure.length + next.length == next.meter.bar());
    *beats.denom() <= PICKUP_PARTS && (score.ours || !fills)
}

/// `ever`: the measures into which a part's note goes on in some playing.
fn bar(score: &Score, group: &Group, continued: &BTreeSet<(usize, usize)>, ever: &BTreeSet<(usize, usize)>) -> Bar {
    let first = &score.measures[group.measures[0]];
    let mut at = Length::ZERO;
    let mut pieces = Vec::with_capacity(group.measures.len());
    let mut struck = BTreeSet::new();
    for (piece, number) in group.measures.iter().enumerate() {
        pieces.push((*number, at));
        at += score.measures[*number].length;
        for (part, of) in score.parts.iter().enumerate() {
            let begins_tied = of.of_measure(*number).first().is_some_and(|note| note.tied && note.start.is_zero());
            // In a tune of panfold's own `-` after silence is silence, if it goes on from something in another playing.
            let may_be_silent = score.ours && ever.contains(&(*number, part));
            if begins_tied && !may_be_silent && !continued.contains(&(group.place + piece, part)) {
                struck.insert((piece, part));
            }
        }
    }
    let meter = group.meter(score);
    Bar {
        pieces,
        struck,
        length: if group.pickup { group.length } else { meter.bar() },
        meter,
        key: first.key,
        tempo: first.tempo,
        is_pickup: group.pickup,
        mark: first.mark.clone(),
    }
}

/// The section that begins within a bar, after its first measure: it is the next bar that opens it.
fn later_mark(score: &Score, group: &Group) -> Option<String> {
    group.measures.iter().skip(1).find_map(|number| score.measures[*number].mark.clone())
}

/// The meter of a bar of some length: with the notes of the current meter or finer ones; the next longer meter if there is none.
fn meter_of(length: Length, meter: Meter) -> Meter {
    let units = [1u8, 2, 4, 8, 16, 32].into_iter().filter(|unit| *unit >= meter.unit());
    let counts = units.map(|unit| (length.per(Length::quarters(4, i64::from(unit))), unit));
    let counts: Vec<_> = counts.collect();
    let made = |count: i64, unit: u8| u8::try_from(count).ok().and_then(|count| Meter::new(count, unit));
    let exact = counts.iter().find_map(|(count, unit)| made(count.is_integer().then(|| count.to_integer())?, *unit));
    let longer = || counts.iter().rev().find_map(|(count, unit)| made(count.ceil().to_integer(), *unit));
    exact.or_else(longer).unwrap_or(meter)
}

/// Where a note goes on into a measure: places in the order of playing, and parts. Nothing goes on through added silence.
fn continued(score: &Score, groups: &[Group]) -> BTreeSet<(usize, usize)> {
    let mut continued = BTreeSet::new();
    let filled = groups.iter().filter(|group| group.is_filled(score));
    let silent: BTreeSet<usize> = filled.map(|group| group.place + group.measures.len()).collect();
    for (part, of) in score.parts.iter().enumerate() {
        for (place, pair) in score.order.windows(2).enumerate() {
            let Some(next) = of.of_measure(pair[1]).first().filter(|note| note.tied && note.start.is_zero()) else {
                continue;
            };
            let last = of.of_measure(pair[0]).last();
            let goes_on =
                |last: &Note| last.open && last.end() == score.measures[pair[0]].length && last.struck == next.struck;
            if last.is_some_and(goes_on) && !silent.contains(&(place + 1)) {
                continued.insert((place + 1, part));
            }
        }
    }
    continued
}

/// A note of a part in a bar.
#[derive(Clone, Debug)]
pub struct InBar<'a> {
    /// The note.
    pub note: &'a Note,
    /// When it begins in the bar.
    pub start: Length,
    /// Whether it goes on from the bar or the measure before.
    pub held: bool,
}

impl Bar {
    /// The notes of a part in the bar, in order.
    pub fn notes<'a>(&self, score: &'a Score, part: usize) -> Vec<InBar<'a>> {
        let mut notes = Vec::new();
        for (piece, (number, at)) in self.pieces.iter().enumerate() {
            for (place, note) in score.parts[part].of_measure(*number).iter().enumerate() {
                let first = place == 0 && note.start.is_zero();
                let held = note.tied && first && !self.struck.contains(&(piece, part));
                notes.push(InBar { note, start: *at + note.start, held });
            }
        }
        notes
    }

    /// The chords that begin in the bar.
    pub fn chords(&self, score: &Score) -> Vec<(Length, Option<Chord>)> {
        let pieces = self.pieces.iter();
        pieces
            .flat_map(|(number, at)| score.measures[*number].chords.iter().map(|(start, chord)| (*at + *start, *chord)))
            .collect()
    }

    /// The dynamic marks of the bar.
    pub fn dynamics(&self, score: &Score) -> Vec<(Length, Loudness)> {
        let pieces = self.pieces.iter();
        pieces
            .flat_map(|(number, at)| score.measures[*number].dynamics.iter().map(|(start, mark)| (*at + *start, *mark)))
            .collect()
    }

    /// The words of the bar.
    pub fn words(&self, score: &Score) -> String {
        let words = self.pieces.iter().map(|(number, _)| score.measures[*number].words.as_str());
        words.filter(|words| !words.is_empty()).collect::<Vec<_>>().join(" ")
    }
}

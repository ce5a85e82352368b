//! Which stick strikes what: the best sticking of a line, exactly.
//!
//! In: a line of strokes on one pan, and the player's [`Hands`]. Out: for each stroke its sticks, and every term of the cost.
//! A stroke is late by the time that its stick lacks for the way; all lateness together is the least possible.
//! Of the stickings with that lateness the least awkward one is chosen (see [`Terms`]).
//!
//! # Why this is exact
//!
//! After a stroke, what may follow depends on where both sticks are and since when, and on whether a stick has just struck two
//! quick strokes on a note, since a third can't follow as fast. One stick has just struck; the other has been waiting where it
//! struck last, since some earlier stroke. So there is one list of states for each striking stick, with one entry for each earlier
//! stroke since which the other may have been waiting. Three kinds of entry are never needed and are dropped:
//!
//! - two entries both wait longer than the longest easy way on the pan takes (`EASY` times the longest movement): then waiting
//!   longer makes no difference, and of those that wait at the same note the cheaper one is enough;
//! - an entry waits at the same note, after as many quick strokes, as another that waits longer and costs no more: more time is
//!   never worse;
//! - an entry is later than the best one by more than twice the longest movement: the best one can do whatever the other does
//!   from here on, and only the next way of each stick can be worse, by no more than that.
//!
//! So a list holds only a few entries more than the line has different notes, and the cost is O(strokes · notes) at worst. The
//! tests compare the result with all stickings of small lines, one by one.

use super::movement::{Hands, Place};
pub use crate::notation::tree::Stick;

/// A stroke. Strokes follow each other in time: none begins before another's roll ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stroke {
    /// When, in microseconds from any start.
    pub at: i64,
    /// The note.
    pub note: Place,
    /// The other note of two that are struck together.
    pub second: Option<Place>,
    /// Until when a roll holds both sticks, in microseconds; `None` when it is not rolled.
    pub rolled_until: Option<i64>,
    /// The stick that is prescribed for [`Stroke::note`].
    pub stick: Option<Stick>,
}

impl Stroke {
    /// A single stroke.
    pub fn single(at: i64, note: Place) -> Stroke {
        Stroke { at, note, second: None, rolled_until: None, stick: None }
    }

    /// With all times multiplied by `stretch`.
    pub fn stretched(self, stretch: f64) -> Stroke {
        let longer = |time: i64| (time as f64 * stretch).round() as i64;
        Stroke { at: longer(self.at), rolled_until: self.rolled_until.map(longer), ..self }
    }

    /// Whether it takes both sticks.
    fn takes_both(&self) -> bool {
        self.second.is_some() || self.rolled_until.is_some()
    }

    /// The note that the other stick strikes when both do: the second, or in a roll the same.
    fn other_note(&self) -> Place {
        self.second.unwrap_or(self.note)
    }

    /// When its sticks are free again.
    fn free_at(&self) -> i64 {
        self.rolled_until.map_or(self.at, |until| until.max(self.at))
    }

    /// How much later than its first stroke a roll needs its second stick: half a repetition, and in a long roll up to half the
    /// time for which it is held, since it may begin as one stroke (common practice, no source).
    pub(super) fn joins_after(&self, hands: &Hands) -> i64 {
        self.rolled_until.map_or(0, |until| (hands.repeat() / 2).max((until - self.at) / 2))
    }

    pub(super) fn allows(&self, stick: Stick) -> bool {
        self.stick.is_none_or(|only| only == stick)
    }
}

/// How much more than its least time makes a movement easy: one and a half times (common practice, no source).
/// A movement with less time is awkward by as much as it lacks.
pub(crate) const EASY: (i64, i64) = (3, 2);

/// How many millimetres of a stick's way are as awkward as one crossing of the hands (common practice, no source).
pub(crate) const CROSSING: i64 = 500;

/// The same for one stick that strikes twice in a row (common practice, no source: sticks alternate).
pub(crate) const SAME_STICK: i64 = 200;

/// The same for each millisecond that a way lacks for its easy time (common practice, no source).
pub(crate) const HURRY: i64 = 1;

/// How many millimetres beyond the player's middle are as awkward as one of way: the left stick belongs to the left (common
/// practice, no source).
pub const OVER: i64 = 4;

/// Two strokes of different sticks cross the hands only within this time, in microseconds: later the first hand is out of the
/// way (common practice, no source).
pub(crate) const CROSS_WITHIN: i64 = 400_000;

/// How far the right stick's note must lie to the left of the left one's before the hands cross, in mm: sticks come from
/// the player, so less than a note's width hardly shows (common practice, no source).
pub(crate) const CROSS_FROM: i64 = 100;

/// What a sticking costs: first the lateness, in microseconds; then the awkwardness, in millimetres of way.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct Cost {
    /// By how much strokes come late, together, in microseconds.
    pub late: i64,
    /// All else.
    pub awkward: i64,
}

impl std::ops::Add for Cost {
    type Output = Cost;
    fn add(self, other: Cost) -> Cost {
        Cost { late: self.late + other.late, awkward: self.awkward + other.awkward }
    }
}

/// What a sticking's cost is made of.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Terms {
    /// By how much strokes come late, together, in microseconds.
    pub late: i64,
    /// How far the sticks go, in mm.
    pub way: i64,
    /// How often the hands cross.
    pub crossings: i64,
    /// How often a stick strikes twice in a row.
    pub same_stick: i64,
    /// How much ways lack for their easy time, in ms.
    pub hurry: i64,
    /// How far sticks strike beyond the player's middle, in mm.
    pub over: i64,
}

impl Terms {
    /// The cost.
    pub fn cost(&self) -> Cost {
        let Terms { late, way, crossings, same_stick, hurry, over } = *self;
        let awkward = way + CROSSING * crossings + SAME_STICK * same_stick + HURRY * hurry + over / OVER;
        Cost { late, awkward }
    }

    pub(super) fn add(&mut self, other: Terms) {
        self.late += other.late;
        self.way += other.way;
        self.crossings += other.crossings;
        self.same_stick += other.same_stick;
        self.hurry += other.hurry;
        self.over += other.over;
    }
}

/// Where a stick is, and since when it could leave.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct At {
    pub(super) note: Place,
    pub(super) free: i64,
    /// Whether its last two strokes were quick ones on this note, so that a third can't be quick too.
    pub(super) quick: bool,
}

impl At {
    /// A stick that has come from `from` to strike `note` at `at`, and is free at `free`.
    pub(super) fn after(hands: &Hands, from: Option<At>, note: Place, at: i64, free: i64) -> At {
        let quick = from.is_some_and(|from| from.note == note && at - from.free < hands.repeat());
        At { note, free, quick }
    }
}

/// Where both sticks are after a stroke.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Stand {
    /// The left stick and the right one; `None` before a stick's first stroke.
    pub(super) at: [Option<At>; 2],
    /// The stick that has struck; `None` for both.
    pub(super) struck: Option<Stick>,
}

impl Stand {
    /// Strikes a stroke, its first note with `first`: where the sticks are then, and how late they came together.
    pub(super) fn strike(self, hands: &Hands, stroke: &Stroke, first: Stick) -> (Stand, i64) {
        let both = [(first, stroke.note, 0), (first.other(), stroke.other_note(), stroke.joins_after(hands))];
        let (mut at, mut late) = (self.at, 0);
        for (stick, note, later) in both.into_iter().take(if stroke.takes_both() { 2 } else { 1 }) {
            let from = self.at[stick as usize];
            late += way(hands, from, note, stroke.at + later, stick).late;
            at[stick as usize] = Some(At::after(hands, from, note, stroke.at, stroke.free_at()));
        }
        (Stand { at, struck: (!stroke.takes_both()).then_some(first) }, late)
    }
}

/// What a stick's way to a note costs. At its first stroke the stick may have been there already.
pub(super) fn way(hands: &Hands, from: Option<At>, to: Place, at: i64, stick: Stick) -> Terms {
    let right = hands.right(to);
    let beyond = match stick {
        Stick::L => right,
        Stick::R => -right,
    };
    // In whole units of the cost, so that sums of parts are the cost of the whole.
    let over = beyond.max(0) / OVER * OVER;
    let Some(from) = from else { return Terms { over, ..Terms::default() } };
    let (need, time) = (hands.need(from.note, to), at - from.free);
    let easy = need * EASY.0 / EASY.1;
    // The second of two quick strokes on a note.
    let least = if from.note == to && !from.quick { hands.double() } else { need };
    Terms {
        late: (least - time).max(0),
        way: hands.way(from.note, to),
        hurry: (easy - time.max(need)).max(0) / 1000,
        over,
        ..Terms::default()
    }
}

/// Whether the hands cross when the sticks strike these notes, one soon after the other.
pub(super) fn crosses(hands: &Hands, left: Place, right: Place) -> bool {
    hands.right(left) - hands.right(right) > CROSS_FROM
}

/// A line with its sticks.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sticking {
    /// For each stroke the stick that strikes its first note: of two notes the other stick strikes the other, and of a roll
    /// it is the stick that begins.
    pub sticks: Vec<Stick>,
    /// What it costs.
    pub cost: Cost,
}

/// The other stick waits at `other`; `hand` has struck the latest stroke.
#[derive(Clone, Copy, Debug)]
struct Entry {
    hand: At,
    other: Option<At>,
    cost: Cost,
    /// The number of its [`Switch`].
    from: u32,
}

/// From a stroke on this stick strikes, until the next switch. A stroke of both sticks is a switch of its own.
#[derive(Clone, Copy, Debug)]
struct Switch {
    stroke: u32,
    /// The stick of the stroke's first note.
    first: Stick,
    /// The stick of the strokes after it.
    stick: Stick,
    before: Option<u32>,
}

/// The best sticking of a line; see the module.
pub fn solve(hands: &Hands, line: &[Stroke]) -> Sticking {
    let mut search = Search::new(hands, line.len());
    let mut before = None;
    for (number, stroke) in line.iter().enumerate() {
        search.step(number, before, stroke);
        before = Some(stroke);
    }
    search.finish(line.len())
}

/// Whether a line can be struck without coming late when all times are multiplied by `stretch`.
pub(crate) fn can_play(hands: &Hands, line: &[Stroke], stretch: f64) -> bool {
    can_play_from(hands, None, &[], line, stretch)
}

/// The same for sticks that stand somewhere already: in one of these ways after the stroke `before`, whose times are multiplied
/// too. Without any it is a line's beginning.
pub(super) fn can_play_from(
    hands: &Hands,
    before: Option<&Stroke>,
    stands: &[Stand],
    line: &[Stroke],
    stretch: f64,
) -> bool {
    let mut search = Search::new(hands, line.len());
    let mut before = before.map(|stroke| stroke.stretched(stretch));
    stands.iter().for_each(|stand| search.begin(stand));
    for (number, stroke) in line.iter().enumerate() {
        let stroke = stroke.stretched(stretch);
        search.step(number, before.as_ref(), &stroke);
        search.lists.iter_mut().for_each(|list| list.retain(|entry| entry.cost.late == 0));
        if search.lists.iter().all(Vec::is_empty) {
            return false;
        }
        before = Some(stroke);
    }
    true
}

struct Search<'a> {
    hands: &'a Hands,
    /// The states after the stroke before, by the stick that has struck it (both sticks: as if the left one).
    lists: [Vec<Entry>; 2],
    switches: Vec<Switch>,
    /// When a list has grown to this length, it is thinned out.
    thin_at: [usize; 2],
    /// From this time of waiting on it makes no difference.
    enough: i64,
    table: Vec<Option<Entry>>,
}

const STICKS: [Stick; 2] = [Stick::L, Stick::R];

/// In how many ways the sticks of entries differ that a coming stick leaves: by which stick is quick, and after a stroke of both
/// sticks by their places.
const CLASSES: usize = 8;

/// Which of them.
fn class(before: &Stroke, swapped: bool, staying: bool, coming: bool) -> usize {
    4 * usize::from(before.takes_both() && swapped) + 2 * usize::from(staying) + usize::from(coming)
}

impl<'a> Search<'a> {
    fn new(hands: &'a Hands, strokes: usize) -> Self {
        let enough = hands.longest() * EASY.0 / EASY.1 + 1;
        let table = vec![None; 4 * hands.notes() + 2];
        let switches = Vec::with_capacity(2 * strokes);
        Search { hands, lists: [Vec::new(), Vec::new()], switches, thin_at: [16; 2], enough, table }
    }

    /// Takes a way in which the sticks may stand before the first step. No stroke before it is asked for.
    fn begin(&mut self, stand: &Stand) {
        let [left, right] = stand.at;
        let (stick, hand, other) = match stand.struck {
            Some(Stick::R) => (Stick::R, right, left),
            Some(Stick::L) | None => (Stick::L, left, right),
        };
        let Some(hand) = hand else { return };
        self.lists[stick as usize].push(Entry { hand, other, cost: Cost::default(), from: u32::MAX });
    }

    fn step(&mut self, number: usize, before: Option<&Stroke>, stroke: &Stroke) {
        if before.is_none() || stroke.takes_both() {
            self.fresh(number, before, stroke);
            return;
        }
        let before = before.unwrap_or(stroke);
        let mut switched: [[Option<Entry>; CLASSES]; 2] = [[None; CLASSES]; 2];
        for stick in STICKS.into_iter().filter(|stick| stroke.allows(stick.other())) {
            // The other stick comes. The hand stays, and how long the two have waited makes no difference any more: of those
            // whose sticks are in the same state, the cheapest entry is enough.
            let coming = stick.other();
            let mut best: [Option<(Cost, Entry)>; CLASSES] = [None; CLASSES];
            for entry in &self.lists[stick as usize] {
                let mut terms = way(self.hands, entry.other, stroke.note, stroke.at, coming);
                terms.crossings += crossing(self.hands, before, entry.hand, stroke, coming);
                let hand = At::after(self.hands, entry.other, stroke.note, stroke.at, stroke.at);
                let cost = entry.cost + terms.cost();
                let best = &mut best[class(before, entry.hand.note != before.note, entry.hand.quick, hand.quick)];
                if best.is_none_or(|(least, _)| cost < least) {
                    *best = Some((cost, Entry { hand, other: Some(entry.hand), cost, ..*entry }));
                }
            }
            switched[coming as usize] = best.map(|best| {
                let (_, entry) = best?;
                Some(Entry { from: self.switch(number, coming, coming, Some(entry.from)), ..entry })
            });
        }
        for stick in STICKS {
            let list = &mut self.lists[stick as usize];
            if stroke.allows(stick) {
                // The same stick again.
                for entry in list.iter_mut() {
                    let mut terms = way(self.hands, Some(entry.hand), stroke.note, stroke.at, stick);
                    if before.takes_both() {
                        // Either stick has just struck.
                        terms.crossings += entry.other.map_or(0, |at| crossing(self.hands, before, at, stroke, stick));
                    } else {
                        terms.same_stick += 1;
                    }
                    entry.cost = entry.cost + terms.cost();
                    entry.hand = At::after(self.hands, Some(entry.hand), stroke.note, stroke.at, stroke.at);
                }
            } else {
                list.clear();
            }
            list.extend(switched[stick as usize].into_iter().flatten());
            if list.len() >= self.thin_at[stick as usize] {
                self.thin(stick, stroke.at);
            }
        }
    }

    /// A line's first stroke, or a stroke of both sticks: what was before ends in one entry a way to strike it.
    fn fresh(&mut self, number: usize, before: Option<&Stroke>, stroke: &Stroke) {
        let old = std::mem::take(&mut self.lists);
        self.thin_at = [16; 2];
        for first in STICKS.into_iter().filter(|stick| stroke.allows(*stick)) {
            if !stroke.takes_both() {
                let from = self.switch(number, first, first, None);
                let hand = At::after(self.hands, None, stroke.note, stroke.at, stroke.at);
                let cost = way(self.hands, None, stroke.note, stroke.at, first).cost();
                self.lists[first as usize].push(Entry { hand, other: None, cost, from });
                continue;
            }
            let free = stroke.free_at();
            let notes = [stroke.note, stroke.other_note()];
            let [left, right] = if first == Stick::L { notes } else { [notes[1], notes[0]] };
            // By the state of the sticks.
            let mut best: [Option<Entry>; 4] = [None; 4];
            let mut offer = |from: [Option<At>; 2], before: Cost, number: Option<u32>| {
                let cost = before + strike_both(self.hands, from, stroke, first).cost();
                let hand = At::after(self.hands, from[0], left, stroke.at, free);
                let other = At::after(self.hands, from[1], right, stroke.at, free);
                let best = &mut best[2 * usize::from(hand.quick) + usize::from(other.quick)];
                if best.is_none_or(|entry| cost < entry.cost) {
                    *best = Some(Entry { hand, other: Some(other), cost, from: number.unwrap_or(u32::MAX) });
                }
            };
            if before.is_none() {
                offer([None, None], Cost::default(), None);
            }
            for (stick, entry) in
                STICKS.into_iter().zip(&old).flat_map(|(stick, list)| list.iter().map(move |e| (stick, e)))
            {
                let both = [Some(entry.hand), entry.other];
                let [left, right] = if stick == Stick::L { both } else { [both[1], both[0]] };
                offer([left, right], entry.cost, Some(entry.from));
            }
            for entry in best.into_iter().flatten() {
                let from = Some(entry.from).filter(|from| *from != u32::MAX);
                let from = self.switch(number, first, Stick::L, from);
                self.lists[0].push(Entry { from, ..entry });
            }
        }
    }

    fn switch(&mut self, stroke: usize, first: Stick, stick: Stick, before: Option<u32>) -> u32 {
        let number = u32::try_from(self.switches.len()).unwrap_or(u32::MAX);
        self.switches.push(Switch { stroke: stroke as u32, first, stick, before });
        number
    }

    /// Drops what can't be part of the only best way; see the module. All entries of the list have their hand at one place,
    /// so not after a stroke of both sticks.
    fn thin(&mut self, stick: Stick, now: i64) {
        let (list, table, enough) = (&mut self.lists[stick as usize], &mut self.table, self.enough);
        let Some(best) = list.iter().map(|entry| entry.cost.late).min() else { return };
        // By where the other stick waits, and the state of both.
        let slot = |entry: &Entry| {
            let place = entry.other.map_or(0, |at| 2 * usize::from(at.note) + usize::from(at.quick) + 1);
            2 * place + usize::from(entry.hand.quick)
        };
        let waits = |entry: &Entry| entry.other.is_none_or(|at| now - at.free >= enough);
        // Those that wait long enough: the cheapest at each note. They are older than the others.
        for entry in list.iter().filter(|entry| waits(entry)) {
            let cheapest = &mut table[slot(entry)];
            if cheapest.is_none_or(|other| entry.cost < other.cost) {
                *cheapest = Some(*entry);
            }
        }
        let mut kept: Vec<Entry> = table.iter().flatten().copied().collect();
        // The others, the oldest first: only those that are cheaper than all older ones at their note.
        for entry in list.iter().filter(|entry| !waits(entry)) {
            let cheapest = &mut table[slot(entry)];
            if cheapest.is_none_or(|other| entry.cost < other.cost) {
                *cheapest = Some(*entry);
                kept.push(*entry);
            }
        }
        table.fill(None);
        kept.retain(|entry| entry.cost.late <= best + 2 * self.hands.longest());
        self.thin_at[stick as usize] = (2 * kept.len()).max(16);
        *list = kept;
    }

    fn finish(&self, strokes: usize) -> Sticking {
        let best = self.lists.iter().flatten().min_by_key(|entry| entry.cost);
        let mut sticks = vec![Stick::L; strokes];
        let mut end = strokes;
        let mut at = best.map(|entry| entry.from);
        while let Some(switch) = at.map(|number| self.switches[number as usize]) {
            let begin = switch.stroke as usize;
            sticks[begin..end].fill(switch.stick);
            sticks[begin] = switch.first;
            end = begin;
            at = switch.before;
        }
        Sticking { sticks, cost: best.map_or(Cost::default(), |entry| entry.cost) }
    }
}

/// Whether a stroke of one stick crosses the hands after the stroke before it, 0 or 1. `hand` is the other stick, which struck
/// that one.
pub(super) fn crossing(hands: &Hands, before: &Stroke, hand: At, stroke: &Stroke, coming: Stick) -> i64 {
    if stroke.at - before.free_at() > CROSS_WITHIN {
        return 0;
    }
    let [left, right] = if coming == Stick::L { [stroke.note, hand.note] } else { [hand.note, stroke.note] };
    i64::from(crosses(hands, left, right))
}

/// What it costs to strike with both sticks, the first note with `first`; the sticks come from these places. In a roll the
/// second stick comes a little later.
pub(super) fn strike_both(hands: &Hands, from: [Option<At>; 2], stroke: &Stroke, first: Stick) -> Terms {
    if !stroke.takes_both() {
        return Terms::default();
    }
    let later = stroke.joins_after(hands);
    let notes = [stroke.note, stroke.other_note()];
    let [left, right] = if first == Stick::L { [notes[0], notes[1]] } else { [notes[1], notes[0]] };
    let times = if first == Stick::L { [stroke.at, stroke.at + later] } else { [stroke.at + later, stroke.at] };
    let mut terms = way(hands, from[0], left, times[0], Stick::L);
    terms.add(way(hands, from[1], right, times[1], Stick::R));
    terms.crossings += i64::from(crosses(hands, left, right));
    terms
}

#[cfg(test)]
#[path = "sticking_costs_tests.rs"]
mod costs_tests;
#[cfg(test)]
#[path = "sticking_tests.rs"]
mod tests;

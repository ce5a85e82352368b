//! What a player needs to know about a part's sticks: the sticks themselves, and how fast each bar, each section and the whole
//! can be played.

use std::ops::Range;

use super::account::{Way, follow};
use super::line::{Line, line};
use super::movement::Hands;
use super::sticking::{Stick, Stroke, solve};
use super::stretch::{limit_within, run_up};
use super::tempo::{Share, can_play_at, limit};
use super::turning::late_turns;
use crate::pan::{Level, Pan};
use crate::tune::Tune;

/// A part on a pan, as a player of a level plays it.
#[derive(Clone, Debug)]
pub struct Played<'a> {
    /// The pan.
    pub pan: &'a Pan,
    /// The player's hands at it.
    pub hands: Hands,
    /// The strokes.
    pub line: Line,
    /// The stick of each stroke's first note.
    pub sticks: Vec<Stick>,
    /// The ways of the sticks.
    pub ways: Vec<Way>,
    /// How late each stroke is because of the sticks, or of the player's turning if that is more, in microseconds.
    pub late: Vec<i64>,
}

/// How fast a section can be played.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SectionTempo {
    /// The section's number.
    pub section: usize,
    /// The highest share of its tempo; `None`: it can't be played at any.
    pub possible: Option<Share>,
    /// How often the hands cross.
    pub crossings: usize,
    /// Each bar with strokes: its number in the section from 0, and the highest share.
    pub bars: Vec<(u32, Option<Share>)>,
}

/// Strokes without the sticks that are written.
fn freed(strokes: &[Stroke]) -> Vec<Stroke> {
    strokes.iter().map(|stroke| Stroke { stick: None, ..*stroke }).collect()
}

impl<'a> Played<'a> {
    /// Chooses the sticks.
    pub fn new(tune: &Tune, part: usize, pan: &'a Pan, level: Level) -> Self {
        Played::slower(tune, part, pan, level, 1.0)
    }

    /// Chooses the sticks with all times multiplied by `stretch`.
    pub fn slower(tune: &Tune, part: usize, pan: &'a Pan, level: Level, stretch: f64) -> Self {
        let hands = Hands::new(pan, level);
        let mut line = line(tune, part, &hands);
        for stroke in &mut line.strokes {
            *stroke = stroke.stretched(stretch);
        }
        let sticks = solve(&hands, &line.strokes).sticks;
        let (ways, _) = follow(&hands, &line.strokes, &sticks);
        let mut late = vec![0; line.strokes.len()];
        for way in &ways {
            late[way.stroke] += way.late;
        }
        if pan.kind.is_bass() {
            for (late, turn) in late.iter_mut().zip(late_turns(&hands, &line.strokes, 1.0)) {
                *late = (*late).max(turn);
            }
        }
        Played { pan, hands, line, sticks, ways, late }
    }

    /// How late all strokes are together, in microseconds.
    pub fn total(&self) -> i64 {
        self.late.iter().sum()
    }

    /// The highest share of the tempo for all strokes.
    pub fn possible(&self) -> Option<Share> {
        limit(&self.hands, &self.line.strokes, self.pan.kind.is_bass())
    }

    /// The section and the bar of a stroke.
    pub fn bar(&self, tune: &Tune, part: usize, stroke: usize) -> (usize, u32) {
        let (section, event) = self.line.places[stroke];
        (section, tune.sections[section].rows[part].as_ref().map_or(0, |row| row.events[event].bar))
    }

    /// The highest share of the tempo for the bar of a stroke, where it stands: only ways that end in it count.
    pub fn bar_possible(&self, tune: &Tune, part: usize, stroke: usize) -> Option<Share> {
        self.within(self.alike(stroke, |stroke| self.bar(tune, part, stroke)))
    }

    /// The highest share of the tempo where a stroke comes late: that of its bar. A bar that could be played if the sticks came
    /// from elsewhere is slowed down by the bars around it; then the section's share counts, or else the whole part's.
    pub fn late_possible(&self, tune: &Tune, part: usize, stroke: usize) -> Option<Share> {
        let is_slower = |share: &Option<Share>| share.is_none_or(|share| share < 1000);
        let section = || self.within(self.alike(stroke, |stroke| self.line.places[stroke].0));
        let narrow = [self.bar_possible(tune, part, stroke)].into_iter().chain(std::iter::once_with(section));
        narrow.into_iter().find(is_slower).unwrap_or_else(|| self.possible())
    }

    /// The same for a bar with its sticks chosen freely although some are written; `None` when none is written there.
    pub fn bar_freed(&self, tune: &Tune, part: usize, stroke: usize) -> Option<Option<Share>> {
        let bar = self.alike(stroke, |stroke| self.bar(tune, part, stroke));
        let before = run_up(&bar);
        let strokes = &self.line.strokes[before.start..bar.end];
        let is_written = strokes.iter().any(|stroke| stroke.stick.is_some());
        let is_bass = self.pan.kind.is_bass();
        is_written.then(|| limit_within(&self.hands, &freed(strokes), before.len()..strokes.len(), is_bass))
    }

    /// Whether all strokes could be played at the tempo written if no stick were written.
    pub fn is_possible_freed(&self) -> bool {
        can_play_at(&self.hands, &freed(&self.line.strokes), 1000, self.pan.kind.is_bass())
    }

    /// The highest share of the tempo for a stretch of the line.
    fn within(&self, stretch: Range<usize>) -> Option<Share> {
        limit_within(&self.hands, &self.line.strokes, stretch, self.pan.kind.is_bass())
    }

    /// The strokes around a stroke that have something in common with it.
    fn alike<T: PartialEq>(&self, stroke: usize, of: impl Fn(usize) -> T) -> Range<usize> {
        let own = of(stroke);
        let first = (0..=stroke).rev().take_while(|other| of(*other) == own).last().unwrap_or(stroke);
        let last = (stroke..self.late.len()).take_while(|other| of(*other) == own).last().unwrap_or(stroke);
        first..last + 1
    }

    /// Every section that has strokes, in the order in which they are first played.
    pub fn sections(&self, tune: &Tune, part: usize) -> Vec<SectionTempo> {
        let places = &self.line.places;
        let mut sections: Vec<SectionTempo> = Vec::new();
        let mut start = 0;
        for strokes in places.chunk_by(|a, b| a.0 == b.0) {
            let all = start..start + strokes.len();
            let mut bars = Vec::new();
            for stroke in all.clone() {
                let (_, bar) = self.bar(tune, part, stroke);
                if bars.last().is_none_or(|(last, _)| *last != bar) {
                    bars.push((bar, self.bar_possible(tune, part, stroke)));
                }
            }
            let crossed = self.ways.iter().filter(|way| all.contains(&way.stroke) && way.crossed);
            let crossed: std::collections::BTreeSet<usize> = crossed.map(|way| way.stroke).collect();
            sections.push(SectionTempo {
                section: places[start].0,
                possible: self.within(all.clone()),
                crossings: crossed.len(),
                bars,
            });
            start = all.end;
        }
        sections
    }
}

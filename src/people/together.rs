//! Which parts sound at the same moment, and how long a player has to go from one pan to another.

use std::cell::RefCell;
use std::collections::BTreeMap;

use crate::music::Length;
use crate::music::count;
use crate::tune::Tune;
use crate::tune::model::Section;

/// How long somebody needs to put one pair of sticks down, step over to another pan, and find the first note there, in seconds: 8.
/// Our own setting, no source; a band that does it faster knows that it does.
pub const CHANGE_OVER: f64 = 8.0;

/// A stretch of a section in which something sounds.
#[derive(Clone, Copy)]
struct Stretch {
    /// Its start, from the section's.
    start: Length,
    /// Its end, from the section's start.
    end: Length,
    /// The number of its bar in the section, from 0.
    bar: u32,
}

/// When a part sounds in a section: stretches in the order of their starts.
type Sounding = Vec<Stretch>;

/// When the parts of a tune sound.
pub struct Together<'a, N> {
    tune: &'a Tune<N>,
    /// By part and section.
    stretches: Vec<Vec<Sounding>>,
    /// Which sections are played.
    is_played: Vec<bool>,
    sound: RefCell<BTreeMap<(usize, usize), bool>>,
    near: RefCell<BTreeMap<(usize, usize), bool>>,
}

impl<'a, N> Together<'a, N> {
    /// Looks at when each part sounds. Cost: linear in the tune.
    pub fn new(tune: &'a Tune<N>) -> Self {
        let of = |part: usize| tune.sections.iter().map(|section| stretches(section, part)).collect();
        let mut is_played = vec![false; tune.sections.len()];
        tune.form.iter().for_each(|step| is_played[step.section] = true);
        Together {
            tune,
            stretches: (0..tune.parts.len()).map(of).collect(),
            is_played,
            sound: RefCell::default(),
            near: RefCell::default(),
        }
    }

    /// Whether two parts sound at the same moment anywhere in the form. A part that never sounds is with nobody.
    pub fn sound(&self, a: usize, b: usize) -> bool {
        let pair = (a.min(b), a.max(b));
        if let Some(known) = self.sound.borrow().get(&pair) {
            return *known;
        }
        let any = self
            .played()
            .any(|section| meet(&self.stretches[a][section], &self.stretches[b][section], &mut |_, _| true));
        self.sound.borrow_mut().insert(pair, any);
        any
    }

    /// The bars in which two parts sound together: the section, and the bar in it from 0, in the order of the file.
    pub fn bars(&self, a: usize, b: usize) -> Vec<(usize, u32)> {
        let mut bars = Vec::new();
        for section in self.played() {
            let mut here = Vec::new();
            meet(&self.stretches[a][section], &self.stretches[b][section], &mut |x, y| {
                here.push(x.bar.max(y.bar));
                false
            });
            here.sort_unstable();
            here.dedup();
            bars.extend(here.into_iter().map(|bar| (section, bar)));
        }
        bars
    }

    /// Whether two parts sound together, or so near each other that one player has no time to change pans between them.
    pub fn is_near(&self, a: usize, b: usize) -> bool {
        let pair = (a.min(b), a.max(b));
        if let Some(known) = self.near.borrow().get(&pair) {
            return *known;
        }
        let near = self.sound(a, b) || self.is_near_in_form(a, b);
        self.near.borrow_mut().insert(pair, near);
        near
    }

    /// Whether two parts that never sound together come within [`CHANGE_OVER`] of each other, with the form played out.
    fn is_near_in_form(&self, a: usize, b: usize) -> bool {
        let mut clock = 0.0;
        let mut ends: [Option<f64>; 2] = [None; 2];
        for (number, ..) in self.tune.passes() {
            let section = &self.tune.sections[number];
            let seconds = |length: Length| section.tempo.seconds(length, section.meter);
            let mut all: Vec<(f64, f64, usize)> = Vec::new();
            for (who, part) in [a, b].into_iter().enumerate() {
                let stretches = &self.stretches[part][number];
                all.extend(stretches.iter().map(|stretch| (seconds(stretch.start), seconds(stretch.end), who)));
            }
            all.sort_by(|x, y| x.0.total_cmp(&y.0));
            for (start, end, who) in all {
                if ends[1 - who].is_some_and(|other| clock + start - other < CHANGE_OVER) {
                    return true;
                }
                ends[who] = Some(ends[who].map_or(clock + end, |last| last.max(clock + end)));
            }
            clock += seconds(section.length);
        }
        false
    }

    fn played(&self) -> impl Iterator<Item = usize> + '_ {
        (0..self.is_played.len()).filter(|section| self.is_played[*section])
    }

    /// How many strokes a part has in a minute in which it plays: what makes one part harder than another here. Our own measure,
    /// since the sticks of an open note are not known yet.
    pub fn strokes_a_minute(&self, part: usize) -> u64 {
        let (mut strokes, mut sounding) = (0u64, 0.0);
        for (number, ..) in self.tune.passes() {
            let section = &self.tune.sections[number];
            let stretches = &self.stretches[part][number];
            strokes += stretches.len() as u64;
            sounding += stretches
                .iter()
                .map(|stretch| section.tempo.seconds(stretch.end - stretch.start, section.meter))
                .sum::<f64>();
        }
        if sounding > 0.0 { count(strokes as f64 * 60.0 / sounding) as u64 } else { 0 }
    }
}

fn stretches<N>(section: &Section<N>, part: usize) -> Sounding {
    let Some(row) = &section.rows[part] else { return Vec::new() };
    let carry = row.carry.length;
    let carried = (!carry.is_zero()).then_some(Stretch { start: Length::ZERO, end: carry, bar: 0 });
    let struck = row.events.iter().map(|event| {
        let end = event.start + event.length;
        Stretch { start: event.start, end, bar: event.bar }
    });
    carried.into_iter().chain(struck).collect()
}

/// Calls `each` for pairs of stretches that overlap, at least once for each that overlaps any, until it says to stop; says
/// whether it did.
fn meet(a: &[Stretch], b: &[Stretch], each: &mut dyn FnMut(&Stretch, &Stretch) -> bool) -> bool {
    let (mut i, mut j) = (0, 0);
    while let (Some(x), Some(y)) = (a.get(i), b.get(j)) {
        if x.start < y.end && y.start < x.end && each(x, y) {
            return true;
        }
        if x.end <= y.end { i += 1 } else { j += 1 }
    }
    false
}

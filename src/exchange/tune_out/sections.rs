//! Bars as sections, and the order of the sections: the form.
//!
//! A section is a stretch of bars that are always played one after the other, in one meter, key, and tempo. Stretches end
//! where repeats begin and end, where endings begin, and where the music names a new one.

use std::collections::{BTreeMap, BTreeSet};

use super::bars::Bars;

/// A stretch of bars.
#[derive(Clone, Debug)]
pub struct Stretch {
    /// The bars, by number.
    pub bars: Vec<usize>,
    /// What the music calls it.
    pub mark: Option<String>,
    /// The stretch that it ends, and which of several endings it is, from 1.
    pub ending_of: Option<(usize, usize)>,
}

/// The sections and their order.
#[derive(Clone, Debug, Default)]
pub struct Sections {
    /// The stretches, in the order in which they first come.
    pub stretches: Vec<Stretch>,
    /// The stretches as played.
    pub order: Vec<usize>,
}

/// Cuts bars into sections.
pub fn sections(bars: &Bars) -> Sections {
    let opens = opens(bars);
    let mut sections = Sections::default();
    let mut known: BTreeMap<usize, usize> = BTreeMap::new();
    let mut at = 0;
    while at < bars.order.len() {
        let first = bars.order[at];
        let length = bars.order[at + 1..].iter().take_while(|bar| !opens.contains(*bar)).count() + 1;
        let number = *known.entry(first).or_insert_with(|| {
            let stretch = bars.order[at..at + length].to_vec();
            sections.stretches.push(Stretch { bars: stretch, mark: bars.bars[first].mark.clone(), ending_of: None });
            sections.stretches.len() - 1
        });
        sections.order.push(number);
        at += length;
    }
    find_endings(&mut sections);
    sections
}

/// The bars that open a section.
fn opens(bars: &Bars) -> BTreeSet<usize> {
    let count = bars.bars.len();
    // What follows and what comes before each bar; the number of bars stands for the start and the end.
    let mut after = vec![BTreeSet::new(); count + 1];
    let mut before = vec![BTreeSet::new(); count + 1];
    let ends = [count].into_iter();
    let walk: Vec<usize> = ends.clone().chain(bars.order.iter().copied()).chain(ends).collect();
    for pair in walk.windows(2) {
        after[pair[0]].insert(pair[1]);
        before[pair[1]].insert(pair[0]);
    }
    let goes_on = |bar: usize| {
        let previous = *before[bar].first()?;
        let alone = before[bar].len() == 1 && previous != count && after[previous].len() == 1;
        let (was, is) = (bars.bars.get(previous)?, &bars.bars[bar]);
        let same = (was.meter, was.key, was.tempo) == (is.meter, is.key, is.tempo);
        (alone && same && is.mark.is_none()).then_some(())
    };
    (0..count).filter(|bar| goes_on(*bar).is_none()).collect()
}

/// Stretches that only ever follow the same other stretch are its endings.
fn find_endings(sections: &mut Sections) {
    let mut after: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    let mut before: BTreeMap<usize, BTreeSet<usize>> = BTreeMap::new();
    for pair in sections.order.windows(2) {
        let next = after.entry(pair[0]).or_default();
        if !next.contains(&pair[1]) {
            next.push(pair[1]);
        }
        before.entry(pair[1]).or_default().insert(pair[0]);
    }
    for (stretch, next) in &after {
        let only = |ending: &&usize| before[ending].len() == 1 && sections.order[0] != **ending;
        let endings: Vec<usize> = next.iter().filter(only).copied().collect();
        if next.len() > 1 && endings.len() == next.len() {
            for (number, ending) in endings.into_iter().enumerate() {
                if sections.stretches[ending].mark.is_none() {
                    sections.stretches[ending].ending_of = Some((*stretch, number + 1));
                }
            }
        }
    }
}

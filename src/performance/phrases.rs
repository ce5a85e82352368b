//! Phrases: where a line breathes, so that a player can answer it.

use super::stroke::Performance;
use crate::music::Moment;

/// The longest phrase in bars: four, as much as is easily kept in mind (common practice, no source).
pub const MAX_BARS: usize = 4;

/// The phrases of the voices of one player in a stretch, as bars: pairs of the first bar's number and the number after the last.
///
/// A phrase ends at a bar line where a section begins, or where the voices have been silent for at least a beat; it is at
/// most [`MAX_BARS`] long.
pub fn phrases(performance: &Performance, voices: &[u16], first: usize, last: usize) -> Vec<(usize, usize)> {
    let mut phrases = Vec::new();
    let mut start = first;
    for bar in first + 1..=last {
        let is_end = bar == last;
        let breathes = !is_end && (opens_section(performance, bar) || silent_before(performance, voices, bar));
        if is_end || breathes || bar - start == MAX_BARS {
            phrases.push((start, bar));
            start = bar;
        }
    }
    phrases
}

fn opens_section(performance: &Performance, bar: usize) -> bool {
    let at = performance.bars[bar].at;
    performance.sections.iter().any(|section| section.at == at)
}

/// Whether the voices sound nothing in the last beat before a bar.
fn silent_before(performance: &Performance, voices: &[u16], bar: usize) -> bool {
    let end = performance.bars[bar].at;
    let meters = &performance.meters;
    let meter = meters[..meters.partition_point(|(at, _)| *at < end)].last().map_or_else(Default::default, |(_, m)| *m);
    let Some(start) = before(end, meter.beat()) else { return false };
    let until = performance.strokes.partition_point(|stroke| stroke.at < end);
    let sounding = performance.strokes[..until]
        .iter()
        .rev()
        .any(|stroke| voices.contains(&stroke.voice) && stroke.at + stroke.length > start);
    !sounding
}

/// The moment a length before another, if it is not before the start.
fn before(at: Moment, length: crate::music::Length) -> Option<Moment> {
    (at.since_start() >= length).then(|| Moment::after(at.since_start() - length))
}

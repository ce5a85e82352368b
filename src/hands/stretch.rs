//! How fast a stretch of a line, such as a bar or a section, can be played where it stands.
//!
//! Of what stands before a stretch only two things matter: where the sticks are, and when each last struck. The ways that end in a
//! stretch limit it, each with the time since its stick's last stroke. A way that ends before it limits what stands before it.
//!
//! The [`RUN_UP`] strokes before the stretch say where the sticks are. All stickings of the run-up count that are in time at the tempo
//! asked about; above the run-up's own limit all that are in time at that limit, for the sticks have to be somewhere; if it can be
//! played at no tempo, those that are the least late at the slowest. Of all these the one that makes the stretch fastest decides, not
//! the sticking that is shown: that was chosen for the written tempo, and for what is not awkward. So
//!
//! - a stretch that can be played at a tempo can be played slower too, and its limit is found by halving;
//! - a stretch is never harder than the line that it is a part of, nor easier than it would be alone;
//! - more time before it never makes it harder.
//!
//! All times are multiplied alike, those before the stretch too: a share is a tempo of the whole line.

use std::ops::Range;

use super::movement::Hands;
use super::sticking::{Stand, Stick, Stroke, can_play_from};
use super::tempo::{SHARES, Share, highest, limit, times};
use super::turning::{Facing, turns};

/// How many strokes before a stretch say where the sticks are. While one stick strikes that many in a row, the other has the time of
/// three ways, enough for nearly any way on its pan, so that it makes no difference where it was before. Our own setting.
pub const RUN_UP: usize = 4;

/// The strokes that say where the sticks are when a stretch begins.
pub fn run_up(stretch: &Range<usize>) -> Range<usize> {
    stretch.start.saturating_sub(RUN_UP)..stretch.start
}

/// The highest share of the tempo at which no way that ends in a stretch of a line is late, to the thousandth; `None` when there
/// is none. Four times the tempo stands for all above.
///
/// - `amid`: whether the player stands among the drums and turns; where the player faces before it is found like the sticks' places.
pub fn limit_within(hands: &Hands, line: &[Stroke], within: Range<usize>, amid: bool) -> Option<Share> {
    let (before, stretch) = (&line[run_up(&within)], &line[within]);
    let sticks = limit(hands, before, false).unwrap_or(SHARES.0);
    let turned = highest(|share| !amid || turns_in_time(hands, None, before, share)).unwrap_or(SHARES.0);
    highest(|share| {
        let stands = stands(hands, before, share.min(sticks), share);
        let facing = || turns(hands, None, before, times(share.min(turned))).1;
        can_play_from(hands, before.last(), &stands, stretch, times(share))
            && (!amid || turns_in_time(hands, facing(), stretch, share))
    })
}

/// Whether the player turns in time for every stroke.
fn turns_in_time(hands: &Hands, facing: Option<Facing>, line: &[Stroke], share: Share) -> bool {
    turns(hands, facing, line, times(share)).0.iter().all(|late| *late == 0)
}

/// Where the sticks may be after a run-up at a share of its tempo: after all of its stickings that are the least late at `played`, a
/// share that is no higher.
fn stands(hands: &Hands, run_up: &[Stroke], played: Share, share: Share) -> Vec<Stand> {
    let stickings = stickings(run_up);
    let late = |sticks: &Vec<Stick>| struck(hands, run_up, sticks, played).1;
    let least = stickings.iter().map(late).min();
    let best = stickings.iter().filter(|sticks| Some(late(sticks)) == least);
    best.filter(|sticks| !sticks.is_empty()).map(|sticks| struck(hands, run_up, sticks, share).0).collect()
}

/// Every choice of sticks for a few strokes that keeps to those that are written.
fn stickings(strokes: &[Stroke]) -> Vec<Vec<Stick>> {
    strokes.iter().fold(vec![Vec::new()], |all, stroke| {
        let sticks = [Stick::L, Stick::R].into_iter().filter(|stick| stroke.allows(*stick));
        sticks.flat_map(|stick| all.iter().map(move |before| [before.as_slice(), &[stick]].concat())).collect()
    })
}

/// Where the sticks are after some strokes, and how late they came together, in microseconds.
fn struck(hands: &Hands, strokes: &[Stroke], sticks: &[Stick], share: Share) -> (Stand, i64) {
    let times = times(share);
    strokes.iter().zip(sticks).fold((Stand::default(), 0), |(stand, late), (stroke, stick)| {
        let (stand, more) = stand.strike(hands, &stroke.stretched(times), *stick);
        (stand, late + more)
    })
}

#[cfg(test)]
#[path = "stretch_tests.rs"]
mod tests;

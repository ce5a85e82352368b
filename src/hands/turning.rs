//! The player of a horseshoe of drums turns: how far, and whether there is time for it. The ways of the sticks alone would let two sticks
//! play on opposite sides of the horseshoe.
//!
//! A player who stands among the drums of a bass strikes what lies within [`SIDEWARDS`] of straight ahead and turns for the
//! rest. That depends only on the strokes, not on the sticks. It is followed exactly: after each stroke the player may face any
//! direction within an arc, which widens with time and narrows to what the next stroke allows; there are two arcs where that can be
//! reached both ways round.

use super::movement::{Hands, SIDEWARDS};
use super::sticking::Stroke;

/// From one direction to another, in degrees; at most once round.
type Arc = (f64, f64);

/// Less than this is no gap, in degrees: sums of fractions are not exact.
const NO_GAP: f64 = 1e-9;

/// Where the player may face after a stroke.
#[derive(Clone, Debug)]
pub(super) struct Facing {
    /// In no order, not overlapping. Never more than two: a turn that reaches the next stroke's arc both ways round closes every gap
    /// in the arcs from which it came.
    arcs: Vec<Arc>,
    /// When the stroke was, in microseconds.
    since: i64,
}

/// How much too late the player turns for each stroke, in microseconds; times multiplied by `stretch`.
pub fn late_turns(hands: &Hands, line: &[Stroke], stretch: f64) -> Vec<i64> {
    turns(hands, None, line, stretch).0
}

/// The same for a player who has struck something before; and where the player may face in the end.
pub(super) fn turns(
    hands: &Hands,
    mut facing: Option<Facing>,
    line: &[Stroke],
    stretch: f64,
) -> (Vec<i64>, Option<Facing>) {
    let mut late = Vec::with_capacity(line.len());
    for stroke in line {
        let allowed = allowed(hands, stroke);
        let (short, arcs) = match &facing {
            None => (0.0, vec![allowed]),
            Some(facing) => {
                let turn = hands.turning() * (stroke.at - facing.since) as f64 * stretch / 1e6;
                turned(&facing.arcs, turn, allowed)
            }
        };
        late.push((short / hands.turning() * 1e6).round() as i64);
        facing = Some(Facing { arcs, since: stroke.at });
    }
    (late, facing)
}

/// By how many degrees a turn is too short, and where in the allowed arc the player may face after it: if it is too short, where
/// it would end first.
fn turned(from: &[Arc], turn: f64, (low, high): Arc) -> (f64, Vec<Arc>) {
    let mut arcs: Vec<Arc> = Vec::with_capacity(2);
    let mut nearest = (f64::INFINITY, low);
    for (left, right) in from.iter().map(|(left, right)| (left - turn, right + turn)) {
        let round = 360.0 * (((low + high) / 2.0 - (left + right) / 2.0) / 360.0).round();
        for round in [round, round - 360.0, round + 360.0] {
            let (left, right) = (left + round, right + round);
            let gap = (low - right).max(left - high);
            if gap <= NO_GAP {
                join(&mut arcs, (low.max(left).min(high), high.min(right).max(low)));
            } else if gap < nearest.0 {
                nearest = (gap, if low > right { low } else { high });
            }
        }
    }
    if arcs.is_empty() { (nearest.0, vec![(nearest.1, nearest.1)]) } else { (0.0, arcs) }
}

/// Adds an arc, as one with those that it touches.
fn join(arcs: &mut Vec<Arc>, mut new: Arc) {
    arcs.retain(|(low, high)| {
        let is_apart = *low > new.1 + NO_GAP || new.0 > *high + NO_GAP;
        if !is_apart {
            new = (new.0.min(*low), new.1.max(*high));
        }
        is_apart
    });
    arcs.push(new);
}

/// Where the player may face to strike a stroke, in degrees; for two notes too far apart, right between them.
fn allowed(hands: &Hands, stroke: &Stroke) -> (f64, f64) {
    let first = hands.direction(stroke.note);
    let Some(second) = stroke.second.map(|note| hands.direction(note)) else {
        return (first - SIDEWARDS, first + SIDEWARDS);
    };
    let second = second + 360.0 * ((first - second) / 360.0).round();
    let (low, high) = (first.max(second) - SIDEWARDS, first.min(second) + SIDEWARDS);
    if low <= high { (low, high) } else { ((low + high) / 2.0, (low + high) / 2.0) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kit::Numbers;
    use crate::pan::{Level, layout};

    fn line(hands: &Hands, names: &[&str], gap: i64) -> Vec<Stroke> {
        let place = |name: &str| hands.place(name.parse().expect("a note")).expect("on the pan");
        (0..).zip(names).map(|(i, name)| Stroke::single(i * gap, place(name))).collect()
    }

    #[test]
    fn a_turn_takes_its_time() {
        let hands = Hands::new(layout("six-bass").expect("a layout"), Level::Intermediate);
        let late = |names: &[&str], gap: i64| late_turns(&hands, &line(&hands, names, gap), 1.0);
        // Side by side, and across the way in behind the player: no turn.
        assert_eq!(late(&["C2", "D2", "C2", "D2"], 10_000), [0; 4]);
        assert_eq!(late(&["C2", "Bb1", "C2"], 10_000), [0; 3]);
        // The third drum from here lies beyond both sides.
        let across = late(&["C2", "C#2", "C2"], 100_000);
        assert!(across[1] > 20_000 && across[2] > 20_000, "{across:?}");
        assert_eq!(late(&["C2", "C#2", "C2"], 400_000), [0; 3]);
        // Right round in small steps is a turn too.
        let round = late(&["C2", "D2", "E2", "F#2", "Ab2", "F2"], 50_000);
        assert!(round.iter().any(|late| *late > 0), "{round:?}");
    }

    /// Whether a line can be turned, by the directions a quarter of a degree apart; `more` degrees are given to every turn.
    fn by_steps(hands: &Hands, line: &[Stroke], more: f64) -> bool {
        const STEPS: usize = 1440;
        let degrees = |step: usize| step as f64 * 360.0 / STEPS as f64;
        let apart = |a: f64, b: f64| ((a - b).rem_euclid(360.0)).min((b - a).rem_euclid(360.0));
        let strikes = |step: usize, stroke: &Stroke| {
            let far = |note| apart(degrees(step), hands.direction(note)) - SIDEWARDS <= more;
            far(stroke.note) && stroke.second.is_none_or(far)
        };
        let mut facing: Vec<usize> = (0..STEPS).filter(|step| strikes(*step, &line[0])).collect();
        for pair in line.windows(2) {
            let turn = hands.turning() * (pair[1].at - pair[0].at) as f64 / 1e6 + more;
            let reached = |step: &usize| facing.iter().any(|from| apart(degrees(*from), degrees(*step)) <= turn);
            facing = (0..STEPS).filter(|step| strikes(*step, &pair[1]) && reached(step)).collect();
        }
        !facing.is_empty()
    }

    #[test]
    fn turns_are_in_time_when_there_is_a_way_to_turn_whichever_way_round() {
        let mut numbers = Numbers(20_261_127);
        let mut can = 0;
        for number in 0..120 {
            let layout = layout(["six-bass", "nine-bass"][number % 2]).expect("a layout");
            let hands = Hands::new(layout, Level::ALL[number % 3]);
            let mut at = 0;
            let line: Vec<Stroke> = (0..2 + numbers.below(6))
                .map(|_| {
                    at += 50_000 + numbers.below(600_000) as i64;
                    Stroke::single(at, numbers.below(hands.notes() as u64) as u16)
                })
                .collect();
            let in_time = late_turns(&hands, &line, 1.0).iter().all(|late| *late == 0);
            // The steps are half a quarter of a degree off at most, in each direction of a turn.
            if by_steps(&hands, &line, -0.25) {
                assert!(in_time, "{line:?}");
            }
            if in_time {
                assert!(by_steps(&hands, &line, 0.25), "{line:?}");
                can += 1;
            }
        }
        assert!((20..100).contains(&can), "{can}");
    }

    #[test]
    fn twice_the_time_is_enough_whenever_the_time_is() {
        let hands = Hands::new(layout("six-bass").expect("a layout"), Level::Beginner);
        for gap in [50_000, 100_000, 150_000, 200_000, 300_000] {
            let line = line(&hands, &["C2", "C#2", "D2", "Eb2", "B1", "F2", "G2"], gap);
            let late = |stretch| late_turns(&hands, &line, stretch).iter().sum::<i64>();
            assert!(late(2.0) <= late(1.0));
            assert!(late(1.0) > 0 || late(2.0) == 0);
        }
    }
}

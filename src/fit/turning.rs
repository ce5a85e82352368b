//! The player of a horseshoe of drums turns: how far, and whether there is time for it.
//!
//! A player who stands amid the drums of a bass strikes what lies within [`SIDEWARDS`] of straight ahead and turns for the
//! rest. That depends on the strokes alone, not on the sticks. Followed exactly: after each stroke the player may face any
//! direction of an interval, which widens with time and narrows to what the next stroke allows.

use super::movement::{Hands, SIDEWARDS};
use super::sticking::Stroke;

/// For each stroke by how much the player turns too late for it, in microseconds; times multiplied by `stretch`.
pub fn late_turns(hands: &Hands, line: &[Stroke], stretch: f64) -> Vec<i64> {
    let mut late = Vec::with_capacity(line.len());
    let mut facing: Option<(f64, f64, f64)> = None;
    for stroke in line {
        let at = stroke.at as f64 * stretch;
        let (mut low, mut high) = allowed(hands, stroke);
        let mut short = 0.0;
        if let Some((from, to, since)) = facing {
            let turn = hands.turning() * (at - since) / 1e6;
            let (from, to) = (from - turn, to + turn);
            // The shorter way round.
            let round = 360.0 * (((from + to) / 2.0 - (low + high) / 2.0) / 360.0).round();
            (low, high) = (low + round, high + round);
            let gap = (low - to).max(from - high);
            if gap > 1e-9 {
                short = gap / hands.turning() * 1e6;
                let nearest = if low > to { low } else { high };
                (low, high) = (nearest, nearest);
            } else {
                (low, high) = (low.max(from), high.min(to));
            }
        }
        late.push(short.round() as i64);
        facing = Some((low, high, at));
    }
    late
}

/// Where the player may face to strike a stroke, in degrees; of two notes too far apart, right between them.
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
    use crate::pan::{Level, layout};

    fn line(hands: &Hands, names: &[&str], gap: i64) -> Vec<Stroke> {
        let place = |name: &str| hands.place(name.parse().expect("a note")).expect("on the pan");
        (0..).zip(names).map(|(i, name)| Stroke::single(i * gap, place(name))).collect()
    }

    #[test]
    fn a_turn_takes_its_time() {
        let hands = Hands::new(layout("six-bass").expect("a layout"), Level::Improver);
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

//! The highest tempo at which a line can be played.

use super::movement::Hands;
use super::sticking::{Stroke, can_play};
use super::turning::late_turns;

/// A tempo in thousandths of the one that is written.
pub type Share = u32;

/// The slowest and the fastest share that is tried: a tenth and four times.
pub(crate) const SHARES: (Share, Share) = (100, 4000);

/// The highest share of the written tempo at which no stick comes late, to the thousandth; `None` when there is none down to
/// the slowest. Four times the tempo stands for all above.
///
/// - `amid`: whether the player stands among the drums and turns.
pub fn limit(hands: &Hands, line: &[Stroke], amid: bool) -> Option<Share> {
    highest(|share| can_play_at(hands, line, share, amid))
}

/// The highest share at which something can be done; found by halving, since it can also be done at every slower one.
pub(super) fn highest(can: impl Fn(Share) -> bool) -> Option<Share> {
    let (mut can_be, mut cannot) = (SHARES.0, SHARES.1 + 1);
    if !can(can_be) {
        return None;
    }
    // Most lines lie near the written tempo.
    for first in [1000, 2000, SHARES.1] {
        if can_be < first && first < cannot {
            *(if can(first) { &mut can_be } else { &mut cannot }) = first;
        }
    }
    while cannot - can_be > 1 {
        let middle = can_be.midpoint(cannot);
        *(if can(middle) { &mut can_be } else { &mut cannot }) = middle;
    }
    Some(can_be)
}

/// By how much all times are multiplied at a share of the tempo.
pub(super) fn times(share: Share) -> f64 {
    1000.0 / f64::from(share)
}

/// Whether a line can be played at a share of its tempo.
pub fn can_play_at(hands: &Hands, line: &[Stroke], share: Share, amid: bool) -> bool {
    let stretch = times(share);
    can_play(hands, line, stretch) && (!amid || late_turns(hands, line, stretch).iter().all(|late| *late == 0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pan::{Level, layout};

    #[test]
    fn the_limit_can_be_played_and_a_thousandth_more_can_t() {
        for (name, amid) in [("lead-c", false), ("double-second", false), ("six-bass", true)] {
            for level in Level::ALL {
                let hands = Hands::new(layout(name).expect("a layout"), level);
                let notes = hands.notes() as u16;
                let line: Vec<Stroke> = (0..60_i64)
                    .map(|i| Stroke {
                        second: (i % 7 == 0).then_some((i * 5 % 3).unsigned_abs() as u16),
                        ..Stroke::single(i * 170_000, (i * i % i64::from(notes)).unsigned_abs() as u16)
                    })
                    .collect();
                let share = limit(&hands, &line, amid).expect("a limit");
                assert!(share > SHARES.0 && share < SHARES.1);
                assert!(can_play_at(&hands, &line, share, amid), "{name} {level}");
                assert!(!can_play_at(&hands, &line, share + 1, amid), "{name} {level}");
            }
        }
    }

    #[test]
    fn what_needs_no_time_has_no_limit_and_what_can_t_be_struck_has_none_either() {
        let hands = Hands::new(layout("lead-c").expect("a layout"), Level::Intermediate);
        assert_eq!(limit(&hands, &[], false), Some(SHARES.1));
        assert_eq!(limit(&hands, &[Stroke::single(0, 3)], false), Some(SHARES.1));
        // Two strokes of one note at the same time, three of them with two sticks.
        let at_once = [0, 0, 0].map(|at| Stroke::single(at, 3));
        assert_eq!(limit(&hands, &at_once, false), None);
    }
}

//! Rolls: long notes held by quick strokes of both sticks in turn.

use crate::music::count;
use crate::pan::PanKind;
use crate::tune::model::Player;

/// Strokes of a roll a second on the upper pans: 12.
///
/// Two hands strictly alternating reach 10 to 14 strokes a second, from one-hand tapping limits of 5 to 7 a second (norm
/// tables, from memory); 12 is the middle.
pub const UPPER_RATE: f64 = 12.0;

/// Strokes of a roll a second on cello pans, quadrophonics and basses: 10, since their large notes take longer to speak
/// (common practice, no source).
pub const LOWER_RATE: f64 = 10.0;

/// How much softer the strokes of a roll after the first are, in steps of the scale from `pp` to `ff`: one, so that the
/// start of a rolled note is heard (common practice, no source).
pub const SOFTER_STEPS: f32 = 1.0;

/// Strokes of a roll a second for a player.
pub fn rate(player: &Player) -> f64 {
    match player {
        Player::Pans { kind, .. } if is_low(*kind) => LOWER_RATE,
        _ => UPPER_RATE,
    }
}

fn is_low(kind: PanKind) -> bool {
    kind.is_bass() || matches!(kind, PanKind::TripleCello | PanKind::Quadrophonic)
}

/// How many strokes a roll of some seconds has: at least two.
pub fn strokes(seconds: f64, rate: f64) -> usize {
    count((seconds * rate).round()).max(2)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tune::form::FASTEST_ROLL;

    #[test]
    fn no_roll_is_faster_than_a_tune_is_counted_with() {
        assert!(UPPER_RATE.max(LOWER_RATE) <= FASTEST_ROLL);
        assert_eq!(strokes(2.0, UPPER_RATE), 24);
        assert_eq!(strokes(0.01, UPPER_RATE), 2);
    }
}

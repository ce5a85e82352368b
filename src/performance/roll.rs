//! Rolls: long notes held by quick strokes of both sticks in turn, as uneven as hands are.

use crate::music::{Force, Length, Pitch, Seed, count};
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

/// By which part a roll is faster an octave higher, and from the softest stroke to the hardest: small notes answer sooner, and loud
/// rolls are driven. Our own settings: small enough for every pan to keep its pace.
const HIGHER: f64 = 0.03;
const HARDER: f64 = 0.08;

/// The note at which a pan rolls at its pace: the middle of a lead's, and an octave and a half below it for the low pans.
const MIDDLE: (u8, u8) = (72, 54);

/// How far a stroke lies from its even place, as a part of the time from one to the next: by chance, and for the second stick always,
/// which comes a little late. Hands that tap evenly are off by some 4 % of the time between taps (common practice, no source); with
/// both, a roll of 12 strokes a second is off by about 4 ms, less than the 6 ms that are just noticed in a quick series
/// (Friberg & Sundberg, J. Acoust. Soc. Am. 98(5), 1995).
const SCATTER: f64 = 0.09;
const SECOND_LATE: f64 = 0.03;

/// Into how many places the time from one stroke to the next is divided.
const PLACES: usize = 64;

/// How much the force of a stroke is off, in steps of the scale from `pp` to `ff`: by chance at most, and the second stick always.
/// Our own settings.
const UNEVEN: f64 = 0.33;
const SECOND_SOFTER: f64 = 0.12;

/// Strokes of a roll a second for a player who strikes a pitch this hard.
pub fn rate_of(player: &Player, pitch: Option<Pitch>, force: Force) -> f64 {
    let middle = match player {
        Player::Pans { kind, .. } if is_low(*kind) => MIDDLE.1,
        _ => MIDDLE.0,
    };
    let octaves = pitch.map_or(0.0, |pitch| f64::from(i32::from(pitch.key()) - i32::from(middle)) / 12.0);
    rate(player) * (1.0 + HIGHER * octaves.clamp(-1.5, 1.5) + HARDER * (f64::from(force.value()) - 0.6))
}

/// How a stroke inside a roll is off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Off {
    /// By how much later it comes than the even place.
    pub late: Length,
    /// By how much harder it is, in steps of the scale from `pp` to `ff`.
    pub steps: f32,
}

/// How the stroke of this number in a roll is off; the first one, which is written, is exact as all written ones are.
///
/// - `each`: the time from one stroke to the next; `seed`: of the roll.
pub fn off(number: usize, each: Length, seed: &mut Seed) -> Off {
    if number == 0 {
        return Off { late: Length::ZERO, steps: 0.0 };
    }
    let second = if number % 2 == 1 { 1.0 } else { 0.0 };
    let late = SECOND_LATE * second + SCATTER * seed.near_zero();
    let places = count((late.abs() * PLACES as f64).round());
    let late = if late < 0.0 { Length::ZERO - each.fraction(places, PLACES) } else { each.fraction(places, PLACES) };
    Off { late, steps: (UNEVEN * seed.near_zero() - SECOND_SOFTER * second) as f32 }
}

/// Strokes of a roll a second for a player, before register and force.
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
        let fastest = UPPER_RATE.max(LOWER_RATE) * (1.0 + 1.5 * HIGHER + 0.4 * HARDER);
        assert!(fastest <= FASTEST_ROLL, "{fastest}");
        assert_eq!(strokes(2.0, UPPER_RATE), 24);
        assert_eq!(strokes(0.01, UPPER_RATE), 2);
    }
}

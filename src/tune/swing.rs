//! Swing: the first half of each beat longer than the second.

use num_rational::Ratio;
use num_traits::Zero;

use crate::music::{Length, Meter};

/// How a section's beats are bent.
#[derive(Clone, Copy, Debug)]
pub struct Swing {
    beat: Length,
    /// Where the grid of beats begins, counted from the section's start: not 0 after a pickup of part of a beat.
    offset: Length,
    /// The share of the beat that its first half takes.
    first: Ratio<i64>,
}

impl Swing {
    /// The swing of a section; `None` when it is straight. Meters with a dotted beat are never swung: their beat is in
    /// thirds already.
    ///
    /// - `ratio`: the first part of a beat to the second, for example 2 to 1;
    /// - `first_bar`: the length of the section's first bar, which may be a pickup.
    pub fn new(ratio: (u8, u8), meter: Meter, first_bar: Length) -> Option<Swing> {
        let (first, second) = (i64::from(ratio.0), i64::from(ratio.1));
        if first == second || first + second == 0 || meter.is_compound() {
            return None;
        }
        let beats = first_bar.per(meter.beat());
        let offset = meter.beat() * beats.fract();
        Some(Swing { beat: meter.beat(), offset, first: Ratio::new(first, first + second) })
    }

    /// Where the swing moves a time of the section. Beats stay where they are; between them time is stretched up to the
    /// half and squeezed after it.
    pub fn bend(&self, time: Length) -> Length {
        let along = (time - self.offset).per(self.beat);
        let whole = along.floor();
        let part = along - whole;
        let half = Ratio::new(1, 2);
        let bent = if part.is_zero() {
            part
        } else if part <= half {
            part * 2 * self.first
        } else {
            self.first + (part - half) * 2 * (Ratio::from_integer(1) - self.first)
        };
        self.offset + self.beat * (whole + bent)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_to_one_puts_the_second_eighth_at_two_thirds() {
        let meter = Meter::default();
        let swing = Swing::new((2, 1), meter, meter.bar()).expect("a swing");
        let bent = |n, d| swing.bend(Length::quarters(n, d));
        assert_eq!(bent(1, 2), Length::quarters(2, 3));
        assert_eq!(bent(1, 4), Length::quarters(1, 3));
        assert_eq!(bent(3, 4), Length::quarters(5, 6));
        assert_eq!(bent(3, 1), Length::quarters(3, 1));
        assert_eq!(bent(7, 2), Length::quarters(11, 3));
    }

    #[test]
    fn the_grid_follows_a_pickup_of_half_a_beat() {
        let meter = Meter::default();
        let swing = Swing::new((2, 1), meter, Length::quarters(1, 2)).expect("a swing");
        // The bar after the pickup begins at 1/2 and stays there; its second eighth moves.
        assert_eq!(swing.bend(Length::quarters(1, 2)), Length::quarters(1, 2));
        assert_eq!(swing.bend(Length::quarters(1, 1)), Length::quarters(1, 2) + Length::quarters(2, 3));
        // The pickup is a beat's second half: with 2:1 it comes later and is shorter.
        assert_eq!(swing.bend(Length::ZERO), Length::quarters(1, 6));
    }

    #[test]
    fn dotted_beats_stay_straight() {
        let meter = Meter::new(6, 8).expect("a meter");
        assert!(Swing::new((2, 1), meter, meter.bar()).is_none());
        assert!(Swing::new((1, 1), Meter::default(), Length::quarters(4, 1)).is_none());
    }
}

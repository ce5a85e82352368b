//! What is wanted of the seats, in which order: each aim weighs more than all after it together.
//!
//! Above all of them, nobody plays two parts at a time; the assignment never breaks that.

use super::problem::{Weight, above};

/// What one seat costs, aim by aim, the most important first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Aims {
    /// 1 where the tune gives the part to somebody else (`for`).
    pub not_asked_for: u64,
    /// 1 where the pan has a habit (`plays` of the band file), and the part is none of it.
    pub habit_broken: u64,
    /// How many of the part's strokes the pan lacks, with the form played out.
    pub missing: u64,
    /// 1 where the player has not learnt the part yet.
    pub unknown: u64,
    /// The harder the part and the less experienced the player, the more.
    pub too_hard: u64,
    /// Which of the player's pans it is: their usual one first.
    pub unusual: u64,
    /// How far the order of the parts and that of the pans go apart; so that the same file gives the same seats.
    pub disorder: u64,
}

/// What each aim weighs.
#[derive(Clone, Debug)]
pub struct Scale {
    /// For a part that nobody plays.
    pub nobody: Weight,
    /// For each part of a player that is not their first. It weighs less than the habits: whoever usually plays both keeps both.
    pub again: Weight,
    not_asked_for: Weight,
    habit_broken: Weight,
    missing: Weight,
    unknown: Weight,
    too_hard: Weight,
    unusual: Weight,
}

impl Scale {
    /// The scale for a number of parts, of which no seat costs more than `most` of any aim.
    ///
    /// `None` when the numbers are too large to be told apart in one sum, which takes hundreds of parts on hundreds of pans.
    pub fn new(parts: usize, most: Aims) -> Option<Scale> {
        let parts = parts.max(1);
        let above = |weight, most| above(weight, most, parts);
        let unusual = above(1, most.disorder)?;
        let too_hard = above(unusual, most.unusual)?;
        let unknown = above(too_hard, most.too_hard)?;
        let missing = above(unknown, 1)?;
        let again = above(missing, most.missing)?;
        let habit_broken = above(again, 1)?;
        let not_asked_for = above(habit_broken, 1)?;
        let nobody = above(not_asked_for, 1)?;
        // The assignment adds up to twice this for each part.
        nobody.checked_mul(4)?.checked_mul(parts as Weight)?;
        Some(Scale { nobody, again, not_asked_for, habit_broken, missing, unknown, too_hard, unusual })
    }

    /// What a seat weighs.
    pub fn weigh(&self, aims: &Aims) -> Weight {
        let terms = [
            (self.not_asked_for, aims.not_asked_for),
            (self.habit_broken, aims.habit_broken),
            (self.missing, aims.missing),
            (self.unknown, aims.unknown),
            (self.too_hard, aims.too_hard),
            (self.unusual, aims.unusual),
            (1, aims.disorder),
        ];
        terms.into_iter().map(|(weight, times)| weight * Weight::from(times)).sum()
    }
}

impl Aims {
    /// Each aim, but none above `most`.
    pub fn min(self, most: Aims) -> Aims {
        Aims {
            not_asked_for: self.not_asked_for.min(most.not_asked_for),
            habit_broken: self.habit_broken.min(most.habit_broken),
            missing: self.missing.min(most.missing),
            unknown: self.unknown.min(most.unknown),
            too_hard: self.too_hard.min(most.too_hard),
            unusual: self.unusual.min(most.unusual),
            disorder: self.disorder.min(most.disorder),
        }
    }

    /// The greater of each aim.
    pub fn max(self, other: Aims) -> Aims {
        Aims {
            not_asked_for: self.not_asked_for.max(other.not_asked_for),
            habit_broken: self.habit_broken.max(other.habit_broken),
            missing: self.missing.max(other.missing),
            unknown: self.unknown.max(other.unknown),
            too_hard: self.too_hard.max(other.too_hard),
            unusual: self.unusual.max(other.unusual),
            disorder: self.disorder.max(other.disorder),
        }
    }
}

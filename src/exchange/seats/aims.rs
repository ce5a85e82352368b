//! What is wanted of the seats of music that nobody wrote for this band, in which order: each aim weighs more than all after it
//! together.

use super::seat::SharePans;
use crate::people::problem::Weight;

/// How many moments at which two neighbouring voices cross are as bad as a stroke that is missing. Our own setting: with missing
/// strokes before everything, a bass of which one note is missing on the six bass goes to the cellos, above the tenor for the whole tune.
const CROSSED_AS_MISSING: u64 = 6;

/// The most that is counted of missing strokes, torn places and crossed moments of a part, so that the sums fit: far above real music.
pub const MOST_COUNTED: [u64; 3] = [20_000, 999, 100_000];

/// What one part on one pan costs, aim by aim.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Aims {
    /// 1 where a pan's habit is a part of this name, and this is another pan.
    pub not_its_habit: u64,
    /// Strokes that the pan has in no octave, with the form played out.
    pub missing: u64,
    /// At how many places the line is torn.
    pub torn: u64,
    /// 1 for each thing that its name or its place asks for otherwise: the kind of pan, a bass for the lowest, a lead for the highest.
    pub not_asked_for: u64,
    /// How far it lies from where the pan's notes lie.
    pub away: u64,
    /// How far the order of the parts and that of the pans go apart, so that the same file gives the same seats.
    pub disorder: u64,
}

/// What each aim weighs.
#[derive(Clone, Copy, Debug)]
pub struct Scale {
    /// For a part that nobody plays.
    pub nobody: Weight,
    /// For each part that shares a pan, once more for each that is there before it.
    pub shared: Weight,
    not_its_habit: Weight,
    /// For a moment at which two neighbours cross.
    pub crossed: Weight,
    torn: Weight,
    not_asked_for: Weight,
    away: Weight,
}

impl Scale {
    /// The scale for a number of parts, of which none costs more than `most` of an aim, and which cross at no more than `crossed`
    /// moments in all.
    pub fn new(parts: usize, most: &Aims, crossed: u64, share: SharePans) -> Scale {
        let parts = parts as Weight;
        let above = |weight: Weight, most: u64| weight * (Weight::from(most) * parts + 1);
        let away = above(1, most.disorder);
        let not_asked_for = above(away, most.away);
        let torn = above(not_asked_for, most.not_asked_for);
        // Of all pairs of parts that share a pan.
        let pairs = parts * parts;
        let after_torn = above(torn, most.torn);
        let harm = Weight::from(most.missing * CROSSED_AS_MISSING) * parts + Weight::from(crossed);
        let (shared, crossed, not_its_habit) = match share {
            SharePans::IfNeeded => (after_torn * (harm + 1), after_torn, after_torn * (harm + 1) * (pairs + 1)),
            SharePans::Rows | SharePans::Merged => {
                (after_torn, after_torn * (pairs + 1), after_torn * (pairs + 1) * (harm + 1))
            }
        };
        Scale { nobody: not_its_habit * (parts + 1), shared, not_its_habit, crossed, torn, not_asked_for, away }
    }

    /// What a seat weighs.
    pub fn weigh(&self, aims: &Aims) -> Weight {
        let terms = [
            (self.not_its_habit, aims.not_its_habit),
            (self.crossed, aims.missing * CROSSED_AS_MISSING),
            (self.torn, aims.torn),
            (self.not_asked_for, aims.not_asked_for),
            (self.away, aims.away),
            (1, aims.disorder),
        ];
        terms.into_iter().map(|(weight, times)| weight * Weight::from(times)).sum()
    }
}

impl Aims {
    /// The greater of each aim.
    pub fn max(self, other: Aims) -> Aims {
        Aims {
            not_its_habit: self.not_its_habit.max(other.not_its_habit),
            missing: self.missing.max(other.missing),
            torn: self.torn.max(other.torn),
            not_asked_for: self.not_asked_for.max(other.not_asked_for),
            away: self.away.max(other.away),
            disorder: self.disorder.max(other.disorder),
        }
    }
}

//! What is wanted of the seats of music that nobody wrote for this band, in which order: each aim weighs more than all after it
//! together. In this order: what the band's habit names; a pan for each part; missing strokes and crossed moments; jumps of an octave in
//! the line; what names ask for; registers.
//!
//! Missing strokes and crossed moments are weighed (`left_out` and `cross` of the band file), not strictly ordered. On 150 pieces and five
//! old pans with gaps, missing strokes strictly first leaves 71 of them and lets voices cross at 14 % of moments; three moved notes for a
//! missing stroke leaves 216 and 9.6 % (6.4 % as written). On the demo's band it is 65 against 74, and 7.0 against 6.8 %. For this each
//! part is fitted alone on each pan; `fit` then looks at all of them.

use num_integer::Integer;

use super::seat::SharePans;
use crate::pan::{Cost, Costs};
use crate::people::problem::{Weight, above};

/// The highest counts of missing strokes, jumps of an octave and crossed moments of a part: far above real music.
pub const MOST_COUNTED: [u64; 3] = [20_000, 999, 100_000];

/// What one part on one pan costs, aim by aim.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Aims {
    /// 1 where a pan's habit is a part of this name, and this is another pan.
    pub not_its_habit: u64,
    /// Strokes that the pan has in no octave, with the form played out.
    pub missing: u64,
    /// At how many places the line jumps an octave.
    pub torn: u64,
    /// 1 for each wish of its name or its place that is not met: the kind of pan, a bass for the lowest, a lead for the highest.
    pub not_asked_for: u64,
    /// How far it lies from where the pan's notes lie.
    pub away: u64,
    /// How far the order of the parts and that of the pans differ, so that the same file gives the same seats.
    pub disorder: u64,
}

/// What each aim weighs.
#[derive(Clone, Copy, Debug)]
pub struct Scale {
    /// For a part that nobody plays.
    pub nobody: Weight,
    /// For each part that shares a pan, once for each part that has the pan before it.
    pub shared: Weight,
    /// For a moment at which two neighbours cross.
    pub crossed: Weight,
    not_its_habit: Weight,
    missing: Weight,
    torn: Weight,
    not_asked_for: Weight,
    away: Weight,
    disorder: Weight,
}

/// What is weighed.
pub struct Most<'a> {
    /// How many parts there are.
    pub parts: usize,
    /// For each aim, the most that one of them costs.
    pub aims: Aims,
    /// At how many moments neighbours cross at most, all together.
    pub crossed: u64,
    /// What a missing stroke and a crossed moment cost beside each other.
    pub costs: &'a Costs,
    /// When parts may share a pan.
    pub share: SharePans,
}

impl Scale {
    /// A scale that keeps as many aims apart as its numbers allow: with hundreds of parts on hundreds of pans the last ones may weigh
    /// nothing.
    pub fn new(most: &Most) -> Scale {
        let of = most.aims;
        let plainer = [
            of,
            Aims { disorder: 0, away: 0, ..of },
            Aims { disorder: 0, away: 0, not_asked_for: 0, torn: 0, ..of },
            Aims { not_its_habit: of.not_its_habit, ..Aims::default() },
        ];
        let scale = plainer.into_iter().find_map(|aims| Scale::of(most, &aims));
        scale.expect("sums of ones fit, however many parts there are")
    }

    /// The scale where no part costs more than `aims`; `None` where its sums are too large.
    fn of(most: &Most, aims: &Aims) -> Option<Scale> {
        let parts = most.parts as Weight;
        let above = |weight, of| above(weight, of, most.parts);
        let weighs = |most: u64| Weight::from(most > 0);
        let away = above(1, aims.disorder)?;
        let not_asked_for = above(away, aims.away)?;
        let torn = above(not_asked_for, aims.not_asked_for)?;
        let after_torn = above(torn, aims.torn)?;
        let [left_out, cross] = in_lowest_terms([most.costs.left_out, most.costs.cross]);
        let missing = Weight::from(aims.missing).checked_mul(left_out)?.checked_mul(parts)?;
        let harm = Weight::from(most.crossed).checked_mul(cross)?.checked_add(missing)?.checked_add(1)?;
        // One more than all pairs of parts, which may share a pan.
        let pairs = parts * parts + 1;
        let (shared, harmed) = match most.share {
            SharePans::IfNeeded => (after_torn.checked_mul(harm)?, after_torn),
            SharePans::Rows | SharePans::Merged => (after_torn, after_torn.checked_mul(pairs)?),
        };
        let not_its_habit = after_torn.checked_mul(harm)?.checked_mul(pairs)?;
        let nobody = not_its_habit.checked_mul(parts + 1)?;
        // The assignment adds up to twice this for each part, and what pairs cost.
        nobody.checked_mul(8)?.checked_mul(parts)?;
        Some(Scale {
            nobody,
            shared,
            crossed: harmed * cross,
            not_its_habit,
            missing: harmed * left_out * weighs(aims.missing),
            torn: torn * weighs(aims.torn),
            not_asked_for: not_asked_for * weighs(aims.not_asked_for),
            away: away * weighs(aims.away),
            disorder: weighs(aims.disorder),
        })
    }

    /// What a seat weighs.
    pub fn weigh(&self, aims: &Aims) -> Weight {
        let terms = [
            (self.not_its_habit, aims.not_its_habit),
            (self.missing, aims.missing),
            (self.torn, aims.torn),
            (self.not_asked_for, aims.not_asked_for),
            (self.away, aims.away),
            (self.disorder, aims.disorder),
        ];
        terms.into_iter().map(|(weight, times)| weight * Weight::from(times)).sum()
    }
}

/// Two costs divided by their greatest common divisor, as weights.
fn in_lowest_terms(costs: [Cost; 2]) -> [Weight; 2] {
    let common = costs[0].gcd(&costs[1]).max(1);
    costs.map(|cost| Weight::from(cost / common))
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

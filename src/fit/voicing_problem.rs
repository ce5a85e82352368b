//! The problem of the joint choice of strummed notes: chains of choices with their costs, and what covers cost.

use crate::pan::Cost;

/// More than any sum of costs.
pub const NEVER: Cost = 1 << 50;

/// How many bits a cover has.
pub const COVERS: usize = 1 << 7;

/// A way through a chain: by moment, the number of the choice.
pub type Way = Vec<usize>;

/// Something that a chain may do at a moment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Choice {
    /// What it costs by itself.
    pub own: Cost,
    /// What it covers, a bit each.
    pub cover: u8,
}

/// A chain: its choices at each moment (at least one), and what it costs to go from one to the next.
#[derive(Clone, Debug, Default)]
pub struct Chain {
    /// The choices by moment.
    pub moments: Vec<Vec<Choice>>,
    /// For each moment but the first: the cost from each choice before (row) to each choice (column).
    pub steps: Vec<Vec<Cost>>,
}

impl Chain {
    /// What it costs to go from a choice of the moment before to one of this.
    pub(super) fn step(&self, moment: usize, from: usize, to: usize) -> Cost {
        self.steps[moment - 1][from * self.moments[moment].len() + to]
    }
}

/// What is to be solved.
#[derive(Clone, Debug, Default)]
pub struct Problem {
    /// The chains, all over the same moments.
    pub chains: Vec<Chain>,
    /// What a cover costs, by moment.
    pub covers: Vec<[Cost; COVERS]>,
}

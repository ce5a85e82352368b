//! Who could play what, and what it costs: parts with their choices, and the assignments of one to the other.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

/// What an assignment costs; a sum of aims, each of which weighs more than all after it (see `aims`).
pub type Weight = i128;

/// The least weight that is above all of a smaller aim's: `parts` times the `most` that one part costs of it, each of which weighs
/// `weight`. `None` where that is too large for a number.
pub fn above(weight: Weight, most: u64, parts: usize) -> Option<Weight> {
    Weight::from(most).checked_mul(parts as Weight)?.checked_add(1)?.checked_mul(weight)
}

/// One way to have a part played: a player at a piece, both by number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Choice {
    /// The player.
    pub player: usize,
    /// What they play it on.
    pub piece: usize,
    /// What it costs.
    pub weight: Weight,
}

/// Who could play what.
#[derive(Clone, Debug, Default)]
pub struct Problem {
    /// The choices of each part.
    pub choices: Vec<Vec<Choice>>,
    /// What it costs to leave a part to nobody.
    pub nobody: Weight,
    /// What each part costs that is not a player's first.
    pub again: Weight,
    /// What each part costs besides for every part that its player has between their first and it: with it the third part of a
    /// player is dearer than the second, and further parts go to different players.
    pub again_grows: Weight,
    /// What choices of two parts cost together.
    pub pairs: Vec<Pair>,
    /// Pairs of choices that can't both be: a part's number and its choice's number, the smaller part first. Two players at one
    /// piece always clash, and need not stand here.
    pub clashes: BTreeSet<(Pick, Pick)>,
}

/// A part and the number of one of its choices.
pub type Pick = (usize, usize);

/// An assignment.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Assignment {
    /// For each part the number of its choice; `None`: nobody.
    pub chosen: Vec<Option<usize>>,
    /// The sum.
    pub weight: Weight,
    /// Whether it is proven that nothing costs less.
    pub is_proven: bool,
}

impl Problem {
    /// What an assignment costs.
    pub fn weight(&self, chosen: &[Option<usize>]) -> Weight {
        let mut parts_of: BTreeMap<usize, usize> = BTreeMap::new();
        let one = |(part, choice): (usize, &Option<usize>)| match choice {
            None => self.nobody,
            Some(number) => {
                let choice = self.choices[part][*number];
                let parts = parts_of.entry(choice.player).or_default();
                *parts += 1;
                choice.weight + self.turn(*parts - 1)
            }
        };
        let ones: Weight = chosen.iter().enumerate().map(one).sum();
        ones + self.pairs.iter().map(|pair| pair.of(chosen)).sum::<Weight>()
    }

    /// Whether every player has one piece, and every piece one player: then both tables are one.
    pub(super) fn is_each_at_one(&self) -> bool {
        let pairs: BTreeSet<(usize, usize)> =
            self.choices.iter().flatten().map(|choice| (choice.player, choice.piece)).collect();
        let players: BTreeSet<usize> = pairs.iter().map(|(player, _)| *player).collect();
        let pieces: BTreeSet<usize> = pairs.iter().map(|(_, piece)| *piece).collect();
        players.len() == pairs.len() && pieces.len() == pairs.len()
    }

    /// What it costs that a part is this one of its player's, from 0.
    pub(super) fn turn(&self, number: usize) -> Weight {
        match number.checked_sub(1) {
            None => 0,
            Some(between) => self.again + self.again_grows * between as Weight,
        }
    }

    /// Whether two picks can't both be.
    pub fn clash(&self, a: Pick, b: Pick) -> bool {
        let (of_a, of_b) = (self.choices[a.0][a.1], self.choices[b.0][b.1]);
        let at_one_piece = of_a.piece == of_b.piece && of_a.player != of_b.player;
        at_one_piece || self.clashes.contains(&(a.min(b), a.max(b)))
    }

    /// The choice of an assignment that clashes with the most others; `None` when none does.
    pub(super) fn most_clashing(&self, chosen: &[Option<usize>]) -> Option<Pick> {
        let picks: Vec<Pick> =
            chosen.iter().enumerate().filter_map(|(part, choice)| Some((part, (*choice)?))).collect();
        let clashes =
            |pick: &Pick| picks.iter().filter(|other| other.0 != pick.0 && self.clash(*pick, **other)).count();
        let counted = picks.iter().map(|pick| (clashes(pick), Reverse(*pick)));
        counted.max().filter(|(count, _)| *count > 0).map(|(_, Reverse(pick))| pick)
    }
}

/// What the choices of two parts cost together, besides what each costs alone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pair {
    /// The two parts.
    pub parts: (usize, usize),
    /// By the number of the first part's choice and of the second's. No cost is below zero.
    pub costs: Vec<Vec<Weight>>,
}

impl Pair {
    /// What it costs in an assignment: nothing where nobody plays one of the parts.
    pub(super) fn of(&self, chosen: &[Option<usize>]) -> Weight {
        match (chosen[self.parts.0], chosen[self.parts.1]) {
            (Some(first), Some(second)) => self.costs[first][second],
            _ => 0,
        }
    }
}

//! The joint choice of strummed notes: several chains of options, each with costs of its own and of its movement, tied
//! together at every moment by what all of them cover between them.
//!
//! Chains are improved in turn against each other, which gives a way through and so an upper bound. Prices for what the
//! chains cover give a lower bound ([`voicing_bound`](super::voicing_bound)), and strike out choices that no better way can
//! use. What is left is searched by dynamic programming over all chains at once
//! ([`voicing_joint`](super::voicing_joint)), with little room for states while the prices get better, then with more. If no
//! room that is allowed proves a way to be the best, any two chains are improved together until no two can be bettered, and
//! the distance from the lower bound is given.
//!
//! In trials all of 450 sections with up to eight parts on unlike or mixed pans were proven, and 35 of 40 on pans of one layout: there
//! seven or eight parts can change places, and a gap of a few thousandths of the cost may stay.

use super::voicing_bound::{FINE, Relaxed};
use super::voicing_joint::{most_room, search};
use super::voicing_problem::{Choice, Problem, Way};
use crate::pan::Cost;

/// How many states the search keeps at a time: few while the prices get better, then more as long as nothing is proven. For a
/// section of five pans and eight chords a hundred are almost always enough.
pub const ROOMS: [usize; 4] = [100, 1_000, 10_000, 40_000];

/// How often the prices are made better between two searches at least (at first less often, since most sections are easy). As
/// much work goes into prices before a search as the last search took.
const RAISES_BETWEEN: usize = 4;

/// About how often the prices are made better in all: further on they hardly gain.
const RAISES_IN_ALL: usize = 60;

/// How much work may go into proving a way, and as much again into two chains at a time; a unit is a step from choice to choice
/// that is looked at, about a nanosecond. It is far more than a section of eight pans and eighty chords needs; with six pans and a
/// thousand chords some of the work is left undone, so that no tune takes minutes.
const MOST_WORK: usize = 250_000_000;

/// What a state of the search costs in this unit, including its sorting.
const STATE: usize = 20;

/// A way through all chains.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Solution {
    /// The way of each chain.
    pub chosen: Vec<Way>,
    /// What it costs.
    pub cost: Cost,
    /// No way costs less than this; equal to the cost when the way is proven to be a best one.
    pub bound: Cost,
}

/// Solves a problem with these limits for the number of states, mostly [`ROOMS`]; of ways with the same cost it is the first in the
/// order of the choices.
pub fn solve_within(problem: &Problem, rooms: &[usize]) -> Solution {
    if problem.chains.is_empty() || problem.covers.is_empty() {
        return Solution { chosen: vec![Vec::new(); problem.chains.len()], cost: 0, bound: 0 };
    }
    let (chosen, cost) = problem.improved();
    if problem.chains.len() == 1 {
        // One chain with its covers is a chain: the first round of improvement is its exact solution.
        return Solution { chosen, cost, bound: cost };
    }
    let mut solving = Solving { problem, relaxed: Relaxed::new(problem), chosen, cost, bound: 0, work: 0 };
    if !solving.prove(rooms) {
        solving.better_pairs();
    }
    Solution { chosen: solving.chosen, cost: solving.cost, bound: solving.bound }
}

/// A problem on the way to its solution.
struct Solving<'a> {
    problem: &'a Problem,
    relaxed: Relaxed<'a>,
    /// The best ways that are known, one for each chain, and what they cost.
    chosen: Vec<Way>,
    cost: Cost,
    /// No ways cost less than this.
    bound: Cost,
    /// See [`MOST_WORK`].
    work: usize,
}

impl Solving<'_> {
    /// Looks for a best way and its proof. Whether it is proven.
    fn prove(&mut self, rooms: &[usize]) -> bool {
        let least = rooms.first().copied().unwrap_or(0);
        self.prove_by_prices(least) || self.prove_by_room(rooms) || self.bound == self.cost
    }

    /// Makes the prices better and searches in turn, with little room, until the prices hardly gain any more.
    fn prove_by_prices(&mut self, room: usize) -> bool {
        let mut raised = 0;
        // What is due before the next search: so many raises in all, and as much work as the last search took.
        let (mut due, mut searched) = (1, 0);
        while raised < RAISES_IN_ALL && self.work < MOST_WORK && self.bound < self.cost {
            let before = self.work;
            while raised < due || self.work < before + searched {
                self.raise();
                raised += 1;
            }
            let before = self.work;
            if self.search(room) {
                return true;
            }
            searched = self.work - before;
            due = raised + RAISES_BETWEEN.min(raised + 1);
        }
        false
    }

    /// Searches with more and more room, up to the most that is allowed.
    fn prove_by_room(&mut self, rooms: &[usize]) -> bool {
        let most = most_room(&self.relaxed);
        let mut larger = rooms.windows(2).filter(|two| two[0] < most).map(|two| two[1]);
        larger.any(|room| self.work < MOST_WORK && self.search(room))
    }

    /// Makes the prices better.
    fn raise(&mut self) {
        self.work += 3 * self.relaxed.ways();
        self.relaxed.raise();
    }

    /// Looks for a better way, and for the first of the best ones. Whether that is proven.
    fn search(&mut self, room: usize) -> bool {
        let most = FINE * self.cost;
        self.relaxed.narrow(most);
        let found = search(&self.relaxed, most, room);
        self.work += STATE * found.looked_at;
        if let Some(chosen) = found.chosen {
            self.cost = self.problem.cost(&chosen);
            self.chosen = chosen;
        }
        let not_looked_at = found.dropped.map_or(self.cost, |dropped| thousandths(dropped).min(self.cost));
        self.bound = self.bound.max(thousandths(self.relaxed.bound)).max(not_looked_at);
        found.dropped.is_none_or(|dropped| dropped > FINE * self.cost)
    }

    /// Improves two chains at a time, exactly, until no two can be bettered.
    fn better_pairs(&mut self) {
        let chains = self.problem.chains.len();
        let pairs: Vec<[usize; 2]> = (0..chains).flat_map(|i| (i + 1..chains).map(move |j| [i, j])).collect();
        let mut settled = 0;
        self.work = 0;
        for pair in pairs.iter().cycle() {
            if settled == pairs.len() || self.work > MOST_WORK || self.bound == self.cost {
                return;
            }
            settled = if self.better(pair) { 1 } else { settled + 1 };
        }
    }

    /// Improves some chains while the others stand. Choices that are struck out can't be part of any better way.
    fn better(&mut self, chains: &[usize]) -> bool {
        let mut others = self.chosen.clone();
        chains.iter().for_each(|chain| others[*chain].clear());
        let mut relaxed = self.relaxed.some(chains, self.problem.covered(&others));
        let fixed: Cost = (0..others.len()).map(|chain| self.problem.alone(chain, &others[chain])).sum();
        let most = FINE * (self.cost - fixed) - 1;
        self.work += 3 * RAISES_BETWEEN * relaxed.ways();
        (0..RAISES_BETWEEN).for_each(|_| relaxed.raise());
        let found = if relaxed.narrow(most) { search(&relaxed, most, usize::MAX).chosen } else { None };
        let Some(found) = found else { return false };
        chains.iter().zip(found).for_each(|(chain, way)| self.chosen[*chain] = way);
        self.cost = self.problem.cost(&self.chosen);
        true
    }
}

/// A bound in fine parts, as whole thousandths: costs are whole, so it is rounded up.
fn thousandths(fine: Cost) -> Cost {
    (fine + FINE - 1).div_euclid(FINE)
}

impl Problem {
    /// What a way costs.
    pub fn cost(&self, chosen: &[Way]) -> Cost {
        let covered = self.covered(chosen);
        let covering: Cost = self.covers.iter().zip(covered).map(|(costs, cover)| costs[usize::from(cover)]).sum();
        covering + chosen.iter().enumerate().map(|(chain, way)| self.alone(chain, way)).sum::<Cost>()
    }

    /// What a chain's way (or its beginning) costs by itself.
    fn alone(&self, chain: usize, way: &[usize]) -> Cost {
        let chain = &self.chains[chain];
        let own: Cost = chain.moments.iter().zip(way).map(|(choices, at)| choices[*at].own).sum();
        own + way.windows(2).enumerate().map(|(last, two)| chain.step(last + 1, two[0], two[1])).sum::<Cost>()
    }

    /// What chains cover with their ways, by moment; one whose way is not there covers nothing.
    fn covered(&self, chosen: &[Way]) -> Vec<u8> {
        let mut covered = vec![0; self.covers.len()];
        for (chain, way) in self.chains.iter().zip(chosen) {
            let covers = chain.moments.iter().zip(way).map(|(choices, at)| choices[*at].cover);
            covered.iter_mut().zip(covers).for_each(|(covered, cover)| *covered |= cover);
        }
        covered
    }

    /// A good way: the chains one after the other, each best against those that stand, until nothing gets better.
    fn improved(&self) -> (Vec<Way>, Cost) {
        let mut chosen: Vec<Way> = vec![Way::new(); self.chains.len()];
        let mut cost = Cost::MAX;
        loop {
            for chain in 0..self.chains.len() {
                chosen[chain].clear();
                chosen[chain] = self.best_against(chain, &self.covered(&chosen));
            }
            let now = self.cost(&chosen);
            if now >= cost {
                return (chosen, now);
            }
            cost = now;
        }
    }

    /// A chain's best way when the others cover what they cover.
    fn best_against(&self, chain: usize, covered: &[u8]) -> Way {
        let chain = &self.chains[chain];
        // For each choice of the last moment: what the cheapest way to it costs.
        let mut costs: Vec<Cost> = Vec::new();
        // For each choice of each moment: the choice before it on the cheapest way.
        let mut from: Vec<Vec<usize>> = Vec::new();
        for (moment, choices) in chain.moments.iter().enumerate() {
            let cheapest = |(to, choice): (usize, &Choice)| {
                let ways = costs.iter().enumerate().map(|(from, cost)| (cost + chain.step(moment, from, to), from));
                let (before, last) = ways.min().unwrap_or((0, 0));
                let covering = self.covers[moment][usize::from(choice.cover | covered[moment])];
                (before + choice.own + covering, last)
            };
            let (next, back) = choices.iter().enumerate().map(cheapest).unzip();
            costs = next;
            from.push(back);
        }
        let mut at = (0..costs.len()).min_by_key(|i| costs[*i]).unwrap_or(0);
        let mut way = vec![0; chain.moments.len()];
        for moment in (0..way.len()).rev() {
            way[moment] = at;
            at = from[moment][at];
        }
        way
    }
}

#[cfg(test)]
#[path = "voicing_solve_tests.rs"]
mod tests;

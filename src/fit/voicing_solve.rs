//! The joint choice of strummed notes: several chains of options, each with costs of its own and of its movement, tied
//! together at every moment by what all of them cover between them.
//!
//! Exact where the states allow it. Each chain alone is solved forwards and backwards, which gives for every option the least
//! cost of any way through it; together with the least that covering can cost that is a lower bound. Chains are then improved
//! in turn against each other, which gives a way through and so an upper bound. Options whose bound lies above it can't be
//! part of a best way and are struck out; what is left is solved by dynamic programming over all chains at once. If it is
//! still too large, the way that was found stands, and its distance from the lower bound is told.

use crate::pan::Cost;

/// More than any sum of costs.
pub const NEVER: Cost = 1 << 50;

/// How many states of a moment the joint solution takes on.
pub const MOST_STATES: usize = 50_000;

/// How many bits a cover has.
pub const COVERS: usize = 1 << 7;

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
    fn step(&self, moment: usize, from: usize, to: usize) -> Cost {
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

/// A way through all chains.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Solution {
    /// By chain and moment, the number of the choice.
    pub chosen: Vec<Vec<usize>>,
    /// What it costs.
    pub cost: Cost,
    /// No way costs less than this; equal to the cost when the way is proven to be a best one.
    pub bound: Cost,
}

/// Solves a problem; of ways of one cost the first in the order of the choices is taken.
pub fn solve(problem: &Problem) -> Solution {
    solve_within(problem, MOST_STATES)
}

/// The same with another limit of states.
pub fn solve_within(problem: &Problem, most_states: usize) -> Solution {
    let moments = problem.covers.len();
    if problem.chains.is_empty() || moments == 0 {
        return Solution { chosen: vec![Vec::new(); problem.chains.len()], cost: 0, bound: 0 };
    }
    let through: Vec<Vec<Vec<Cost>>> = problem.chains.iter().map(through).collect();
    let alone: Vec<Cost> = through.iter().map(|chain| least(&chain[0])).collect();
    let covering: Cost = (0..moments).map(|moment| problem.least_cover(moment)).sum();
    let bound = alone.iter().sum::<Cost>() + covering;
    let (chosen, cost) = problem.improved();
    if problem.chains.len() == 1 {
        // One chain with its covers is a chain: the first round of improvement is its exact solution.
        return Solution { chosen, cost, bound: cost };
    }
    let kept: Vec<Vec<Vec<usize>>> = (0..problem.chains.len())
        .map(|chain| {
            let worst = cost - bound + alone[chain];
            let keep = |costs: &Vec<Cost>| (0..costs.len()).filter(|i| costs[*i] <= worst).collect();
            through[chain].iter().map(keep).collect()
        })
        .collect();
    let states = |moment: usize| kept.iter().map(|chain| chain[moment].len()).try_fold(1usize, usize::checked_mul);
    if (0..moments).any(|moment| states(moment).is_none_or(|states| states > most_states)) {
        return Solution { chosen, cost, bound };
    }
    let (chosen, cost) = problem.joint(&kept);
    Solution { chosen, cost, bound: cost }
}

fn least(costs: &[Cost]) -> Cost {
    costs.iter().copied().min().unwrap_or(NEVER)
}

/// For each choice of a chain the least cost of a way through it.
fn through(chain: &Chain) -> Vec<Vec<Cost>> {
    let moments = chain.moments.len();
    let mut forward: Vec<Vec<Cost>> = Vec::with_capacity(moments);
    for (moment, choices) in chain.moments.iter().enumerate() {
        let costs = (0..choices.len()).map(|to| {
            let before = match moment.checked_sub(1) {
                None => 0,
                Some(last) => {
                    let ways = forward[last].iter().enumerate().map(|(from, cost)| cost + chain.step(moment, from, to));
                    ways.min().unwrap_or(NEVER)
                }
            };
            before + choices[to].own
        });
        let costs = costs.collect();
        forward.push(costs);
    }
    // Backwards: what follows a choice.
    let mut after = vec![0; chain.moments[moments - 1].len()];
    for moment in (0..moments).rev() {
        forward[moment].iter_mut().zip(&after).for_each(|(cost, after)| *cost += after);
        if moment > 0 {
            let from_here = |from: usize| {
                let ways = after.iter().zip(&chain.moments[moment]).enumerate();
                ways.map(|(to, (after, choice))| chain.step(moment, from, to) + choice.own + after).min()
            };
            after = (0..chain.moments[moment - 1].len()).map(|from| from_here(from).unwrap_or(NEVER)).collect();
        }
    }
    forward
}

impl Problem {
    /// What a way costs.
    pub fn cost(&self, chosen: &[Vec<usize>]) -> Cost {
        let mut sum = 0;
        for moment in 0..self.covers.len() {
            let mut cover = 0;
            for (chain, way) in self.chains.iter().zip(chosen) {
                let choice = chain.moments[moment][way[moment]];
                cover |= choice.cover;
                sum += choice.own;
                if moment > 0 {
                    sum += chain.step(moment, way[moment - 1], way[moment]);
                }
            }
            sum += self.covers[moment][usize::from(cover)];
        }
        sum
    }

    /// The least that covering can cost at a moment, whatever it costs otherwise.
    fn least_cover(&self, moment: usize) -> Cost {
        let mut reached = vec![false; COVERS];
        reached[0] = true;
        for chain in &self.chains {
            let mut next = vec![false; COVERS];
            for cover in (0..COVERS).filter(|cover| reached[*cover]) {
                chain.moments[moment].iter().for_each(|choice| next[cover | usize::from(choice.cover)] = true);
            }
            reached = next;
        }
        (0..COVERS).filter(|cover| reached[*cover]).map(|cover| self.covers[moment][cover]).min().unwrap_or(0)
    }

    /// A good way: the chains one after the other, each best against those that stand, until nothing gets better.
    fn improved(&self) -> (Vec<Vec<usize>>, Cost) {
        let moments = self.covers.len();
        let mut chosen: Vec<Vec<usize>> = Vec::new();
        for chain in 0..self.chains.len() {
            let way = self.best_against(chain, &self.covered(&chosen, moments));
            chosen.push(way);
        }
        let mut cost = self.cost(&chosen);
        loop {
            for chain in 0..self.chains.len() {
                let others: Vec<Vec<usize>> = chosen.clone();
                let mut covered = vec![0u8; moments];
                for (other, way) in others.iter().enumerate().filter(|(other, _)| *other != chain) {
                    for moment in 0..moments {
                        covered[moment] |= self.chains[other].moments[moment][way[moment]].cover;
                    }
                }
                chosen[chain] = self.best_against(chain, &covered);
            }
            let now = self.cost(&chosen);
            if now >= cost {
                return (chosen, now);
            }
            cost = now;
        }
    }

    fn covered(&self, chosen: &[Vec<usize>], moments: usize) -> Vec<u8> {
        let cover = |moment: usize| {
            chosen
                .iter()
                .zip(&self.chains)
                .fold(0, |cover, (way, chain)| cover | chain.moments[moment][way[moment]].cover)
        };
        (0..moments).map(cover).collect()
    }

    /// A chain's best way when the others cover what they cover.
    fn best_against(&self, chain: usize, covered: &[u8]) -> Vec<usize> {
        let chain = &self.chains[chain];
        let mut costs: Vec<Cost> = Vec::new();
        let mut from: Vec<Vec<usize>> = Vec::new();
        for (moment, choices) in chain.moments.iter().enumerate() {
            let mut next = Vec::with_capacity(choices.len());
            let mut back = Vec::with_capacity(choices.len());
            for (to, choice) in choices.iter().enumerate() {
                let own = choice.own + self.covers[moment][usize::from(choice.cover | covered[moment])];
                let ways = costs.iter().enumerate().map(|(from, cost)| (cost + chain.step(moment, from, to), from));
                let (before, last) = ways.min().unwrap_or((0, 0));
                next.push(before + own);
                back.push(last);
            }
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

    /// The best way over all chains at once, of the choices that were kept. The least over all states before is taken chain
    /// by chain, since movement costs add up chain by chain: a moment costs states × choices × chains, not states².
    fn joint(&self, kept: &[Vec<Vec<usize>>]) -> (Vec<Vec<usize>>, Cost) {
        let moments = self.covers.len();
        let chains = self.chains.len();
        let sizes = |moment: usize| -> Vec<usize> { kept.iter().map(|chain| chain[moment].len()).collect() };
        let mut costs: Vec<Cost> = Vec::new();
        // For each moment and chain, where each state of the half-taken step came from.
        let mut back: Vec<Vec<Vec<u16>>> = Vec::new();
        for moment in 0..moments {
            let now = sizes(moment);
            let mut shape = if moment == 0 { now.clone() } else { sizes(moment - 1) };
            let mut backs = Vec::new();
            if moment == 0 {
                costs = vec![0; now.iter().product()];
            } else {
                for chain in 0..chains {
                    let (inner, outer): (usize, usize) =
                        (shape[chain + 1..].iter().product(), shape[..chain].iter().product());
                    let (olds, news) = (shape[chain], now[chain]);
                    let mut next = vec![NEVER; outer * news * inner];
                    let mut came = vec![0u16; outer * news * inner];
                    for o in 0..outer {
                        for to in 0..news {
                            for from in 0..olds {
                                let step = self.chains[chain].step(
                                    moment,
                                    kept[chain][moment - 1][from],
                                    kept[chain][moment][to],
                                );
                                for i in 0..inner {
                                    let cost = costs[(o * olds + from) * inner + i] + step;
                                    let slot = (o * news + to) * inner + i;
                                    if cost < next[slot] {
                                        next[slot] = cost;
                                        came[slot] = from as u16;
                                    }
                                }
                            }
                        }
                    }
                    shape[chain] = news;
                    costs = next;
                    backs.push(came);
                }
            }
            for (state, cost) in costs.iter_mut().enumerate() {
                let mut cover = 0u8;
                for (chain, at) in unfold(state, &now).into_iter().enumerate() {
                    let choice = self.chains[chain].moments[moment][kept[chain][moment][at]];
                    cover |= choice.cover;
                    *cost += choice.own;
                }
                *cost += self.covers[moment][usize::from(cover)];
            }
            back.push(backs);
        }
        let state = (0..costs.len()).min_by_key(|state| costs[*state]).expect("a best way keeps its choices");
        let cost = costs[state];
        let mut at = unfold(state, &sizes(moments - 1));
        let mut chosen = vec![vec![0; moments]; chains];
        for moment in (0..moments).rev() {
            for chain in 0..chains {
                chosen[chain][moment] = kept[chain][moment][at[chain]];
            }
            if moment > 0 {
                // Undo the step chain by chain, the last one first.
                let mut shape = sizes(moment);
                let before = sizes(moment - 1);
                for chain in (0..chains).rev() {
                    let slot = fold(&at, &shape);
                    at[chain] = usize::from(back[moment][chain][slot]);
                    shape[chain] = before[chain];
                }
            }
        }
        (chosen, cost)
    }
}

/// The numbers of the choices of a state.
fn unfold(mut state: usize, shape: &[usize]) -> Vec<usize> {
    let mut at = vec![0; shape.len()];
    for chain in (0..shape.len()).rev() {
        at[chain] = state % shape[chain];
        state /= shape[chain];
    }
    at
}

/// The state of the choices' numbers.
fn fold(at: &[usize], shape: &[usize]) -> usize {
    at.iter().zip(shape).fold(0, |state, (at, size)| state * size + at)
}

#[cfg(test)]
#[path = "voicing_solve_tests.rs"]
mod tests;

//! The best way over all chains at once, by dynamic programming over their states, chain by chain.
//!
//! Movement costs add up chain by chain: so from one moment to the next the chains take their steps one after the other, and
//! of states that are alike from there on only the cheapest is kept. A state is dropped where the least that it can still cost
//! (by the prices of [`voicing_bound`](super::voicing_bound)) is more than a way that is known. Where there are more states
//! than are allowed, those with the highest bounds are dropped: then the way that is found may not be the best, and no way
//! costs less than the least bound that was dropped.

use super::voicing_bound::{BEYOND, Lane, Relaxed};
use crate::pan::Cost;

/// How many states are kept over all moments and chains, each of 8 bytes: 16 MB.
const MOST_KEPT: usize = 2_000_000;

/// How many states one chain's step may lead to before the like ones are put together, each of 32 bytes: 32 MB.
const MOST_NEXT: usize = 1_000_000;

/// What was found. Costs in fine parts.
pub(super) struct Found {
    /// By chain and moment the numbers of the choices; `None` if no way was found that costs as little as was asked for.
    pub chosen: Option<Vec<Vec<usize>>>,
    /// The least bound of what was dropped for want of room: no way costs less than this, or than what was found.
    pub dropped: Option<Cost>,
    /// How many states were looked at.
    pub looked_at: usize,
}

#[derive(Clone, Copy)]
struct State {
    /// The numbers of the choices as digits: what the chains before have now, and what the others had.
    key: u64,
    /// What it cost so far.
    cost: Cost,
    /// The least that all chains cost from here on by themselves.
    ahead: Cost,
    /// The number of the state that it comes from.
    from: u32,
    /// What the chains cover that have taken their step.
    cover: u8,
}

/// One chain's step at one moment, as far as states depend on where it stands.
struct Step<'s> {
    moment: usize,
    chain: usize,
    /// The chain's choices before and now.
    sizes: (u64, u64),
    /// What the chain's digit of a key stands for: the product of the sizes of those after it.
    inner: u64,
    /// By cover so far, what the covering and the prices of the chains after this one cost at least.
    tail: &'s [Cost],
    /// What the coverings of the moments after this one cost at least.
    rest: Cost,
}

impl Step<'_> {
    /// The least that a way costs that goes through a state.
    fn bound(&self, state: &State) -> Cost {
        state.cost + state.ahead + self.tail[usize::from(state.cover)] + self.rest
    }

    /// The chain's choice in a state before the step, or after it.
    fn digit(&self, key: u64, size: u64) -> usize {
        (key / self.inner % size) as usize
    }

    /// The key with another choice of the chain.
    fn turned(&self, key: u64, to: usize) -> u64 {
        let (old, new) = self.sizes;
        (key / self.inner / old * new + to as u64) * self.inner + key % self.inner
    }
}

struct Search<'r, 'a> {
    relaxed: &'r Relaxed<'a>,
    most: Cost,
    room: usize,
    dropped: Option<Cost>,
    looked_at: usize,
    /// For every step taken, by state where it came from, and the chain's choice.
    trail: Vec<Vec<(u32, u32)>>,
}

/// How many states may be kept at a time of so many moments and chains.
pub(super) fn most_room(relaxed: &Relaxed) -> usize {
    let steps = relaxed.lanes.len() * relaxed.covering.len();
    (MOST_KEPT / steps.max(1)).max(1)
}

/// Looks for the best way that costs at most `most`; of ways of one cost the first is taken: by the choices of the last moment
/// in the order of the chains, then by those before in the opposite order. `room` is how many states are kept at a time.
pub(super) fn search(relaxed: &Relaxed, most: Cost, room: usize) -> Found {
    let room = room.min(most_room(relaxed));
    let mut search = Search { relaxed, most, room, dropped: None, looked_at: 0, trail: Vec::new() };
    let Some(states) = search.states() else {
        return Found { chosen: None, dropped: Some(relaxed.bound), looked_at: search.looked_at };
    };
    let best = (0..states.len()).min_by_key(|number| (states[*number].cost, states[*number].key));
    Found { chosen: best.map(|best| search.back(best)), dropped: search.dropped, looked_at: search.looked_at }
}

impl Search<'_, '_> {
    /// The states of the last moment; `None` if somewhere there are more than numbers can tell.
    fn states(&mut self) -> Option<Vec<State>> {
        let relaxed = self.relaxed;
        let ahead = relaxed.lanes.iter().map(beginning).sum();
        let mut states = vec![State { key: 0, cost: 0, ahead, from: 0, cover: 0 }];
        let mut rest: Cost = relaxed.covering.iter().sum();
        for (moment, covering) in relaxed.covering.iter().enumerate() {
            rest -= covering;
            let tails = relaxed.tails_priced(moment);
            for (chain, tail) in tails[1..].iter().enumerate() {
                let (sizes, inner) = self.sizes(moment, chain)?;
                states = self.step(&states, &Step { moment, chain, sizes, inner, tail, rest });
            }
            for state in &mut states {
                state.cost += relaxed.price(moment, usize::from(state.cover));
                state.cover = 0;
            }
        }
        Some(states)
    }

    /// The sizes of a step's chain and the product of those after it; `None` if keys would not fit into their numbers.
    fn sizes(&self, moment: usize, chain: usize) -> Option<((u64, u64), u64)> {
        let lanes = &self.relaxed.lanes;
        let before = |chain: usize| moment.checked_sub(1).map_or(1, |last| lanes[chain].len(last) as u64);
        let now = |chain: usize| lanes[chain].len(moment) as u64;
        let inner = (chain + 1..lanes.len()).try_fold(1u64, |all, chain| all.checked_mul(before(chain)))?;
        let (old, new) = (before(chain), now(chain));
        (0..chain).try_fold(inner.checked_mul(old.max(new))?, |all, chain| all.checked_mul(now(chain)))?;
        Some(((old, new), inner))
    }

    /// The states after a chain's step.
    fn step(&mut self, states: &[State], step: &Step) -> Vec<State> {
        let mut next: Vec<State> = Vec::new();
        for (number, state) in states.iter().enumerate() {
            self.go(number, state, step, &mut next);
        }
        self.looked_at += next.len();
        next.sort_unstable_by_key(|state| (state.key, state.cost, state.from));
        next.dedup_by_key(|state| state.key);
        self.drop_worst(&mut next, step);
        let choice = |state: &State| step.digit(state.key, step.sizes.1) as u32;
        self.trail.push(next.iter().map(|state| (state.from, choice(state))).collect());
        next
    }

    /// Where a state may go to.
    fn go(&self, number: usize, state: &State, step: &Step, next: &mut Vec<State>) {
        let lane = &self.relaxed.lanes[step.chain];
        let moment = step.moment;
        let from = step.digit(state.key, step.sizes.0);
        let ahead = state.ahead - moment.checked_sub(1).map_or_else(|| beginning(lane), |last| lane.after[last][from]);
        for to in 0..lane.len(moment) {
            let way = if moment > 0 { lane.step(moment, from, to) } else { 0 };
            let gone = State {
                key: step.turned(state.key, to),
                cost: state.cost + way + lane.own[moment][to],
                ahead: ahead + lane.after[moment][to],
                from: number as u32,
                cover: state.cover | lane.cover(moment, to),
            };
            if step.bound(&gone) <= self.most {
                next.push(gone);
            }
        }
    }

    /// Drops the states with the highest bounds where there are too many.
    fn drop_worst(&mut self, states: &mut Vec<State>, step: &Step) {
        let lanes = &self.relaxed.lanes;
        let following = match lanes.get(step.chain + 1) {
            Some(lane) => lane.len(step.moment),
            None => lanes[0].names.get(step.moment + 1).map_or(1, Vec::len),
        };
        let room = self.room.min((MOST_NEXT / following.max(1)).max(1));
        if states.len() <= room {
            return;
        }
        let rank = |state: &State| (step.bound(state), state.key);
        let mut ranks: Vec<(Cost, u64)> = states.iter().map(rank).collect();
        let first = *ranks.select_nth_unstable(room).1;
        self.dropped = Some(self.dropped.unwrap_or(BEYOND).min(first.0));
        states.retain(|state| rank(state) < first);
    }

    /// The way that ends in a state.
    fn back(&self, mut state: usize) -> Vec<Vec<usize>> {
        let lanes = &self.relaxed.lanes;
        let mut chosen: Vec<Vec<usize>> = lanes.iter().map(|lane| vec![0; lane.names.len()]).collect();
        for (number, states) in self.trail.iter().enumerate().rev() {
            let (moment, chain) = (number / lanes.len(), number % lanes.len());
            let (from, choice) = states[state];
            chosen[chain][moment] = lanes[chain].names[moment][choice as usize];
            state = from as usize;
        }
        chosen
    }
}

/// The least that a chain costs with its prices.
fn beginning(lane: &Lane) -> Cost {
    (0..lane.len(0)).map(|choice| lane.paid(0, choice) + lane.after[0][choice]).min().unwrap_or(0)
}

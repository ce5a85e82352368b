//! The best way over all chains at once, by dynamic programming over their states, chain by chain.
//!
//! Movement costs add up chain by chain, so from one moment to the next the chains take their steps one after the other, and
//! of states that are the same from there on only the cheapest is kept. A state is dropped where the least that it can still cost
//! (by the prices of [`voicing_bound`](super::voicing_bound)) is more than a way that is known. Where there are too many states,
//! those with the highest bounds are dropped: then the way that is found may not be the best, but no way costs less than the
//! least bound that was dropped.

use super::voicing_bound::{BEYOND, Lane, Relaxed};
use super::voicing_problem::Way;
use crate::pan::Cost;

/// How many states are kept over all moments and chains, each of 8 bytes: 16 MB.
const MOST_KEPT: usize = 2_000_000;

/// How many states one chain's step may lead to before equal ones are merged, each of 32 bytes: 32 MB.
const MOST_NEXT: usize = 1_000_000;

/// What was found. Costs in fine parts.
pub(super) struct Found {
    /// The way of each chain; `None` if no ways were found that cost as little as was asked for.
    pub chosen: Option<Vec<Way>>,
    /// The least bound of what was dropped for want of room: no ways cost less than this, or than what was found.
    pub dropped: Option<Cost>,
    /// How many states were looked at.
    pub looked_at: usize,
}

/// Where all chains stand at once: some have taken their step to a moment, the others are still at the moment before.
#[derive(Clone, Copy)]
struct State {
    /// The choices of all chains in one number; see [`Digit`].
    key: u64,
    /// What it cost so far.
    cost: Cost,
    /// The least that all chains cost from here on by themselves.
    ahead: Cost,
    /// The number of the state that it comes from, among those before the step.
    from: u32,
    /// What the chains cover that have taken their step.
    cover: u8,
}

/// Where a state came from: what is kept of it for the way back.
struct Came {
    /// The number of the state before the step.
    from: u32,
    /// The choice of the chain that took the step.
    choice: u32,
}

/// A chain's digit in the keys of states, while the chain takes its step.
///
/// A key is a number whose digits are the choices of the chains, the first chain's the highest. A digit has as many values as
/// its chain has choices: at this moment, if the chain has taken its step, or else at the moment before. So by its step a
/// chain's digit changes its value and its size.
#[derive(Clone, Copy, Debug)]
struct Digit {
    /// How many choices the chain had before the step.
    old: u64,
    /// How many it has after the step.
    new: u64,
    /// What the digit's 1 counts: the product of the sizes of all digits below it.
    one: u64,
}

impl Digit {
    /// The chain's choice in a key before the step.
    fn before(&self, key: u64) -> usize {
        (key / self.one % self.old) as usize
    }

    /// The chain's choice in a key after the step.
    fn after(&self, key: u64) -> usize {
        (key / self.one % self.new) as usize
    }

    /// The key after the step to a choice, from that before the step.
    fn stepped(&self, key: u64, to: usize) -> u64 {
        let (above, below) = (key / self.one / self.old, key % self.one);
        (above * self.new + to as u64) * self.one + below
    }
}

/// One chain's step to one moment: all that does not depend on where it stands.
struct Step<'s> {
    moment: usize,
    chain: usize,
    digit: Digit,
    /// By cover so far, what the covering and the prices of the chains after this one cost at least.
    tail: &'s [Cost],
    /// What the coverings of the moments after this one cost at least.
    rest: Cost,
}

impl Step<'_> {
    /// The least that ways cost that go through a state after this step.
    fn bound(&self, state: &State) -> Cost {
        state.cost + state.ahead + self.tail[usize::from(state.cover)] + self.rest
    }

    /// The order in which states are kept: by bound, and of one bound by key, so that no two are alike.
    fn rank(&self, state: &State) -> (Cost, u64) {
        (self.bound(state), state.key)
    }
}

struct Search<'r, 'a> {
    relaxed: &'r Relaxed<'a>,
    most: Cost,
    room: usize,
    dropped: Option<Cost>,
    looked_at: usize,
    /// For every step taken, where each state after it came from.
    trail: Vec<Vec<Came>>,
}

/// How many states may be kept at a time of so many moments and chains.
pub(super) fn most_room(relaxed: &Relaxed) -> usize {
    let steps = relaxed.lanes.len() * relaxed.covering.len();
    (MOST_KEPT / steps.max(1)).max(1)
}

/// Looks for the best ways that cost at most `most`; of those of one cost the first are taken: by the choices of the last moment
/// in the order of the chains, then by those before in the opposite order. `room` is how many states are kept at a time.
pub(super) fn search(relaxed: &Relaxed, most: Cost, room: usize) -> Found {
    let room = room.min(most_room(relaxed));
    let mut search = Search { relaxed, most, room, dropped: None, looked_at: 0, trail: Vec::new() };
    let Some(states) = search.last_states() else {
        return Found { chosen: None, dropped: Some(relaxed.bound), looked_at: search.looked_at };
    };
    let best = (0..states.len()).min_by_key(|number| (states[*number].cost, states[*number].key));
    Found { chosen: best.map(|best| search.back(best)), dropped: search.dropped, looked_at: search.looked_at }
}

impl Search<'_, '_> {
    /// The states of the last moment; `None` if somewhere there are more states than the keys can number.
    fn last_states(&mut self) -> Option<Vec<State>> {
        let relaxed = self.relaxed;
        let mut states = vec![self.first_state()];
        let mut rest: Cost = relaxed.covering.iter().sum();
        for (moment, covering) in relaxed.covering.iter().enumerate() {
            rest -= covering;
            // The first tail is for what all chains add: it is none that has taken a step.
            let tails = relaxed.tails_priced(moment);
            for (chain, tail) in tails[1..].iter().enumerate() {
                let digit = self.digit(moment, chain)?;
                states = self.step(&states, &Step { moment, chain, digit, tail, rest });
            }
            self.pay_covering(moment, &mut states);
        }
        Some(states)
    }

    /// The state before any chain has taken a step.
    fn first_state(&self) -> State {
        let ahead = self.relaxed.lanes.iter().map(beginning).sum();
        State { key: 0, cost: 0, ahead, from: 0, cover: 0 }
    }

    /// Adds the cost of what the chains cover between them, once all have come to a moment.
    fn pay_covering(&self, moment: usize, states: &mut [State]) {
        for state in states {
            state.cost += self.relaxed.price(moment, usize::from(state.cover));
            state.cover = 0;
        }
    }

    /// A chain's digit at its step to a moment; `None` if keys would not fit into their numbers before the step or after it.
    fn digit(&self, moment: usize, chain: usize) -> Option<Digit> {
        let lanes = &self.relaxed.lanes;
        let before = |chain: usize| moment.checked_sub(1).map_or(1, |last| lanes[chain].len(last) as u64);
        let now = |chain: usize| lanes[chain].len(moment) as u64;
        let one = (chain + 1..lanes.len()).try_fold(1u64, |all, chain| all.checked_mul(before(chain)))?;
        let (old, new) = (before(chain), now(chain));
        (0..chain).try_fold(one.checked_mul(old.max(new))?, |all, chain| all.checked_mul(now(chain)))?;
        Some(Digit { old, new, one })
    }

    /// The states after a chain's step: of equal ones the cheapest, and no more than there is room for.
    fn step(&mut self, states: &[State], step: &Step) -> Vec<State> {
        let mut next: Vec<State> = Vec::new();
        for (number, state) in states.iter().enumerate() {
            self.go(number, state, step, &mut next);
        }
        self.looked_at += next.len();
        next.sort_unstable_by_key(|state| (state.key, state.cost, state.from));
        next.dedup_by_key(|state| state.key);
        self.drop_worst(&mut next, step);
        let came = |state: &State| Came { from: state.from, choice: step.digit.after(state.key) as u32 };
        self.trail.push(next.iter().map(came).collect());
        next
    }

    /// Adds the states that a chain's step leads to from one state, but those whose ways all cost too much.
    fn go(&self, number: usize, state: &State, step: &Step, next: &mut Vec<State>) {
        let lane = &self.relaxed.lanes[step.chain];
        let moment = step.moment;
        let from = step.digit.before(state.key);
        // What the other chains cost from here on; this one's share was for going on from its choice before.
        let others = state.ahead - moment.checked_sub(1).map_or_else(|| beginning(lane), |last| lane.after[last][from]);
        for to in 0..lane.len(moment) {
            let way = if moment > 0 { lane.step(moment, from, to) } else { 0 };
            let gone = State {
                key: step.digit.stepped(state.key, to),
                cost: state.cost + way + lane.own[moment][to],
                ahead: others + lane.after[moment][to],
                from: number as u32,
                cover: state.cover | lane.cover(moment, to),
            };
            if step.bound(&gone) <= self.most {
                next.push(gone);
            }
        }
    }

    /// Drops the states with the highest bounds where there are too many, and keeps the least of these bounds in mind.
    fn drop_worst(&mut self, states: &mut Vec<State>, step: &Step) {
        let room = self.room_after(step);
        if states.len() <= room {
            return;
        }
        let mut ranks: Vec<(Cost, u64)> = states.iter().map(|state| step.rank(state)).collect();
        let first_dropped = *ranks.select_nth_unstable(room).1;
        self.dropped = Some(self.dropped.unwrap_or(BEYOND).min(first_dropped.0));
        states.retain(|state| step.rank(state) < first_dropped);
    }

    /// How many states may be kept after a step: so few that the step that follows does not lead to too many.
    fn room_after(&self, step: &Step) -> usize {
        let lanes = &self.relaxed.lanes;
        let choices = match lanes.get(step.chain + 1) {
            Some(lane) => lane.len(step.moment),
            None => lanes[0].names.get(step.moment + 1).map_or(1, Vec::len),
        };
        self.room.min((MOST_NEXT / choices.max(1)).max(1))
    }

    /// The ways that end in a state of the last moment, found step by step from the end.
    fn back(&self, mut state: usize) -> Vec<Way> {
        let lanes = &self.relaxed.lanes;
        let mut chosen: Vec<Way> = lanes.iter().map(|lane| vec![0; lane.names.len()]).collect();
        for (number, states) in self.trail.iter().enumerate().rev() {
            let (moment, chain) = (number / lanes.len(), number % lanes.len());
            let came = &states[state];
            chosen[chain][moment] = lanes[chain].names[moment][came.choice as usize];
            state = came.from as usize;
        }
        chosen
    }
}

/// The least that a chain costs with its prices.
fn beginning(lane: &Lane) -> Cost {
    (0..lane.len(0)).map(|choice| lane.paid(0, choice) + lane.after[0][choice]).min().unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A key from the choices of the chains and the sizes of their digits.
    fn key(choices: [usize; 3], sizes: [u64; 3]) -> u64 {
        choices.into_iter().zip(sizes).fold(0, |key, (choice, size)| key * size + choice as u64)
    }

    #[test]
    fn a_step_changes_the_digit_of_its_chain_alone() {
        // The second of three chains: the first has 4 choices already, the last still 5; its own become 2 or 7 from 3.
        for new in [2, 7] {
            let digit = Digit { old: 3, new, one: 5 };
            for (above, below) in (0..4).flat_map(|above| (0..5).map(move |below| (above, below))) {
                for (from, to) in (0..3).flat_map(|from| (0..new as usize).map(move |to| (from, to))) {
                    let before = key([above, from, below], [4, 3, 5]);
                    let after = digit.stepped(before, to);
                    assert_eq!(after, key([above, to, below], [4, new, 5]));
                    assert_eq!((digit.before(before), digit.after(after)), (from, to));
                }
            }
        }
    }
}

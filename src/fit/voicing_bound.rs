//! A lower bound for the joint choice of strums: no joint way costs less. It also shows which choices a best way may still use.
//!
//! The chains are tied together by what all of them cover between them. Prices cut the tie: at each moment a chain pays a price
//! for what it covers, and the covering gets what the chains pay. Whatever the prices are, the chains' cheapest ways and the
//! cheapest coverings together cost no more than any joint way (Lagrangian decomposition: Guignard and Kim, Mathematical
//! Programming 39, 1987). Good prices are found moment by moment: for each cover, what it costs every chain is added to what the
//! covering costs, and every chain bears an equal share of the least sum (block coordinate ascent on the prices: Globerson and
//! Jaakkola, Advances in Neural Information Processing Systems 20, 2007). The bound never falls by that.

use super::voicing_problem::{COVERS, Chain, Problem};
use crate::pan::Cost;

/// Into how many parts a thousandth is divided here, so that sharing whole numbers loses next to nothing.
pub(super) const FINE: Cost = 16;

/// More than any sum of costs in these parts, but small enough that a few of them can be added.
pub(super) const BEYOND: Cost = Cost::MAX / 8;

/// By moment, the numbers of the choices of a chain that may stay.
type Kept = Vec<Vec<usize>>;

/// A chain with its prices. All costs in [`FINE`] parts of a thousandth.
#[derive(Clone, Debug)]
pub(super) struct Lane {
    /// The numbers of the choices in the problem, by moment; those that were struck out are gone.
    pub names: Vec<Vec<usize>>,
    /// What each choice costs by itself.
    pub own: Vec<Vec<Cost>>,
    /// By moment, the covers that the choices have, each once.
    pub covers: Vec<Vec<u8>>,
    /// The number of each choice's cover.
    pub kind: Vec<Vec<usize>>,
    /// The price of each cover.
    pub prices: Vec<Vec<Cost>>,
    /// As in the problem.
    pub steps: Vec<Vec<Cost>>,
    /// The least that it costs with the prices to come to each choice.
    pub before: Vec<Vec<Cost>>,
    /// The least that it costs with the prices to go on from each choice.
    pub after: Vec<Vec<Cost>>,
}

impl Lane {
    fn new(chain: &Chain) -> Lane {
        let sizes = || chain.moments.iter().map(Vec::len);
        let (covers, kind): (Vec<_>, Vec<_>) =
            chain.moments.iter().map(|choices| kinds(choices.iter().map(|choice| choice.cover).collect())).unzip();
        Lane {
            names: sizes().map(|size| (0..size).collect()).collect(),
            own: chain.moments.iter().map(|choices| choices.iter().map(|choice| FINE * choice.own).collect()).collect(),
            prices: covers.iter().map(|covers| vec![0; covers.len()]).collect(),
            covers,
            kind,
            steps: chain.steps.iter().map(|steps| steps.iter().map(|step| FINE * step).collect()).collect(),
            before: sizes().map(|size| vec![0; size]).collect(),
            after: sizes().map(|size| vec![0; size]).collect(),
        }
    }

    /// How many choices there are at a moment.
    pub fn len(&self, moment: usize) -> usize {
        self.names[moment].len()
    }

    /// What a choice covers.
    pub fn cover(&self, moment: usize, choice: usize) -> u8 {
        self.covers[moment][self.kind[moment][choice]]
    }

    /// What a choice costs with its price.
    pub fn paid(&self, moment: usize, choice: usize) -> Cost {
        self.own[moment][choice] + self.prices[moment][self.kind[moment][choice]]
    }

    /// What the cheapest way through a choice costs with all prices.
    fn through(&self, moment: usize, choice: usize) -> Cost {
        self.before[moment][choice] + self.paid(moment, choice) + self.after[moment][choice]
    }

    fn least(&self, moment: usize) -> Cost {
        (0..self.len(moment)).map(|choice| self.through(moment, choice)).min().unwrap_or(0)
    }

    /// What it costs to go from one choice to a choice of the next moment.
    pub fn step(&self, moment: usize, from: usize, to: usize) -> Cost {
        self.steps[moment - 1][from * self.len(moment) + to]
    }

    /// Works out what it costs to come to each choice of a moment, from what that is at the moment before.
    fn come(&mut self, moment: usize) {
        let Some(last) = moment.checked_sub(1) else { return };
        let mut least = vec![BEYOND; self.len(moment)];
        for (from, steps) in self.steps[last].chunks(self.len(moment)).enumerate() {
            let cost = self.before[last][from] + self.paid(last, from);
            least.iter_mut().zip(steps).for_each(|(least, step)| *least = (*least).min(cost + step));
        }
        self.before[moment] = least;
    }

    /// Works out what it costs to go on from each choice of a moment, from what that is at the moment after.
    fn go_on(&mut self, moment: usize) {
        let next = moment + 1;
        if next == self.names.len() {
            return;
        }
        let costs: Vec<Cost> = (0..self.len(next)).map(|to| self.paid(next, to) + self.after[next][to]).collect();
        let from = |steps: &[Cost]| costs.iter().zip(steps).map(|(cost, step)| cost + step).min().unwrap_or(0);
        self.after[moment] = self.steps[moment].chunks(costs.len()).map(from).collect();
    }

    /// For each cover of a moment the least cost of a way with it, without the price of this moment.
    fn without_price(&self, moment: usize) -> Vec<Cost> {
        let mut least = vec![BEYOND; self.covers[moment].len()];
        for choice in 0..self.len(moment) {
            let kind = self.kind[moment][choice];
            let cost = self.before[moment][choice] + self.own[moment][choice] + self.after[moment][choice];
            least[kind] = least[kind].min(cost);
        }
        least
    }

    /// Leaves of each moment's choices those that are kept.
    fn narrow(&mut self, kept: &[Vec<usize>]) {
        for (moment, two) in kept.windows(2).enumerate() {
            let width = self.len(moment + 1);
            let cells = two[0].iter().flat_map(|from| two[1].iter().map(move |to| from * width + to));
            self.steps[moment] = cells.map(|cell| self.steps[moment][cell]).collect();
        }
        for (moment, kept) in kept.iter().enumerate() {
            pick(&mut self.names[moment], kept);
            pick(&mut self.own[moment], kept);
            pick(&mut self.before[moment], kept);
            pick(&mut self.after[moment], kept);
            // A cover that no choice has any more would take part in sharing out.
            let (covers, kind) = kinds(kept.iter().map(|choice| self.cover(moment, *choice)).collect());
            let price = |cover: &u8| {
                let number = self.covers[moment].binary_search(cover).expect("it was there before");
                self.prices[moment][number]
            };
            self.prices[moment] = covers.iter().map(price).collect();
            (self.covers[moment], self.kind[moment]) = (covers, kind);
        }
    }

    /// The same chain with all prices 0.
    fn free(mut self) -> Lane {
        self.prices.iter_mut().for_each(|prices| prices.fill(0));
        self
    }
}

/// The covers, each once, and the number of each choice's.
fn kinds(covers: Vec<u8>) -> (Vec<u8>, Vec<usize>) {
    let mut all = covers.clone();
    all.sort_unstable();
    all.dedup();
    let number = |cover| all.binary_search(&cover).expect("it is one of them");
    let kind = covers.into_iter().map(number).collect();
    (all, kind)
}

fn pick<T: Copy>(all: &mut Vec<T>, kept: &[usize]) {
    *all = kept.iter().map(|number| all[*number]).collect();
}

/// All chains of a problem, or some of them, with prices. All costs in [`FINE`] parts of a thousandth.
#[derive(Clone, Debug)]
pub(super) struct Relaxed<'a> {
    /// The chains.
    pub lanes: Vec<Lane>,
    costs: &'a [[Cost; COVERS]],
    /// What is covered by others, by moment.
    covered: Vec<u8>,
    /// What the cheapest covering costs with the prices, by moment.
    pub covering: Vec<Cost>,
    /// No way costs less.
    pub bound: Cost,
}

impl<'a> Relaxed<'a> {
    /// A problem without prices; [`Relaxed::raise`] finds good ones.
    pub fn new(problem: &'a Problem) -> Self {
        let lanes = problem.chains.iter().map(Lane::new).collect();
        Relaxed::of(lanes, &problem.covers, vec![0; problem.covers.len()])
    }

    /// Some of the chains, while the others cover what they cover.
    pub fn some(&self, chains: &[usize], covered: Vec<u8>) -> Relaxed<'a> {
        Relaxed::of(chains.iter().map(|chain| self.lanes[*chain].clone().free()).collect(), self.costs, covered)
    }

    fn of(lanes: Vec<Lane>, costs: &'a [[Cost; COVERS]], covered: Vec<u8>) -> Self {
        let moments = costs.len();
        let mut relaxed = Relaxed { lanes, costs, covered, covering: vec![0; moments], bound: 0 };
        for moment in (0..moments).rev() {
            relaxed.lanes.iter_mut().for_each(|lane| lane.go_on(moment));
        }
        relaxed
    }

    /// What it costs at a moment when these chains together cover this.
    pub fn price(&self, moment: usize, cover: usize) -> Cost {
        FINE * self.costs[moment][cover | usize::from(self.covered[moment])]
    }

    /// How many steps from choice to choice there are.
    pub fn ways(&self) -> usize {
        self.lanes.iter().flat_map(|lane| &lane.steps).map(Vec::len).sum()
    }

    /// The prices of a moment as the covering gets them.
    fn got(&self, moment: usize) -> Vec<Vec<Cost>> {
        self.lanes.iter().map(|lane| lane.prices[moment].iter().map(|price| -price).collect()).collect()
    }

    /// For each chain (and none) and each cover of the chains before it: the least that it and those after it add, when each
    /// cover of theirs costs what `costs` says.
    fn tails(&self, moment: usize, costs: &[Vec<Cost>]) -> Vec<Vec<Cost>> {
        let all = self.lanes.iter().flat_map(|lane| &lane.covers[moment]).fold(0, |all, cover| all | cover);
        let size = (usize::from(all) + 1).next_power_of_two();
        let mut tails = vec![(0..size).map(|cover| self.price(moment, cover)).collect::<Vec<Cost>>()];
        for (lane, costs) in self.lanes.iter().zip(costs).rev() {
            let last = &tails[tails.len() - 1];
            let least = |cover: usize| {
                let ways = lane.covers[moment].iter().zip(costs);
                ways.map(|(more, cost)| cost + last[cover | usize::from(*more)]).min().unwrap_or(0)
            };
            let next = (0..size).map(least).collect();
            tails.push(next);
        }
        tails.reverse();
        tails
    }

    /// The same with the prices that stand: what the covering gets is taken from what it costs.
    pub fn tails_priced(&self, moment: usize) -> Vec<Vec<Cost>> {
        self.tails(moment, &self.got(moment))
    }

    /// For each chain and each of its covers the least sum of what all chains' covers and the covering cost.
    fn sums(&self, moment: usize, costs: &[Vec<Cost>]) -> Vec<Vec<Cost>> {
        let tails = self.tails(moment, costs);
        let mut heads = vec![BEYOND; tails[0].len()];
        heads[0] = 0;
        let mut sums = Vec::with_capacity(self.lanes.len());
        for (number, (lane, costs)) in self.lanes.iter().zip(costs).enumerate() {
            let mut next = vec![BEYOND; heads.len()];
            let mut least = vec![BEYOND; costs.len()];
            for (cover, head) in heads.iter().enumerate().filter(|(_, head)| **head < BEYOND) {
                for (kind, (more, cost)) in lane.covers[moment].iter().zip(costs).enumerate() {
                    let both = cover | usize::from(*more);
                    next[both] = next[both].min(head + cost);
                    least[kind] = least[kind].min(head + cost + tails[number + 1][both]);
                }
            }
            sums.push(least);
            heads = next;
        }
        sums
    }

    /// Sets the prices of a moment so that every chain bears an equal share. Chains that can cover only one thing there bear one
    /// too, which changes nothing for them: when the others bore it all, the bound rose more slowly (tried on 500 sections).
    fn share(&mut self, moment: usize) {
        let costs: Vec<Vec<Cost>> = self.lanes.iter().map(|lane| lane.without_price(moment)).collect();
        let sums = self.sums(moment, &costs);
        let shares = self.lanes.len() as Cost;
        for ((lane, costs), sums) in self.lanes.iter_mut().zip(&costs).zip(&sums) {
            lane.prices[moment] = costs.iter().zip(sums).map(|(cost, sum)| sum.div_euclid(shares) - cost).collect();
        }
        self.covering[moment] = self.tails_priced(moment)[0][0];
    }

    /// Raises the bound: through the moments and back again.
    pub fn raise(&mut self) {
        let moments = self.costs.len();
        for moment in 0..moments {
            self.lanes.iter_mut().for_each(|lane| lane.come(moment));
            self.share(moment);
        }
        for moment in (0..moments).rev() {
            self.lanes.iter_mut().for_each(|lane| lane.go_on(moment));
            self.share(moment);
        }
        (0..moments).for_each(|moment| self.lanes.iter_mut().for_each(|lane| lane.come(moment)));
        self.bound = self.lanes.iter().map(|lane| lane.least(0)).sum::<Cost>() + self.covering.iter().sum::<Cost>();
    }

    /// Strikes out the choices that no way of this cost or less can use. Whether there may be such a way.
    pub fn narrow(&mut self, cost: Cost) -> bool {
        let mut kept: Vec<Kept> = vec![Kept::new(); self.lanes.len()];
        for moment in 0..self.costs.len() {
            let sums = self.sums(moment, &self.got(moment));
            for ((lane, sums), kept) in self.lanes.iter().zip(&sums).zip(&mut kept) {
                // What everything costs at least but this chain and this moment's covering.
                let rest = self.bound - lane.least(moment) - self.covering[moment];
                let least = |choice: usize| rest + lane.through(moment, choice) + sums[lane.kind[moment][choice]];
                kept.push((0..lane.len(moment)).filter(|choice| least(*choice) <= cost).collect());
            }
        }
        if kept.iter().flatten().any(Vec::is_empty) {
            return false;
        }
        self.lanes.iter_mut().zip(&kept).for_each(|(lane, kept)| lane.narrow(kept));
        true
    }
}

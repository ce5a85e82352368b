//! What the choices of two parts cost together: how the assignment charges it to single choices, and how it makes a first
//! assignment better.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use super::problem::{Assignment, Choice, Pick, Problem, Weight};

/// The costs of pairs as far as they can be charged to single choices without charging too much.
pub(super) struct Charged {
    /// By part and choice: its weight, and what is charged to it.
    pub choices: Vec<Vec<Weight>>,
    /// By part: what it costs to leave it to nobody. Less than [`Problem::nobody`] by what is charged to others for its sake.
    pub nobody: Vec<Weight>,
    /// All that is charged, at most.
    pub all: Weight,
}

impl Charged {
    /// Charges what is common to all choices that are left of the second part to the first, and the rest, as far as it is common,
    /// to the second. Where one of the two has a single choice left, all is charged.
    pub(super) fn of(problem: &Problem, left: &[Vec<usize>]) -> Charged {
        let weights = |choices: &Vec<Choice>| choices.iter().map(|choice| choice.weight).collect();
        let mut charged = Charged {
            choices: problem.choices.iter().map(weights).collect(),
            nobody: vec![problem.nobody; problem.choices.len()],
            all: 0,
        };
        for pair in &problem.pairs {
            let (a, b) = pair.parts;
            if left[a].is_empty() || left[b].is_empty() {
                continue;
            }
            let common = |x: &usize| left[b].iter().map(|y| pair.costs[*x][*y]).min().unwrap_or(0);
            let first: Vec<Weight> = left[a].iter().map(common).collect();
            let rest = |y: &usize| left[a].iter().zip(&first).map(|(x, charge)| pair.costs[*x][*y] - charge).min();
            let second: Vec<Weight> = left[b].iter().map(|y| rest(y).unwrap_or(0)).collect();
            charged.add(a, &left[a], &first, b);
            charged.add(b, &left[b], &second, a);
        }
        charged
    }

    /// Charges the choices of a part for the sake of another one.
    fn add(&mut self, part: usize, choices: &[usize], charges: &[Weight], other: usize) {
        for (choice, charge) in choices.iter().zip(charges) {
            self.choices[part][*choice] += charge;
        }
        let most = charges.iter().max().copied().unwrap_or(0);
        self.nobody[other] -= most;
        self.all += most;
    }

    /// Of the parts that are not `taken` for good, the choice of an assignment in whose pairs the most is not charged.
    pub(super) fn most_left_over(&self, problem: &Problem, chosen: &[Option<usize>], taken: &[bool]) -> Option<Pick> {
        let charge = |(part, choice): Pick| self.choices[part][choice] - problem.choices[part][choice].weight;
        let left_over = |pick: &Pick| {
            let pairs = problem.pairs.iter().filter(|pair| pair.parts.0 == pick.0 || pair.parts.1 == pick.0);
            let own: Weight = pairs.map(|pair| pair.of(chosen)).sum();
            (own - charge(*pick), Reverse(*pick))
        };
        let picks = chosen.iter().enumerate().filter_map(|(part, choice)| Some((part, (*choice)?)));
        picks.filter(|pick| !taken[pick.0]).max_by_key(left_over)
    }
}

/// Makes an assignment better as long as one part's other choice, or a change of places between two parts, does.
pub(super) fn improve(problem: &Problem, best: &mut Assignment) {
    let mut state = State::of(problem, best);
    while state.pass() {}
    *best = Assignment { weight: state.weight, chosen: state.chosen, is_proven: false };
}

/// An assignment that is being changed.
struct State<'a> {
    problem: &'a Problem,
    chosen: Vec<Option<usize>>,
    weight: Weight,
    /// How many parts each player has.
    parts_of: BTreeMap<usize, usize>,
    /// The numbers of the pairs that each part is in.
    pairs_of: Vec<Vec<usize>>,
}

impl<'a> State<'a> {
    fn of(problem: &'a Problem, start: &Assignment) -> Self {
        let mut parts_of = BTreeMap::new();
        for (part, choice) in start.chosen.iter().enumerate() {
            if let Some(choice) = choice {
                *parts_of.entry(problem.choices[part][*choice].player).or_default() += 1;
            }
        }
        let mut pairs_of = vec![Vec::new(); problem.choices.len()];
        for (number, pair) in problem.pairs.iter().enumerate() {
            pairs_of[pair.parts.0].push(number);
            pairs_of[pair.parts.1].push(number);
        }
        State { problem, chosen: start.chosen.clone(), weight: start.weight, parts_of, pairs_of }
    }

    /// Tries every small change once, and keeps those that make it better; whether any did.
    fn pass(&mut self) -> bool {
        let mut any = false;
        for part in 0..self.chosen.len() {
            for choice in 0..self.problem.choices[part].len() {
                any |= self.try_picks(&[(part, choice)]) || self.try_places(part, choice);
            }
        }
        any
    }

    /// A player and a piece.
    fn place(&self, (part, choice): Pick) -> (usize, usize) {
        let of = self.problem.choices[part][choice];
        (of.player, of.piece)
    }

    /// Whether it is better that a part takes a place, and whoever is there the place that becomes free.
    fn try_places(&mut self, part: usize, choice: usize) -> bool {
        let Some(own) = self.chosen[part].filter(|own| *own != choice) else { return false };
        let (free, wanted) = (self.place((part, own)), self.place((part, choice)));
        (0..self.chosen.len()).filter(|other| *other != part).any(|other| {
            let is_there = self.chosen[other].is_some_and(|at| self.place((other, at)) == wanted);
            let mut choices = 0..self.problem.choices[other].len();
            let back = choices.find(|at| is_there && self.place((other, *at)) == free);
            back.is_some_and(|back| self.try_picks(&[(part, choice), (other, back)]))
        })
    }

    /// Takes some picks if that costs less and nothing clashes.
    fn try_picks(&mut self, picks: &[Pick]) -> bool {
        let before = (self.weight, picks.iter().map(|(part, _)| (*part, self.chosen[*part])).collect::<Vec<_>>());
        picks.iter().for_each(|(part, choice)| self.set(*part, Some(*choice)));
        let others = || self.chosen.iter().enumerate().filter_map(|(part, choice)| Some((part, (*choice)?)));
        let clashes = |pick: &Pick| others().any(|other| other.0 != pick.0 && self.problem.clash(*pick, other));
        if self.weight < before.0 && !picks.iter().any(clashes) {
            return true;
        }
        before.1.into_iter().rev().for_each(|(part, choice)| self.set(part, choice));
        false
    }

    /// Gives a part another choice.
    fn set(&mut self, part: usize, choice: Option<usize>) {
        self.weight -= self.costs(part);
        self.count(part, |count, problem| {
            *count -= 1;
            -problem.turn(*count)
        });
        self.chosen[part] = choice;
        self.count(part, |count, problem| {
            *count += 1;
            problem.turn(*count - 1)
        });
        self.weight += self.costs(part);
    }

    /// What a part and its pairs cost, but for how many parts its player has.
    fn costs(&self, part: usize) -> Weight {
        let own = self.chosen[part].map_or(self.problem.nobody, |choice| self.problem.choices[part][choice].weight);
        own + self.pairs_of[part].iter().map(|pair| self.problem.pairs[*pair].of(&self.chosen)).sum::<Weight>()
    }

    /// Counts a part of its player's.
    fn count(&mut self, part: usize, step: impl Fn(&mut usize, &Problem) -> Weight) {
        if let Some(choice) = self.chosen[part] {
            let player = self.problem.choices[part][choice].player;
            self.weight += step(self.parts_of.entry(player).or_default(), self.problem);
        }
    }
}

//! The assignment alone, without music: each part to one of its choices or to nobody, so that no two choices clash and the sum
//! of the costs is the least.
//!
//! Method: branch and bound. Leaving the clashes out, but for how many parts a player (or a piece) can take at most, gives an
//! assignment problem that the Hungarian method solves exactly (crate `pathfinding`); its cost is a bound. Where its solution has
//! two choices that clash, one of them is taken in one branch, which rules out all that clash with it, and ruled out in the other. With
//! one player a pan the first solution has no clash, and there is nothing to branch. The table is made once with players as its
//! columns and once with pieces: the first counts a player's further parts rightly; the second knows that a piece is one player's,
//! and only bounds. What two choices cost besides (see `problem`) is charged to the one as far as it comes with every choice of the other, and
//! then to the other; what is left over is not in the bound, and where it stands in the way of a proof, one of the two choices is
//! branched on (see `pairs`).

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

use pathfinding::prelude::{Matrix, kuhn_munkres_min};

use super::pairs::{Charged, improve};
use super::problem::{Assignment, Choice, Pick, Problem, Weight};

/// The picks of one part at one place.
type PartPicks = Vec<Pick>;

/// How many branches are looked at before the best so far is taken. Bands of a hundred players need a handful; our own setting.
const MOST_BRANCHES: usize = 4_000;

/// How large a table of the Hungarian method may be; more (some 600 parts that all pans could play) is assigned one by one.
const MOST_CELLS: usize = 1_000_000;

/// The best assignment; of equals the one that is found first, which is the same every time.
pub fn assign(problem: &Problem) -> Assignment {
    assign_within(problem, MOST_BRANCHES)
}

/// The same, but no more than some branches are looked at; the best of them, where that is not enough for a proof.
pub fn assign_within(problem: &Problem, most_branches: usize) -> Assignment {
    let parts = problem.choices.len();
    let mut best = one_by_one(problem, &vec![None; parts]);
    let root = Branch::root(problem);
    if root.cells() > MOST_CELLS {
        return best;
    }
    let mut open = BinaryHeap::new();
    let mut seen = 0;
    let is_each_at_one = problem.is_each_at_one();
    let mut push = |branch: Branch, best: &mut Assignment, open: &mut BinaryHeap<_>| {
        let charged = Charged::of(problem, &branch.left);
        let relaxed =
            |place: fn(&Choice) -> usize| Places::of(problem, &branch, &charged, place).relaxed(problem, &branch);
        let by_player = relaxed(|choice| choice.player);
        let by_piece = (!is_each_at_one).then(|| relaxed(|choice| choice.piece));
        for (_, chosen) in std::iter::once(&by_player).chain(&by_piece) {
            let mut tried = one_by_one(problem, chosen);
            // Later ones are near the first.
            if seen == 0 && !problem.pairs.is_empty() {
                improve(problem, &mut tried);
            }
            if tried.weight < best.weight {
                *best = tried;
            }
        }
        let bound = by_piece.map_or(by_player.0, |(bound, _)| bound.max(by_player.0));
        if bound < best.weight {
            seen += 1;
            let chosen = &by_player.1;
            let dearest = || charged.most_left_over(problem, chosen, &branch.taken);
            let pick = problem.most_clashing(chosen).or_else(dearest);
            open.push((Reverse(bound), Reverse(seen), pick, branch));
        }
    };
    push(root, &mut best, &mut open);
    let mut branches = 0;
    while let Some((Reverse(bound), _, pick, branch)) = open.pop() {
        if bound >= best.weight {
            break;
        }
        branches += 1;
        if branches > most_branches {
            return best;
        }
        let Some(pick) = pick else {
            unreachable!("an assignment whose bound is what it costs was taken as the best when it was found")
        };
        push(branch.with(problem, pick), &mut best, &mut open);
        push(branch.without(pick), &mut best, &mut open);
    }
    best.is_proven = true;
    best
}

/// What is left to choose from.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Branch {
    /// The choices that each part still has.
    left: Vec<Vec<usize>>,
    /// The parts that have one choice and must take it.
    taken: Vec<bool>,
}

impl Branch {
    fn root(problem: &Problem) -> Branch {
        let left = problem.choices.iter().map(|choices| (0..choices.len()).collect()).collect();
        Branch { left, taken: vec![false; problem.choices.len()] }
    }

    /// How large the table of the Hungarian method is at most.
    fn cells(&self) -> usize {
        let choices: usize = self.left.iter().map(Vec::len).sum();
        (choices + self.left.len()) * self.left.len()
    }

    /// With a choice taken: whatever clashes with it is out.
    fn with(&self, problem: &Problem, pick: Pick) -> Branch {
        let mut branch = self.clone();
        branch.left[pick.0] = vec![pick.1];
        branch.taken[pick.0] = true;
        for (part, left) in branch.left.iter_mut().enumerate().filter(|(part, _)| *part != pick.0) {
            left.retain(|choice| !problem.clash(pick, (part, *choice)));
        }
        branch
    }

    /// Without a choice.
    fn without(&self, pick: Pick) -> Branch {
        let mut branch = self.clone();
        branch.left[pick.0].retain(|choice| *choice != pick.1);
        branch
    }
}

/// An assignment made part by part: `wanted` where nothing clashes, else the cheapest choice that clashes with none before.
fn one_by_one(problem: &Problem, wanted: &[Option<usize>]) -> Assignment {
    let mut chosen: Vec<Option<usize>> = vec![None; problem.choices.len()];
    let mut order: Vec<usize> = (0..chosen.len()).collect();
    // Those that are wanted first, then those with the fewest choices.
    order.sort_by_key(|part| (wanted[*part].is_none(), problem.choices[*part].len(), *part));
    let mut at: BTreeMap<usize, Vec<Pick>> = BTreeMap::new();
    let key = |piece: usize| usize::MAX - piece;
    for part in order {
        let choices = &problem.choices[part];
        let mut numbers: Vec<usize> = (0..choices.len()).collect();
        let again = |player: usize, at: &BTreeMap<usize, Vec<Pick>>| at.contains_key(&player);
        numbers.sort_by_key(|number| {
            let choice = choices[*number];
            let more = if again(choice.player, &at) { problem.again } else { 0 };
            (wanted[part] != Some(*number), choice.weight + more, *number)
        });
        let fits = |number: &usize| {
            let choice = choices[*number];
            let near = at.get(&choice.player).into_iter().chain(at.get(&key(choice.piece))).flatten();
            !near.into_iter().any(|other| problem.clash((part, *number), *other))
        };
        let Some(number) = numbers.into_iter().find(fits) else { continue };
        if choices[number].weight >= problem.nobody {
            continue;
        }
        at.entry(choices[number].player).or_default().push((part, number));
        at.entry(key(choices[number].piece)).or_default().push((part, number));
        chosen[part] = Some(number);
    }
    Assignment { weight: problem.weight(&chosen), chosen, is_proven: false }
}

/// Players or pieces as columns of a table, each as often as it can take parts at most.
struct Places<'a> {
    /// For each part: the places that it can go to, and its cheapest choice there.
    cheapest: Vec<BTreeMap<usize, usize>>,
    /// How many parts each place can take.
    room: Vec<usize>,
    charged: &'a Charged,
}

impl<'a> Places<'a> {
    fn of(problem: &Problem, branch: &Branch, charged: &'a Charged, place: impl Fn(&Choice) -> usize) -> Self {
        let mut number: BTreeMap<usize, usize> = BTreeMap::new();
        // For each place, the picks of each part that can go there.
        let mut picks: Vec<Vec<PartPicks>> = Vec::new();
        let mut cheapest: Vec<BTreeMap<usize, usize>> = Vec::new();
        for (part, left) in branch.left.iter().enumerate() {
            let mut of_part: BTreeMap<usize, usize> = BTreeMap::new();
            for choice in left {
                let of = &problem.choices[part][*choice];
                let next = number.len();
                let column = *number.entry(place(of)).or_insert(next);
                if column == picks.len() {
                    picks.push(Vec::new());
                }
                match picks[column].last_mut().filter(|last| last[0].0 == part) {
                    Some(last) => last.push((part, *choice)),
                    None => picks[column].push(vec![(part, *choice)]),
                }
                let now = of_part.entry(column).or_insert(*choice);
                if charged.choices[part][*choice] < charged.choices[part][*now] {
                    *now = *choice;
                }
            }
            cheapest.push(of_part);
        }
        let room = picks.iter().map(|parts| room(problem, parts)).collect();
        Places { cheapest, room, charged }
    }

    /// The best assignment when clashes count for nothing, and what it costs.
    fn relaxed(&self, problem: &Problem, branch: &Branch) -> (Weight, Vec<Option<usize>>) {
        let parts = self.cheapest.len();
        let never = problem.nobody * 2 + 1 + self.charged.all;
        let starts: Vec<usize> =
            self.room.iter().scan(0, |sum, room| Some(std::mem::replace(sum, *sum + room))).collect();
        let columns: usize = self.room.iter().sum();
        let mut table = Matrix::new(parts, columns + parts, never);
        for (part, places) in self.cheapest.iter().enumerate() {
            for (place, choice) in places {
                for turn in 0..self.room[*place] {
                    // What must be taken is dearer to leave than anything else.
                    let weight = self.charged.choices[part][*choice] + problem.turn(turn);
                    table[(part, starts[*place] + turn)] =
                        if branch.taken[part] { weight - problem.nobody } else { weight };
                }
            }
            table[(part, columns + part)] = self.charged.nobody[part];
        }
        let (mut weight, chosen) = kuhn_munkres_min(&table);
        let mut choices = Vec::with_capacity(parts);
        for (part, column) in chosen.iter().enumerate() {
            let place = starts.partition_point(|start| start <= column).checked_sub(1).filter(|_| *column < columns);
            let choice = place.and_then(|place| self.cheapest[part].get(&place).copied());
            if branch.taken[part] && choice.is_some() {
                weight += problem.nobody;
            }
            choices.push(choice);
        }
        (weight, choices)
    }
}

/// How many of some parts can go together at one place at most: parts are put into heaps in which any two clash, and of each heap
/// one can be taken. A bound from above, exact where clashes run through (parts that all sound together).
///
/// - `parts`: the picks of each part at the place.
fn room(problem: &Problem, parts: &[PartPicks]) -> usize {
    let both_clash = |a: &[Pick], b: &[Pick]| a.iter().all(|a| b.iter().all(|b| problem.clash(*a, *b)));
    let mut heaps: Vec<Vec<&PartPicks>> = Vec::new();
    for part in parts {
        match heaps.iter_mut().find(|heap| heap.iter().all(|other| both_clash(part, other))) {
            Some(heap) => heap.push(part),
            None => heaps.push(vec![part]),
        }
    }
    heaps.len()
}

#[cfg(test)]
#[path = "assign_tests.rs"]
mod tests;

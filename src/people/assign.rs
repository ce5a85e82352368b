//! The assignment alone, without music: each part to one of its choices or to nobody, so that no two choices clash and the sum
//! of the costs is the least.
//!
//! Method: branch and bound. Leaving the clashes out, but for how many parts a player (or a piece) can take at most, gives an
//! assignment problem that the Hungarian method solves exactly (crate `pathfinding`); its cost is a bound. Where its solution has
//! two choices that clash, one of them is forbidden in one branch and the other in the other, so that no solution is lost. With
//! one player a pan the first solution has no clash, and there is nothing to branch. The table is made once with players as its
//! columns and once with pieces: the first counts a player's further parts rightly, so that a solution of it without a clash is
//! exact; the second knows that a piece is one player's, and only bounds.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet, BinaryHeap};

use pathfinding::prelude::{Matrix, kuhn_munkres_min};

/// What an assignment costs; a sum of aims, each of which weighs more than all after it (see `aims`).
pub type Weight = i128;

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

/// How many branches are looked at before the best so far is taken. Bands of a hundred players need a handful; our own setting.
const MOST_BRANCHES: usize = 4_000;

/// How large a table of the Hungarian method may be; more (some 600 parts that all pans could play) is assigned one by one.
const MOST_CELLS: usize = 1_000_000;

impl Problem {
    /// What an assignment costs.
    pub fn weight(&self, chosen: &[Option<usize>]) -> Weight {
        let mut players = BTreeSet::new();
        let one = |(part, choice): (usize, &Option<usize>)| match choice {
            None => self.nobody,
            Some(number) => {
                let choice = self.choices[part][*number];
                choice.weight + if players.insert(choice.player) { 0 } else { self.again }
            }
        };
        chosen.iter().enumerate().map(one).sum()
    }

    /// Whether two picks can't both be.
    pub fn clash(&self, a: Pick, b: Pick) -> bool {
        let (of_a, of_b) = (self.choices[a.0][a.1], self.choices[b.0][b.1]);
        let at_one_piece = of_a.piece == of_b.piece && of_a.player != of_b.player;
        at_one_piece || self.clashes.contains(&(a.min(b), a.max(b)))
    }

    /// The first two choices of an assignment that clash.
    fn first_clash(&self, chosen: &[Option<usize>]) -> Option<(Pick, Pick)> {
        let picks: Vec<Pick> =
            chosen.iter().enumerate().filter_map(|(part, choice)| Some((part, (*choice)?))).collect();
        let mut at_player: BTreeMap<usize, Vec<Pick>> = BTreeMap::new();
        let mut at_piece: BTreeMap<usize, Vec<Pick>> = BTreeMap::new();
        for pick in &picks {
            let choice = self.choices[pick.0][pick.1];
            at_player.entry(choice.player).or_default().push(*pick);
            at_piece.entry(choice.piece).or_default().push(*pick);
        }
        let groups = at_player.into_values().chain(at_piece.into_values());
        groups.into_iter().find_map(|group| {
            let pairs = group.iter().enumerate().flat_map(|(n, a)| group[n + 1..].iter().map(move |b| (*a, *b)));
            pairs.into_iter().find(|(a, b)| self.clash(*a, *b))
        })
    }
}

/// The best assignment; of equals the one that is found first, which is the same every time.
pub fn assign(problem: &Problem) -> Assignment {
    let places = [Places::of(problem, |choice| choice.player), Places::of(problem, |choice| choice.piece)];
    let columns = places.iter().map(Places::columns).max().unwrap_or(0) + problem.choices.len();
    if columns * problem.choices.len() > MOST_CELLS {
        return one_by_one(problem, &vec![None; problem.choices.len()]);
    }
    let mut best = one_by_one(problem, &vec![None; problem.choices.len()]);
    let mut open = BinaryHeap::new();
    let mut seen = 0;
    let mut push = |forbidden: BTreeSet<Pick>, best: &mut Assignment, open: &mut BinaryHeap<_>| {
        let [by_player, by_piece] = places.each_ref().map(|places| places.relaxed(problem, &forbidden));
        for chosen in [&by_player.1, &by_piece.1] {
            let tried = one_by_one(problem, chosen);
            if tried.weight < best.weight {
                *best = tried;
            }
        }
        let bound = by_player.0.max(by_piece.0);
        if bound < best.weight {
            seen += 1;
            open.push((Reverse(bound), Reverse(seen), by_player.1, forbidden));
        }
    };
    push(BTreeSet::new(), &mut best, &mut open);
    let mut branches = 0;
    while let Some((Reverse(bound), _, chosen, forbidden)) = open.pop() {
        if bound >= best.weight {
            break;
        }
        branches += 1;
        if branches > MOST_BRANCHES {
            return best;
        }
        let Some((a, b)) = problem.first_clash(&chosen) else {
            unreachable!("an assignment without a clash was taken as the best when it was found")
        };
        for pick in [a, b] {
            let mut forbidden = forbidden.clone();
            forbidden.insert(pick);
            push(forbidden, &mut best, &mut open);
        }
    }
    best.is_proven = true;
    best
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
struct Places {
    /// Which place each choice of each part stands in.
    of: Vec<Vec<usize>>,
    /// How many parts each place can take.
    room: Vec<usize>,
}

impl Places {
    fn of(problem: &Problem, place: impl Fn(&Choice) -> usize) -> Places {
        let numbers: BTreeSet<usize> = problem.choices.iter().flatten().map(&place).collect();
        let number: BTreeMap<usize, usize> =
            numbers.iter().enumerate().map(|(column, place)| (*place, column)).collect();
        let of: Vec<Vec<usize>> = problem
            .choices
            .iter()
            .map(|choices| choices.iter().map(|choice| number[&place(choice)]).collect())
            .collect();
        let mut picks: Vec<Vec<Vec<Pick>>> = vec![Vec::new(); numbers.len()];
        for (part, places) in of.iter().enumerate() {
            for (choice, place) in places.iter().enumerate() {
                let of_place = &mut picks[*place];
                match of_place.last_mut().filter(|last| last[0].0 == part) {
                    Some(last) => last.push((part, choice)),
                    None => of_place.push(vec![(part, choice)]),
                }
            }
        }
        let room = picks.iter().map(|parts| room(problem, parts)).collect();
        Places { of, room }
    }

    fn columns(&self) -> usize {
        self.room.iter().sum()
    }

    /// The best assignment when clashes count for nothing, and what it costs.
    fn relaxed(&self, problem: &Problem, forbidden: &BTreeSet<Pick>) -> (Weight, Vec<Option<usize>>) {
        let parts = problem.choices.len();
        let never = problem.nobody * 2 + 1;
        let starts: Vec<usize> =
            self.room.iter().scan(0, |sum, room| Some(std::mem::replace(sum, *sum + room))).collect();
        let columns = self.columns();
        let mut table = Matrix::new(parts, columns + parts, never);
        let mut cheapest: Vec<BTreeMap<usize, usize>> = vec![BTreeMap::new(); parts];
        for part in 0..parts {
            for (choice, place) in self.of[part].iter().enumerate().filter(|(c, _)| !forbidden.contains(&(part, *c))) {
                let weight = |number: usize| problem.choices[part][number].weight;
                let now = cheapest[part].entry(*place).or_insert(choice);
                if weight(choice) < weight(*now) {
                    *now = choice;
                }
            }
            for (place, choice) in &cheapest[part] {
                for turn in 0..self.room[*place] {
                    let more = if turn == 0 { 0 } else { problem.again };
                    table[(part, starts[*place] + turn)] = problem.choices[part][*choice].weight + more;
                }
            }
            table[(part, columns + part)] = problem.nobody;
        }
        let (weight, chosen) = kuhn_munkres_min(&table);
        let choice = |(part, column): (usize, &usize)| {
            let place = starts.partition_point(|start| start <= column).checked_sub(1).filter(|_| *column < columns)?;
            // Places without room share their start with the next one.
            cheapest[part].get(&place).copied()
        };
        (weight, chosen.iter().enumerate().map(choice).collect())
    }
}

/// How many of some parts can go together at one place at most: parts are put into heaps in which any two clash, and of each heap
/// one can be taken. A bound from above, exact where clashes run through (parts that all sound together).
///
/// - `parts`: the picks of each part at the place.
fn room(problem: &Problem, parts: &[Vec<Pick>]) -> usize {
    let both_clash = |a: &[Pick], b: &[Pick]| a.iter().all(|a| b.iter().all(|b| problem.clash(*a, *b)));
    let mut heaps: Vec<Vec<&Vec<Pick>>> = Vec::new();
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

//! The assignment against every assignment that there is, and the laws that it obeys.

use proptest::prelude::*;

use super::*;
use crate::kit::Numbers;
use crate::people::problem::Pair;

/// The least cost of all assignments without a clash, straight from the definition.
fn brute_force(problem: &Problem) -> Weight {
    fn go(problem: &Problem, taken: &mut Vec<Option<usize>>) -> Weight {
        let part = taken.len();
        if part == problem.choices.len() {
            return cost(problem, taken);
        }
        taken.push(None);
        let mut best = go(problem, taken);
        for number in 0..problem.choices[part].len() {
            taken[part] = None;
            let of_others = taken.iter().enumerate();
            let fits = of_others
                .into_iter()
                .all(|(other, of)| of.is_none_or(|of| !clash(problem, (other, of), (part, number))));
            if fits {
                taken[part] = Some(number);
                best = best.min(go(problem, taken));
            }
        }
        taken.pop();
        best
    }
    go(problem, &mut Vec::new())
}

/// The cost of an assignment, counted anew.
fn cost(problem: &Problem, chosen: &[Option<usize>]) -> Weight {
    let mut sum = 0;
    let mut counts: BTreeMap<usize, i128> = BTreeMap::new();
    for (part, choice) in chosen.iter().enumerate() {
        match choice {
            None => sum += problem.nobody,
            Some(number) => {
                sum += problem.choices[part][*number].weight;
                *counts.entry(problem.choices[part][*number].player).or_default() += 1;
            }
        }
    }
    // Of three parts the second costs `again`, the third that and `again_grows`.
    let turns = |count: &i128| (1..*count).map(|turn| problem.again + (turn - 1) * problem.again_grows).sum::<Weight>();
    let mut pairs = 0;
    for pair in &problem.pairs {
        if let (Some(x), Some(y)) = (chosen[pair.parts.0], chosen[pair.parts.1]) {
            pairs += pair.costs[x][y];
        }
    }
    sum + counts.values().map(turns).sum::<Weight>() + pairs
}

/// Whether two picks clash, counted anew.
fn clash(problem: &Problem, a: Pick, b: Pick) -> bool {
    let (x, y) = (problem.choices[a.0][a.1], problem.choices[b.0][b.1]);
    (x.piece == y.piece && x.player != y.player) || problem.clashes.contains(&(a, b))
}

/// Small problems of all sorts: few players for many parts, players at several pieces, pieces that several can play.
fn problems() -> impl Strategy<Value = Problem> {
    let choice = (0..4usize, 0..4usize, 0..30i128).prop_map(|(player, piece, weight)| Choice { player, piece, weight });
    let choices = prop::collection::vec(prop::collection::vec(choice, 0..5), 1..6);
    (choices, 0..40i128, any::<u64>(), 0..4u64).prop_map(|(choices, again, bits, density)| {
        let mut problem = Problem { choices, nobody: 10_000, again, ..Problem::default() };
        let picks: Vec<Pick> = (0..problem.choices.len())
            .flat_map(|part| (0..problem.choices[part].len()).map(move |choice| (part, choice)).collect::<Vec<_>>())
            .collect();
        let mut numbers = Numbers(bits | 1);
        for (n, a) in picks.iter().enumerate() {
            for b in picks[n + 1..].iter().filter(|b| b.0 != a.0) {
                let together = problem.choices[a.0][a.1].player == problem.choices[b.0][b.1].player;
                if numbers.below(4) < density && together {
                    problem.clashes.insert((*a, *b));
                }
            }
        }
        problem
    })
}

/// The same, with costs of pairs: each part with the next one, and some with the one after, as voices that lie above each other.
fn paired() -> impl Strategy<Value = Problem> {
    (problems(), 0..20i128, any::<u64>()).prop_map(|(mut problem, again_grows, bits)| {
        let mut numbers = Numbers(bits | 1);
        problem.again_grows = again_grows;
        let parts = problem.choices.len();
        for (a, b) in (0..parts).flat_map(|a| [(a, a + 1), (a + 2, a)]) {
            if a.max(b) >= parts || numbers.below(4) == 0 {
                continue;
            }
            let mut row =
                |_| (0..problem.choices[b].len()).map(|_| (numbers.below(4) * numbers.below(9)) as i128).collect();
            let costs = (0..problem.choices[a].len()).map(&mut row).collect();
            problem.pairs.push(Pair { parts: (a, b), costs });
        }
        problem
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 600, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn nothing_costs_less(problem in problems()) {
        let found = assign(&problem);
        prop_assert!(found.is_proven);
        prop_assert_eq!(found.weight, cost(&problem, &found.chosen));
        prop_assert_eq!(found.weight, brute_force(&problem));
    }

    #[test]
    fn no_pairs_cost_less(problem in paired()) {
        let found = assign(&problem);
        prop_assert!(found.is_proven);
        prop_assert_eq!(found.weight, cost(&problem, &found.chosen));
        prop_assert_eq!(found.weight, brute_force(&problem));
    }

    #[test]
    fn nothing_clashes(problem in problems()) {
        let found = assign(&problem);
        let picks: Vec<Pick> =
            found.chosen.iter().enumerate().filter_map(|(part, choice)| Some((part, (*choice)?))).collect();
        for (n, a) in picks.iter().enumerate() {
            for b in &picks[n + 1..] {
                prop_assert!(!clash(&problem, *a, *b), "{a:?} and {b:?}");
            }
        }
    }

    #[test]
    fn one_player_more_never_costs_more(problem in problems()) {
        let before = assign(&problem).weight;
        let mut more = problem.clone();
        for choices in &mut more.choices {
            choices.push(Choice { player: 9, piece: 9, weight: 5 });
        }
        prop_assert!(assign(&more).weight <= before);
    }
}

#[test]
fn many_parts_for_one_player_are_quick_to_prove() {
    // Twenty parts that sound together, and two players who could each take any of them at any of three pieces.
    let choices: Vec<Choice> = (0..2)
        .flat_map(|player| (0..3).map(move |piece| Choice { player, piece, weight: (player * piece) as i128 }))
        .collect();
    let mut problem = Problem { choices: vec![choices; 20], nobody: 1_000_000, again: 1_000, ..Problem::default() };
    for a in 0..20 {
        for b in a + 1..20 {
            for (x, of_x) in problem.choices[a].iter().enumerate() {
                for (y, of_y) in problem.choices[b].iter().enumerate() {
                    if of_x.player == of_y.player {
                        problem.clashes.insert(((a, x), (b, y)));
                    }
                }
            }
        }
    }
    let found = assign(&problem);
    assert!(found.is_proven);
    assert_eq!(found.chosen.iter().flatten().count(), 2);
}

#[test]
fn more_than_a_table_holds_is_assigned_one_by_one() {
    let choices: Vec<Vec<Choice>> =
        (0..1_100).map(|part| vec![Choice { player: part, piece: part, weight: 1 }]).collect();
    let found = assign(&Problem { choices, nobody: 1_000, again: 10, ..Problem::default() });
    assert!(!found.is_proven);
    assert_eq!(found.weight, 1_100);
}

/// Found by the made-up problems: the clash leaves only one way, in which the players change places.
#[test]
fn a_clash_is_solved_by_the_other_player() {
    let choice = |player, piece| Choice { player, piece, weight: 0 };
    let choices = vec![vec![choice(0, 3), choice(1, 3)], vec![choice(0, 0)]];
    let problem =
        Problem { choices, nobody: 10_000, again: 0, clashes: [((0, 0), (1, 0))].into(), ..Problem::default() };
    assert_eq!(assign(&problem).chosen, [Some(1), Some(0)]);
    assert_eq!(brute_force(&problem), 0);
}

//! The joint solution against brute force over all ways through small problems.

use super::*;
use crate::fit::voicing_problem::{COVERS, Chain, Choice};
use crate::kit::Numbers;

impl Numbers {
    fn problem(&mut self) -> Problem {
        let (chains, moments) = (1 + self.below(3) as usize, 1 + self.below(4) as usize);
        let mut problem = Problem::default();
        for _ in 0..chains {
            let sizes: Vec<usize> = (0..moments).map(|_| 1 + self.below(3) as usize).collect();
            let mut choice = || Choice { own: self.below(9) as Cost, cover: self.below(8) as u8 };
            let moments: Vec<Vec<Choice>> = sizes.iter().map(|size| (0..*size).map(|_| choice()).collect()).collect();
            let steps = sizes.windows(2).map(|pair| (0..pair[0] * pair[1]).map(|_| self.below(9) as Cost).collect());
            let steps = steps.collect();
            problem.chains.push(Chain { moments, steps });
        }
        for _ in 0..moments {
            let mut costs = [0; COVERS];
            costs.iter_mut().for_each(|cost| *cost = self.below(20) as Cost);
            problem.covers.push(costs);
        }
        problem
    }
}

/// The least cost over all ways, one by one.
fn brute(problem: &Problem) -> Cost {
    let sizes: Vec<usize> = problem.chains.iter().flat_map(|chain| chain.moments.iter().map(Vec::len)).collect();
    let all: usize = sizes.iter().product();
    let moments = problem.covers.len();
    let ways = (0..all).map(|state| problem.cost(&way(state, &sizes, moments)));
    ways.min().expect("a way")
}

/// One of all ways, by its number.
fn way(mut state: usize, sizes: &[usize], moments: usize) -> Vec<Vec<usize>> {
    let mut digit = |size: &usize| {
        let digit = state % size;
        state /= size;
        digit
    };
    let digits: Vec<usize> = sizes.iter().map(&mut digit).collect();
    digits.chunks(moments).map(<[usize]>::to_vec).collect()
}

#[test]
fn the_joint_solution_equals_brute_force() {
    let mut numbers = Numbers(0x9E37_79B9_7F4A_7C15);
    let mut several = 0;
    for case in 0..1000 {
        let problem = numbers.problem();
        let solution = solve_within(&problem, &ROOMS);
        let best = brute(&problem);
        assert_eq!(solution.cost, best, "case {case}: {problem:?}");
        assert_eq!(solution.bound, best, "case {case}");
        assert_eq!(problem.cost(&solution.chosen), best, "case {case}");
        several += usize::from(problem.chains.len() > 1);
    }
    assert!(several > 500, "the cases hold enough of what is hard");
}

#[test]
fn without_room_the_bounds_still_hold() {
    let mut numbers = Numbers(0xD1B5_4A32_D192_ED03);
    let mut gaps = 0;
    for _ in 0..120 {
        let problem = numbers.problem();
        let solution = solve_within(&problem, &[0]);
        let best = brute(&problem);
        assert!(solution.bound <= best && best <= solution.cost, "{problem:?}");
        assert_eq!(problem.cost(&solution.chosen), solution.cost);
        gaps += usize::from(solution.bound < solution.cost);
    }
    assert!(gaps > 0, "a limit of no states leaves some gap");
}

#[test]
fn little_room_tells_no_lies() {
    let mut numbers = Numbers(0x2545_F491_4F6C_DD1D);
    let mut proven = 0;
    for _ in 0..1000 {
        let problem = numbers.problem();
        let best = brute(&problem);
        for room in [1, 2, 5] {
            let solution = solve_within(&problem, &[room]);
            assert!(solution.bound <= best && best <= solution.cost, "{room}: {problem:?}");
            proven += usize::from(solution.bound == solution.cost);
        }
    }
    assert!(proven > 1000, "a bound proves much with little room: {proven}");
}

#[test]
fn of_two_chains_the_other_search_finds_the_best_too() {
    // Without room nothing is left but to improve two chains at a time, which is the whole of these problems.
    let mut numbers = Numbers(0x0DDB_1A5E_5BAD_5EED);
    let mut bettered = 0;
    for _ in 0..120 {
        let mut problem = numbers.problem();
        problem.chains.truncate(2);
        if problem.chains.len() == 2 {
            let (_, single) = problem.improved();
            let solution = solve_within(&problem, &[0]);
            assert_eq!(solution.cost, brute(&problem), "{problem:?}");
            bettered += usize::from(solution.cost < single);
        }
    }
    assert!(bettered > 1, "one chain at a time is not enough: {bettered}");
}

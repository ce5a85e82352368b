//! The joint solution against brute force over all ways through small problems.

use super::*;
use crate::fit::numbers::Numbers;

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
    let ways = (0..all).map(|state| {
        let way: Vec<Vec<usize>> = unfold(state, &sizes).chunks(moments).map(<[usize]>::to_vec).collect();
        problem.cost(&way)
    });
    ways.min().expect("a way")
}

#[test]
fn the_joint_solution_equals_brute_force() {
    let mut numbers = Numbers(0x9E37_79B9_7F4A_7C15);
    let mut several = 0;
    for case in 0..1000 {
        let problem = numbers.problem();
        let solution = solve(&problem);
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
    for _ in 0..1000 {
        let problem = numbers.problem();
        let solution = solve_within(&problem, 0);
        let best = brute(&problem);
        assert!(solution.bound <= best && best <= solution.cost, "{problem:?}");
        assert_eq!(problem.cost(&solution.chosen), solution.cost);
        gaps += usize::from(solution.bound < solution.cost);
    }
    assert!(gaps > 0, "a limit of no states leaves some gap");
}

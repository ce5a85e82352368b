//! Made-up bands and their best assignment of parts to players, as JSON: a line a band, for an independent solver to check.
//!
//! ```sh
//! cargo run --example seats -- 30
//! ```
//!
//! A line holds `choices` (of each part: player, piece, weight), `nobody`, `again`, `again_grows`, `clashes` (pairs of part and
//! choice), `pairs` (two parts, and what each choice of the one costs with each of the other), and what panfold found: `weight`,
//! `chosen`, `is_proven`. Every second band is one that plays a score written for others: any part on any pan, and neighbours that may
//! cross.

use std::collections::BTreeSet;

use panfold::music::Seed;
use panfold::people::assign::assign;
use panfold::people::problem::{Choice, Pair, Problem};
use serde_json::json;

fn main() {
    let bands: u64 = std::env::args().nth(1).and_then(|text| text.parse().ok()).unwrap_or(30);
    for number in 0..bands {
        let seed = &mut Seed::of(&[number]);
        let problem = if number % 2 == 0 { made_up(seed) } else { made_up_score(seed) };
        let found = assign(&problem);
        let choice = |choice: &Choice| json!([choice.player, choice.piece, choice.weight as i64]);
        let pair = |pair: &Pair| {
            let costs: Vec<Vec<i64>> =
                pair.costs.iter().map(|row| row.iter().map(|cost| *cost as i64).collect()).collect();
            json!([pair.parts.0, pair.parts.1, costs])
        };
        let choices: Vec<Vec<_>> = problem.choices.iter().map(|part| part.iter().map(choice).collect()).collect();
        let line = json!({
            "choices": choices,
            "nobody": problem.nobody as i64,
            "again": problem.again as i64,
            "again_grows": problem.again_grows as i64,
            "pairs": problem.pairs.iter().map(pair).collect::<Vec<_>>(),
            "clashes": problem.clashes,
            "weight": found.weight as i64,
            "chosen": found.chosen,
            "is_proven": found.is_proven,
        });
        println!("{line}");
    }
}

/// A band of 10 to 25 people, each with a pan of their own, a third of them at home on another one as well, and 8 to 18 parts,
/// many of which sound together.
fn made_up(seed: &mut Seed) -> Problem {
    let mut below = |most: u64| (seed.next_u64() % most) as usize;
    let players = 10 + below(16);
    let pieces = players + below(4);
    let parts = 8 + below(11);
    let plays: Vec<BTreeSet<usize>> = (0..players)
        .map(|player| {
            let second = if below(3) == 0 { below(pieces as u64) } else { player };
            [player, second].into()
        })
        .collect();
    let kinds: Vec<usize> = (0..pieces).map(|_| below(4)).collect();
    let mut choices = Vec::new();
    for _ in 0..parts {
        let kind = below(4);
        let mut of_part = Vec::new();
        for (player, plays) in plays.iter().enumerate() {
            for piece in plays.iter().filter(|piece| kinds[**piece] == kind) {
                let weight = (below(40) * 100 + below(100)) as i128;
                of_part.push(Choice { player, piece: *piece, weight });
            }
        }
        choices.push(of_part);
    }
    // Each part plays in some of six sections: parts that share one sound together, and between neighbouring sections there is no
    // time to change pans.
    let plays_in: Vec<Vec<bool>> = (0..parts).map(|_| (0..6).map(|_| below(10) < 5).collect()).collect();
    let mut clashes = BTreeSet::new();
    for a in 0..parts {
        for b in a + 1..parts {
            let meet = |from: usize, to: usize| (0..6 - to).any(|n| plays_in[a][n + from] && plays_in[b][n + to]);
            let together = meet(0, 0);
            let near = together || meet(0, 1) || (0..5).any(|n| plays_in[a][n + 1] && plays_in[b][n]);
            for (x, of_x) in choices[a].iter().enumerate() {
                for (y, of_y) in choices[b].iter().enumerate() {
                    let same_player = of_x.player == of_y.player;
                    if same_player && (together || near && of_x.piece != of_y.piece) {
                        clashes.insert(((a, x), (b, y)));
                    }
                }
            }
        }
    }
    Problem { choices, nobody: 1_000_000, again: 5_000, clashes, ..Problem::default() }
}

/// A score of 4 to 8 voices from high to low on 6 to 14 pans from high to low: the further from its own height, the more notes a voice
/// lacks, and the more often it crosses its neighbour.
fn made_up_score(seed: &mut Seed) -> Problem {
    let mut below = |most: u64| (seed.next_u64() % most) as usize;
    let voices = 4 + below(5);
    let pans = voices.max(6) + below(7);
    let choices = (0..voices)
        .map(|voice| {
            let own = voice * pans / voices;
            let choice = |pan: usize| {
                let lacking = pan.abs_diff(own).saturating_sub(2) * below(30);
                Choice {
                    player: pan,
                    piece: pan,
                    weight: (lacking * 6_000 + pan.abs_diff(own) * 100 + below(100)) as i128,
                }
            };
            (0..pans).map(choice).collect()
        })
        .collect();
    let pair = |high: usize| {
        let mut crossed = |x: usize, y: usize| (x.saturating_sub(y) * below(20) * 1_000) as i128;
        let costs = (0..pans).map(|x| (0..pans).map(|y| crossed(x, y)).collect()).collect();
        Pair { parts: (high, high + 1), costs }
    };
    let pairs = (0..voices - 1).map(pair).collect();
    Problem { choices, nobody: 1_000_000_000, again: 10_000_000, again_grows: 10_000_000, pairs, ..Problem::default() }
}

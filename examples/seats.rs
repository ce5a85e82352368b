//! Made-up bands and their best assignment of parts to players, as JSON: a line a band, for an independent solver to check.
//!
//! ```sh
//! cargo run --example seats -- 30
//! ```
//!
//! A line holds `choices` (of each part: player, piece, weight), `nobody`, `again`, `clashes` (pairs of part and choice), and what
//! panfold found: `weight`, `chosen`, `is_proven`.

use std::collections::BTreeSet;

use panfold::people::assign::{Choice, Problem, assign};
use panfold::sound::seed::Seed;
use serde_json::json;

fn main() {
    let bands: u64 = std::env::args().nth(1).and_then(|text| text.parse().ok()).unwrap_or(30);
    for number in 0..bands {
        let problem = made_up(&mut Seed::of(&[number]));
        let found = assign(&problem);
        let choice = |choice: &Choice| json!([choice.player, choice.piece, choice.weight as i64]);
        let choices: Vec<Vec<_>> = problem.choices.iter().map(|part| part.iter().map(choice).collect()).collect();
        let line = json!({
            "choices": choices,
            "nobody": problem.nobody as i64,
            "again": problem.again as i64,
            "clashes": problem.clashes,
            "weight": found.weight as i64,
            "chosen": found.chosen,
            "is_proven": found.is_proven,
        });
        println!("{line}");
    }
}

/// A band of 10 to 25 people with up to three pans each, some of which two of them share, and 8 to 18 parts, many of which sound
/// together.
fn made_up(seed: &mut Seed) -> Problem {
    let mut below = |most: u64| (seed.next_u64() % most) as usize;
    let (players, pieces, parts) = (10 + below(16), 10 + below(16), 8 + below(11));
    let plays: Vec<Vec<usize>> = (0..players)
        .map(|player| {
            let mut plays: BTreeSet<usize> = (0..1 + below(3)).map(|_| below(pieces as u64)).collect();
            plays.insert(player % pieces);
            plays.into_iter().collect()
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
    // Of two parts one player could have, most sound together; on two pans more than on one, since going over takes time.
    let mut clashes = BTreeSet::new();
    for a in 0..parts {
        for b in a + 1..parts {
            let (together, near) = (below(10) < 8, below(10) < 5);
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
    Problem { choices, nobody: 1_000_000, again: 5_000, clashes }
}

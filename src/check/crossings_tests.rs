//! How many crossings are many: eight, and one in four of the strokes.

use super::sticks::sticks;
use crate::kit::{ONE_LEAD, tune};

/// Whether crossed hands are told of a row.
fn told(row: &str) -> bool {
    let band = format!("level = \"experienced\"\n{ONE_LEAD}");
    let tune = tune(&band, &format!("tempo 100\npart lead on lead\nsection a\n lead {row}\n"));
    sticks(&tune).iter().any(|finding| finding.kind.name == "crossed-hands")
}

#[test]
fn eight_crossings_are_many_and_seven_are_not() {
    // Eight, and one in four: our own settings, see `MANY_CROSSINGS`. Of two ways to give the sticks one crosses the hands at every stroke
    // after the first; eighths at 100 leave no time to uncross them.
    let (one, other) = ("| G5L F5R G5L F5R G5L F5R G5L F5R |", "| G5R F5L G5R F5L G5R F5L G5R F5L |");
    let longer = |row: &str| format!("{row} {} . . . . . . . |", row.split(' ').nth(1).expect("a cell"));
    let crossing = [one, other].into_iter().filter(|row| told(&longer(row))).collect::<Vec<_>>();
    assert_eq!(crossing.len(), 1, "with eight crossings one of the two is told");
    assert!(!told(one) && !told(other), "with seven none is");
    // Eight of 32 strokes are one in four; of 33 they are fewer.
    let easy = if crossing[0] == one { other } else { one };
    let of =
        |more: &str| format!("{} | {} {} {more}", longer(crossing[0]).trim_end_matches(" |"), &easy[2..], &easy[2..]);
    let strokes = |row: &str| row.matches('5').count();
    let row = of("G5 . F5 . G5 . F5 . | G5 . . . F5 . . . | G5 . . . . . . . |");
    assert_eq!(strokes(&row), 32, "{row}");
    assert!(told(&row), "{row}");
    let row = of("G5 . F5 . G5 . F5 . | G5 . . . F5 . . . | G5 . . . F5 . . . |");
    assert_eq!(strokes(&row), 33, "{row}");
    assert!(!told(&row), "{row}");
}

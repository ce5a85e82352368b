//! Which part carries the tune, and from which share on its balance is told.

use super::lineup::{balance, lead};
use crate::kit::{self, ONE_LEAD};
use crate::tune::Tune;

fn tune(parts: &str, rows: &str) -> Tune {
    kit::tune(ONE_LEAD, &format!("roll none\n{parts}section a\n{rows}"))
}

#[test]
fn the_part_that_is_called_lead_carries_the_tune_wherever_it_stands() {
    let lead = |parts: &str| {
        let first = parts.split(' ').nth(1).expect("a part");
        let tune = tune(parts, &format!(" {first} | . |\n"));
        lead(&tune).map(|part| tune.parts[part].name.clone())
    };
    assert_eq!(lead("part solo on lead\npart lead on double-tenor\n").as_deref(), Some("lead"));
    assert_eq!(lead("part bass on six-bass\npart solo on lead\npart other on lead\n").as_deref(), Some("solo"));
    assert_eq!(lead("part bass on six-bass\npart solo on ping-pong\n").as_deref(), Some("solo"));
    assert_eq!(lead("part lead on iron\npart solo on lead\n").as_deref(), Some("solo"), "iron carries no tune");
    assert_eq!(lead("part bass on six-bass\n"), None);
}

#[test]
fn a_third_is_often_and_less_is_not() {
    // A third: our own setting, see `OFTEN`.
    let parts =
        "part lead on lead\npart tenor on double-tenor\npart second on double-second\npart cello on triple-cello\n";
    let kinds =
        |rows: &str| -> Vec<&str> { balance(&tune(parts, rows)).iter().map(|finding| finding.kind.name).collect() };
    assert_eq!(kinds(" lead | E5 B4 C5 . |\n tenor | F5 . . . |\n"), ["masked-lead"], "one of three");
    assert_eq!(kinds(" lead | E5 B4 C5 D5 |\n tenor | F5 . . . |\n"), Vec::<&str>::new(), "one of four");
    let crowd = " tenor | C4 . . . |\n second | E4 . . . |\n cello";
    assert_eq!(kinds(&format!("{crowd} | G3+Bb3 G3 G3 . |\n")), ["crowded-middle"], "one of three");
    assert_eq!(kinds(&format!("{crowd} | G3+Bb3 G3 G3 G3 |\n")), Vec::<&str>::new(), "one of four");
}

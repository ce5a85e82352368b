//! Rolls on two notes: told where they are rolled, by a sign or by their length, and not where a hand damps them.

use super::two_sticks::two_sticks;
use crate::kit::{pans, tune};

#[test]
fn a_pair_that_is_damped_is_no_roll_however_long() {
    let band = pans(&[("Seconds", "double-second")]);
    let kinds = |row: &str| -> Vec<&str> {
        let tune = tune(&band, &format!("part second on double-second\nsection a\n second | {row} |\n"));
        two_sticks(&tune).iter().map(|finding| finding.kind.name).collect()
    };
    // Notes of two beats and more are rolled by themselves, unless they are damped.
    assert_eq!(kinds("C4+E4 - . ."), ["roll-with-note"]);
    assert_eq!(kinds("C4+E4' - . ."), Vec::<&str>::new());
    assert_eq!(kinds("C4+E4' - - -"), Vec::<&str>::new());
    assert_eq!(kinds("C4+E4 . . ."), Vec::<&str>::new());
}

//! Rolls by kind of pan, and what an accent on a roll of two notes means.

use super::perform::{Options, perform};
use super::roll::{LOWER_RATE, UPPER_RATE, rate};
use super::tests::tune;
use crate::pan::PanKind;
use crate::tune::model::Player;

#[test]
fn large_notes_roll_slower() {
    // 12 and 10 strokes a second: our own settings, see `UPPER_RATE` and `LOWER_RATE`, which name the pans.
    assert_eq!((UPPER_RATE, LOWER_RATE), (12.0, 10.0));
    for kind in PanKind::ALL {
        let is_large = matches!(
            kind,
            PanKind::TripleCello | PanKind::Quadrophonic | PanKind::TenorBass | PanKind::SixBass | PanKind::NineBass
        );
        let rate = rate(&Player::Pans { kind, pans: Vec::new() });
        assert_eq!(rate, if is_large { 10.0 } else { 12.0 }, "{kind}");
    }
}

#[test]
fn both_sticks_of_an_accented_pair_are_accented() {
    let velocities = |cell: &str| -> Vec<u8> {
        let performance = perform(&tune(&format!("section a\n lead | {cell} ~ . . |\n")), &Options::default());
        performance.strokes.iter().map(|stroke| stroke.force.velocity()).collect()
    };
    // mf is 80, an accent one step up, what follows in a roll one step down.
    let pair = velocities("C5+E5>");
    assert_eq!(pair[..3], [104, 104, 64], "{pair:?}");
    assert!(pair[2..].iter().all(|velocity| *velocity == 64), "{pair:?}");
    assert_eq!(velocities("C5>")[..2], [104, 64], "one note takes one");
}

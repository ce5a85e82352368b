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
    assert_eq!(pair[..2], [104, 104], "{pair:?}");
    // Hands are uneven: by less than a step, 16.
    assert!(pair[2..].iter().all(|velocity| (54..=72).contains(velocity)), "{pair:?}");
    let one = velocities("C5>");
    assert!(one[0] == 104 && (54..=72).contains(&one[1]), "one note takes one");
}

/// Strokes of a roll in seconds and velocities, for a lead's note held for eight beats at 120 under a row of dynamics.
fn rolled(note: &str, dynamics: &str) -> (Vec<f64>, Vec<f64>) {
    let text = format!("section a\n dynamics | {dynamics} |\n lead | {note} ~ ~ ~ ~ ~ ~ ~ | ~ ~ ~ ~ ~ ~ ~ ~ |\n");
    let performance = perform(&tune(&text), &Options::default());
    let strokes = performance.strokes.iter();
    strokes.map(|stroke| (performance.tempo.seconds(stroke.at), f64::from(stroke.force.velocity()))).unzip()
}

fn spread(values: &[f64]) -> f64 {
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    (values.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / values.len() as f64).sqrt()
}

/// Two hands tap unevenly: times and forces scatter, and the second stick is a little late and soft. Less than the 6 ms that are just
/// noticed in a quick series (Friberg & Sundberg, J. Acoust. Soc. Am. 98(5), 1995).
#[test]
fn a_roll_is_as_uneven_as_hands_are() {
    let (times, forces) = rolled("C5", "mf - - - - - - - | - - - - - - - -");
    assert!(times[0] == 0.0 && times.len() > 40, "{} strokes", times.len());
    let gaps: Vec<f64> = times.windows(2).map(|two| two[1] - two[0]).collect();
    assert!((0.002..0.006).contains(&spread(&gaps)), "{} s", spread(&gaps));
    assert!(gaps.iter().all(|gap| *gap > 0.05), "{gaps:?}");
    assert!((1.5..5.0).contains(&spread(&forces[1..])), "{}", spread(&forces[1..]));
    let mean = |first: usize| {
        let sticks = forces[1..].iter().skip(first).step_by(2);
        sticks.clone().sum::<f64>() / sticks.len() as f64
    };
    assert!((1.0..5.0).contains(&(mean(1) - mean(0))), "{} and {}", mean(0), mean(1));
    assert_eq!(rolled("C5", "mf - - - - - - - | - - - - - - - -").0, times, "the same in every run");
}

#[test]
fn a_roll_swells_with_the_dynamics_and_is_faster_where_it_is_high_or_loud() {
    let (_, forces) = rolled("C5", "p < - - - - - - | - - - - - - - ff");
    let eighth = forces.len() / 8;
    let mean = |part: &[f64]| part.iter().sum::<f64>() / part.len() as f64;
    assert!(mean(&forces[7 * eighth..]) > mean(&forces[1..eighth]) + 30.0, "{forces:?}");
    let count = |note: &str, level: &str| rolled(note, &format!("{level} - - - - - - - | - - - - - - - -")).0.len();
    assert!(count("C6", "mf") > count("C5", "mf"));
    assert!(count("C5", "ff") > count("C5", "pp"));
}

//! Which parts strum: the middle pans. Leads, ping-pongs and basses have lines, which are nobody's strums.

use super::chords::chords;
use crate::kit::{pans, tune};

#[test]
fn two_notes_outside_the_chord_are_told_of_strummers_alone() {
    let told = |kind: &str, layout: &str, pair: &str| {
        let band = pans(&[("P", layout)]);
        let text = format!("part p on {kind}\nsection a\n chords | C |\n p | {pair} . . . |\n");
        chords(&tune(&band, &text)).len()
    };
    for (kind, layout, pair) in [
        ("double-second", "double-second", "F4+A4"),
        ("double-tenor", "double-tenor", "F4+A4"),
        ("triple-cello", "triple-cello", "F3+A3"),
    ] {
        assert_eq!(told(kind, layout, pair), 2, "{kind}");
    }
    for (kind, layout, pair) in
        [("lead", "lead-c", "F4+A4"), ("ping-pong", "ping-pong", "F4+A4"), ("six-bass", "six-bass", "F2+A2")]
    {
        assert_eq!(told(kind, layout, pair), 0, "{kind}");
    }
}

#[test]
fn the_bass_after_the_slash_is_not_outside() {
    let band = pans(&[("P", "double-second")]);
    let text = |chord: &str| format!("part p on double-second\nsection a\n chords | {chord} |\n p | Bb4+E4 . . . |\n");
    assert_eq!(chords(&tune(&band, &text("C/Bb"))).len(), 0);
    assert_eq!(chords(&tune(&band, &text("C"))).len(), 1);
}

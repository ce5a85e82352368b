//! Degrees of slash chords: on a bass `1` and `8` are the note after the slash, on every other pan the chord's own root.

use super::tests::{good, strokes};

#[test]
fn a_bass_takes_the_note_after_the_slash_and_no_other_pan_does() {
    let tune = good("section a\n chords | C/E |\n lead | 1 8 3 5 |\n bass | 1 8 3 5 |\n");
    assert_eq!(strokes(&tune, 0, "lead"), "0:1:1=C 1:1:8=C 2:1:3=E 3:1:5=G");
    assert_eq!(strokes(&tune, 0, "bass"), "0:1:1=E 1:1:8=E 2:1:3=E 3:1:5=G");
}

#[test]
fn without_a_slash_a_bass_takes_the_root() {
    let tune = good("section a\n chords | C |\n bass | 1 8 . . |\n");
    assert_eq!(strokes(&tune, 0, "bass"), "0:1:1=C 1:1:8=C");
}

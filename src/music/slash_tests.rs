//! Chords over another bass: the bass after the slash belongs to the chord, and a bass player's `1` and `8` are it.

use super::{Chord, Degree, NoteName};

fn has(chord: &str, tone: &str) -> bool {
    let class = format!("{tone}4").parse::<NoteName>().expect(tone).tone.class();
    chord.parse::<Chord>().expect(chord).has(class)
}

#[test]
fn the_bass_after_the_slash_belongs_to_the_chord() {
    // Chord symbols as handbooks read them: `C/Bb` is C, E and G over a B flat.
    for tone in ["C", "E", "G", "Bb"] {
        assert!(has("C/Bb", tone), "{tone} is in C/Bb");
    }
    assert!(!has("C", "Bb"), "without the slash it is not");
    assert!(!has("C/Bb", "A") && !has("C/Bb", "B"), "nothing else is");
    assert!(has("C/E", "E") && !has("C/E", "F"), "a bass that is a tone already adds none");
}

#[test]
fn the_root_and_its_octave_are_the_root() {
    let is_root = |degree: &str| degree.parse::<Degree>().expect(degree).is_root();
    assert!(is_root("1") && is_root("8"));
    for degree in ["2", "3", "5", "7", "9", "11", "13", "b7", "#1", "b8"] {
        assert!(!is_root(degree), "{degree}");
    }
}

//! Spelling in minor keys of many sharps: the raised seventh is sharp of its step as long as one sharp is enough.

use super::{Key, NoteName};

#[test]
fn a_raised_seventh_is_spelled_with_one_sharp_at_most() {
    // Harmonic minor as handbooks spell it, but without double sharps, which no pan is stamped with: our own setting.
    let table = [
        ("Am", "G#"),
        ("Em", "D#"),
        ("Bm", "A#"),
        ("F#m", "E#"),
        ("C#m", "B#"),
        ("Dm", "C#"),
        ("Cm", "B"),
        ("G#m", "G"),
        ("D#m", "D"),
        ("A#m", "A"),
    ];
    for (key, seventh) in table {
        let tone = format!("{seventh}4").parse::<NoteName>().expect(seventh).tone;
        assert_eq!(key.parse::<Key>().expect(key).spell_class(tone.class()), tone, "in {key}");
    }
}

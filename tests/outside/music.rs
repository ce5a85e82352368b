//! Pitch, cents, chords, keys and intervals against handbooks and standards.

use panfold::music::chord::KINDS;
use panfold::music::key::Mode;
use panfold::music::{Cents, Chord, Hertz, Key, NoteName, Pitch, PitchClass, Tuning};

/// Note, MIDI key, hertz: equal temperament at A4 = 440 Hz (ISO 16), f = 440 · 2^((key − 69)/12), computed apart from
/// panfold and rounded to three decimals. C4 261.6256, C#4 277.183 and A4 440 Hz stand in the examples of the *MIDI Tuning
/// (Updated Specification)*; middle C = key 60 in *General MIDI System Level 1* (RP-003).
#[rustfmt::skip]
const EQUAL_TEMPERAMENT: [(&str, u8, f64); 64] = [
    ("A1", 33, 55.000), ("A#1", 34, 58.270), ("B1", 35, 61.735), ("C2", 36, 65.406),
    ("C#2", 37, 69.296), ("D2", 38, 73.416), ("D#2", 39, 77.782), ("E2", 40, 82.407),
    ("F2", 41, 87.307), ("F#2", 42, 92.499), ("G2", 43, 97.999), ("G#2", 44, 103.826),
    ("A2", 45, 110.000), ("A#2", 46, 116.541), ("B2", 47, 123.471), ("C3", 48, 130.813),
    ("C#3", 49, 138.591), ("D3", 50, 146.832), ("D#3", 51, 155.563), ("E3", 52, 164.814),
    ("F3", 53, 174.614), ("F#3", 54, 184.997), ("G3", 55, 195.998), ("G#3", 56, 207.652),
    ("A3", 57, 220.000), ("A#3", 58, 233.082), ("B3", 59, 246.942), ("C4", 60, 261.626),
    ("C#4", 61, 277.183), ("D4", 62, 293.665), ("D#4", 63, 311.127), ("E4", 64, 329.628),
    ("F4", 65, 349.228), ("F#4", 66, 369.994), ("G4", 67, 391.995), ("G#4", 68, 415.305),
    ("A4", 69, 440.000), ("A#4", 70, 466.164), ("B4", 71, 493.883), ("C5", 72, 523.251),
    ("C#5", 73, 554.365), ("D5", 74, 587.330), ("D#5", 75, 622.254), ("E5", 76, 659.255),
    ("F5", 77, 698.456), ("F#5", 78, 739.989), ("G5", 79, 783.991), ("G#5", 80, 830.609),
    ("A5", 81, 880.000), ("A#5", 82, 932.328), ("B5", 83, 987.767), ("C6", 84, 1046.502),
    ("C#6", 85, 1108.731), ("D6", 86, 1174.659), ("D#6", 87, 1244.508), ("E6", 88, 1318.510),
    ("F6", 89, 1396.913), ("F#6", 90, 1479.978), ("G6", 91, 1567.982), ("G#6", 92, 1661.219),
    ("A6", 93, 1760.000), ("A#6", 94, 1864.655), ("B6", 95, 1975.533), ("C7", 96, 2093.005),
];

#[test]
fn equal_temperament() {
    let tuning = Tuning::default();
    for (name, key, hertz) in EQUAL_TEMPERAMENT {
        let pitch: Pitch = name.parse().expect(name);
        assert_eq!(pitch.key(), key, "{name}");
        let found = tuning.frequency(pitch);
        // Half of the last decimal of the table.
        assert!((found.0 - hertz).abs() <= 0.000_501, "{name} is {hertz} Hz, found {}", found.0);
        let (nearest, off) = tuning.nearest(Hertz(hertz)).expect("a pitch");
        assert_eq!(nearest, pitch);
        assert!(off.0.abs() < 0.02, "{name} at {hertz} Hz is {} cents off", off.0);
    }
}

/// Two frequencies and the cents between them, 1200 · log2(a/b), computed apart from panfold to three decimals; the
/// intervals are those of any acoustics handbook (a fifth of 701.955 cents, the commas of 21.506 and 23.460).
const CENTS: [(f64, f64, f64); 16] = [
    (2.0, 1.0, 1200.000),
    (3.0, 2.0, 701.955),
    (4.0, 3.0, 498.045),
    (5.0, 4.0, 386.314),
    (6.0, 5.0, 315.641),
    (9.0, 8.0, 203.910),
    (3.0, 1.0, 1901.955),
    (5.0, 1.0, 2786.314),
    (441.0, 440.0, 3.930),
    (442.0, 440.0, 7.851),
    (440.5, 440.0, 1.966),
    (439.5, 440.0, -1.968),
    (432.0, 440.0, -31.767),
    (415.0, 440.0, -101.271),
    (81.0, 80.0, 21.506),
    (531_441.0, 524_288.0, 23.460),
];

#[test]
fn cents() {
    for (high, low, cents) in CENTS {
        let found = Cents::between(Hertz(low), Hertz(high));
        assert!((found.0 - cents).abs() <= 0.000_501, "{high}:{low} is {cents} cents, found {}", found.0);
        assert!((Cents(cents).ratio() - high / low).abs() < 1e-5, "{cents} cents are {high}:{low}");
    }
}

/// A frequency, and the key and cents that it stands for: readings of a pan by an electronic tuner (K. Swafford,
/// technicians' mailing list, June 1996): C5 +26.0, G5 +21.3, C6 +26.7 cents against A4 = 440 Hz.
#[test]
fn measured_notes_keep_their_offset() {
    for (name, cents) in [("C5", 26.0), ("G5", 21.3), ("C6", 26.7)] {
        let pitch: Pitch = name.parse().expect(name);
        let frequency = Tuning::default().frequency_off(pitch, Cents(cents));
        let (nearest, off) = Tuning::default().nearest(frequency).expect("a pitch");
        assert_eq!(nearest, pitch);
        assert!((off.0 - cents).abs() < 1e-9);
    }
}

/// Symbol after the root, and pitch classes above it. Those with a MusicXML kind are described in words in the schema's list
/// of chord kinds (W3C MusicXML 4.0, `kind-value`); those without one are handbook knowledge, from memory and undisputed.
#[rustfmt::skip]
const CHORDS: [(&str, &[u8], Option<&str>); 47] = [
    ("", &[0, 4, 7], Some("major")),
    ("m", &[0, 3, 7], Some("minor")),
    ("+", &[0, 4, 8], Some("augmented")),
    ("aug", &[0, 4, 8], Some("augmented")),
    ("dim", &[0, 3, 6], Some("diminished")),
    ("7", &[0, 4, 7, 10], Some("dominant")),
    ("maj7", &[0, 4, 7, 11], Some("major-seventh")),
    ("m7", &[0, 3, 7, 10], Some("minor-seventh")),
    ("dim7", &[0, 3, 6, 9], Some("diminished-seventh")),
    ("+7", &[0, 4, 8, 10], Some("augmented-seventh")),
    ("7♯5", &[0, 4, 8, 10], Some("augmented-seventh")),
    ("m7♭5", &[0, 3, 6, 10], Some("half-diminished")),
    ("m(maj7)", &[0, 3, 7, 11], Some("major-minor")),
    ("6", &[0, 4, 7, 9], Some("major-sixth")),
    ("m6", &[0, 3, 7, 9], Some("minor-sixth")),
    ("9", &[0, 2, 4, 7, 10], Some("dominant-ninth")),
    ("maj9", &[0, 2, 4, 7, 11], Some("major-ninth")),
    ("m9", &[0, 2, 3, 7, 10], Some("minor-ninth")),
    ("11", &[0, 2, 4, 5, 7, 10], Some("dominant-11th")),
    ("maj11", &[0, 2, 4, 5, 7, 11], Some("major-11th")),
    ("13", &[0, 2, 4, 5, 7, 9, 10], Some("dominant-13th")),
    ("maj13", &[0, 2, 4, 5, 7, 9, 11], Some("major-13th")),
    ("m13", &[0, 2, 3, 5, 7, 9, 10], Some("minor-13th")),
    ("sus2", &[0, 2, 7], Some("suspended-second")),
    ("sus4", &[0, 5, 7], Some("suspended-fourth")),
    ("5", &[0, 7], Some("power")),
    ("add9", &[0, 2, 4, 7], None),
    ("add2", &[0, 2, 4, 7], None),
    ("omit5", &[0, 4], None),
    ("7omit5", &[0, 4, 10], None),
    ("m(add9)", &[0, 2, 3, 7], None),
    ("6/9", &[0, 2, 4, 7, 9], None),
    ("7sus4", &[0, 5, 7, 10], None),
    ("7♭9", &[0, 1, 4, 7, 10], None),
    ("7♯9", &[0, 3, 4, 7, 10], None),
    ("7♭5", &[0, 4, 6, 10], None),
    ("7♯11", &[0, 4, 6, 7, 10], None),
    // Signs for kinds: the attribute `use-symbols` of `kind` (W3C MusicXML 4.0): "major: a triangle, like Unicode 25B3; minor: -,
    // like Unicode 002D; augmented: +; diminished: °, like Unicode 00B0; half-diminished: ø, like Unicode 00F8".
    ("△7", &[0, 4, 7, 11], Some("major-seventh")),
    ("-7", &[0, 3, 7, 10], Some("minor-seventh")),
    ("-6", &[0, 3, 7, 9], Some("minor-sixth")),
    ("-9", &[0, 2, 3, 7, 10], Some("minor-ninth")),
    ("°", &[0, 3, 6], Some("diminished")),
    ("°7", &[0, 3, 6, 9], Some("diminished-seventh")),
    ("ø", &[0, 3, 6, 10], Some("half-diminished")),
    ("ø7", &[0, 3, 6, 10], Some("half-diminished")),
    // C. Brandt and C. Roemer, Standardized Chord Symbol Notation (1976), write `MA` and `MI` (from memory).
    ("MA7", &[0, 4, 7, 11], Some("major-seventh")),
    ("MI7", &[0, 3, 7, 10], Some("minor-seventh")),
];

const ROOTS: [(&str, u8); 17] = [
    ("C", 0),
    ("C#", 1),
    ("Db", 1),
    ("D", 2),
    ("D#", 3),
    ("Eb", 3),
    ("E", 4),
    ("F", 5),
    ("F#", 6),
    ("Gb", 6),
    ("G", 7),
    ("G#", 8),
    ("Ab", 8),
    ("A", 9),
    ("A#", 10),
    ("Bb", 10),
    ("B", 11),
];

#[test]
fn chords_on_every_root() {
    for (root, above_c) in ROOTS {
        for (suffix, classes, kind) in CHORDS {
            let symbol = format!("{root}{suffix}");
            let chord: Chord = symbol.parse().expect(&symbol);
            let mut expected: Vec<u8> = classes.iter().map(|class| (class + above_c) % 12).collect();
            let mut found: Vec<u8> = chord.classes().map(PitchClass::number).collect();
            assert_eq!(found[0], above_c, "{symbol} begins with its root");
            expected.sort_unstable();
            found.sort_unstable();
            assert_eq!(found, expected, "{symbol}");
            if let Some(kind) = kind {
                assert_eq!((chord.kind.musicxml, chord.kind.degrees.len()), (kind, 0), "{symbol}");
            }
        }
    }
}

#[test]
fn unknown_chords_are_no_guess() {
    for symbol in ["", "H", "Cx", "C77", "Cmajor", "Csus3", "C/", "C/H", "c", "C7b", "C b5"] {
        assert!(symbol.parse::<Chord>().is_err(), "{symbol}");
    }
}

#[test]
fn every_kind_of_chord_is_in_the_table() {
    // The minor eleventh (MusicXML `minor-11th`) is the only one that the table leaves to `.ci/run`'s library.
    for kind in KINDS.iter().filter(|kind| kind.suffixes[0] != "m11") {
        let known =
            |suffix: &&str| CHORDS.iter().any(|(text, ..)| text.replace('♯', "#").replace('♭', "b") == **suffix);
        assert!(kind.suffixes.iter().any(known), "{}", kind.suffixes[0]);
    }
}

/// Sharps (positive) or flats of the signature, the major and the minor key that have it, and the major key's scale: any
/// handbook's table of the circle of fifths; the sign is that of *Standard MIDI Files 1.0* (RP-001) and MusicXML's `fifths`.
const KEYS: [(i8, &str, &str, &str); 15] = [
    (-7, "Cb", "Abm", "Cb Db Eb Fb Gb Ab Bb"),
    (-6, "Gb", "Ebm", "Gb Ab Bb Cb Db Eb F"),
    (-5, "Db", "Bbm", "Db Eb F Gb Ab Bb C"),
    (-4, "Ab", "Fm", "Ab Bb C Db Eb F G"),
    (-3, "Eb", "Cm", "Eb F G Ab Bb C D"),
    (-2, "Bb", "Gm", "Bb C D Eb F G A"),
    (-1, "F", "Dm", "F G A Bb C D E"),
    (0, "C", "Am", "C D E F G A B"),
    (1, "G", "Em", "G A B C D E F#"),
    (2, "D", "Bm", "D E F# G A B C#"),
    (3, "A", "F#m", "A B C# D E F# G#"),
    (4, "E", "C#m", "E F# G# A B C# D#"),
    (5, "B", "G#m", "B C# D# E F# G# A#"),
    (6, "F#", "D#m", "F# G# A# B C# D# E#"),
    (7, "C#", "A#m", "C# D# E# F# G# A# B#"),
];

#[test]
fn keys_and_scales() {
    for (fifths, major, minor, scale) in KEYS {
        let key: Key = major.parse().expect(major);
        assert_eq!(key.fifths(), fifths, "{major}");
        assert_eq!(minor.parse::<Key>().map(Key::fifths), Ok(fifths), "{minor}");
        assert_eq!(Key::from_fifths(fifths, Mode::Major), Some(key));
        assert_eq!(Key::from_fifths(fifths, Mode::Minor).map(|key| key.to_string()).as_deref(), Some(minor));
        assert_eq!(key.scale().map(|tone| tone.to_string()).join(" "), scale);
        // The relative minor has the same notes, from the sixth on.
        let relative = minor.parse::<Key>().expect(minor).scale();
        assert_eq!(relative[0], key.scale()[5]);
        // Round the circle of fifths: the tonic is seven semitones further for each sharp.
        assert_eq!(key.tonic().class(), PitchClass::new(7 * i32::from(fifths)));
    }
}

/// An interval's name, two notes that form it, and its semitones (any handbook).
const INTERVALS: [(&str, &str, &str, i32); 23] = [
    ("perfect unison", "C4", "C4", 0),
    ("minor second", "E4", "F4", 1),
    ("major second", "C4", "D4", 2),
    ("minor third", "A3", "C4", 3),
    ("major third", "Ab3", "C4", 4),
    ("perfect fourth", "G3", "C4", 5),
    ("augmented fourth", "F4", "B4", 6),
    ("diminished fifth", "B3", "F4", 6),
    ("perfect fifth", "Bb3", "F4", 7),
    ("augmented fifth", "C4", "G#4", 8),
    ("minor sixth", "E4", "C5", 8),
    ("major sixth", "G3", "E4", 9),
    ("augmented sixth", "Ab3", "F#4", 10),
    ("minor seventh", "D4", "C5", 10),
    ("major seventh", "F#3", "E#4", 11),
    ("octave", "Cb4", "Cb5", 12),
    ("minor ninth", "B3", "C5", 13),
    ("major ninth", "Bb3", "C5", 14),
    ("augmented ninth", "C4", "D#5", 15),
    ("perfect eleventh", "C4", "F5", 17),
    ("augmented eleventh", "C4", "F#5", 18),
    ("minor thirteenth", "C4", "Ab5", 20),
    ("major thirteenth", "C4", "A5", 21),
];

#[test]
fn intervals() {
    for (name, low, high, semitones) in INTERVALS {
        let pitch = |text: &str| text.parse::<NoteName>().ok().and_then(NoteName::pitch).expect(text);
        assert_eq!(pitch(low).semitones_to(pitch(high)), semitones, "{name} {low} {high}");
        assert_eq!(pitch(low).up(semitones), Some(pitch(high)), "{name} {low} {high}");
    }
}

//! The built-in layouts against what is published and told of pans.
//!
//! Compasses and counts: Richard A. Sharma, Composing and Arranging for the Steel Pan, part I, chapter 1; layouts in circles of
//! fourths: Brockville Lions Steelband, Our drums; T. D. Rossing and U. J. Hansen, The Caribbean Steelpan and some
//! Offsprings. Read second-hand in the layouts' own notes.

use panfold::music::Pitch;
use panfold::pan::face::{NoteArea, Ring, Sure};
use panfold::pan::{Pan, PanKind, layout, layouts};

fn pitch(name: &str) -> Pitch {
    name.parse().expect(name)
}

fn of(name: &str) -> &'static Pan {
    layout(name).expect("a built-in layout")
}

/// Layout, lowest, highest, notes, drums. Chromatic: as many notes as semitones, which is evidence by itself, since compass
/// and count come from different sources in most rows. The ping-pong's 24 notes are common practice, no source.
const COMPASSES: [(&str, &str, &str, usize, usize); 13] = [
    ("lead-c", "C4", "E6", 29, 1),
    ("lead-d", "D4", "F#6", 29, 1),
    ("double-tenor", "F3", "B5", 31, 2),
    ("double-second", "F#3", "B5", 30, 2),
    ("double-guitar", "C#3", "G#4", 20, 2),
    ("triple-guitar", "A2", "B4", 27, 3),
    ("triple-cello", "B2", "Bb4", 24, 3),
    ("quadrophonic", "B2", "Bb5", 36, 4),
    ("tenor-bass", "F2", "E4", 24, 4),
    ("tenor-bass-20", "G2", "D4", 20, 4),
    ("six-bass", "Bb1", "Eb3", 18, 6),
    ("nine-bass", "E1", "F#3", 27, 9),
    ("ping-pong", "D4", "C#6", 24, 1),
];

#[test]
fn compasses_and_counts() {
    assert_eq!(layouts().len(), COMPASSES.len());
    for (name, low, high, count, drums) in COMPASSES {
        let pan = of(name);
        let set = pan.note_set();
        assert_eq!((set.lowest(), set.highest()), (Some(pitch(low)), Some(pitch(high))), "{name}");
        assert_eq!((set.len(), pan.notes().count(), pan.drums.len()), (count, count, drums), "{name}");
        assert_eq!(pitch(low).semitones_to(pitch(high)).unsigned_abs() as usize + 1, count, "{name} is chromatic");
        assert!(!pan.source.is_empty(), "{name} names its source");
    }
}

#[test]
fn every_kind_has_a_layout() {
    for kind in PanKind::ALL {
        assert!(layouts().iter().any(|pan| pan.kind == kind), "{kind}");
    }
}

fn ring(pan: &Pan, ring: Ring) -> Vec<&NoteArea> {
    let mut notes: Vec<&NoteArea> = pan.notes().map(|(_, note)| note).filter(|note| note.ring == Some(ring)).collect();
    notes.sort_by(|a, b| a.angle.partial_cmp(&b.angle).expect("angles"));
    notes
}

/// Common practice, no source: round the rim of a fourths-and-fifths lead each note is a fourth above the one before, so a
/// fifth above the one after; its octave lies radially inside.
#[test]
fn fourths_and_fifths_round_the_rim_octaves_inside() {
    for name in ["lead-c", "lead-d"] {
        let pan = of(name);
        let outer = ring(pan, Ring::Outer);
        assert_eq!(outer.len(), 12);
        for (i, note) in outer.iter().enumerate() {
            let next = outer[(i + 1) % 12];
            let up = note.pitch.semitones_to(next.pitch).rem_euclid(12);
            assert_eq!(up, 5, "{name}: {} to {}", note.name, next.name);
            for inside in [Ring::Middle, Ring::Inner] {
                let octave = ring(pan, inside).into_iter().find(|inner| inner.angle == note.angle);
                if let Some(octave) = octave {
                    assert_eq!(
                        note.pitch.semitones_to(octave.pitch) % 12,
                        0,
                        "{name}: {} inside {}",
                        octave.name,
                        note.name
                    );
                }
            }
        }
        assert_eq!(ring(pan, Ring::Middle).len(), 12);
        assert_eq!(outer[0].pitch.class(), pitch("C4").class(), "{name}: C is nearest to the player");
    }
}

/// Twelve notes split evenly: two drums hold the two whole-tone scales, three the three diminished chords, four the four
/// augmented ones, six pairs of fourths or fifths (arithmetic; which drum has which is the layouts' own).
#[test]
fn families_split_the_octave_evenly() {
    for (name, step) in [
        ("double-second", 2),
        ("double-guitar", 2),
        ("triple-cello", 3),
        ("triple-guitar", 3),
        ("quadrophonic", 4),
        ("tenor-bass", 4),
    ] {
        for drum in &of(name).drums {
            let first = drum.notes[0].pitch;
            assert!(drum.notes.iter().all(|note| first.semitones_to(note.pitch) % step == 0), "{name}");
        }
    }
}

#[test]
fn what_is_only_drawn_so_says_so() {
    assert_eq!(of("nine-bass").sureness.drums, Sure::Placeholder);
    assert_eq!(of("ping-pong").sureness.rings, Sure::Placeholder);
    assert_eq!(of("double-second").sureness.angles, Sure::Schematic);
    assert_eq!(of("lead-c").sureness.angles, Sure::High);
}

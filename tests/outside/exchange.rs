//! Files whose contents are published: the worked example of *Standard MIDI Files 1.0* (RP-001), in both formats.
//!
//! The music of the example, as the specification tells it: channel 3 holds C3 and C4 (keys 48 and 60) for four quarters,
//! channel 2 enters on beat 2 with G4 (67), channel 1 on beat 3 with E5 (76); 4/4, 120 quarters a minute.

use panfold::exchange::score::{On, Struck};
use panfold::exchange::{self, Score};
use panfold::music::{Length, Meter};

use crate::kit::read;

const FORMAT_0: &str = "
    4D 54 68 64 00 00 00 06 00 00 00 01 00 60
    4D 54 72 6B 00 00 00 3B
    00 FF 58 04 04 02 18 08  00 FF 51 03 07 A1 20  00 C0 05  00 C1 2E  00 C2 46
    00 92 30 60  00 3C 60  60 91 43 40  60 90 4C 20
    81 40 82 30 40  00 3C 40  00 81 43 40  00 80 4C 40  00 FF 2F 00";

const FORMAT_1: &str = "
    4D 54 68 64 00 00 00 06 00 01 00 04 00 60
    4D 54 72 6B 00 00 00 14  00 FF 58 04 04 02 18 08  00 FF 51 03 07 A1 20  83 00 FF 2F 00
    4D 54 72 6B 00 00 00 10  00 C0 05  81 40 90 4C 20  81 40 4C 00  00 FF 2F 00
    4D 54 72 6B 00 00 00 0F  00 C1 2E  60 91 43 40  82 20 43 00  00 FF 2F 00
    4D 54 72 6B 00 00 00 15  00 C2 46  00 92 30 60  00 3C 60  83 00 30 00  00 3C 00  00 FF 2F 00";

fn score(hex: &str) -> Score {
    let bytes = hex.split_whitespace().map(|byte| u8::from_str_radix(byte, 16).expect("a byte")).collect();
    exchange::read("example.mid", bytes, None).expect("the specification's file").score
}

/// Start and length in quarters, and keys, of every stroke of a part.
fn strokes(score: &Score, part: usize) -> Vec<(f64, f64, Vec<u8>)> {
    let keys = |struck: &Struck| match struck {
        Struck::Notes(pitches) => pitches.iter().map(|pitch| pitch.key()).collect(),
        Struck::Mark(_) => panic!("no percussion"),
    };
    let notes = score.parts[part].notes.iter();
    notes.map(|note| (note.start.as_f64(), note.length.as_f64(), keys(&note.struck))).collect()
}

#[test]
fn the_example_says_what_the_specification_says() {
    for (hex, tracks) in [(FORMAT_0, [1, 1, 1]), (FORMAT_1, [2, 3, 4])] {
        let score = score(hex);
        assert_eq!(score.measures.len(), 1);
        let measure = &score.measures[0];
        assert_eq!((measure.length, measure.meter), (Length::quarters(4, 1), Meter::new(4, 4).expect("a meter")));
        assert_eq!(measure.tempo, Some(120.into()));
        let expected = [vec![(2.0, 2.0, vec![76])], vec![(1.0, 3.0, vec![67])], vec![(0.0, 4.0, vec![60, 48])]];
        let found: Vec<_> = (0..score.parts.len()).map(|part| strokes(&score, part)).collect();
        assert_eq!(found, expected);
        assert!(score.parts.iter().all(|part| part.on == On::Pan));
        assert_eq!(score.parts.iter().map(|part| part.from).collect::<Vec<_>>(), tracks);
    }
}

#[test]
fn the_example_is_a_tune_without_mistakes() {
    let score = score(FORMAT_1);
    let tune =
        exchange::tune(&score, None, "Worked Example", &Default::default(), &mut Default::default()).expect("a tune");
    let rows: Vec<&str> = tune
        .text
        .lines()
        .filter(|line| line.contains('|'))
        .map(|line| line.split_once('|').expect("a row").1)
        .collect();
    assert_eq!(rows, [" . E5     |", " . G4 - - |", " C3+C4    |"]);
    let (_, findings) = read(&tune.text);
    assert!(findings.is_empty(), "{findings:?}");
}

//! The line against brute force over all lines, and what a line must hold.

use super::costs_tests::{between, choices, own};
use super::*;
use crate::kit::Numbers;
use crate::pan::layout;

fn key(number: u64) -> Pitch {
    Pitch::new(number as u8).expect("a key")
}

/// A line so far: its cost, its last note and which note of the part that went with, and whether a rest has come since.
type Way = (Cost, Option<(usize, Pitch)>, bool);

/// The least cost over all lines, one by one, with the costs counted note by note, anew.
fn brute(part: &[Followed], set: NoteSet, side: Side) -> Cost {
    let mut ways: Vec<Way> = vec![(0, None, false)];
    for (number, followed) in part.iter().enumerate() {
        let choices = choices(followed, set, side);
        let mut next = Vec::new();
        for (cost, last, rest) in ways {
            let rest = rest || followed.after_rest;
            if choices.is_empty() {
                next.push((cost, last, rest));
            }
            for choice in &choices {
                let step = last.map_or(0, |(before, other)| between((&part[before], other), (followed, *choice), rest));
                next.push((cost + own(followed, *choice) + step, Some((number, *choice)), false));
            }
        }
        ways = next;
    }
    ways.iter().map(|way| way.0).min().expect("a way")
}

#[test]
fn thirds_under_a_scale() {
    let part = ["E5", "F5", "G5"].map(|note| Followed {
        pitch: note.parse().expect("a note"),
        chord: None,
        key: Key::default(),
        after_rest: false,
    });
    let second = layout("double-second").expect("a layout").note_set();
    let under = line(&part, second, Side::Under);
    let names: Vec<String> = under.notes.iter().flatten().map(ToString::to_string).collect();
    assert_eq!(names, ["C5", "D5", "E5"]);
}

#[test]
fn the_line_equals_brute_force() {
    let mut numbers = Numbers(0x2545_F491_4F6C_DD1D);
    let chords: Vec<Chord> =
        ["G", "C", "D7", "Em", "Am7", "C/Bb"].iter().map(|text| text.parse().expect("a chord")).collect();
    let mut passed_over = 0;
    for case in 0..1000 {
        let low = 50 + numbers.below(10);
        // A few notes only, so that all lines can be tried.
        let set: NoteSet = (0..5).map(|_| key(low + numbers.below(20))).collect();
        let length = 1 + numbers.below(6);
        let part: Vec<Followed> = (0..length)
            .map(|_| Followed {
                pitch: key(low + 6 + numbers.below(16)),
                chord: (numbers.below(4) > 0).then(|| chords[numbers.below(6) as usize]),
                key: "G".parse().expect("a key"),
                after_rest: numbers.below(4) == 0,
            })
            .collect();
        let side = if numbers.below(2) == 0 { Side::Under } else { Side::Over };
        let line = line(&part, set, side);
        assert_eq!(line.cost, brute(&part, set, side), "case {case}: {part:?}");
        passed_over += line.notes.iter().filter(|note| note.is_none()).count();
    }
    assert!(passed_over > 0, "some notes have nothing beside them");
}

#[test]
fn a_scale_is_followed_in_thirds() {
    // Parallel thirds in the key, as any handbook of harmony has them (from memory).
    let notes = ["C5", "D5", "E5", "F5", "G5", "A5", "B5", "C6"];
    let followed = |note: &&str| Followed {
        pitch: note.parse().expect("a note"),
        chord: None,
        key: Key::default(),
        after_rest: false,
    };
    let part: Vec<Followed> = notes.iter().map(followed).collect();
    let set = layout("lead-c").expect("a layout").note_set();
    let names = |side: Side| {
        let line = line(&part, set, side);
        line.notes.iter().flatten().map(ToString::to_string).collect::<Vec<_>>().join(" ")
    };
    assert_eq!(names(Side::Under), "A4 B4 C5 D5 E5 F5 G5 A5");
    assert_eq!(names(Side::Over), "E5 F5 G5 A5 B5 C6 D6 E6");
}

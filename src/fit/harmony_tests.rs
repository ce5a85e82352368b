//! The line against brute force over all lines, what a line must hold, and lines of short tunes.

use super::costs_tests::{between, choices, own, rubs};
use super::*;
use crate::kit::{self, Numbers};
use crate::pan::layout;
use crate::tune::model::{Event, Struck};

fn key(number: u64) -> Pitch {
    Pitch::new(number as u8).expect("a key")
}

/// A note on a beat, without a chord, in C.
fn plain(note: &str) -> Followed {
    Followed {
        pitch: note.parse().expect("a note"),
        on_beat: true,
        chords: Vec::new(),
        key: Key::default(),
        after_rest: false,
    }
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
    let part = ["E5", "F5", "G5"].map(plain);
    let second = layout("double-second").expect("a layout").note_set();
    let under = line(&part, second, Side::Under);
    let names: Vec<String> = under.notes.iter().flatten().map(ToString::to_string).collect();
    assert_eq!(names, ["C5", "D5", "E5"]);
}

/// Made-up parts with a few notes to choose from, so that all lines can be tried.
fn made_up(count: usize) -> impl Iterator<Item = (Vec<Followed>, NoteSet, Side)> {
    let mut numbers = Numbers(0x2545_F491_4F6C_DD1D);
    let chords: Vec<Chord> =
        ["G", "C", "D7", "Em", "Am7", "C/Bb", "Cmaj7"].iter().map(|text| text.parse().expect("a chord")).collect();
    (0..count).map(move |_| {
        let low = 50 + numbers.below(10);
        let set: NoteSet = (0..5).map(|_| key(low + numbers.below(20))).collect();
        let length = 1 + numbers.below(6);
        let part = (0..length).map(|_| {
            let on_beat = numbers.below(2) == 0;
            let most = if on_beat { 3 } else { 2 };
            Followed {
                pitch: key(low + 6 + numbers.below(16)),
                on_beat,
                chords: (0..numbers.below(most)).map(|_| chords[numbers.below(7) as usize]).collect(),
                key: "G".parse().expect("a key"),
                after_rest: numbers.below(4) == 0,
            }
        });
        let part = part.collect();
        let side = if numbers.below(2) == 0 { Side::Under } else { Side::Over };
        (part, set, side)
    })
}

#[test]
fn the_line_equals_brute_force() {
    let mut passed_over = 0;
    for (case, (part, set, side)) in made_up(1000).enumerate() {
        let line = line(&part, set, side);
        assert_eq!(line.cost, brute(&part, set, side), "case {case}: {part:?}");
        passed_over += line.notes.iter().filter(|note| note.is_none()).count();
    }
    assert!(passed_over > 0, "some notes have nothing beside them");
}

#[test]
fn a_line_rubs_on_a_beat_only_where_the_pan_has_nothing_else() {
    let mut all = 0;
    for (case, (part, set, side)) in made_up(1000).enumerate() {
        let line = line(&part, set, side);
        for (followed, note) in part.iter().zip(&line.notes) {
            let Some(note) = note else { continue };
            let least = choices(followed, set, side).into_iter().map(|choice| rubs(followed, choice)).min();
            assert_eq!(Some(rubs(followed, *note)), least, "case {case}: {note} beside {followed:?}");
            all += rubs(followed, *note);
        }
    }
    assert!(all > 0, "some notes have nothing else");
}

/// The line over a lead in F, both on lead pans; `pickup` stands in the header.
fn over(header: &str, chords: &str, lead: &str) -> String {
    let band = kit::pans(&[("Red rim", "lead-c"), ("Blue rim", "lead-c")]);
    let text = format!(
        "key F\n{header}part lead on lead\npart descant on lead\nsection a\n chords {chords}\n lead {lead}\n descant = over lead\n"
    );
    let tune = kit::tune(&band, &text);
    let row = tune.sections[0].rows[1].as_ref().expect("a row");
    let name = |event: &Event| match &event.struck {
        Struck::Notes(notes) => notes[0].pitch.to_string(),
        Struck::Mark(_) => "a mark".to_owned(),
    };
    row.events.iter().map(name).collect::<Vec<_>>().join(" ")
}

#[test]
fn lines_of_short_tunes() {
    let table = [
        // E over C would be the major seventh of F, beside its root; over D it would rub with F as well.
        ("", "| F | C |", "| C5 D5 C5 A4 | G4 A4 G4 E4 |", "F5 F5 F5 C5 C5 C5 C5 G4"),
        // Between beats the line passes by step, as the lead does.
        ("", "| F |", "| F4 G4 A4 . . . . . |", "A4 Bb4 C5"),
        // On beats it can't: Bb would rub with A.
        ("", "| F |", "| F4 G4 A4 . |", "A4 C5 C5"),
        // Between rests nothing passes: E over C would come from nowhere.
        ("", "| F | F |", "| A4 . . . . . . C5 | . . . . . . . . |", "F5 F5"),
        // What is held over a change of chord fits both, if only in the octave: A would rub with Bb.
        ("", "| F | Bb |", "| F4 | - |", "F5"),
        // Each chord counts once, however long it lasts: E is outside G as D is outside C, and it is a sixth.
        ("", "| C | G | G | G |", "| G5 | - | - | - |", "E6"),
        // What is struck before a beat and held over it belongs to the chord of the beat; what is not held, to its own.
        ("", "| C | F |", "| G4 . . . . . . C5 | - . . . . . . . |", "E5 A5"),
        ("", "| C | F |", "| G4 . . . . . . C5 | . . . . . . . . |", "E5 E5"),
        // The beats of a pickup are the last ones of a bar: the second note is on one, then the fourth.
        ("pickup 1.5\n", "| F | F |", "| F4 G4 A4 | G4 . . . |", "A4 C5 C5 C5"),
        // In 6/8 there are two beats.
        ("meter 6/8\n", "| F |", "| F4 G4 A4 Bb4 A4 G4 |", "A4 Bb4 C5 D5 C5 Bb4"),
    ];
    for (header, chords, lead, line) in table {
        assert_eq!(over(header, chords, lead), line, "{header}{lead}");
    }
}

#[test]
fn a_scale_is_followed_in_thirds() {
    // Parallel thirds in the key, as any handbook of harmony has them (from memory).
    let notes = ["C5", "D5", "E5", "F5", "G5", "A5", "B5", "C6"];
    let part: Vec<Followed> = notes.into_iter().map(plain).collect();
    let set = layout("lead-c").expect("a layout").note_set();
    let names = |side: Side| {
        let line = line(&part, set, side);
        line.notes.iter().flatten().map(ToString::to_string).collect::<Vec<_>>().join(" ")
    };
    assert_eq!(names(Side::Under), "A4 B4 C5 D5 E5 F5 G5 A5");
    assert_eq!(names(Side::Over), "E5 F5 G5 A5 B5 C6 D6 E6");
}

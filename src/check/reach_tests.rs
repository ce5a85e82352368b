//! What lies out of reach, and what is offered for it.

use super::*;
use crate::check::{Options, check};
use crate::kit::{pans, tune};
use crate::pan::{Geometry, Level, layout};

fn band(level: &str, layouts: &[&str]) -> String {
    let list: Vec<(String, &str)> =
        layouts.iter().enumerate().map(|(n, layout)| (format!("Pan {n}"), *layout)).collect();
    format!("level = \"{level}\"\n{}", pans(&list))
}

fn nine(text: &str) -> Vec<Finding> {
    reach(&tune(&band("intermediate", &["nine-bass"]), &format!("part bass on nine-bass\nsection a\n{text}")))
}

#[test]
fn a_written_pair_across_a_nine_bass_is_told_at_every_level() {
    for level in Level::ALL {
        let text = "part bass on nine-bass\nsection a\n bass | E1+Bb1 . E1 Bb1 | . Bb1+E1 . . | Bb1+E1 . . . |\n";
        let found = reach(&tune(&band(level.name(), &["nine-bass"]), text));
        let [first, second] = found.as_slice() else { panic!("{found:?}") };
        // As they are written; in the other order it is the same pair of places on the pan.
        assert_eq!(first.message, "`E1` and `Bb1` lie 236 cm apart, and two hands reach 130 cm");
        assert_eq!((first.more.len(), second.more.len()), (0, 1));
        let [.., give, assumed] = first.help.as_slice() else { panic!("{:?}", first.help) };
        assert_eq!(give, "or give one of the notes to another part");
        // For nine basses nobody has told which notes share a drum.
        assert!(assumed.starts_with("panfold assumes where the notes of `Pan 0` lie"), "{assumed}");
    }
    // One after the other they are a matter of time.
    assert_eq!(nine(" bass | E1 . Bb1 . |\n"), []);
    let all = check(
        &tune(&band("intermediate", &["nine-bass"]), "part bass on nine-bass\nsection a\n bass | E1+Bb1 . . . |\n"),
        &Options::default(),
    );
    let kinds: Vec<&str> = all.findings.iter().map(|finding| finding.kind.name).collect();
    assert_eq!(kinds, ["out-of-reach"], "one mistake, one message");
}

#[test]
fn what_is_told_is_what_lies_further_apart_on_the_pan() {
    let mut far = 0;
    for name in ["lead-c", "double-second", "quadrophonic", "tenor-bass", "six-bass", "nine-bass"] {
        let pan = layout(name).expect("a layout");
        let notes = Geometry::of(pan).notes;
        let pairs: Vec<_> =
            notes.iter().flat_map(|a| notes.iter().map(move |b| (a, b))).filter(|(a, b)| a.pitch < b.pitch).collect();
        for pairs in pairs.chunks(64) {
            let cells: String = pairs.iter().map(|(a, b)| format!(" {}+{}", a.pitch, b.pitch)).collect();
            let tune = tune(
                &band("intermediate", &[name]),
                &format!("part p on {}\nsection a\n p | {}:{cells} |\n", pan.kind, pairs.len()),
            );
            let found = reach(&tune);
            let told = |a: Pitch, b: Pitch| {
                let cell = format!("{a}+{b}");
                found.iter().any(|finding| tune.source.slice(finding.place.as_ref().expect("a place").span) == cell)
            };
            for (a, b) in pairs {
                let is_far = a.centre.distance(b.centre) > 1300.0;
                assert_eq!(told(a.pitch, b.pitch), is_far, "{name}: {} {}", a.pitch, b.pitch);
                far += usize::from(is_far);
            }
        }
    }
    assert!(far > 100, "{far}");
}

#[test]
fn what_is_offered_is_within_reach_when_it_is_typed_and_keeps_the_notes_or_the_chord() {
    let pan = layout("nine-bass").expect("a layout");
    let mut offered = 0;
    for (chord, row) in
        [("C7", "E1+Bb1"), ("C7", "Bb1+E1"), ("Gm", "G1+D2"), ("F#m", "F#1+A#2"), ("E7", "E1+D2"), ("Dm", "F#1+E3")]
    {
        let text = |row: &str| format!(" chords | {chord} |\n bass | {row} . . . |\n");
        for finding in nine(&text(row)) {
            for help in finding.help.iter().filter(|help| help.contains("within reach")) {
                let pair = help.split(": ").nth(1).expect("a pair").trim_matches('`');
                let notes: Vec<Pitch> = pair.split('+').map(|name| name.parse().expect("a note")).collect();
                assert!(notes.iter().all(|note| pan.note_set().has(*note)));
                assert_eq!(nine(&text(pair)), [], "{help}");
                let chord: Chord = chord.parse().expect("a chord");
                let classes = |text: &str| -> std::collections::BTreeSet<u8> {
                    text.split('+').map(|name| name.parse::<Pitch>().expect("a note").class().number()).collect()
                };
                let keeps = match help.starts_with("use other octaves") {
                    true => classes(pair) == classes(row),
                    false => notes.iter().all(|note| chord.has(note.class())) && classes(pair).len() == 2,
                };
                assert!(keeps, "{help} for {row} over {chord}");
                offered += 1;
            }
        }
    }
    assert!(offered >= 5, "{offered}");
}

#[test]
fn two_players_share_what_one_cant_reach() {
    let text = |row: &str| format!("part bass on nine-bass\nsection a\n bass | {row} . . . |\n");
    let two = |row: &str| reach(&tune(&band("intermediate", &["nine-bass", "nine-bass"]), &text(row)));
    assert_eq!(two("E1+Bb1"), []);
    let pan = layout("nine-bass").expect("a layout");
    let notes = Geometry::of(pan).notes;
    // One takes the pair that lies near, the other the third note.
    let low = notes.iter().find(|note| note.pitch.to_string() == "E1").expect("on the pan");
    let others = notes.iter().filter(|note| note.pitch != low.pitch);
    let near = others.min_by_key(|note| low.centre.distance(note.centre) as i64).expect("another note").pitch;
    assert_eq!((nine(&format!(" bass | E1+{near} . . . |\n")).len(), nine(" bass | E1+Bb1 . . . |\n").len()), (0, 1));
    assert_eq!(two(&format!("E1+{near}+Bb1")), []);
    // Three notes that all lie far from each other.
    let is_far = |a: usize, b: usize| notes[a].centre.distance(notes[b].centre) > SPAN;
    let far = (0..notes.len()).flat_map(|a| (0..a).flat_map(move |b| (0..b).map(move |c| [a, b, c])));
    let far =
        far.into_iter().find(|[a, b, c]| is_far(*a, *b) && is_far(*a, *c) && is_far(*b, *c)).expect("three notes");
    let row = far.map(|note| notes[note].pitch.to_string()).join("+");
    let found = two(&row);
    assert_eq!(found.len(), 1, "{row}");
    assert!(found[0].message.starts_with("2 players share `") && found[0].message.ends_with("two hands reach 130 cm"));
}

#[test]
fn strums_keep_to_the_same_rule() {
    for name in ["quadrophonic", "triple-guitar", "triple-cello", "double-second"] {
        let pan = layout(name).expect("a layout");
        let text = format!(
            "part p on {}\npattern off | . x . x |\nsection a\n chords | C7 | Bbm | F#m7 | E |\n p = strum off\n",
            pan.kind
        );
        assert_eq!(reach(&tune(&band("intermediate", &[name]), &text)), [], "{name}");
    }
}

//! `panfold fit`: what it says, what it changes, and what it leaves alone.

use std::fs;

use super::{run, says, small_with};

const TUNE: &str = "title Jam\nband band.toml\nroll none\npart lead on lead\npart bass on six-bass\nform verse x2\n\n\
                    # a comment\nsection verse\n  chords | C       | G7        |\n  lead   | G6> A6 B6' . | G6 .  E6 F6 |  # high\n  \
                    bass   | C2 . . .     | E3 . C#3 . |\n";

fn folder() -> tempfile::TempDir {
    small_with(&[("high.tune", TUNE)])
}

#[test]
fn what_moves_is_said_and_shown() {
    let done = run(folder(), "fit high.tune");
    assert_eq!(done.code, Some(0), "{}", done.err);
    insta::assert_snapshot!(done.out, @r"
    lead: 6 notes go down an octave
    bass: 2 notes go down an octave and the line changes octave once, at a rest

    bars 1 and 2 of verse, lead
      was  | G6> A6 B6' . | G6 .  E6 F6 |
      now  | G5> A5 B5' . | G5 .  E5 F5 |

    bar 2 of verse, bass
      was  | E3 . C#3 . |
      now  | E2 . C#2 . |
    ");
}

#[test]
fn writing_cures_the_check_and_keeps_the_rest() {
    let folder = folder();
    assert_eq!(run(&folder, "check high.tune").code, Some(1));
    let done = run(&folder, "fit high.tune --write");
    assert_eq!(done.code, Some(0), "{}", done.err);
    let text = fs::read_to_string(folder.path().join("high.tune")).expect("the tune");
    let expected =
        TUNE.replace("G6> A6 B6' . | G6 .  E6 F6", "G5> A5 B5' . | G5 .  E5 F5").replace("E3 . C#3", "E2 . C#2");
    assert_eq!(text, expected);
    assert_eq!(run(&folder, "check high.tune").code, Some(0));
    // Fitting again changes nothing.
    let again = run(&folder, "fit high.tune --write");
    assert_eq!(again.out, "lead: nothing moves\nbass: nothing moves\n");
    assert_eq!(fs::read_to_string(folder.path().join("high.tune")).expect("the tune"), text);
}

#[test]
fn another_key_moves_notes_chords_and_key() {
    let folder = folder();
    let done = run(&folder, "fit high.tune --key D --write");
    assert_eq!(done.code, Some(0), "{}", done.err);
    let text = fs::read_to_string(folder.path().join("high.tune")).expect("the tune");
    assert!(text.contains("chords | D       | A7        |") && text.contains("A5> B5 C#6' . |"), "{text}");
    assert_eq!(run(&folder, "check high.tune").code, Some(0));
}

#[test]
fn keys_are_ranked() {
    let done = run(folder(), "fit high.tune --key any --json");
    let result = done.json();
    let keys = result["keys"].as_array().expect("keys");
    assert_eq!(keys.len(), 13);
    let costs: Vec<i64> = keys.iter().map(|key| key["cost"].as_i64().expect("a cost")).collect();
    assert!(costs.is_sorted());
}

#[test]
fn choices_that_cannot_be() {
    for (options, expected) in [
        ("--key H", "`H` is not a key"),
        ("--key Am", "of the other mode"),
        ("--key D --part lead", "a change of key is for the whole tune"),
        ("--part laed", "did you mean `lead`?"),
    ] {
        let done = run(folder(), &format!("fit high.tune {options}"));
        assert!(done.code == Some(2) && says(&done.err, expected), "{options}: {}", done.err);
    }
}

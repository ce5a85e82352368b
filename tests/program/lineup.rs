//! `panfold lineup`: who plays what, and what is said about it.

use std::fs;

use super::{run, small_with};

/// A tune whose tenor has no pan in the band, and whose second lies over the lead.
const TUNE: &str = "title Tide\nband band.toml\nroll none\npart lead on lead\npart tenor on double-tenor\nform verse x2\n\nsection \
                    verse\n  lead  | D5 . F#5 B5 |\n  tenor | E5 . G5 C5 |\n";

fn folder() -> tempfile::TempDir {
    small_with(&[("tide.tune", TUNE)])
}

#[test]
fn who_plays_what() {
    let done = run(folder(), "lineup jam.tune tide.tune");
    assert_eq!((done.code, done.err.as_str()), (Some(1), ""));
    insta::assert_snapshot!(done.out, @"
    Test band   what      Jam   Tide   strokes
    Lead        lead      lead  lead        10
    Six         six-bass  bass  -            2
    Brake drum  iron      iron  -            4
    (nobody)              -     tenor        6

    Jam   strokes  below C3  C3 to B3  C4 to B4  C5 to B5  from C6
    lead        4         -         -         -         4        -
    bass        2         2         -         -         -        -
                       33 %       0 %       0 %      67 %      0 %

    Tide   strokes  below C3  C3 to B3  C4 to B4  C5 to B5  from C6
    lead         6         -         -         -         6        -
    tenor        6         -         -         -         6        -
                         0 %       0 %       0 %     100 %      0 %

    advice[masked-lead]: 2 of 3 strokes of `lead` have another pan beside or above them
     --> tide.tune:8:9
      |
    8 | section verse
      |         ^^^^^ `tenor` 2 times
      |
      = help: move `tenor` down, let it rest while `lead` plays, or mark it softer; it may also be meant so

    Jam: every part has a player; nobody sits idle
    Tide: nobody plays `tenor`; `Six` and `Brake drum` sit idle
    1 piece of advice above
    ");
}

#[test]
fn all_is_well_with_one_tune() {
    let done = run(folder(), "lineup jam.tune");
    assert_eq!((done.code, done.err.as_str()), (Some(0), ""));
    assert!(done.out.ends_with("Jam: every part has a player; nobody sits idle\n"), "{}", done.out);
    assert_eq!(run(folder(), "lineup nowhere.tune").code, Some(2));
}

#[test]
fn json_says_what_the_screen_says() {
    let folder = folder();
    let done = run(&folder, "lineup tide.tune --json");
    let value = done.json();
    let tune = &value["tunes"][0];
    assert_eq!((&tune["nobody"][0], &tune["findings"][0]["kind"]), (&"tenor".into(), &"masked-lead".into()));
    assert_eq!(
        tune["players"][0],
        serde_json::json!({ "name": "Lead", "what": "lead", "people": [], "parts": ["lead"], "strokes": 6 })
    );
    assert_eq!(tune["parts"][0]["registers"][3], serde_json::json!({ "from": "C5", "notes": 6 }));
    let checked = run(&folder, "check tide.tune --json").json();
    assert_eq!(checked["tunes"][0]["parts"][0]["strokes"], tune["parts"][0]["strokes"]);
}

#[test]
fn two_bands_have_a_table_each() {
    let folder = folder();
    fs::write(folder.path().join("other.toml"), "name = \"Other\"\n[[pan]]\nname = \"Solo\"\nlayout = \"lead-d\"\n")
        .expect("a file");
    fs::write(folder.path().join("other.tune"), TUNE.replace("band.toml", "other.toml")).expect("a file");
    let done = run(&folder, "lineup tide.tune other.tune");
    assert!(done.out.starts_with("Test band ") && done.out.contains("\nOther "), "{}", done.out);
    let one = run(&folder, "lineup tide.tune other.tune --band band.toml");
    assert!(!one.out.contains("\nOther "), "{}", one.out);
}

//! `panfold export`: what is written, and what it says when it can't.

use std::fs;

use super::{run, says, small};

#[test]
fn a_score_and_its_container() {
    let folder = small();
    let done = run(folder.path(), "export jam.tune -o jam.musicxml");
    assert_eq!((done.code, done.out.as_str(), done.err.as_str()), (Some(0), "", "wrote jam.musicxml: 3 parts\n"));
    let score = fs::read(folder.path().join("jam.musicxml")).expect("a file");
    assert!(score.starts_with(b"<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<!DOCTYPE score-partwise PUBLIC"));
    for name in ["one.mxl", "two.MXL"] {
        let done = run(folder.path(), &format!("export jam.tune --part bass --part lead --part lead -o {name}"));
        assert_eq!(done.err, format!("wrote {name}: 2 parts\n"));
    }
    let container = |name: &str| fs::read(folder.path().join(name)).expect("a file");
    assert!(container("one.mxl").starts_with(b"PK\x03\x04"));
    assert_eq!(container("one.mxl"), container("two.MXL"), "the same bytes every time");
}

#[test]
fn the_notes_as_json() {
    let folder = small();
    let done = run(folder.path(), "export jam.tune --json --part lead");
    let json = done.json();
    assert_eq!(json["title"], "Jam");
    assert_eq!(json["parts"].as_array().map(Vec::len), Some(1));
    let lead = &json["parts"][0];
    assert_eq!((&lead["name"], &lead["on"], &lead["percussion"]), (&"lead".into(), &"lead".into(), &false.into()));
    let expected = serde_json::json!({
        "at": "4", "length": "4", "notes": ["B5"], "accent": false, "damped": false, "rolled": false,
    });
    assert_eq!(lead["notes"].as_array().and_then(|notes| notes.last()), Some(&expected));
}

#[test]
fn what_is_never_played_is_named() {
    let folder = small();
    let tune = fs::read_to_string(folder.path().join("jam.tune"))
        .expect("the tune")
        .replace("form verse chorus", "form verse");
    fs::write(folder.path().join("jam.tune"), tune).expect("a file");
    let done = run(folder.path(), "export jam.tune -o jam.mxl");
    assert_eq!(done.err, "wrote jam.mxl: 3 parts; `chorus` is never played and left out\n");
}

#[test]
fn choices_that_cannot_be() {
    let folder = small();
    fs::write(folder.path().join("empty.tune"), "band band.toml\npart lead on lead\nsection a\n  lead = rest\n")
        .expect("a file");
    for (arguments, said) in [
        ("jam.tune", "for example `panfold export jam.tune -o jam.musicxml`"),
        ("jam.tune -o jam.pdf", "let the name end in `.musicxml` or `.mxl`"),
        ("jam.tune -o jam", "let the name end in `.musicxml` or `.mxl`"),
        ("jam.tune -o jam.mxl --part laed", "did you mean `lead`?"),
        ("jam.tune -o nowhere/jam.mxl", "its folder is not there"),
        ("empty.tune -o empty.mxl", "no bar that is played, so there is nothing to write"),
        ("gone.tune -o gone.mxl", "there is no file `gone.tune`"),
    ] {
        let done = run(folder.path(), &format!("export {arguments}"));
        assert_eq!(done.code, Some(2), "{arguments}: {}", done.err);
        assert!(says(&done.err, said), "{arguments}: {}", done.err);
        assert_eq!(done.out, "", "{arguments}");
    }
    assert_eq!(super::listing(folder.path()), ["band.toml", "empty.tune", "jam.tune"]);
}

#[test]
fn a_wrong_ending_is_told() {
    insta::assert_snapshot!(run(small().path(), "export jam.tune -o jam.midi").err, @r"
    Problem: Scores are written as MusicXML, and `jam.midi` ends otherwise. (wrong-choice)
      try: let the name end in `.musicxml` or `.mxl`
    ");
}

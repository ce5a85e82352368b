//! JSON: it can be read, and it says what the screen says.

use super::{here, run, small};

#[test]
fn findings() {
    let done = run(here("broken/tunes"), "check missing-notes.tune nowhere.tune --json");
    assert_eq!(done.code, Some(2));
    let json = done.json();
    let tune = &json["tunes"][0];
    assert_eq!((&tune["title"], &tune["band"], &tune["errors"]), (&"Broken".into(), &"Test band".into(), &3.into()));
    let first = &tune["findings"][0];
    assert_eq!(first["kind"], "missing-note");
    let place = serde_json::json!({
        "file": "missing-notes.tune", "line": 11, "column": 10, "end_line": 11, "end_column": 13, "text": "C#5",
    });
    assert_eq!(first["place"], place);
    assert_eq!(first["edits"][0], serde_json::json!({ "place": place, "text": "C#4" }));
    let lead = serde_json::json!({
        "name": "lead", "on": "lead", "players": ["Short lead"], "strokes": 2, "different": 2,
        "lowest": "C#5", "highest": "E6", "errors": 2, "warnings": 0, "advice": 0,
    });
    assert_eq!(tune["parts"][0], lead);
    let unread = &json["tunes"][1];
    assert_eq!((&unread["title"], &unread["errors"]), (&serde_json::Value::Null, &1.into()));
}

#[test]
fn broken_files_give_json_too() {
    for name in ["control-characters", "not-text", "empty", "long-line", "byte-order-mark", "word-processor"] {
        let done = run(here("broken/tunes"), &format!("check {name}.tune --json"));
        assert!(done.json()["tunes"][0]["errors"].as_u64() > Some(0), "{name}");
    }
}

#[test]
fn strokes() {
    let folder = small();
    let done = run(folder.path(), "render jam.tune --json");
    assert_eq!((done.code, done.err.as_str()), (Some(0), ""));
    let played = done.json();
    assert_eq!(played["title"], "Jam");
    assert_eq!(played["strokes"].as_array().map(Vec::len), Some(4 + 2 + 4));
    let one = run(folder.path(), "render jam.tune --json --part lead --section chorus --tempo 50%").json();
    assert_eq!(one["strokes"].as_array().map(Vec::len), Some(1));
    assert_eq!(one["tempos"][0]["tempo"], 120.0);
    let without = run(folder.path(), "render jam.tune --json --part lead --mix without").json();
    assert_eq!(without["voices"].as_array().map(Vec::len), Some(2));
}

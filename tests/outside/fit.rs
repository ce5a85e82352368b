//! Octave moves against optima that two independent solvers agree on.
//!
//! Melodies: O'Neill's Music of Ireland (1903, public domain), from the corpus of music21; optima by dynamic programming in
//! Python and by OR-tools CP-SAT. A selection of 38 of 150 instances.

use panfold::fit::octaves::{Written, cost};
use panfold::music::Pitch;
use panfold::pan::Costs;
use panfold::pan::NoteSet;
use serde_json::Value;

fn key(value: &Value) -> Pitch {
    value.as_u64().and_then(|key| u8::try_from(key).ok()).and_then(Pitch::new).expect("a key")
}

#[test]
fn published_melodies_in_their_key_and_in_thirteen() {
    let data: Value = serde_json::from_str(include_str!("data/octaves.json")).expect("JSON");
    let costs = Costs::default();
    let weights = &data["weights"];
    assert_eq!(
        [costs.move_note, costs.break_line, costs.break_at_rest, costs.turn, costs.missing, costs.rekey].map(Some),
        ["move", "brk", "brk_rest", "turn", "missing", "rekey"].map(|name| weights[name].as_i64())
    );
    let instances = data["instances"].as_array().expect("instances");
    assert_eq!(instances.len(), 38);
    for instance in instances {
        let pan = instance["pan"].as_str().expect("a name");
        let set: NoteSet = data["pans"][pan].as_array().expect("keys").iter().map(key).collect();
        let notes = instance["notes"].as_array().expect("notes");
        let line: Vec<Written> =
            notes.iter().map(|note| Written { after_rest: note[1] == 1, ..Written::note(key(&note[0])) }).collect();
        let in_key = |semitones: i32| {
            let moved: Vec<Written> =
                line.iter().map(|written| written.up(semitones).expect("within MIDI's keys")).collect();
            cost(&moved, set, &costs) + costs.rekey * i64::from(semitones.abs())
        };
        let id = &instance["id"];
        assert_eq!(Some(in_key(0)), instance["cost"].as_i64(), "{id}");
        let all: Vec<(i64, i32)> = (-6..=6).map(|semitones| (in_key(semitones), semitones)).collect();
        let least = all.iter().map(|(cost, _)| *cost).min();
        assert_eq!(least, instance["best_cost"].as_i64(), "{id}");
        let best: Vec<i64> = all.iter().filter(|(cost, _)| Some(*cost) == least).map(|(_, s)| i64::from(*s)).collect();
        assert_eq!(serde_json::json!(best), instance["best_transpositions"], "{id}");
    }
}

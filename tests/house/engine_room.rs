//! The guide's table of the engine room says what the instruments are.

use panfold::drawing::strokes::meaning;
use panfold::pan::Instrument;

#[test]
fn the_guide_has_every_instrument_with_its_strokes_and_names() {
    let path = super::root().join("src/cli/guide/engine-room.md");
    let topic = std::fs::read_to_string(path).expect("the topic of the engine room");
    // The columns of the table are as wide as they need to be.
    let without_padding = |line: &str| line.split_whitespace().collect::<Vec<_>>().join(" ");
    for instrument in Instrument::ALL {
        let stroke =
            |mark: &_| format!("`{}` {}", panfold::notation::tree::Mark::to_char(*mark), meaning(instrument, *mark));
        let strokes: Vec<String> = instrument.marks().iter().map(stroke).collect();
        let others: Vec<String> = instrument.names()[1..].iter().map(|name| format!("`{name}`")).collect();
        let line = format!("| `{instrument}` | {} | {} |", strokes.join("; "), others.join(", "));
        assert!(topic.lines().any(|found| without_padding(found) == line), "the guide lacks {line}");
    }
}

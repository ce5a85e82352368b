//! The README's table of the engine room says what the instruments are.

use panfold::drawing::strokes::meaning;
use panfold::pan::Instrument;

#[test]
fn the_readme_has_every_instrument_with_its_strokes_and_names() {
    let readme = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/README.md")).expect("the README");
    for instrument in Instrument::ALL {
        let stroke =
            |mark: &_| format!("`{}` {}", panfold::notation::tree::Mark::to_char(*mark), meaning(instrument, *mark));
        let strokes: Vec<String> = instrument.marks().iter().map(stroke).collect();
        let others: Vec<String> = instrument.names()[1..].iter().map(|name| format!("`{name}`")).collect();
        let line = format!("| `{instrument}` | {} | {} |", strokes.join("; "), others.join(", "));
        assert!(readme.lines().any(|found| found == line), "the README lacks {line}");
    }
}

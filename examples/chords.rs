//! Prints every kind of chord that a tune file may name, with its notes, on C or on the roots that are given.
//!
//! ```text
//! cargo run --example chords -- G F#
//! ```

use panfold::music::Chord;
use panfold::music::chord::{ChordError, KINDS};

fn main() -> Result<(), ChordError> {
    let mut roots: Vec<String> = std::env::args().skip(1).collect();
    if roots.is_empty() {
        roots.push("C".to_owned());
    }
    for root in roots {
        for suffix in KINDS.iter().flat_map(|kind| kind.suffixes) {
            let chord: Chord = format!("{root}{suffix}").parse()?;
            let notes: Vec<String> = chord.spelled().iter().map(ToString::to_string).collect();
            println!("{root}{suffix}\t{}", notes.join(" "));
        }
    }
    Ok(())
}

//! Prints where the notes of built-in layouts lie: layout, MIDI key, millimetres to the player's right and towards the player.
//!
//! ```text
//! cargo run --example places -- double-second triple-cello
//! ```

use panfold::pan::geometry::Geometry;
use panfold::pan::layout;

fn main() -> Result<(), String> {
    for name in std::env::args().skip(1) {
        let pan = layout(&name).ok_or_else(|| format!("there is no layout `{name}`; `panfold pans` lists them"))?;
        for note in Geometry::of(pan).notes.iter().filter(|note| !note.dead) {
            println!("{name}\t{}\t{}\t{}", note.pitch.key(), note.centre.x, note.centre.y);
        }
    }
    Ok(())
}

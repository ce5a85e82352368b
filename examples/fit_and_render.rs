//! A program of one's own: reads a tune and its band, says what is wrong, fits the tune to the band, and writes it as MIDI.
//!
//!     cargo run --example fit_and_render -- arrangements/sea-grape-road.tune sea-grape-road.mid

use std::error::Error;
use std::fs;

use panfold::{check, fit, midi, performance};

fn main() -> Result<(), Box<dyn Error>> {
    let names: Vec<String> = std::env::args().skip(1).collect();
    let [tune, out] = &names[..] else { return Err("usage: fit_and_render TUNE MIDI-FILE".into()) };
    let opened = panfold::open(tune)?;
    for finding in check::check(&opened.tune, &check::Options::default()).findings {
        println!("{finding}");
    }
    let keys = fit::keys(&opened.open, &fit::Options::of(&opened.open));
    let played = performance::perform(&keys[0].tune, &performance::Options::default());
    fs::write(out, midi::write(&played))?;
    Ok(())
}

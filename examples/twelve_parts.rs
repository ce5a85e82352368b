//! Writes three minutes of a made-up band of twelve parts as MIDI or sound, to measure with and to compare with other
//! programs: `twelve_parts FILE.mid` or `twelve_parts FILE.wav`.

#[path = "../benches/band/mod.rs"]
mod band;

use std::error::Error;
use std::fs::{self, File};
use std::io::BufWriter;

use panfold::{midi, sound};

fn main() -> Result<(), Box<dyn Error>> {
    let path = std::env::args().nth(1).ok_or("usage: twelve_parts FILE.mid|FILE.wav")?;
    let performance = band::twelve_parts(90);
    if path.ends_with(".mid") {
        fs::write(path, midi::write(&performance))?;
    } else {
        let out = BufWriter::new(File::create(path)?);
        let settings = sound::Settings::default();
        let report = sound::render(sound::Format::Wav, &performance, &band::plain_band(), &settings, &[], out)?;
        println!("{:.1} s of sound, {} strokes", report.seconds(), report.strokes);
    }
    Ok(())
}

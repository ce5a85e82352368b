//! Draws every layout as SVG into a folder: `cargo run --example faces FOLDER`.

use std::path::Path;

use panfold::drawing::face::{Options, Stick, face};
use panfold::drawing::ink::Theme;
use panfold::drawing::{State, strokes, svg};
use panfold::pan::{Instrument, layouts};

fn main() -> std::io::Result<()> {
    let folder = std::env::args().nth(1).unwrap_or_else(|| "faces".to_owned());
    std::fs::create_dir_all(&folder)?;
    for pan in layouts() {
        let path = Path::new(&folder).join(format!("{}.svg", pan.name));
        std::fs::write(path, svg::file(&face(pan, &Options::default()), Theme::Light))?;
    }
    for instrument in Instrument::ALL {
        let path = Path::new(&folder).join(format!("{instrument}.svg"));
        std::fs::write(path, svg::file(&strokes(instrument), Theme::Light))?;
    }
    // The lead with notes lit, by day and by night.
    let lead = &layouts()[0];
    let mut options = Options::default();
    for (note, state, stick) in
        [("C4", State::Now, Stick::L), ("G4", State::Next, Stick::R), ("E5", State::Held, Stick::L)]
    {
        options.lit.push((note.parse().expect("a note"), state, Some(stick)));
    }
    options.wanted.push("F6".parse().expect("a note"));
    for (name, theme) in [("lit-day", Theme::Light), ("lit-night", Theme::Dark)] {
        std::fs::write(Path::new(&folder).join(format!("{name}.svg")), svg::file(&face(lead, &options), theme))?;
    }
    Ok(())
}

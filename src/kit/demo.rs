//! The demo band and its tunes.

use std::sync::Arc;

use panfold::pan::Band;
use panfold::text::Source;
use panfold::tune::Tune;

use super::reading::{band_in, file, tune};

/// The folder of the demo.
const FOLDER: &str = "arrangements";

/// The files of its tunes.
pub const DEMO: [&str; 4] = ["jetty-jam.tune", "morning-ferry.tune", "sea-grape-road.tune", "slow-water.tune"];

/// The band.
pub fn demo_band() -> Arc<Band> {
    band_in(FOLDER, file(FOLDER, "lantern-quay.toml").text())
}

/// The text of a tune.
pub fn demo_text(name: &str) -> Arc<Source> {
    file(FOLDER, name)
}

/// A tune as the band plays it.
pub fn demo(name: &str) -> Tune {
    tune(&demo_band(), &demo_text(name))
}

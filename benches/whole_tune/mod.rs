//! A long tune to measure with, and the demo band.

use std::fmt::Write;
use std::sync::Arc;

use panfold::pan::{Band, read_band};
use panfold::text::Source;

/// What each part plays in every bar.
const PARTS: [(&str, &str, &str); 8] = [
    ("lead", "lead", "G5 . D5 G5 B5 - A5 G5"),
    ("tenor", "double-tenor", "B4 ~ ~ ~ ~ ~ ~ ."),
    ("second", "double-second", ". G4+B4 . G4+B4 . G4+B4 . G4+B4"),
    ("guitar", "double-guitar", "G3+D4 . . G3+D4 . . G3+D4 ."),
    ("cello", "triple-cello", "G3 - - - G3 - - -"),
    ("bass", "six-bass", "G2 - . D2 - . G2 -"),
    ("iron", "iron", "X . x x X . x x X . x x X . x x"),
    ("shaker", "shaker", "x o X o x o X o x o X o x o X o"),
];

/// The demo band.
pub fn band() -> Arc<Band> {
    let source = Source::new("lantern-quay.toml", include_str!("../../arrangements/lantern-quay.toml"));
    let guitar = Source::new("old-guitar.toml", include_str!("../../arrangements/pans/old-guitar.toml"));
    let (band, findings) = read_band(&source, &mut |_| Ok(Arc::clone(&guitar)));
    assert!(findings.is_empty());
    Arc::new(band.expect("a band"))
}

/// A tune of so many bars (a multiple of 100) of eight parts.
pub fn long(bars: usize) -> String {
    let mut text = String::from("title Long\nkey G\nmeter 4/4\ntempo 120\n");
    for (name, kind, _) in PARTS {
        writeln!(text, "part {name} on {kind}").expect("text takes text");
    }
    for section in 0..bars / 100 {
        writeln!(text, "section s{section}").expect("text takes text");
        for _ in 0..25 {
            for (name, _, bar) in PARTS {
                writeln!(text, "  {name} | {bar} | {bar} | {bar} | {bar} |").expect("text takes text");
            }
        }
    }
    text
}

//! What must hold of whatever bytes are brought in: an answer, and if it is a tune, one without mistakes.

use std::sync::Arc;

use panfold::exchange;
use panfold::notation;
use panfold::pan::read_band;
use panfold::text::{Severity, Source};
use panfold::tune;

/// Brings bytes in. The tune must be tidy and must be understood from its first line to its last.
pub fn holds(bytes: &[u8]) {
    let Ok(mut music) = exchange::read("fuzz", bytes.to_vec(), None) else { return };
    let Ok(imported) = exchange::tune(&music.score, None, "fuzz", &mut music.lost) else { return };
    music.lost.findings("fuzz", music.source.as_ref());
    let source = Source::new("fuzz.tune", imported.text);
    let (tree, findings) = notation::parse(&source);
    assert!(findings.is_empty(), "{findings:?}\n{}", source.text());
    assert_eq!(notation::tidy(&tree), source.text());
    let band = Source::new("band.toml", "name = \"One lead\"\n[[pan]]\nname = \"Lead\"\nlayout = \"lead-c\"\n");
    let (band, _) = read_band(&band, &mut |name| panic!("no file is named, not even {name}"));
    let (_, findings) = tune::resolve(&tree, &Arc::new(band.expect("a band")));
    // Twelve hours and more of music may be imported; playing it is another matter.
    let wrong = findings.iter().find(|one| one.severity == Severity::Error && one.kind.name != "too-long");
    assert!(wrong.is_none(), "{wrong:?}\n{}", source.text());
}

//! A part that is shared out to several seats sounds exactly as the part does. The law needs no source.

use std::path::Path;
use std::sync::Arc;

use panfold::pan::{Band, read_band};
use panfold::performance::{Options, perform};
use panfold::text::Source;
use panfold::tune::Tune;
use panfold::tune::model::Player;
use panfold::{fit, midi, notation};

fn band(text: &str) -> Arc<Band> {
    let mut load = |path: &str| {
        let text = std::fs::read_to_string(Path::new("arrangements").join(path)).expect("a pan file");
        Ok(Source::new(path, text))
    };
    let (band, findings) = read_band(&Source::new("band.toml", text), &mut load);
    assert!(findings.is_empty(), "{findings:?}");
    Arc::new(band.expect("a band"))
}

/// How many pans play each part on pans.
fn seats(tune: &Tune) -> Vec<usize> {
    let pans = tune.parts.iter().filter_map(|part| match &part.player {
        Player::Pans { pans, .. } => Some(pans.len()),
        Player::Percussion { .. } => None,
    });
    pans.collect()
}

#[test]
fn a_part_of_many_seats_sounds_as_of_one() {
    let one = std::fs::read_to_string("arrangements/lantern-quay.toml").expect("the demo's band");
    // Every pan of the demo's band once more, and a third time.
    let pans: Vec<&str> = one.split("\n\n").filter(|table| table.starts_with("[[pan]]")).collect();
    let again = |number: usize| {
        let pans = pans.iter().map(|pan| pan.replacen("name = \"", &format!("name = \"{number} "), 1));
        pans.collect::<Vec<String>>().join("\n\n")
    };
    let three = format!("{one}\n\n{}\n\n{}\n", again(2), again(3));
    for name in ["sea-grape-road", "slow-water", "morning-ferry"] {
        let text = std::fs::read_to_string(format!("arrangements/{name}.tune")).expect("a tune");
        let (tree, _) = notation::parse(&Source::new(name, text));
        let [alone, shared] = [&one, &three].map(|text| fit::resolve(&tree, &band(text)).0);
        assert!(seats(&alone).iter().all(|seats| *seats == 1), "{name}: {:?}", seats(&alone));
        assert!(seats(&shared).iter().all(|seats| *seats > 1), "{name}: {:?}", seats(&shared));
        let [alone, shared] = [&alone, &shared].map(|tune| perform(tune, &Options::default()));
        assert_eq!(alone.strokes, shared.strokes, "{name}");
        assert_eq!(midi::write(&alone), midi::write(&shared), "{name}");
    }
}

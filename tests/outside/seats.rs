//! A part that is shared out to several seats sounds exactly as the part does. The law needs no source.

use panfold::midi;
use panfold::performance::{Options, perform};
use panfold::tune::Tune;
use panfold::tune::model::Player;

use crate::kit::{band_in, file, tune};

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
    let one = file("arrangements", "lantern-quay.toml").text().to_owned();
    // Every pan of the demo's band once more, and a third time.
    let pans: Vec<&str> = one.split("\n\n").filter(|table| table.starts_with("[[pan]]")).collect();
    let again = |number: usize| {
        let pans = pans.iter().map(|pan| pan.replacen("name = \"", &format!("name = \"{number} "), 1));
        pans.collect::<Vec<String>>().join("\n\n")
    };
    let three = format!("{one}\n\n{}\n\n{}\n", again(2), again(3));
    for name in ["sea-grape-road", "slow-water", "morning-ferry"] {
        let text = file("arrangements", &format!("{name}.tune"));
        let [alone, shared] = [&one, &three].map(|band| tune(&band_in("arrangements", band), &text));
        assert!(seats(&alone).iter().all(|seats| *seats == 1), "{name}: {:?}", seats(&alone));
        assert!(seats(&shared).iter().all(|seats| *seats > 1), "{name}: {:?}", seats(&shared));
        let [alone, shared] = [&alone, &shared].map(|tune| perform(tune, &Options::default()));
        assert_eq!(alone.strokes, shared.strokes, "{name}");
        assert_eq!(midi::write(&alone), midi::write(&shared), "{name}");
    }
}

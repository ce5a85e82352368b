//! Who plays what: parts without a player, pans without a part.

use crate::text::{Finding, Kind, words};
use crate::tune::Tune;
use crate::tune::model::Player;

/// A part that nobody plays.
pub static NO_PLAYER: Kind = Kind {
    name: "no-player",
    what: "A part has no pan or instrument in the band that plays it.",
    why: "It can be rendered, but nobody can play it. A pan plays the parts that its `plays` names, or any part on its kind.",
};

/// A pan that has nothing to play.
pub static IDLE_PAN: Kind = Kind {
    name: "idle-pan",
    what: "A pan of the band has no part in the tune.",
    why: "Its player stands by; a part could be doubled `with` another one.",
};

/// Parts without players, and pans without parts.
pub fn players(tune: &Tune) -> Vec<Finding> {
    let mut findings: Vec<Finding> = (0..tune.parts.len()).filter_map(|part| no_player(tune, part)).collect();
    let plays = |pan: usize| {
        tune.parts.iter().any(|part| matches!(&part.player, Player::Pans { pans, .. } if pans.contains(&pan)))
    };
    let idle = tune.band.pans.iter().enumerate().filter(|(number, _)| !plays(*number));
    findings.extend(idle.map(|(_, pan)| {
        Finding::advice(&IDLE_PAN, format!("`{}` ({}) has no part in this tune", pan.pan.name, pan.pan.kind))
            .at(&tune.band.source, pan.span)
            .help("double another part (`= with PART`), or leave the player a rest")
    }));
    findings
}

fn no_player(tune: &Tune, part: usize) -> Option<Finding> {
    let part = &tune.parts[part];
    let (what, kind, example) = match &part.player {
        Player::Pans { pans, kind } if pans.is_empty() => ("pan", kind.name(), "[[pan]]"),
        Player::Percussion { percussion, instrument } if percussion.is_empty() => {
            ("instrument", instrument.name(), "[[percussion]]")
        }
        _ => return None,
    };
    let message = format!("the band has no {what} for the part `{}` on `{kind}`", part.name);
    let mut finding = Finding::error(&NO_PLAYER, message).at(&tune.source, part.span).part(&part.name);
    let taken: Vec<String> = tune
        .band
        .pans
        .iter()
        .filter(|pan| what == "pan" && pan.pan.kind.name() == kind)
        .map(|pan| format!("`{}` plays only {}", pan.pan.name, words::and(&pan.plays)))
        .collect();
    if !taken.is_empty() {
        finding = finding.help(format!("{}: add `{}` to its `plays`", taken.join("; "), part.name));
    }
    Some(
        finding
            .help(format!("add one to the band file (`{example}`), or play the part on something that the band has")),
    )
}

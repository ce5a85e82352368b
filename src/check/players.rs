//! Who plays what: parts without a player, pans and percussion without a part, and players of parts that the tune does not have.
//! What one player can't do at the same time is in `seats`.

use crate::pan::band::{BandPan, PartLevel, Percussion};
use crate::text::{Finding, Kind, Span, words};
use crate::tune::Tune;
use crate::tune::model::Player;

/// A part that nobody plays.
pub static NO_PLAYER: Kind = Kind {
    name: "no-player",
    what: "A part has no pan or instrument in the band that plays it.",
    why: "You can hear it, but nobody can play it. Give it to a pan of its kind, or add it to the `plays` of a pan.",
};

/// A pan that has nothing to play.
pub(crate) static IDLE_PAN: Kind = Kind {
    name: "idle-pan",
    what: "Pans of the band have no part in the tune.",
    why: "Their players have nothing to play. They could double another part (`= with PART`).",
};

/// An instrument of the engine room that has nothing to play.
pub(crate) static IDLE_PERCUSSION: Kind = Kind {
    name: "idle-percussion",
    what: "Percussion instruments of the band have no part in the tune.",
    why: "Few tunes need the whole engine room, so this may be what you want; or a part was forgotten, or is on another \
          instrument.",
};

/// A player of a part that the tune does not have, though it has one with nearly that name.
pub(crate) static MISTYPED_PLAYS: Kind = Kind {
    name: "mistyped-plays",
    what: "A `plays` in the band file is almost the name of a part of the tune, but not quite.",
    why: "A pan plays only the parts that its `plays` names, letter by letter, so its player may have nothing to do \
          while somebody else plays the part. Names of other tunes' parts are not reported: a band file serves them all.",
};

/// A level for a part that the tune does not have, though it has one with nearly that name.
pub(crate) static MISTYPED_LEVELS: Kind = Kind {
    name: "mistyped-levels",
    what: "A name under `[levels]` in the band file is almost that of a part of the tune, but not quite.",
    why: "A level counts only for a part of exactly that name; otherwise the level of the pan or the band counts. \
          Names of other tunes' parts are not reported: a band file serves them all.",
};

/// Parts without players, pans and percussion without parts, and mistyped names of parts.
pub fn players(tune: &Tune) -> Vec<Finding> {
    let mut findings = Vec::new();
    let playing = |which: fn(&Player) -> &[usize]| {
        tune.parts.iter().flat_map(move |part| which(&part.player)).copied().collect::<Vec<usize>>()
    };
    let pans = playing(|player| match player {
        Player::Pans { pans, .. } => pans,
        Player::Percussion { .. } => &[],
    });
    let percussion = playing(|player| match player {
        Player::Percussion { percussion, .. } => percussion,
        Player::Pans { .. } => &[],
    });
    for of in &tune.band.pans {
        findings.extend(Owner { name: &of.pan.name, plays: &of.plays, span: of.span }.mistyped(tune));
    }
    for of in &tune.band.percussion {
        findings.extend(Owner { name: &of.name, plays: &of.plays, span: of.span }.mistyped(tune));
    }
    findings.extend(mistyped_levels(tune));
    let idle = tune.band.pans.iter().enumerate().filter(|(number, _)| !pans.contains(number));
    findings.extend(idle_pans(tune, &idle.map(|(_, of)| of).collect::<Vec<_>>()));
    let idle = tune.band.percussion.iter().enumerate().filter(|(number, _)| !percussion.contains(number));
    findings.extend(idle_percussion(tune, &idle.map(|(_, of)| of).collect::<Vec<_>>()));
    findings
}

/// One finding for them all, so that a small tune's does not fill the screen.
fn idle_pans(tune: &Tune, idle: &[&BandPan]) -> Option<Finding> {
    let names: Vec<String> = idle.iter().map(|of| format!("`{}` ({})", of.pan.name, of.pan.kind)).collect();
    let (have, who) = if idle.len() == 1 { ("has", "the player") } else { ("have", "the players") };
    let message = format!("{} {have} no part in this tune", words::and(&names));
    let places: Vec<Span> = idle.iter().map(|of| of.span).collect();
    let finding = Finding::advice(&IDLE_PAN, message)
        .more(&tune.band.source, &places)
        .help(format!("let {who} double another part (`= with PART`), or give them a rest"));
    let habits = idle.iter().filter(|of| !of.plays.is_empty()).map(|of| habit(tune, of));
    (!idle.is_empty()).then(|| habits.fold(finding, Finding::help))
}

/// Why a pan that has parts of its own plays none of them.
fn habit(tune: &Tune, of: &BandPan) -> String {
    let parts: Vec<String> = of.plays.iter().map(|part| format!("`{part}`")).collect();
    let parts = format!("the `plays` of `{}` names only {}", of.pan.name, words::and(&parts));
    let here = of.plays.iter().filter(|part| tune.part(part).is_some()).count();
    if here == 0 {
        format!("{parts}, which this tune does not have")
    } else if here == of.plays.len() {
        format!("{parts}, which others play in this tune")
    } else {
        format!("{parts}: this tune does not have them, or others play them")
    }
}

/// One finding for them all, so that a small tune's does not fill the screen.
fn idle_percussion(tune: &Tune, idle: &[&Percussion]) -> Option<Finding> {
    let first = idle.first()?;
    let names: Vec<String> = idle.iter().map(|of| format!("`{}` ({})", of.name, of.instrument)).collect();
    let have = if idle.len() == 1 { "has" } else { "have" };
    let message = format!("{} {have} no part in this tune", words::and(&names));
    let places: Vec<Span> = idle.iter().map(|of| of.span).collect();
    let finding = Finding::advice(&IDLE_PERCUSSION, message).more(&tune.band.source, &places);
    let kind = first.instrument;
    Some(finding.help(format!("write a part (`part {kind} on {kind}`) and its rows, or give the player a rest")))
}

/// A pan or instrument of the band.
struct Owner<'a> {
    name: &'a str,
    plays: &'a [String],
    span: Span,
}

impl Owner<'_> {
    /// Names in `plays` that are nearly those of parts which it does not name too.
    fn mistyped(&self, tune: &Tune) -> Vec<Finding> {
        let open =
            || tune.parts.iter().map(|part| part.name.as_str()).filter(|name| !self.plays.iter().any(|p| p == name));
        let unknown = self.plays.iter().filter(|name| tune.part(name).is_none());
        let finding = |name: &String| {
            let near = words::nearest(name, open())?;
            let message = format!("`{}` plays `{name}`, which is not a part in this tune", self.name);
            let finding = Finding::warning(&MISTYPED_PLAYS, message).at(&tune.band.source, self.span);
            Some(finding.help(format!("if you mean `{near}`, write that in its `plays`")))
        };
        unknown.filter_map(finding).collect()
    }
}

/// Parts in `[levels]` whose names are nearly those of parts which have no level there.
pub fn mistyped_levels(tune: &Tune) -> Vec<Finding> {
    let levels = &tune.band.levels;
    let open =
        || tune.parts.iter().map(|part| part.name.as_str()).filter(|name| !levels.iter().any(|of| of.part == *name));
    let unknown = levels.iter().filter(|of| tune.part(&of.part).is_none());
    let finding = |of: &PartLevel| {
        let near = words::nearest(&of.part, open())?;
        let message = format!("there is a level for `{}`, which is not a part in this tune", of.part);
        let finding = Finding::warning(&MISTYPED_LEVELS, message).at(&tune.band.source, of.span);
        Some(finding.help(format!("did you mean `{near}`?")))
    };
    unknown.filter_map(finding).collect()
}

/// A finding for a part for which the band has nothing.
pub(crate) fn no_player(tune: &Tune, part: usize) -> Finding {
    let part = &tune.parts[part];
    let (what, example) = match &part.player {
        Player::Pans { .. } => ("pan", "[[pan]]"),
        Player::Percussion { .. } => ("instrument", "[[percussion]]"),
    };
    let message = format!("the band has no {what} for the part `{}` (on `{}`)", part.name, part.on);
    let finding = Finding::error(&NO_PLAYER, message).at(&tune.source, part.span).part(&part.name);
    finding.help(format!("add one to the band file (`{example}`), or play the part on something that the band has"))
}

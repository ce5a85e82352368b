//! Names given on the command line, looked up in a tune; for a wrong one the nearest is suggested.

use crate::door::kinds::WRONG_CHOICE;
use crate::text::{Finding, words};
use crate::tune::model::Player;
use crate::tune::{Part, Tune};

/// The number of a part.
///
/// # Errors
/// A finding that names the nearest part, or all of them.
pub fn part<N>(tune: &Tune<N>, name: &str) -> Result<usize, Box<Finding>> {
    let names = tune.parts.iter().map(|part| part.name.as_str());
    tune.part(name).ok_or_else(|| Box::new(unknown("part", name, names)))
}

/// The numbers of parts that share a sheet or a page: one part, or several that are percussion. A name given twice counts once.
///
/// - `what`: `sheet` or `page`, for the finding.
///
/// # Errors
/// A finding for a name that the tune does not have, or for parts that can't be together since each pan has a picture of its own.
pub fn together<N>(tune: &Tune<N>, names: &[String], what: &str) -> Result<Vec<usize>, Box<Finding>> {
    let mut parts = Vec::new();
    for name in names {
        let part = part(tune, name)?;
        if !parts.contains(&part) {
            parts.push(part);
        }
    }
    let quoted = |part: &usize| format!("`{}`", tune.parts[*part].name);
    let is_on_pans = |part: &&usize| matches!(tune.parts[**part].player, Player::Pans { .. });
    let on_pans: Vec<String> = parts.iter().filter(is_on_pans).map(quoted).collect();
    if parts.len() > 1 && !on_pans.is_empty() {
        let all = words::and(&parts.iter().map(quoted).collect::<Vec<_>>());
        let are = if on_pans.len() == 1 { "is played on a pan" } else { "are played on pans" };
        let message =
            format!("{all} can't share a {what}: {} {are}, and only percussion parts can", words::and(&on_pans));
        let alone = tune.parts[parts[0]].name.as_str();
        return Err(Box::new(wrong(message).help(format!("ask for one {what} at a time: `--part {alone}`"))));
    }
    Ok(parts)
}

/// The number of a section.
///
/// # Errors
/// A finding that names the nearest section, or all of them.
pub fn section(tune: &Tune, name: &str) -> Result<usize, Box<Finding>> {
    let names = tune.sections.iter().map(|section| section.name.as_str());
    tune.section(name).ok_or_else(|| Box::new(unknown("section", name, names)))
}

/// What a pan plays of a part: its own version, if it has rows of its own (`lead for Green rim | … |`), else the part.
pub fn version<N>(tune: &Tune<N>, part: usize, pan: Option<&str>) -> usize {
    let is =
        |of: &Part| of.version.is_some_and(|v| v.of == part && Some(tune.band.pans[v.pan].pan.name.as_str()) == pan);
    tune.parts.iter().position(is).unwrap_or(part)
}

/// The number of one of the band's pans that play a part.
///
/// # Errors
/// A finding that names the pans that play it.
pub fn pan(tune: &Tune, part: usize, name: &str) -> Result<usize, Box<Finding>> {
    let of = &tune.parts[part];
    let Player::Pans { pans, .. } = &of.player else {
        return Err(Box::new(wrong(format!("the part `{}` is percussion and has no pan", of.name))));
    };
    let pan_name = |number: usize| tune.band.pans[number].pan.name.as_str();
    if let Some(number) = pans.iter().find(|number| pan_name(**number) == name) {
        return Ok(*number);
    }
    let finding = wrong(format!("no pan `{name}` plays the part `{}`", of.name));
    let own = tune.parts.iter().filter_map(|of| of.version).filter(|version| version.of == part);
    let names: Vec<&str> = pans.iter().copied().chain(own.map(|version| version.pan)).map(pan_name).collect();
    Err(Box::new(suggest(finding, "it is played by", name, &names)))
}

/// A finding for a pan that plays nothing of a tune, with the nearest of those that do, or all of them.
pub fn unknown_pan<'a>(name: &str, known: impl Iterator<Item = &'a str>) -> Finding {
    let known: Vec<&str> = known.collect();
    suggest(wrong(format!("no pan `{name}` plays a part of the tune")), "its pans are", name, &known)
}

/// A finding for a player that the band does not have; `known`: those that it has.
pub fn unknown_player(name: &str, known: &[&str]) -> Finding {
    suggest(wrong(format!("the band has no player `{name}`")), "its players are", name, known)
}

/// A finding for a choice that is not possible.
pub fn wrong(message: impl Into<String>) -> Finding {
    Finding::error(&WRONG_CHOICE, message)
}

fn unknown<'a>(what: &str, name: &str, known: impl Iterator<Item = &'a str>) -> Finding {
    let known: Vec<&str> = known.collect();
    let finding = wrong(format!("the tune has no {what} `{name}`"));
    suggest(finding, &format!("its {what}s are"), name, &known)
}

fn suggest(finding: Finding, what: &str, name: &str, known: &[&str]) -> Finding {
    match words::nearest(name, known.iter().copied()) {
        Some(near) => finding.help(format!("did you mean `{near}`?")),
        None if known.is_empty() => finding,
        None => {
            let known: Vec<String> = known.iter().map(|name| format!("`{name}`")).collect();
            finding.help(format!("{what} {}", words::and(&known)))
        }
    }
}

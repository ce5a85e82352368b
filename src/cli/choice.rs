//! Names given on the command line, looked up in a tune; a wrong one is answered with the nearest.

use super::kinds::WRONG_CHOICE;
use crate::text::{Finding, words};
use crate::tune::Tune;
use crate::tune::model::Player;

/// The number of a part.
///
/// # Errors
/// A finding that names the nearest part, or all of them.
pub fn part<N>(tune: &Tune<N>, name: &str) -> Result<usize, Box<Finding>> {
    let names = tune.parts.iter().map(|part| part.name.as_str());
    tune.part(name).ok_or_else(|| Box::new(unknown("part", name, names)))
}

/// The number of a section.
///
/// # Errors
/// A finding that names the nearest section, or all of them.
pub fn section(tune: &Tune, name: &str) -> Result<usize, Box<Finding>> {
    let names = tune.sections.iter().map(|section| section.name.as_str());
    tune.section(name).ok_or_else(|| Box::new(unknown("section", name, names)))
}

/// The number of the band's pan, of those that play a part.
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
    let names: Vec<&str> = pans.iter().map(|number| pan_name(*number)).collect();
    Err(Box::new(suggest(finding, "pans that play it are", name, &names)))
}

/// A finding for a choice that can't be.
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

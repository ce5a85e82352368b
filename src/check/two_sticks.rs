//! What a player with two sticks can't do at once.

use super::uses::{self, Found, Places};
use crate::text::{Finding, Kind};
use crate::tune::model::{Event, Player, Struck};
use crate::tune::{Section, Tune};

/// More notes at once than the players have sticks.
pub static TOO_MANY_NOTES: Kind = Kind {
    name: "too-many-notes",
    what: "A part strikes more notes at once than its players have sticks.",
    why: "A player has two sticks. The notes of a fuller chord are shared out among the players of several pans.",
};

/// One note twice in a stroke.
pub static SAME_NOTE: Kind = Kind {
    name: "same-note",
    what: "A stroke names the same note twice.",
    why: "Two sticks on one note at once sound like one; most likely another note was meant.",
};

/// A roll on two notes.
pub static ROLL_WITH_NOTE: Kind = Kind {
    name: "roll-with-note",
    what: "A roll goes with another note.",
    why: "A roll takes both sticks. On two notes the sticks take turns, so that each note gets every other stroke only and \
          sounds thinner; with a second player each can roll one of them.",
};

/// All findings about sticks, one a part and kind.
pub fn two_sticks(tune: &Tune) -> Vec<Finding> {
    (0..tune.parts.len()).flat_map(|part| of_part(tune, part)).collect()
}

fn of_part(tune: &Tune, part: usize) -> Vec<Finding> {
    let Player::Pans { pans, .. } = &tune.parts[part].player else { return Vec::new() };
    // A part without a pan is told elsewhere; it is looked at as if one player had it.
    let players = pans.len().max(1);
    let (mut many, mut same, mut rolled) = (Vec::new(), Vec::new(), Vec::new());
    let (mut most, mut most_rolled) = (0, 0);
    for (number, section, event) in uses::events(tune, part) {
        let Struck::Notes(notes) = &event.struck else { continue };
        let place = Found { span: event.span, section: number, bar: event.bar };
        let twice = notes.iter().enumerate().any(|(i, note)| notes[..i].iter().any(|other| other.pitch == note.pitch));
        if twice {
            same.push(place);
        } else if notes.len() > 2 * players {
            many.push(place);
            most = most.max(notes.len());
        } else if notes.len() > players && is_rolled(tune, part, section, event) {
            rolled.push(place);
            most_rolled = most_rolled.max(notes.len());
        }
    }
    let name = &tune.parts[part].name;
    let sticks = match players {
        1 => "one player has two sticks".to_owned(),
        n => format!("{n} players have {} sticks", 2 * n),
    };
    let told = |kind, error: bool, message: String, help: &str, found: &[Found]| {
        let places = Places::of(found)?;
        let finding = if error { Finding::error(kind, message) } else { Finding::warning(kind, message) };
        let finding = finding.at(&tune.source, places.spans[0]).label(places.name(tune)).help(help).part(name);
        Some(finding.more(&tune.source, &places.spans[1..]))
    };
    [
        told(
            &TOO_MANY_NOTES,
            true,
            format!("{most} notes at once, and {sticks}"),
            "leave out the fifth or the root, or give one note to another part",
            &many,
        ),
        told(
            &SAME_NOTE,
            false,
            "the same note twice in one stroke".to_owned(),
            "write it once, or write the note that was meant",
            &same,
        ),
        told(
            &ROLL_WITH_NOTE,
            false,
            match players {
                1 => "a roll on two notes: the sticks take turns, and neither note gets a full roll".to_owned(),
                n => format!("a roll on {most_rolled} notes, and {n} players can each roll one"),
            },
            "roll one of them, strike both without `~` (or with `roll none`), or let two players share them",
            &rolled,
        ),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn is_rolled(tune: &Tune, part: usize, section: &Section, event: &Event) -> bool {
    let automatic = tune.rolls(part, event.length, section.meter);
    event.rolled || (automatic && !event.damped)
}

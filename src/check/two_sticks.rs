//! What a player with two sticks can't do at the same time.

use std::collections::BTreeMap;

use super::uses::{self, Found, Places};
use crate::text::{Finding, Kind};
use crate::tune::model::{Event, Note, Player, Struck};
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
    why: "Two sticks on one note at once sound like one; another note was probably meant.",
};

/// A roll on two notes: a warning and no error, since it can be done, but each roll is thinner.
pub static ROLL_WITH_NOTE: Kind = Kind {
    name: "roll-with-note",
    what: "A second note is struck together with a roll.",
    why: "A roll takes both sticks. On two notes the sticks take turns, so each note gets only every other stroke and \
          sounds thinner; two players can each roll one of them.",
};

/// All findings about sticks, one a part and kind.
pub fn two_sticks(tune: &Tune) -> Vec<Finding> {
    (0..tune.parts.len()).flat_map(|part| of_part(tune, part)).collect()
}

/// What two sticks a player can't do in a stroke.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Trouble {
    /// More notes than sticks.
    TooMany,
    /// One note twice.
    SameNote,
    /// A roll on more notes than there are players.
    Rolled,
}

impl Trouble {
    /// What is wrong with a stroke, for this many players.
    fn of(notes: &[Note], is_rolled: bool, players: usize) -> Option<Trouble> {
        let is_twice = |(i, note): (usize, &Note)| notes[..i].iter().any(|other| other.pitch == note.pitch);
        if notes.iter().enumerate().any(is_twice) {
            Some(Trouble::SameNote)
        } else if notes.len() > 2 * players {
            Some(Trouble::TooMany)
        } else {
            (notes.len() > players && is_rolled).then_some(Trouble::Rolled)
        }
    }

    /// The finding about it, without its places.
    ///
    /// - `players`: how many play the part.
    /// - `most`: how many notes the fullest of the strokes has.
    fn told(self, players: usize, most: usize) -> Finding {
        match self {
            Trouble::TooMany => {
                let sticks = match players {
                    1 => "one player has two sticks".to_owned(),
                    n => format!("{n} players have {} sticks", 2 * n),
                };
                Finding::error(&TOO_MANY_NOTES, format!("{most} notes at once, and {sticks}"))
                    .help("leave out the fifth or the root, or give one note to another part")
            }
            Trouble::SameNote => Finding::warning(&SAME_NOTE, "the same note twice in one stroke")
                .help("write it once, or write the note you want"),
            Trouble::Rolled => {
                let message = match players {
                    1 => "a roll on two notes: the sticks take turns, so neither note gets a full roll".to_owned(),
                    n => format!("a roll on {most} notes, and {n} players can each roll one"),
                };
                Finding::warning(&ROLL_WITH_NOTE, message).help(
                    "roll one of them, strike both without `~` (or with `roll none`), or let two players share them",
                )
            }
        }
    }
}

/// The strokes of a part that have one trouble.
#[derive(Default)]
struct Strokes {
    places: Vec<Found>,
    /// How many notes the fullest of them has.
    most: usize,
}

fn of_part(tune: &Tune, part: usize) -> Vec<Finding> {
    let Player::Pans { pans, .. } = &tune.parts[part].player else { return Vec::new() };
    // A part without a pan is told elsewhere; it is looked at as if one player had it.
    let players = pans.len().max(1);
    let finding = |(trouble, strokes): (Trouble, Strokes)| {
        let finding = trouble.told(players, strokes.most).part(&tune.parts[part].name);
        Some(Places::of(&strokes.places)?.mark(tune, finding))
    };
    troubles(tune, part, players).into_iter().filter_map(finding).collect()
}

/// The strokes of a part by what is wrong with them.
fn troubles(tune: &Tune, part: usize, players: usize) -> BTreeMap<Trouble, Strokes> {
    let mut troubles: BTreeMap<Trouble, Strokes> = BTreeMap::new();
    for (number, section, event) in uses::events(tune, part) {
        let Struck::Notes(notes) = &event.struck else { continue };
        if let Some(trouble) = Trouble::of(notes, is_rolled(tune, part, section, event), players) {
            let strokes = troubles.entry(trouble).or_default();
            strokes.places.push(Found { span: event.span, section: number, bar: event.bar });
            strokes.most = strokes.most.max(notes.len());
        }
    }
    troubles
}

fn is_rolled(tune: &Tune, part: usize, section: &Section, event: &Event) -> bool {
    let automatic = tune.rolls(part, event.length, section.meter);
    event.rolled || (automatic && !event.damped)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::text::Span;

    #[test]
    fn a_stroke_has_one_trouble_at_most() {
        let notes = |names: &str| -> Vec<Note> {
            let note = |name: &str| Note { pitch: name.parse().expect("a note"), span: Span::default() };
            names.split_whitespace().map(note).collect()
        };
        for (names, is_rolled, players, trouble) in [
            ("C4", true, 1, None),
            ("C4 E4", false, 1, None),
            ("C4 E4", true, 1, Some(Trouble::Rolled)),
            ("C4 E4", true, 2, None),
            ("C4 E4 G4", true, 2, Some(Trouble::Rolled)),
            ("C4 E4 G4", false, 1, Some(Trouble::TooMany)),
            ("C4 E4 G4", true, 1, Some(Trouble::TooMany)),
            ("C4 E4 G4 C4", true, 1, Some(Trouble::SameNote)),
            ("C4 C4", false, 2, Some(Trouble::SameNote)),
        ] {
            assert_eq!(Trouble::of(&notes(names), is_rolled, players), trouble, "{names} {is_rolled} {players}");
        }
    }
}

//! What one player at several pieces of percussion, such as a drum kit, can strike at once: two hands and two feet.

use std::collections::BTreeMap;

use super::uses::{Found, Places};
use crate::music::Length;
use crate::pan::Piece;
use crate::pan::instrument::Limb;
use crate::text::{Finding, Kind, words};
use crate::tune::Tune;
use crate::tune::model::{Event, Player, Struck};

/// More strokes at once than a player has hands or feet.
pub static TOO_MANY_LIMBS: Kind = Kind {
    name: "too-many-limbs",
    what: "Somebody who plays several pieces of percussion has to strike more of them at once than they have hands or feet.",
    why: "Each stroke takes a hand or a foot; a roll takes both hands. Kick drums and the hi-hat's pedal are played with a foot \
          (common practice, no source).",
};

/// How many hands a player has, and how many feet.
const TWO: usize = 2;

/// One finding for every player and limb, with all places.
pub fn limbs(tune: &Tune) -> Vec<Finding> {
    let mut parts: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for seat in tune.seats.iter().filter(|seat| matches!(seat.piece, Piece::Percussion(_))) {
        parts.entry(seat.player).or_default().push(seat.part);
    }
    let kits = parts.into_iter().filter(|(_, parts)| parts.len() > 1);
    kits.flat_map(|(player, parts)| [Limb::Hand, Limb::Foot].map(|limb| of_player(tune, player, &parts, limb)))
        .flatten()
        .collect()
}

fn of_player(tune: &Tune, player: usize, parts: &[usize], limb: Limb) -> Option<Finding> {
    let mut found: Vec<Found> = Vec::new();
    let mut first: Option<Vec<usize>> = None;
    for (number, section) in tune.sections.iter().enumerate() {
        let mut moments: BTreeMap<Length, Vec<(usize, &Event)>> = BTreeMap::new();
        for part in parts {
            for event in section.rows[*part].iter().flat_map(|row| &row.events) {
                moments.entry(event.start).or_default().push((*part, event));
            }
        }
        for struck in moments.into_values() {
            let used = |(part, event): &(usize, &Event)| taken(tune, *part, event, limb);
            if struck.iter().map(used).sum::<usize>() <= TWO {
                continue;
            }
            let busy: Vec<&(usize, &Event)> = struck.iter().filter(|stroke| used(stroke) > 0).collect();
            let (_, event) = busy.last()?;
            found.push(Found { span: event.span, section: number, bar: event.bar });
            first.get_or_insert_with(|| busy.iter().map(|(part, _)| *part).collect());
        }
    }
    let places = Places::of(&found)?;
    let mut names: Vec<String> = first?.iter().map(|part| format!("`{}`", tune.parts[*part].name)).collect();
    names.dedup();
    let (name, noun) = (&tune.people[player].name, if limb == Limb::Hand { "hands" } else { "feet" });
    let message = format!("`{name}` has two {noun}, and {} want more at once", words::and(&names));
    let finding = Finding::error(&TOO_MANY_LIMBS, message)
        .help("leave one of the strokes out there, or give one of the parts to another player")
        .part(&tune.parts[parts[0]].name);
    Some(places.mark(tune, finding))
}

/// How many of a player's hands, or feet, a stroke takes.
fn taken(tune: &Tune, part: usize, event: &Event, limb: Limb) -> usize {
    let (Struck::Mark(mark), Player::Percussion { instrument, .. }) = (&event.struck, &tune.parts[part].player) else {
        return 0;
    };
    if instrument.limb(*mark) != limb {
        return 0;
    }
    if event.rolled && limb == Limb::Hand { TWO } else { 1 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kit::tune;

    const KIT: &str = "name = \"B\"\n[[percussion]]\nname = \"Foot drum\"\nkind = \"kick\"\n[[percussion]]\nname = \"Side drum\"\nkind = \
                       \"snare\"\n[[percussion]]\nname = \"Hat\"\nkind = \"hi-hat\"\n[[percussion]]\nname = \"Big cymbal\"\nkind = \
                       \"cymbal\"\n[[player]]\nname = \"Kwesi\"\nplays = [\"Foot drum\", \"Side drum\", \"Hat\", \"Big cymbal\"]\n";
    const PARTS: &str = "part kick on kick\npart snare on snare\npart hat on hi-hat\npart crash on cymbal\nsection a\n";

    fn told(rows: &str) -> Vec<String> {
        let findings = limbs(&tune(KIT, &format!("{PARTS}{rows}")));
        findings
            .iter()
            .map(|finding| format!("{} ({}, {} more)", finding.message, finding.label, finding.more.len()))
            .collect()
    }

    #[test]
    fn two_hands_and_two_feet() {
        assert!(told(" kick | x . x . |\n snare | . x . x |\n hat | x x x x |\n crash | x . . . |\n").is_empty());
        assert_eq!(
            told(" kick | x x x x |\n snare | . x . x |\n hat | x x x x |\n crash | . x . x |\n"),
            ["`Kwesi` has two hands, and `snare`, `hat`, and `crash` want more at once (bar 1 of `a`, 1 more)"]
        );
        // The pedal is a foot's, so that the hands are free; a roll takes both hands.
        assert!(told(" kick | x . |\n snare | x x |\n hat | s s |\n crash | x . |\n").is_empty());
        assert_eq!(told(" snare | x ~ |\n hat | x . |\n").len(), 1);
    }

    #[test]
    fn players_of_one_piece_each_have_hands_of_their_own() {
        let own = KIT.split("[[player]]").next().unwrap_or_default();
        let rows = " kick | x |\n snare | x |\n hat | x |\n crash | x |\n";
        assert!(limbs(&tune(own, &format!("{PARTS}{rows}"))).is_empty());
    }
}

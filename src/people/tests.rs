//! Seats of small bands: the aims in their order, and brute force over everything that could be.

use super::*;
use crate::kit::{self, ONE_LEAD, pans};
use crate::text::Source;
use crate::tune::Tune;
use crate::tune::model::Open;

fn tune(band: &str, text: &str) -> Tune<Open> {
    kit::open(band, &Source::new("tunes/jam.tune", text))
}

/// `Red: lead, Blue: descant`, by player; pans are named where they are not the player's own.
fn seated(tune: &Tune<Open>) -> String {
    let seat = |seat: &crate::tune::model::Seat| {
        let (player, piece) = (&tune.people[seat.player].name, tune.band.name_of(seat.piece));
        let who = if player == piece { player.clone() } else { format!("{player} at {piece}") };
        format!("{who}: {}", tune.parts[seat.part].name)
    };
    tune.seats.iter().map(seat).collect::<Vec<_>>().join(", ")
}

fn leads(more: [&str; 2]) -> String {
    format!(
        "name = \"B\"\n[[pan]]\nname = \"Red\"\nlayout = \"lead-c\"\n{}\n[[pan]]\nname = \"Blue\"\nlayout = \"lead-c\"\n{}\n",
        more[0], more[1]
    )
}

const TWO: &str =
    "part lead on lead\npart descant on lead\nsection a\n lead | C5 D5 E5 F5 |\n descant | E5 F5 G5 A5 |\n";

#[test]
fn two_parts_are_shared_out_over_two_pans() {
    assert_eq!(seated(&tune(&leads(["", ""]), TWO)), "Red: lead, Blue: descant");
}

#[test]
fn one_player_never_has_two_parts_that_sound_together() {
    let tune = tune(ONE_LEAD, TWO);
    assert_eq!(seated(&tune), "Red rim: lead");
    let open = unseated(&tune);
    assert_eq!(open.len(), 1);
    assert_eq!((open[0].part, open[0].taken[0].other), (1, 0));
    assert_eq!(open[0].taken[0].bars, [(0, 0)]);
}

#[test]
fn parts_that_take_turns_may_be_one_players() {
    let turns =
        "part lead on lead\npart answer on lead\nsection a\n lead | C5 - - - | . |\n answer | . | E5 F5 G5 A5 |\n";
    assert_eq!(seated(&tune(ONE_LEAD, turns)), "Red rim: lead, Red rim: answer");
    // A second player is better.
    assert_eq!(seated(&tune(&leads(["", ""]), turns)), "Red: lead, Blue: answer");
    // A note that is held over into the other's bar is sounding still.
    let held = turns.replace("C5 - - - | . |", "C5 - - - | - - . . |");
    assert_eq!(seated(&tune(ONE_LEAD, &held)), "Red rim: lead");
}

#[test]
fn the_tune_stands_before_the_bands_habit_and_that_before_missing_notes() {
    let habit = leads(["plays = [\"descant\"]", ""]);
    assert_eq!(seated(&tune(&habit, TWO)), "Blue: lead, Red: descant");
    let said = TWO.replace("part descant on lead", "part descant on lead for Blue");
    let tune_said = tune(&habit, &said);
    assert_eq!(seated(&tune_said), "Red: lead, Blue: descant");
    assert!(habit_broken(&tune_said, 0, crate::pan::Piece::Pan(0)));
    // Without habits the notes decide: Red lacks what the lead needs.
    let dead = leads(["without = [\"C5\"]", ""]);
    assert_eq!(seated(&tune(&dead, TWO)), "Blue: lead, Red: descant");
    // A habit outweighs missing notes.
    let both = leads(["without = [\"C5\"]\nplays = [\"lead\"]", ""]);
    assert_eq!(seated(&tune(&both, TWO)), "Red: lead, Blue: descant");
}

#[test]
fn a_habit_is_broken_so_that_every_part_has_a_player() {
    let both = leads(["plays = [\"descant\"]", "plays = [\"descant\"]"]);
    let tune = tune(&both, TWO);
    assert_eq!(tune.seats.len(), 2);
    assert!(unseated(&tune).is_empty());
}

#[test]
fn a_habit_for_both_parts_does_not_make_one_player_play_both() {
    let both = leads(["plays = [\"lead\", \"descant\"]", ""]);
    assert_eq!(tune(&both, TWO).seats.iter().map(|seat| seat.player).collect::<Vec<_>>(), [0, 1]);
}

#[test]
fn pans_to_spare_double_a_part_unless_their_habit_is_another() {
    let one = TWO.replace("part descant on lead\n", "").replace(" descant | E5 F5 G5 A5 |\n", "");
    assert_eq!(seated(&tune(&leads(["", ""]), &one)), "Red: lead, Blue: lead");
    assert_eq!(seated(&tune(&leads(["", "plays = [\"descant\"]"]), &one)), "Red: lead");
    let alone = one.replace("part lead on lead", "part lead on lead for Blue");
    assert_eq!(seated(&tune(&leads(["", ""]), &alone)), "Blue: lead");
}

#[test]
fn people_play_what_they_know_and_the_experienced_what_is_hard() {
    let people = |ida: &str, theo: &str| {
        format!(
            "{}[[player]]\nname = \"Ida\"\nplays = [\"Red\"]\n{ida}\n[[player]]\nname = \"Theo\"\nplays = [\"Blue\"]\n{theo}\n",
            leads(["", ""])
        )
    };
    assert_eq!(seated(&tune(&people("", ""), TWO)), "Ida at Red: lead, Theo at Blue: descant");
    assert_eq!(seated(&tune(&people("", "knows = \"jam: lead\""), TWO)), "Theo at Blue: lead, Ida at Red: descant");
    let busy = TWO.replace("| C5 D5 E5 F5 |", "| C5 D5 E5 F5 C5 D5 E5 F5 |");
    let levels = people("level = \"beginner\"", "level = \"experienced\"");
    assert_eq!(seated(&tune(&levels, &busy)), "Theo at Blue: lead, Ida at Red: descant");
}

#[test]
fn one_person_at_two_pans_needs_time_to_go_over() {
    let pans = pans(&[("Red", "lead-c"), ("Low", "six-bass")]);
    let band = format!("{pans}[[player]]\nname = \"Ida\"\nplays = [\"Red\", \"Low\"]\n");
    let turns = |rest: &str| {
        format!(
            "tempo 60\npart lead on lead\npart bass on six-bass\nsection a\n lead | C5 . . . |{rest} . |\n bass | . |{rest} C2 D2 E2 F2 |\n"
        )
    };
    // Three seconds are too few, seven and eleven: three bars of four seconds, less the first beat.
    assert_eq!(tune(&band, &turns("")).seats.len(), 1);
    assert_eq!(tune(&band, &turns(" . |")).seats.len(), 1);
    assert_eq!(seated(&tune(&band, &turns(" . | . |"))), "Ida at Red: lead, Ida at Low: bass");
}

#[test]
fn a_drum_kit_is_one_players() {
    let kit = "name = \"B\"\n[[percussion]]\nname = \"Foot drum\"\nkind = \"kick\"\n[[percussion]]\nname = \"Side drum\"\nkind = \"snare\"\n\
               [[player]]\nname = \"Kwesi\"\nplays = [\"Foot drum\", \"Side drum\"]\n";
    let groove = "part kick on kick\npart snare on snare\nsection a\n kick | x . x . |\n snare | x x x x |\n";
    assert_eq!(seated(&tune(kit, groove)), "Kwesi at Foot drum: kick, Kwesi at Side drum: snare");
}

#[test]
fn a_pan_with_rows_of_its_own_plays_its_version() {
    let own =
        "part lead on lead\nform a b\nsection a\n lead | C5 E6 |\n lead for blue | C5 E5 |\nsection b\n lead | C5 |\n";
    let tune = tune(&leads(["", "without = [\"E6\"]"]), own);
    assert_eq!(seated(&tune), "Red: lead, Blue: lead for Blue");
    assert_eq!(tune.parts[1].version, Some(crate::tune::model::Version { of: 0, pan: 1 }));
    assert_eq!(tune.sections[1].rows[1].as_ref().and_then(|row| row.doubles), Some(0));
    assert!(unseated(&tune).is_empty());
}

#[test]
fn a_kit_is_handed_out_as_one_and_a_version_by_itself() {
    let kit = "name = \"B\"\n[[percussion]]\nname = \"Foot drum\"\nkind = \"kick\"\n[[percussion]]\nname = \"Side drum\"\nkind = \"snare\"\n\
               [[percussion]]\nname = \"Tin\"\nkind = \"shaker\"\n[[player]]\nname = \"Kwesi\"\nplays = [\"Foot drum\", \"Side drum\"]\n";
    let groove = "part kick on kick\npart shaker on shaker\npart snare on snare\nsection a\n kick | x . x . |\n snare | x x x x |\n";
    let parts =
        |tune: &Tune<Open>| handouts(tune).into_iter().map(|handout| (handout.parts, handout.pans)).collect::<Vec<_>>();
    assert_eq!(parts(&tune(kit, groove)), [(vec![0, 2], vec![]), (vec![1], vec![])]);
    let own = "part lead on lead\npart iron on iron\nsection a\n lead | C5 E6 |\n lead for blue | C5 E5 |\n";
    let both = tune(&leads(["", ""]), own);
    assert_eq!(parts(&both), [(vec![0], vec![0]), (vec![2], vec![1]), (vec![1], vec![])]);
}

#[test]
fn the_same_file_gives_the_same_seats() {
    let band = leads(["", ""]);
    assert_eq!(seated(&tune(&band, TWO)), seated(&tune(&band, TWO)));
}

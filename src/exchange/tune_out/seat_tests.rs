//! Who takes a second part: a player who plays parts of some names takes one that he does not name, and no more.

use super::tests::{chosen, part};
use super::*;

#[test]
fn a_pan_whose_player_has_a_part_does_not_take_another_that_it_does_not_name() {
    let band = "name = \"B\"\n[[pan]]\nname = \"Red\"\nlayout = \"lead-c\"\nplays = [\"tune\"]\n\
                [[pan]]\nname = \"Six\"\nlayout = \"six-bass\"\n";
    // Both lie on the lead alone; the higher one chooses first.
    let parts = vec![part("Flute", On::Pan, &[84, 86, 87]), part("Oboe", On::Pan, &[72, 74, 76])];
    let seats: Vec<_> = chosen(parts, Some(band)).into_iter().map(|(on, name, _)| (on, name)).collect();
    assert_eq!(seats, [("lead", Some("tune".to_owned())), ("six-bass", None)]);
    // A part that it names it takes besides; and a pan that names none takes any number.
    let parts = vec![part("Flute", On::Pan, &[84, 86, 87]), part("Tune", On::Pan, &[72, 74, 76])];
    let seats: Vec<_> = chosen(parts, Some(band)).into_iter().map(|(on, ..)| on).collect();
    assert_eq!(seats, ["lead", "lead"]);
    let parts = vec![part("Flute", On::Pan, &[84, 86, 87]), part("Oboe", On::Pan, &[72, 74, 76])];
    let free = band.replace("plays = [\"tune\"]\n", "");
    let seats: Vec<_> = chosen(parts, Some(&free)).into_iter().map(|(on, ..)| on).collect();
    assert_eq!(seats, ["lead", "lead"]);
}

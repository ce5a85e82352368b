//! The lineup of small tunes, counted by hand.

use super::*;
use crate::kit;
use crate::tune::Tune;

const BAND: &str = "name = \"Band\"\n[[pan]]\nname = \"First\"\nlayout = \"lead-c\"\nplays = [\"lead\"]\n[[pan]]\nname = \
                    \"Tenors\"\nlayout = \"double-tenor\"\n[[pan]]\nname = \"Seconds\"\nlayout = \"double-second\"\n[[pan]]\nname = \
                    \"Cellos\"\nlayout = \"triple-cello\"\n[[percussion]]\nname = \"Drum\"\nkind = \"iron\"\n";

const PARTS: &str = "roll none\npart lead on lead\npart tenor on double-tenor\npart second on double-second\npart cello on \
                     triple-cello\npart bass on six-bass\npart iron on iron\n";

fn tune(rest: &str) -> Tune {
    kit::tune(BAND, &format!("{PARTS}{rest}"))
}

fn found(rest: &str) -> Vec<(&'static str, String)> {
    balance(&tune(rest))
        .into_iter()
        .map(|finding| (finding.kind.name, finding.message + ": " + &finding.label))
        .collect()
}

#[test]
fn strokes_registers_and_players() {
    let tune = tune("form a x2\nsection a\n lead | B4 C5 C6 . |\n cello | B2+C3 . . B3 |\n iron | x x x x |\n");
    let counts = parts(&tune);
    assert_eq!(counts[0], PartStrokes { strokes: 6, registers: vec![0, 0, 2, 2, 2] });
    assert_eq!(counts[3], PartStrokes { strokes: 4, registers: vec![2, 4, 0, 0, 0] });
    assert_eq!(counts[5], PartStrokes { strokes: 8, registers: Vec::new() });
    // What `check` counts.
    let checked = crate::check::check(&tune, &crate::check::Options::default());
    assert!(counts.iter().zip(&checked.parts).all(|(count, part)| count.strokes == part.strokes));
    assert_eq!(players(&tune)[&crate::pan::Piece::Pan(0)], [0]);
    assert_eq!(players(&tune)[&crate::pan::Piece::Percussion(0)], [5]);
    assert_eq!(without_player(&tune), [4]);
}

#[test]
fn a_lead_is_masked_from_above_and_from_beside() {
    // Above: F5 over E5. Beside: A4 is a tone under B4. An octave of the lead's own note strengthens it, and four semitones
    // are far enough.
    let over = "section a\n lead | E5 B4 C5 D5 |\n tenor | F5 A4 C6 Bb4 |\n";
    let text = "2 of 4 strokes of `lead` have another pan beside or above them: `tenor` 2 times".to_owned();
    assert_eq!(found(over), [("masked-lead", text)]);
    // One of four is not often.
    assert!(found("section a\n lead | E5 B4 C5 D5 |\n tenor | F5 . . . |\n").is_empty());
    // What does not strike with it, and what strikes the same, does not mask it.
    assert!(found("section a\n lead | E5 . B4 . |\n tenor | . F5 . C5 |\n").is_empty());
    assert!(found("section a\n lead | E5 C5 B4 A4 |\n tenor = with lead\n").is_empty());
    // A section that is never played does not count.
    assert!(found("form b\nsection a\n lead | E5 |\n tenor | F5 |\nsection b\n lead | E5 |\n").is_empty());
}

#[test]
fn three_of_the_middle_in_one_octave_are_a_crowd() {
    let crowded = "section a\n tenor | C4 . . . |\n second | E4 . . . |\n cello | G3+Bb3 G3 . . |\n";
    let text = "at 1 of 2 moments of the middle pans, 3 or more strike in one octave: `tenor`, `second`, and `cello`";
    assert_eq!(found(crowded), [("crowded-middle", text.to_owned())]);
    // An octave away, at other times, or the same notes.
    assert!(found("section a\n tenor | C5 . . . |\n second | E4 . . . |\n cello | G3 . . . |\n").is_empty());
    assert!(found("section a\n tenor | C4 . . . |\n second | E4 . . . |\n cello | . G3 . . |\n").is_empty());
    assert!(found("section a\n tenor | C4 |\n second = with tenor\n cello | G3 |\n").is_empty());
}

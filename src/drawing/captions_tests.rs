//! What is said under the picture of a pan: each mark that is drawn is told, and none that is not.

use super::captions::captions;
use super::face::Options;
use crate::music::Cents;
use crate::pan::layout;

#[test]
fn crossed_out_notes_are_told_whether_dead_or_absent() {
    let crossed = "crossed out: not on this pan".to_owned();
    let plain = layout("lead-c").expect("a layout");
    assert!(!captions(plain, &Options::default()).contains(&crossed));
    let mut dead = plain.clone();
    let note = dead.drums[0].notes.remove(0);
    dead.drums[0].dead.push(note);
    assert!(captions(&dead, &Options::default()).contains(&crossed), "a dead note");
    let wanted = vec!["F7".parse().expect("a note")];
    assert!(captions(plain, &Options { wanted, ..Options::default() }).contains(&crossed), "one that the part wants");
}

#[test]
fn rims_and_arrows_are_told_where_they_are_drawn() {
    let (rim, arrow) = ("dark rim and number", "arrow and number");
    let plain = layout("lead-c").expect("a layout");
    let has = |captions: Vec<String>, what: &str| captions.iter().any(|caption| caption.starts_with(what));
    assert!(!has(captions(plain, &Options::default()), rim) && !has(captions(plain, &Options::default()), arrow));
    let struck = [("C4".parse().expect("a note"), 3)].into_iter().collect();
    assert!(has(captions(plain, &Options { struck, ..Options::default() }), rim));
    let mut off = plain.clone();
    off.drums[0].notes[0].cents = Cents(-14.0);
    assert!(has(captions(&off, &Options::default()), arrow));
}

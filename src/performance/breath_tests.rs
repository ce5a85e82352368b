//! Where a line breathes: after a rest of a beat before a bar line, and after nothing shorter.

use super::perform::{Options, perform};
use super::phrases::phrases;
use super::tests::tune;

fn breaths(head: &str, bar: &str) -> usize {
    let text = format!("roll none\n{head}section a\n lead | {bar} | {bar} |\n");
    phrases(&perform(&tune(&text), &Options::default()), &[0], 0, 2).len()
}

#[test]
fn a_rest_of_exactly_a_beat_is_a_breath() {
    assert_eq!(breaths("", "C5 - - ."), 2);
    assert_eq!(breaths("meter 3/4\n", "C5 - ."), 2);
    assert_eq!(breaths("meter 6/8\n", "C5 - - . . ."), 2, "a beat of 6/8 is three eighths");
}

#[test]
fn a_shorter_rest_is_none() {
    assert_eq!(breaths("", "C5 - - - - - - ."), 1);
    assert_eq!(breaths("meter 6/8\n", "C5 - - - . ."), 1);
    assert_eq!(breaths("", "C5 . . C5"), 1, "nor is a rest in the bar");
}

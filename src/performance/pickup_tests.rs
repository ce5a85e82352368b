//! Drills that begin with a pickup: the count-in leaves out the beats that the pickup takes.

use super::drill::{Kind, Request, drill};
use super::perform::TempoChoice;
use super::tests::tune;
use crate::music::Length;

#[test]
fn a_count_in_before_a_pickup_is_a_bar_and_the_rest_of_the_pickups_bar() {
    let tune = tune("pickup 1\nsection a\n lead | G4 | C5 . . . | D5 . . . |\n");
    let quarters = |bars| {
        let kind = Kind::Loop { times: 1 };
        let request = Request { part: 0, kind, section: None, bars: Some(bars), tempo: TempoChoice::AsWritten };
        let drill = drill(&tune, &request).expect("a drill");
        let first = drill.performance.strokes.iter().find(|stroke| stroke.voice == 0).expect("a stroke").at;
        assert_eq!(first, drill.performance.begin);
        first.since_start()
    };
    // Four beats, and three of the bar that the pickup ends.
    assert_eq!(quarters((1, 2)), Length::quarters(7, 1));
    // From the first full bar on it is a bar.
    assert_eq!(quarters((2, 3)), Length::quarters(4, 1));
}

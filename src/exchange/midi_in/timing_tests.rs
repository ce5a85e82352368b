//! From where on a MIDI file counts as played without a click: by how far its notes lie off the grid, on the average.

use super::*;
use crate::midi::file::Ending;

/// Whether it is told that notes lie off the beats of the tempo, when each begins so many ticks of 960 after a beat.
fn told(count: u64, late: u64) -> bool {
    let note = |i: u64| Note {
        tick: 960 * i + late,
        track: 0,
        channel: 0,
        key: 60,
        velocity: 80,
        length: 960,
        ending: Ending::Released,
    };
    let notes: Vec<Note> = (0..count).map(note).collect();
    let timing = Timing::of(&notes, 960, None);
    assert!(timing.grid().is_some(), "such places are none of written music");
    let placed = timing.places(&notes);
    let mut lost = Lost::default();
    timing.tell(&notes, &placed, &[], &mut lost);
    lost.findings("a.mid", None).iter().any(|finding| finding.message.contains("without a click"))
}

#[test]
fn notes_a_twenty_fifth_of_a_beat_off_do_not_keep_to_the_beat() {
    // 0.04 of a quarter are 38.4 ticks of 960: our own setting, see `OFF_BEAT`.
    assert!(told(64, 39));
    assert!(!told(64, 37));
}

#[test]
fn of_a_few_notes_nothing_is_said() {
    // Sixteen are enough: our own setting, see `ENOUGH`.
    assert!(told(16, 43));
    assert!(!told(15, 43));
}

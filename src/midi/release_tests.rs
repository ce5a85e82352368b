//! How notes end in a file: with a release of the velocity that stands for one that is not known.

use super::tests::{LEAD, note, performance, stroke};
use super::*;

#[test]
fn a_release_has_the_velocity_of_one_that_is_not_known() {
    let played = performance(Default::default(), &[LEAD], vec![stroke(0, note(60), (0, 1), (1, 1), 80)]);
    let bytes = write(&played);
    let file = Smf::parse(&bytes).expect("a file");
    let events = file.tracks[1].iter().filter_map(|event| match event.kind {
        TrackEventKind::Midi { message, .. } => Some(message),
        _ => None,
    });
    let notes: Vec<MidiMessage> =
        events.filter(|message| !matches!(message, MidiMessage::ProgramChange { .. })).collect();
    // 64, where a player's is not known (Standard MIDI Files 1.0; see `RELEASE`).
    let key = u7::new(60);
    assert_eq!(notes, [MidiMessage::NoteOn { key, vel: u7::new(80) }, MidiMessage::NoteOff { key, vel: u7::new(64) }]);
}

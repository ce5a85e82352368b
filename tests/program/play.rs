//! `panfold play`, in builds with speakers and without.

use super::{done, program, says, small};

#[cfg(not(feature = "speakers"))]
#[test]
fn without_speakers_it_says_what_to_do() {
    let folder = small();
    let done = super::run(&folder, "play jam.tune");
    assert_eq!(done.code, Some(2));
    assert!(says(&done.err, "built without speakers") && says(&done.err, "panfold render --sound"), "{}", done.err);
}

/// ALSA's null device takes every sound and makes none.
#[cfg(all(feature = "speakers", target_os = "linux"))]
#[test]
fn a_tune_plays_to_its_end() {
    let folder = small();
    let settings = folder.path().join("alsa.conf");
    std::fs::write(&settings, "pcm.!default { type null }\nctl.!default { type null }\n").expect("a file");
    let played =
        program(&folder).args(["play", "jam.tune", "--part", "lead"]).env("ALSA_CONFIG_PATH", &settings).output();
    let played = done(played.expect("the program runs"));
    assert_eq!(played.code, Some(0), "{}", played.err);
    assert!(says(&played.err, "playing Jam"), "{}", played.err);
}

#[cfg(all(feature = "speakers", target_os = "linux"))]
#[test]
fn without_a_sound_device_it_says_what_to_do() {
    let folder = small();
    let settings = folder.path().join("alsa.conf");
    std::fs::write(&settings, "").expect("a file");
    let played = program(&folder).args(["play", "jam.tune"]).env("ALSA_CONFIG_PATH", &settings).output();
    let played = done(played.expect("the program runs"));
    assert_eq!(played.code, Some(2), "{}", played.err);
    assert!(says(&played.err, "the sound device can't be used"), "{}", played.err);
}

#[test]
fn a_wrong_part_is_told() {
    let folder = small();
    let done = done(program(&folder).args(["play", "jam.tune", "--part", "laed"]).output().expect("the program runs"));
    assert!(done.code == Some(2) && says(&done.err, "did you mean `lead`?"), "{}", done.err);
}

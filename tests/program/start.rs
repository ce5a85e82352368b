//! `panfold start`: what it writes works, and nothing is written over.

use std::fs;

use super::{listing, run, says};

#[test]
fn what_it_writes_can_be_checked_and_packed() {
    let folder = tempfile::tempdir().expect("a folder");
    let done = run(folder.path(), "start our/tunes");
    assert_eq!((done.code, done.err.as_str()), (Some(0), ""));
    insta::assert_snapshot!(done.out.replace('\\', "/"), @"
    wrote our/tunes/our-band.toml and our/tunes/first-tune.tune

    Both explain themselves: open them in any text editor. Then type

      panfold check our/tunes/first-tune.tune
      panfold pack our/tunes/first-tune.tune -o our/tunes/first-pack
    ");
    let check = run(folder.path(), "check our/tunes/first-tune.tune");
    assert_eq!((check.code, check.out.as_str()), (Some(0), "First Tune on Our band: no problems found in 4 parts\n"));
    let pack = run(folder.path(), "pack our/tunes/first-tune.tune -o our/tunes/first-pack --strict");
    assert_eq!(pack.code, Some(0), "{}", pack.err);
    assert_eq!(listing(&folder.path().join("our/tunes/first-pack")).len(), 22);
}

#[test]
fn nothing_is_written_over() {
    let folder = tempfile::tempdir().expect("a folder");
    fs::write(folder.path().join("our-band.toml"), "mine").expect("a file");
    let done = run(folder.path(), "start .");
    assert_eq!(done.code, Some(2));
    assert!(says(&done.err, "is there already"), "{}", done.err);
    assert_eq!(listing(folder.path()), ["our-band.toml"]);
    assert_eq!(fs::read_to_string(folder.path().join("our-band.toml")).expect("a file"), "mine");
}

#[test]
fn one_that_was_stopped_between_its_files_goes_on() {
    let folder = tempfile::tempdir().expect("a folder");
    assert_eq!(run(folder.path(), "start .").code, Some(0));
    fs::remove_file(folder.path().join("first-tune.tune")).expect("it was there");
    assert_eq!(run(folder.path(), "start .").code, Some(0));
    assert_eq!(listing(folder.path()), ["first-tune.tune", "our-band.toml"]);
    // Once both are there, nothing is begun again.
    assert_eq!(run(folder.path(), "start .").code, Some(2));
}

#[test]
fn a_file_in_the_way_of_the_folder() {
    let folder = tempfile::tempdir().expect("a folder");
    fs::write(folder.path().join("our"), "mine").expect("a file");
    for arguments in ["start our", "start our/tunes"] {
        let done = run(folder.path(), arguments);
        assert_eq!(done.code, Some(2));
        assert!(says(&done.err, "can't be a folder: a file is in the way"), "{}", done.err);
    }
}

//! `panfold tidy`: cells under each other, nothing lost, nothing touched that is tidy already.

use std::fs;

use super::{here, listing, run, says, small};

#[test]
fn a_tune_is_tidied_once() {
    let folder = small();
    let path = folder.path().join("jam.tune");
    assert_eq!(run(folder.path(), "tidy --check jam.tune").code, Some(1));
    let before = run(folder.path(), "render jam.tune --json").out;
    let done = run(folder.path(), "tidy jam.tune");
    assert_eq!((done.code, done.out.as_str()), (Some(0), "jam.tune: tidied\n"));
    assert_eq!(run(folder.path(), "render jam.tune --json").out, before);
    let (text, written) = (fs::read(&path).expect("a file"), fs::metadata(&path).expect("a file").modified().ok());
    let again = run(folder.path(), "tidy jam.tune");
    assert_eq!((again.code, again.out.as_str()), (Some(0), "jam.tune: tidy already\n"));
    assert_eq!(fs::read(&path).expect("a file"), text);
    assert_eq!(fs::metadata(&path).expect("a file").modified().ok(), written);
    assert_eq!(run(folder.path(), "tidy --check jam.tune").code, Some(0));
}

#[test]
fn one_that_cannot_be_read_does_not_stop_the_others() {
    let folder = small();
    let done = run(folder.path(), "tidy nowhere.tune . jam.tune");
    assert_eq!((done.code, done.out.as_str()), (Some(2), "jam.tune: tidied\n"));
    assert!(says(&done.err, "there is no file `nowhere.tune`") && says(&done.err, "`.` is a folder"), "{}", done.err);
}

#[test]
fn broken_tunes_keep_what_they_say() {
    let folder = tempfile::tempdir().expect("a folder");
    for entry in fs::read_dir(here("broken/tunes")).expect("a folder") {
        let path = entry.expect("an entry").path();
        fs::copy(&path, folder.path().join(path.file_name().expect("a name"))).expect("a copy");
    }
    // What is told depends on places, which may move; how much is told may not.
    let kinds = |name: &str| -> Vec<String> {
        let out = run(folder.path(), &format!("check {name}")).out;
        let first = |line: &str| line.split(']').next().unwrap_or_default().to_owned();
        out.lines().filter(|line| line.contains("]: ")).map(first).collect()
    };
    for name in listing(folder.path()).iter().filter(|name| name.ends_with(".tune")) {
        let before = kinds(name);
        let done = run(folder.path(), &format!("tidy {name}"));
        if done.code == Some(0) {
            assert_eq!(kinds(name), before, "{name}");
            assert_eq!(run(folder.path(), &format!("tidy --check {name}")).code, Some(0), "{name} is not tidy at once");
        }
    }
    assert!(listing(folder.path()).iter().all(|name| !name.contains("unfinished")));
}

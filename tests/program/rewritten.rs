//! A tune that `tidy` and `fit --write` change keeps its owner, its rights and its names, or is not changed.
#![cfg(unix)]

use std::fs::{self, Permissions};
use std::os::unix::fs::{MetadataExt, PermissionsExt};
use std::path::Path;

use super::{listing, run, says, small};

/// The commands that change the tune `jam.tune`, which is not tidy and has a note that is too low.
const COMMANDS: [&str; 2] = ["tidy jam.tune", "fit jam.tune --write"];

fn to_be_changed() -> tempfile::TempDir {
    let folder = small();
    let path = folder.path().join("jam.tune");
    let tune = fs::read_to_string(&path).expect("a file");
    fs::write(&path, tune.replace("lead | D5 . G5 B5 |", "lead | D3    . G5 B5 |")).expect("a file");
    folder
}

fn tune(folder: &Path) -> String {
    fs::read_to_string(folder.join("jam.tune")).expect("a file")
}

#[test]
fn rights_and_owner_stay() {
    for command in COMMANDS {
        let folder = to_be_changed();
        let path = folder.path().join("jam.tune");
        fs::set_permissions(&path, Permissions::from_mode(0o664)).expect("rights");
        // Only root may give files away.
        let given = std::os::unix::fs::chown(&path, Some(12345), Some(12346)).is_ok();
        let before = (tune(folder.path()), fs::metadata(&path).expect("a file"));
        let done = run(&folder, command);
        assert!(matches!(done.code, Some(0 | 1)), "{command}: {}", done.err);
        assert_ne!(tune(folder.path()), before.0, "{command}");
        let after = fs::metadata(&path).expect("a file");
        let facts = |file: &fs::Metadata| (file.mode(), file.uid(), file.gid());
        assert_eq!(facts(&after), facts(&before.1), "{command}, given away: {given}");
    }
}

#[test]
fn one_with_two_names_is_not_parted() {
    for command in COMMANDS {
        let folder = to_be_changed();
        fs::hard_link(folder.path().join("jam.tune"), folder.path().join("other.tune")).expect("a link");
        let before = tune(folder.path());
        let done = run(&folder, command);
        assert_eq!(done.code, Some(2), "{command}");
        assert!(says(&done.err, "`jam.tune` has other names too"), "{command}: {}", done.err);
        assert_eq!(tune(folder.path()), before);
        assert_eq!(listing(folder.path()), ["band.toml", "jam.tune", "other.tune"]);
    }
}

#[test]
fn one_that_may_only_be_read_is_not_replaced() {
    for command in COMMANDS {
        let folder = to_be_changed();
        fs::set_permissions(folder.path().join("jam.tune"), Permissions::from_mode(0o444)).expect("rights");
        let before = tune(folder.path());
        let done = run(&folder, command);
        assert_eq!(done.code, Some(2), "{command}");
        assert!(says(&done.err, "you are not allowed to write `jam.tune`"), "{command}: {}", done.err);
        assert_eq!(tune(folder.path()), before);
    }
}

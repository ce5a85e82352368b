//! Files appear whole or not at all, with the permissions that they had, and nothing else is left behind.

use std::fs;

use super::{listing, run, says, small};

/// Whether this user may write everywhere, as root may; then missing permissions can't be tried.
#[cfg(unix)]
fn may_write_anywhere() -> bool {
    use std::os::unix::fs::PermissionsExt;
    let folder = tempfile::tempdir().expect("a folder");
    fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o555)).expect("permissions");
    let may = fs::write(folder.path().join("try"), "").is_ok();
    fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o755)).expect("permissions");
    may
}

#[cfg(unix)]
#[test]
fn permissions_stay_and_links_are_followed() {
    use std::os::unix::fs::PermissionsExt;
    let folder = small();
    let at = |name: &str| folder.path().join(name);
    fs::write(at("old.mid"), "old").expect("a file");
    fs::set_permissions(at("old.mid"), fs::Permissions::from_mode(0o640)).expect("permissions");
    std::os::unix::fs::symlink("old.mid", at("link.mid")).expect("a link");
    assert_eq!(run(folder.path(), "render jam.tune --midi link.mid --replace").code, Some(0));
    assert!(at("link.mid").symlink_metadata().expect("a link").is_symlink());
    assert!(fs::read(at("old.mid")).expect("a file").starts_with(b"MThd"));
    assert_eq!(fs::metadata(at("old.mid")).expect("a file").permissions().mode() & 0o777, 0o640);
    // A new file may be read by whoever may read other new files.
    assert_eq!(run(folder.path(), "render jam.tune --midi new.mid").code, Some(0));
    fs::write(at("usual"), "").expect("a file");
    let mode = |name: &str| fs::metadata(at(name)).expect("a file").permissions().mode();
    assert_eq!(mode("new.mid"), mode("usual"));
}

#[cfg(unix)]
#[test]
fn a_folder_that_may_not_be_written_to() {
    use std::os::unix::fs::PermissionsExt;
    if may_write_anywhere() {
        return;
    }
    let folder = small();
    fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o555)).expect("permissions");
    let done = run(folder.path(), "render jam.tune --midi jam.mid");
    fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o755)).expect("permissions");
    assert_eq!(done.code, Some(2));
    assert!(says(&done.err, "may not be written by you"), "{}", done.err);
}

#[test]
fn a_file_that_may_not_be_changed_is_not_replaced() {
    let folder = small();
    let path = folder.path().join("jam.mid");
    fs::write(&path, "old").expect("a file");
    let mut permissions = fs::metadata(&path).expect("a file").permissions();
    permissions.set_readonly(true);
    fs::set_permissions(&path, permissions).expect("permissions");
    let done = run(folder.path(), "render jam.tune --midi jam.mid --replace");
    assert_eq!(done.code, Some(2));
    assert!(says(&done.err, "you are not allowed to write `jam.mid`"), "{}", done.err);
    assert_eq!(fs::read_to_string(&path).expect("a file"), "old");
    assert_eq!(listing(folder.path()), ["band.toml", "jam.mid", "jam.tune"]);
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_leaves_what_was_there() {
    // A limit on the size of files (`ulimit -f`, in blocks of 512 or 1024 bytes) fails as a full disk does: in the middle.
    let folder = small();
    fs::write(folder.path().join("jam.wav"), "old").expect("a file");
    let line = format!(
        "trap '' XFSZ; ulimit -f 16; exec {} render jam.tune --sound jam.wav --replace",
        env!("CARGO_BIN_EXE_panfold")
    );
    let output = std::process::Command::new("sh").args(["-c", &line]).current_dir(folder.path()).output().expect("sh");
    let done = super::done(output);
    assert_eq!(done.code, Some(2), "{}", done.err);
    assert!(says(&done.err, "`jam.wav` can't be written"), "{}", done.err);
    assert_eq!(fs::read_to_string(folder.path().join("jam.wav")).expect("a file"), "old");
    assert_eq!(listing(folder.path()), ["band.toml", "jam.tune", "jam.wav"]);
}

#[cfg(target_os = "linux")]
#[test]
fn without_memory_it_ends_with_a_sentence() {
    let folder = small();
    let wav = folder.path().join("jam.wav");
    let with = |kilobytes: usize, arguments: &str| {
        let line = format!("ulimit -v {kilobytes}; exec {} {arguments}", env!("CARGO_BIN_EXE_panfold"));
        let mut shell = std::process::Command::new("sh");
        super::done(shell.args(["-c", &line]).current_dir(folder.path()).output().expect("sh"))
    };
    let mut refused = 0;
    // With the least of it the system can't even begin the program.
    for kilobytes in (10_000..400_000).step_by(3_000).filter(|some| with(*some, "--version").code == Some(0)) {
        fs::write(&wav, "old").expect("a file");
        let done = with(kilobytes, "render jam.tune --sound jam.wav --replace");
        if done.code == Some(0) {
            break;
        }
        assert_eq!(done.code, Some(2), "{kilobytes}: {}", done.err);
        assert!(says(&done.err, "no memory left"), "{kilobytes}: {}", done.err);
        assert_eq!(fs::read_to_string(&wav).expect("a file"), "old");
        refused += 1;
    }
    assert!(refused > 0);
}

#[cfg(unix)]
#[test]
fn a_pipe_or_device_is_written_to_and_not_replaced() {
    use std::os::unix::fs::FileTypeExt;
    let folder = small();
    assert_eq!(run(folder.path(), "render jam.tune --sound /dev/null --midi /dev/null").code, Some(2));
    assert_eq!(run(folder.path(), "render jam.tune --midi /dev/null").code, Some(0));
    assert!(fs::metadata("/dev/null").expect("a device").file_type().is_char_device());
}

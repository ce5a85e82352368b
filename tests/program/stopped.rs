//! Runs that are stopped at any moment: nothing half-written, and nothing left after the next run.
#![cfg(unix)]

use std::fs;
use std::path::Path;
use std::process::{Child, Stdio};
use std::time::Duration;

use super::{listing, program, run, small};

/// The demo tune of these tests, long enough to be met while it is rendered.
fn long() -> tempfile::TempDir {
    let folder = small();
    let tune = fs::read_to_string(folder.path().join("jam.tune")).expect("a file");
    fs::write(folder.path().join("jam.tune"), tune.replace("form verse", "form verse x60")).expect("a file");
    folder
}

fn begin(folder: &Path, arguments: &str) -> Child {
    let mut command = program(folder);
    command.args(arguments.split(' ')).stdout(Stdio::null()).stderr(Stdio::null());
    command.spawn().expect("it starts")
}

fn send(signal: &str, child: &Child) {
    let sent = std::process::Command::new("kill").args([&format!("-{signal}"), &child.id().to_string()]).status();
    assert!(sent.expect("kill runs").success());
}

/// Whether something unfinished lies in a folder or below.
fn is_begun(folder: &Path) -> bool {
    fs::read_dir(folder).is_ok_and(|mut entries| {
        entries.any(|entry| entry.is_ok_and(|entry| entry.file_name().to_string_lossy().ends_with(".unfinished")))
    })
}

fn when_begun(child: &mut Child, folder: &Path) {
    while !is_begun(folder) {
        assert!(child.try_wait().expect("a state").is_none(), "it ended before it began to write");
        std::thread::sleep(Duration::from_millis(2));
    }
}

#[test]
fn a_run_that_is_asked_to_stop_takes_its_unfinished_files_away() {
    for (signal, number) in [("INT", 2), ("TERM", 15), ("HUP", 1)] {
        for (arguments, at) in [("render jam.tune --sound jam.wav", ".")] {
            let folder = long();
            let mut child = begin(folder.path(), arguments);
            when_begun(&mut child, &folder.path().join(at));
            send(signal, &child);
            let status = child.wait().expect("it ends");
            assert_eq!(std::os::unix::process::ExitStatusExt::signal(&status), Some(number), "{arguments}: {status}");
            assert_eq!(listing(folder.path()), ["band.toml", "jam.tune"], "{arguments}, {signal}");
            assert!(!folder.path().join("new").exists(), "{arguments}, {signal}");
        }
    }
}

#[test]
fn what_a_killed_run_left_is_swept_by_the_next() {
    let folder = long();
    let mut child = begin(folder.path(), "render jam.tune --sound jam.wav");
    when_begun(&mut child, folder.path());
    send("KILL", &child);
    child.wait().expect("it ends");
    let unfinished = || -> Vec<String> {
        listing(folder.path()).into_iter().filter(|name| name.ends_with(".unfinished")).collect()
    };
    let left = unfinished();
    assert_eq!(left.len(), 1);
    // What another run is just writing stays.
    let mut other = begin(folder.path(), "render jam.tune --sound other.wav");
    while unfinished().is_empty() || unfinished() == left {
        assert!(other.try_wait().expect("a state").is_none(), "it ended before it began to write");
    }
    assert!(!unfinished().contains(&left[0]));
    assert_eq!(run(folder.path(), "render jam.tune --midi jam.mid").code, Some(0));
    assert!(other.try_wait().expect("a state").is_none(), "it is still at work");
    assert!(is_begun(folder.path()), "what is being written was swept");
    send("TERM", &other);
    other.wait().expect("it ends");
    assert_eq!(listing(folder.path()), ["band.toml", "jam.mid", "jam.tune"]);
}

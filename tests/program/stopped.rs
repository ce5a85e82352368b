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
    fs::write(folder.path().join("jam.tune"), tune.replace("form verse", &format!("form{}", " verse x60".repeat(40))))
        .expect("a file");
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

/// Whether a signal is ignored here, and so by all that is started here. Known on Linux only.
fn is_ignored(signal: i32) -> bool {
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let mask = status.lines().find_map(|line| line.strip_prefix("SigIgn:")).unwrap_or("0");
    u64::from_str_radix(mask.trim(), 16).is_ok_and(|mask| mask & 1 << (signal - 1) != 0)
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
        for (arguments, at) in [("render jam.tune --sound jam.wav", "."), ("pack jam.tune -o new/out", "new/out")] {
            let folder = long();
            let mut child = begin(folder.path(), arguments);
            when_begun(&mut child, &folder.path().join(at));
            send(signal, &child);
            // Where whoever started these tests ignores the signal, as a shell does for what runs in its background, it is ignored.
            let number = if is_ignored(number) {
                std::thread::sleep(Duration::from_millis(100));
                assert!(child.try_wait().expect("a state").is_none(), "{arguments}: it minded {signal}");
                send("TERM", &child);
                15
            } else {
                number
            };
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
    let unfinished =
        || -> Vec<String> { listing(folder.path()).into_iter().filter(|name| name.ends_with(".unfinished")).collect() };
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

/// What a folder holds, by name and content, without what is unfinished.
fn contents(folder: &Path) -> Vec<(String, Vec<u8>)> {
    let names = listing(folder).into_iter().filter(|name| !name.contains(".unfinished"));
    names.map(|name| (name.clone(), fs::read(folder.join(&name)).expect("a file"))).collect()
}

/// The same without the list.
fn unlisted(contents: &[(String, Vec<u8>)]) -> Vec<(String, Vec<u8>)> {
    contents.iter().filter(|(name, _)| name != "pack.json").cloned().collect()
}

/// How often a pack is stopped: a hundred times where time does not matter.
fn times() -> u64 {
    if std::env::var_os("PANFOLD_ALL_CASES").is_some() { 100 } else { 6 }
}

#[test]
fn a_pack_over_an_older_one_is_the_old_or_the_new() {
    let folder = small();
    let out = folder.path().join("out");
    let (old, new) = ("pack jam.tune -o out --format wav", "pack jam.tune -o out");
    let before = std::time::Instant::now();
    assert_eq!(run(folder.path(), new).code, Some(0));
    let takes = before.elapsed();
    let whole_new = contents(&out);
    assert_eq!(run(folder.path(), old).code, Some(0));
    let whole_old = contents(&out);
    for number in 0..times() {
        let signal = ["INT", "TERM", "KILL"][(number % 3) as usize];
        let mut child = begin(folder.path(), new);
        std::thread::sleep(takes * ((number * 37 % 100) as u32 + 1) / 100);
        if child.try_wait().expect("a state").is_none() {
            send(signal, &child);
        }
        child.wait().expect("it ends");
        let now = contents(&out);
        // Only a run that is killed within some milliseconds leaves a list that says that the pack is not whole; under an index all
        // is of one pack even then.
        let is_between = || {
            let list = fs::read_to_string(out.join("pack.json")).expect("a list");
            let is_of_one = [&whole_old, &whole_new].map(|pack| unlisted(pack)).contains(&unlisted(&now));
            signal == "KILL" && list.contains("\"whole\": false") && (is_of_one || !out.join("index.html").exists())
        };
        assert!(now == whole_old || now == whole_new || is_between(), "{signal}, run {number}");
        if now != whole_old {
            assert_eq!(run(folder.path(), old).code, Some(0));
            assert_eq!(contents(&out), whole_old);
        }
    }
    assert_eq!(run(folder.path(), "render jam.tune --midi out/jam.mid").code, Some(0));
    assert!(!is_begun(&out), "{:?}", listing(&out));
}

/// `setpriv` (util-linux) takes the rights of root away, whom no limit of threads holds.
#[cfg(target_os = "linux")]
#[test]
fn without_a_thread_to_spare_all_is_done_by_one() {
    use std::os::unix::fs::PermissionsExt;
    let folder = small();
    assert_eq!(run(folder.path(), "pack jam.tune -o out").code, Some(0));
    let many = contents(&folder.path().join("out"));
    fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o777)).expect("rights");
    let line = format!("ulimit -u 1; exec {} pack jam.tune -o alone", env!("CARGO_BIN_EXE_panfold"));
    let mut command = std::process::Command::new("setpriv");
    command.args(["--reuid=54321", "--regid=54321", "--clear-groups", "bash", "-c", &line]).current_dir(folder.path());
    let Ok(output) = command.output() else { return };
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    // Only root may become somebody else, and that one must be able to get at the program.
    if said.contains("setpriv") || said.contains("not found") || said.contains("denied") {
        return;
    }
    assert_eq!(output.status.code(), Some(0), "{said}");
    assert_eq!(contents(&folder.path().join("alone")), many);
}

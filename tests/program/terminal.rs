//! What the program is connected to: pipes that close, colours.

use std::io::Read;
use std::process::Stdio;

use super::{here, program};

#[test]
fn a_closed_pipe_is_met_in_silence() {
    for arguments in
        [&["findings"][..], &["check", "many-mistakes.tune"], &["check", "long-line.tune", "--json"], &["--help"]]
    {
        let mut command = program(here("broken/tunes"));
        let mut child =
            command.args(arguments).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("the program starts");
        drop(child.stdout.take());
        let mut err = String::new();
        child.stderr.take().expect("a pipe").read_to_string(&mut err).expect("text");
        let status = child.wait().expect("it ends");
        assert_eq!(err, "", "panfold {arguments:?}");
        assert!(status.code().is_some(), "ended by a signal: {status}");
    }
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_behind_the_screen_is_told() {
    let full = std::fs::File::options().write(true).open("/dev/full").expect("a device that is always full");
    let output = program(here("broken/tunes")).args(["findings"]).stdout(full).output().expect("it runs");
    assert_eq!(output.status.code(), Some(2));
    let err = String::from_utf8(output.stderr).expect("text");
    assert_eq!(err.lines().next(), Some("Problem: `standard output` can't be written: the disk is full. (unwritable)"));
}

/// `script` (util-linux) gives a program a terminal.
fn on_a_terminal(environment: &[(&str, &str)]) -> Option<String> {
    let line = format!("{} check many-mistakes.tune", env!("CARGO_BIN_EXE_panfold"));
    let mut command = std::process::Command::new("script");
    command.args(["-qec", &line, "/dev/null"]).current_dir(here("broken/tunes"));
    command.env_remove("NO_COLOR").env("TERM", "xterm").envs(environment.iter().copied()).stdin(Stdio::null());
    let output = command.output().ok()?;
    let text = String::from_utf8_lossy(&output.stdout).into_owned();
    text.contains("unknown-kind").then_some(text)
}

#[test]
fn colours_only_on_a_terminal_that_wants_them() {
    let piped = super::run(here("broken/tunes"), "check many-mistakes.tune");
    assert!(!piped.out.contains('\x1b'));
    // Where there is no `script`, only the pipe can be looked at.
    if let Some(text) = on_a_terminal(&[]) {
        assert!(text.contains("\x1b["), "no colours on a terminal");
        let plain = on_a_terminal(&[("NO_COLOR", "1")]).expect("a terminal again");
        assert!(!plain.contains('\x1b'), "colours in spite of NO_COLOR");
        let dumb = on_a_terminal(&[("TERM", "dumb")]).expect("a terminal again");
        assert!(!dumb.contains('\x1b'), "colours on a plain terminal");
    }
}

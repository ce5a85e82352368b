//! One rule for exit codes, the same errors as JSON, and inputs that are no files.

use std::process::Stdio;

use super::{folder_of, here, program, run, small, small_with};

const BROKEN: &str = "band band.toml\npart lead on lead\nsection a\n lead | H5 |\n";

#[test]
fn a_closed_pipe_does_not_hide_what_was_found() {
    for (arguments, code) in [
        ("check many-mistakes.tune", 1),
        ("check missing-notes.tune --json", 1),
        ("lineup missing-notes.tune", 0),
        ("check nowhere.tune", 2),
    ] {
        let (reader, writer) = std::io::pipe().expect("a pipe");
        drop(reader);
        let mut command = program(here("broken/tunes"));
        let status = command.args(arguments.split(' ')).stdout(writer).stderr(Stdio::null()).status().expect("it runs");
        assert_eq!(status.code(), Some(code), "panfold {arguments}");
    }
}

#[test]
fn a_tune_with_errors_is_1_from_check_and_2_where_it_stops_a_command() {
    let band = "name = \"T\"\n[[pan]]\nname = \"P\"\nlayout = \"nosuch\"\n";
    let folder = small_with(&[
        ("broken.tune", BROKEN),
        ("bandless.tune", "part lead on lead\nsection a\n lead | C5 |\n"),
        ("odd.toml", band),
        ("odder.toml", "name = \n"),
    ]);
    for (arguments, code) in [
        ("check jam.tune", 0),
        ("check broken.tune", 1),
        ("check bandless.tune", 1),
        ("check jam.tune --band odd.toml", 1),
        ("check jam.tune --band odder.toml", 1),
        ("check jam.tune --band nowhere.toml", 2),
        ("check nowhere.tune", 2),
        ("check broken.tune nowhere.tune jam.tune", 2),
    ] {
        assert_eq!(run(&folder, arguments).code, Some(code), "{arguments}");
    }
    for command in [
        "render {} --json",
        "pack {}",
        "page {} --part lead",
        "sheet {}",
        "export {} --json",
        "drill {} --part lead",
        "fit {}",
        "cover lead-c {}",
        "lineup {}",
        "sticks {} --part lead",
        "share {} --part lead",
        "play {}",
    ] {
        for tune in ["broken.tune", "nowhere.tune"] {
            let arguments = command.replace("{}", tune);
            assert_eq!(run(&folder, &arguments).code, Some(2), "{arguments}");
        }
    }
    for arguments in ["tidy nowhere.tune", "pans nowhere.toml", "import nowhere.mid", "findings nosuch"] {
        assert_eq!(run(&folder, arguments).code, Some(2), "{arguments}");
    }
}

#[test]
fn errors_are_json_where_json_is_asked_for() {
    let folder = small_with(&[("broken.tune", BROKEN)]);
    for arguments in [
        "render nowhere.tune --json",
        "render broken.tune --json",
        "export nowhere.tune --json",
        "drill jam.tune --part nosuch --json",
        "fit broken.tune --json",
        "cover nosuch jam.tune --json",
        "lineup nowhere.tune --json",
        "sticks jam.tune --part nosuch --json",
        "share jam.tune --part nosuch --json",
        "pans nosuch --json",
        "patterns nosuch --json",
        "import nowhere.mid --json",
        "render --json",
        "check --json --nosuch",
    ] {
        let done = run(&folder, arguments);
        assert_eq!((done.code, done.err.as_str()), (Some(2), ""), "{arguments}");
        let error = &done.json()["errors"][0];
        assert_eq!(error["severity"], "error", "{arguments}");
        assert!(error["message"].as_str().is_some_and(|text| !text.is_empty()), "{arguments}");
    }
}

#[test]
fn import_tells_in_json_why_a_file_was_not_brought_in() {
    let folder = small_with(&[("song.mid", "no music")]);
    let done = run(&folder, "import song.mid nowhere.mid -o tunes --json");
    assert_eq!((done.code, done.err.as_str()), (Some(2), ""));
    let json = done.json();
    for (number, (file, kind)) in [("song.mid", "wrong-music-file"), ("nowhere.mid", "unreadable")].iter().enumerate() {
        let tune = &json["tunes"][number];
        assert_eq!((&tune["file"], &tune["output"]), (&(*file).into(), &serde_json::Value::Null));
        assert_eq!(tune["findings"][0]["kind"], *kind);
    }
}

#[test]
fn every_help_has_an_example_and_tells_the_exit_codes() {
    let help = run(".", "--help").out;
    let names: Vec<&str> = help.lines().filter_map(|line| line.strip_prefix("  ")?.split(' ').next()).collect();
    let names = names.into_iter().filter(|name| name.starts_with(|c: char| c.is_ascii_lowercase()));
    let mut count = 0;
    for name in names.chain(["pans new"]) {
        let help = run(".", &format!("{name} --help")).out;
        assert!(help.contains("Exit codes:\n  0  "), "{name}: {help}");
        assert!(help.contains("\n  2  "), "{name}: {help}");
        assert!(help.contains("Examples") && help.contains(&format!("  panfold {name}")), "{name}: {help}");
        count += 1;
    }
    assert_eq!(count, 23);
}

#[cfg(unix)]
#[test]
fn pipes_and_sockets_are_refused_at_once() {
    let folder = small();
    let at = |name: &str| folder.path().join(name);
    for name in ["pipe.tune", "pipe.toml", "pipe.mid", "pipe.mxl"] {
        assert!(std::process::Command::new("mkfifo").arg(at(name)).status().expect("mkfifo runs").success());
    }
    let _socket = std::os::unix::net::UnixListener::bind(at("socket.tune")).expect("a socket");
    for arguments in [
        "check pipe.tune",
        "check jam.tune --band pipe.toml",
        "tidy pipe.tune",
        "import pipe.mid",
        "import pipe.mxl",
        "pans pipe.toml",
        "check socket.tune",
    ] {
        let done = run(&folder, arguments);
        assert_eq!(done.code, Some(2), "{arguments}");
        let said = done.out + &done.err;
        assert!(
            said.contains("is a pipe, not a file") || said.contains("is a socket, not a file"),
            "{arguments}: {said}"
        );
    }
}

#[test]
fn a_tune_beside_pipes_is_read() {
    // Files beside a tune are looked at for its band.
    let folder = folder_of(&[("a.tune", "part lead on lead\nsection a\n lead | C5 |\n")]);
    assert_eq!(run(&folder, "check a.tune").code, Some(1));
}

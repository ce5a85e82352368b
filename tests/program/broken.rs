//! Broken files, and beside each the screen that it must give.
//!
//! `PANFOLD_WRITE_SCREENS=1 cargo test --test program broken::` writes the screens anew, and a second run the examples that `panfold
//! findings` shows, which are taken from them; look at the difference before you keep it.

use std::collections::BTreeMap;
use std::ffi::OsStr;
use std::fmt::Write;
use std::fs;
use std::path::Path;

use super::{Done, here, program, run, says};

/// The names of the files in a folder of broken files that end in `.ending`, in order.
fn files(folder: &str, ending: &str) -> Vec<String> {
    let entries = fs::read_dir(here("broken").join(folder)).expect("the folder of broken files");
    let paths = entries.map(|entry| entry.expect("an entry").path());
    let fits = paths.filter(|path| path.extension() == Some(OsStr::new(ending)));
    let mut names: Vec<String> = fits.filter_map(|path| Some(path.file_name()?.to_str()?.to_owned())).collect();
    names.sort();
    names
}

/// The screen of a run: its exit code, standard output, standard error.
fn screen(arguments: &str, done: &Done) -> String {
    let mut screen = format!("$ panfold {arguments}\n{}", done.out);
    if !done.err.is_empty() {
        write!(screen, "--- standard error\n{}", done.err).expect("text takes text");
    }
    writeln!(screen, "--- ends with {}", done.code.expect("not ended by a signal")).expect("text takes text");
    screen
}

/// Runs the program on every broken file of a folder and compares the screens.
fn compare(folder: &str, ending: &str, arguments: impl Fn(&str) -> String) -> usize {
    let broken = files(folder, ending);
    let mut different = Vec::new();
    for name in &broken {
        let arguments = arguments(name);
        let done = run(here("broken").join(folder), &arguments);
        let told =
            ["problem: ", "Problem: ", "advice: "].iter().any(|word| says(&done.out, word) || says(&done.err, word));
        assert!(told, "{folder}/{name}: nothing is found wrong");
        let found = screen(&arguments, &done);
        let path = here("broken").join(folder).join(Path::new(name).with_extension("screen"));
        if std::env::var_os("PANFOLD_WRITE_SCREENS").is_some() {
            fs::write(&path, &found).expect("a file");
        } else if fs::read_to_string(&path).unwrap_or_default() != found {
            different.push(format!("{}:\n{found}", path.display()));
        }
    }
    assert!(different.is_empty(), "these screens differ from their files:\n\n{}", different.join("\n"));
    broken.len()
}

#[test]
fn tunes() {
    assert!(compare("tunes", "tune", |name| format!("check {name}")) >= 50);
}

#[test]
fn bands() {
    assert!(compare("bands", "toml", |name| format!("check march.tune --band {name}")) >= 25);
}

#[test]
fn pans() {
    assert!(compare("pans", "toml", |name| format!("pans {name}")) >= 8);
}

/// The findings on all screens, as they look there: of those whose message differs only in names and numbers the shortest.
fn examples() -> String {
    let mut found: BTreeMap<(String, String), String> = BTreeMap::new();
    for folder in ["tunes", "bands", "pans"] {
        for name in files(folder, "screen") {
            let screen = fs::read_to_string(here("broken").join(folder).join(name)).expect("a screen");
            for block in screen.split("\n\n") {
                let lines: Vec<&str> =
                    block.lines().filter(|line| !line.starts_with("$ ") && !line.starts_with("--- ")).collect();
                let Some(headline) = lines.first().and_then(|line| line.strip_suffix(')')) else { continue };
                let Some((_, kind)) = headline.rsplit_once(['(', ' ']) else { continue };
                let said =
                    lines.iter().find(|line| line.starts_with("  ") && !line.starts_with("   ")).unwrap_or(&lines[0]);
                // What stands in backticks, and numbers, are the file's own.
                let plain: String = said.split('`').step_by(2).collect();
                let plain = plain.chars().filter(|c| !c.is_ascii_digit()).collect();
                let text = lines.join("\n");
                let example = found.entry((kind.to_owned(), plain)).or_insert_with(|| text.clone());
                if text.len() < example.len() {
                    *example = text;
                }
            }
        }
    }
    found.into_values().collect::<Vec<_>>().join("\n\n") + "\n"
}

#[test]
fn examples_of_all_messages_are_those_of_the_screens() {
    let (found, path) = (examples(), here("../../src/cli/findings/examples.txt"));
    if std::env::var_os("PANFOLD_WRITE_SCREENS").is_some() {
        // The program that this test runs has those that were there.
        return fs::write(&path, &found).expect("a file");
    }
    assert!(fs::read_to_string(&path).expect("the examples") == found, "write them anew, and look at what changes");
    let shown = run(".", "findings --all").out;
    assert!(found.split("\n\n").all(|example| shown.contains(example.lines().next().expect("a headline"))));
    // What only other commands say, or no file can bring about.
    let others = [
        "another-player",
        "changed-meanwhile",
        "crossed-hands",
        "crowded-middle",
        "masked-lead",
        "missing-answer",
        "not-carried",
        "not-understood",
        "odd-midi-file",
        "own-mistake",
        "pans-shared",
        "there-already",
        "too-large",
        "too-much-music",
        "unlikely-note",
        "unwritable",
        "written-otherwise",
        "wrong-answer",
        "wrong-music-file",
    ];
    for kind in panfold::cli::kinds::all() {
        let has_one = found.contains(&format!(": {})\n", kind.name)) || found.contains(&format!(" ({})\n", kind.name));
        assert_ne!(has_one, others.contains(&kind.name), "{}", kind.name);
    }
}

#[test]
fn every_screen_has_its_file() {
    for (folder, ending) in [("tunes", "tune"), ("bands", "toml"), ("pans", "toml")] {
        let broken = files(folder, ending);
        for screen in files(folder, "screen") {
            let name = screen.replace(".screen", &format!(".{ending}"));
            assert!(broken.contains(&name), "{folder}/{screen} has no file beside it");
        }
    }
}

/// A tune that is made here, since it is too large to keep: what is said, and how it ends.
fn made(text: &str, arguments: &str) -> (String, Option<i32>) {
    let folder = tempfile::tempdir().expect("a folder");
    fs::write(folder.path().join("made.tune"), text).expect("a file");
    fs::write(folder.path().join("made.toml"), text).expect("a file");
    let done = super::done(program(&folder).args(arguments.split_whitespace()).output().expect("the program runs"));
    (done.out, done.code)
}

#[test]
fn two_megabytes_of_bar_lines() {
    let (said, code) = made(&"|".repeat(2_000_000), "check made.tune");
    assert!(says(&said, "the name of a part is missing before the bars") && code == Some(1), "{said:.2000}");
    let (said, code) = made(&format!("section a\nlead {}", "|".repeat(2_000_000)), "check made.tune");
    assert!(says(&said, "two bar lines touch each other") && code == Some(1), "{said:.2000}");
}

#[test]
fn a_hundred_thousand_cells_in_a_bar() {
    let text = format!("part lead on lead\nsection a\nlead | {}|\n", "C5 ".repeat(100_000));
    let (said, _) = made(&text, "check made.tune");
    assert!(says(&said, "a bar can have 384 cells at most, and this one has 100000"), "{said:.2000}");
}

#[test]
fn a_million_short_lines() {
    let (said, _) = made(&"x\n".repeat(1_000_000), "check made.tune");
    assert!(says(&said, "too-many)"), "{said:.2000}");
}

#[test]
fn deep_nesting() {
    let (open, close) = ("[".repeat(100_000), "]".repeat(100_000));
    let folder = here("broken/bands");
    for text in [format!("name = {open}{close}"), format!("name = {open}"), "a = {".repeat(50_000), "a.".repeat(50_000)]
    {
        let temporary = tempfile::tempdir().expect("a folder");
        let band = temporary.path().join("deep.toml");
        fs::write(&band, text).expect("a file");
        let output = program(&folder).args(["check", "march.tune", "--band"]).arg(&band).output().expect("it runs");
        let done = super::done(output);
        assert_eq!(done.code, Some(1), "{}", done.out);
        assert!(says(&done.out, "(problem: band-syntax)"), "{}", done.out);
    }
}

#[test]
fn a_file_without_end() {
    if Path::new("/dev/zero").exists() {
        let done = run(".", "check /dev/zero");
        assert_eq!(done.code, Some(2));
        assert!(done.out.starts_with("Problem: `/dev/zero` is larger than 2 MiB. (too-large)"), "{}", done.out);
    }
}

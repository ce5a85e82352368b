//! Inputs that have far too much of something: each is answered with a limit, in few words. How long it takes is measured elsewhere.

use std::fs;

use super::{run, says, small};

/// The most that is written to a screen, in bytes.
const MOST: usize = 5_000_000;

const HEAD: &str = "title T\nband band.toml\npart lead on lead\n";
const SECTION: &str = "section a\n lead | C5 |\n";

fn many(count: usize, line: impl Fn(usize) -> String) -> String {
    (0..count).map(line).collect()
}

#[test]
fn tunes() {
    let folder = small();
    let x = |count: usize| "x".repeat(count);
    for (text, expected) in [
        (format!("{HEAD}{}{SECTION}", many(50_000, |n| format!("pattern p{n} | x . |\n"))), "at most 1000 patterns"),
        (format!("{HEAD}{}", many(60_000, |n| format!("section s{n}\n lead | C5 |\n"))), "at most 1000 sections"),
        (format!("{HEAD}{}{SECTION}", many(10_000, |n| format!("part p{n} on lead\n"))), "at most 256 parts"),
        (HEAD.replace("title T", &format!("title {}", x(100_000))) + SECTION, "has at most 500 letters"),
        (format!("by {}\n{HEAD}{SECTION}", "x ".repeat(50_000)), "has at most 500 letters"),
        (format!("{HEAD}section a\n words | {} |\n lead | C5 |\n", x(100_000)), "have at most 500 letters"),
        (format!("{HEAD}part {} on lead\n{SECTION}", x(1_500_000)), "has at most 64 letters"),
        (format!("{HEAD}part b on {}\n{SECTION}", x(1_500_000)), "is not a kind of pan"),
        (format!("{HEAD}section a\n lead | {} |\n", x(1_500_000)), "wrong-cell"),
        (HEAD.replace("band.toml", &x(1_500_000)) + SECTION, "unreadable"),
        (format!("{HEAD}form {}\n{SECTION}", x(1_500_000)), "there is no section"),
    ] {
        fs::write(folder.path().join("made.tune"), text).expect("a file");
        for command in ["check made.tune", "check made.tune --json", "render made.tune --json", "sheet made.tune"] {
            let done = run(&folder, command);
            let said = done.out + &done.err;
            assert!(said.len() < MOST, "{command}, {expected}: {} bytes", said.len());
            assert!(matches!(done.code, Some(1 | 2)), "{command}, {expected}: {:?}", done.code);
            assert!(!command.starts_with("check made.tune") || says(&said, expected), "{expected}: {:.2000}", said);
        }
    }
}

#[test]
fn bands_and_pans() {
    let folder = small();
    let pan = "name = \"T\"\n[[pan]]\nname = \"P\"\nlayout = \"lead-c\"\n";
    let wrong = many(100_000, |n| format!("\"H{n}\","));
    for (text, expected) in [
        (format!("{pan}without = [{wrong}]\n"), "more of this kind, which are not shown"),
        (format!("{pan}{}", many(100_000, |n| format!("k{n} = 1\n"))), "more of this kind, which are not shown"),
        (pan.replace('T', &"x".repeat(1_500_000)), "has at most 1000 letters"),
        (pan.replace("lead-c", &"x".repeat(1_500_000)), "has at most 1000 letters"),
    ] {
        fs::write(folder.path().join("made.toml"), text).expect("a file");
        for command in ["check jam.tune --band made.toml", "check jam.tune --band made.toml --json", "pans made.toml"] {
            let done = run(&folder, command);
            let said = done.out + &done.err;
            assert!(said.len() < MOST, "{command}, {expected}: {} bytes", said.len());
            assert!(says(&said, expected), "{command}: {:.2000}", said);
        }
    }
}

#[test]
fn scores() {
    let folder = small();
    let note = "<note><pitch><step>C</step><octave>5</octave></pitch><duration>4</duration></note>";
    let score = |head: &str, attributes: &str| {
        format!(
            "<score-partwise {attributes}>{head}<part-list/><part id=\"P1\"><measure><attributes><divisions>1</divisions>\
             </attributes>{note}</measure></part></score-partwise>"
        )
    };
    let attributes = many(300_000, |n| format!("a{n}=\"1\" "));
    fs::write(folder.path().join("made.xml"), score("", &attributes)).expect("a file");
    let done = run(&folder, "import made.xml");
    assert_eq!(done.code, Some(2));
    assert!(says(&done.err, "an element with more than 100 attributes"), "{:.2000}", done.err);
    let title = format!("<work><work-title>{}</work-title></work>", "x".repeat(1_500_000));
    fs::write(folder.path().join("made.xml"), score(&title, "")).expect("a file");
    for command in ["import made.xml", "import made.xml -o made.tune --json"] {
        let done = run(&folder, command);
        assert_eq!(done.code, Some(0), "{:.2000}", done.err);
        assert!((done.out + &done.err).len() < MOST);
    }
    assert_ne!(run(&folder, "check made.tune --band band.toml").code, Some(2));
    // As many parts as are taken, and one more.
    for (parts, code) in [(256, 0), (257, 2)] {
        let one = |n: usize| {
            format!(
                "<part id=\"P{n}\"><measure><attributes><divisions>1</divisions></attributes>{note}</measure></part>"
            )
        };
        let parts = many(parts, one);
        fs::write(folder.path().join("made.xml"), format!("<score-partwise><part-list/>{parts}</score-partwise>"))
            .expect("a file");
        let done = run(&folder, "import made.xml -o parts.tune");
        assert_eq!(done.code, Some(code), "{:.2000}", done.err);
        assert_eq!(code == 2, says(&done.err, "has 257 parts of 1 measure"), "{:.2000}", done.err);
    }
}

#[test]
fn strokes_as_json() {
    let folder = small();
    let bars = "C5 | ".repeat(4000);
    fs::write(folder.path().join("made.tune"), format!("{HEAD}tempo 60\nsection a\n lead | {bars}\n")).expect("a file");
    let done = run(&folder, "render made.tune --json");
    assert_eq!(done.code, Some(2));
    assert!(says(&done.out, "are too many for JSON"), "{:.2000}", done.out);
    let cells = "C5 ".repeat(380) + "| ";
    let lines = format!(" lead | {}\n", cells.repeat(100));
    fs::write(folder.path().join("made.tune"), format!("{HEAD}section a\n{lines}")).expect("a file");
    let done = run(&folder, "export made.tune --json");
    assert_eq!(done.code, Some(2));
    assert!(says(&done.out, "are too many for JSON"), "{:.2000}", done.out);
}

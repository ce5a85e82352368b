//! `panfold pans new`: a pan from answers, typed or from a file, and what can't be taken.

use std::fs;
use std::io::Write;
use std::path::Path;
use std::process::Stdio;

use super::{Done, done, listing, program, run, says, small};

/// Runs the program with these lines on its standard input.
fn answered(folder: &Path, arguments: &str, answers: &str) -> Done {
    let mut command = program(folder);
    command.args(arguments.split_whitespace()).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().expect("the program starts");
    // It may end before it has read all.
    let _ = child.stdin.take().expect("a pipe").write_all(answers.as_bytes());
    done(child.wait_with_output().expect("it ends"))
}

/// What somebody wrote down before an old pair of seconds: no low G on the right drum.
const SECONDS: &str = "Dock seconds\nseconds\n\nF#3 Ab3 Bb3 C4 D4 E4 F#4 Ab4 Bb4 C5 D5 E5 F#5 Ab5 Bb5\n\
                       a3, b3, c#4, d#4, f4, g4, a4, b4, c#5, eb5, f5, g5, a5, b5\n";

#[test]
fn answers_become_a_pan_file() {
    let folder = tempfile::tempdir().expect("a folder");
    let done = answered(folder.path(), "pans new", SECONDS);
    assert_eq!(done.code, Some(0), "{}", done.err);
    insta::assert_snapshot!(done.err, @"
    What is the pan called?
    What kind of pan is it? (lead, double-tenor, double-second, double-guitar, triple-guitar, triple-cello, quadrophonic, tenor-bass, six-bass, nine-bass, ping-pong)
    How many drums has it? [2]
    Which notes are on drum 1 of 2?
    Which notes are on drum 2 of 2?
    ");
    insta::assert_snapshot!(done.out, @"
    Dock seconds
      a double-second, 29 notes on 2 drums, F#3 to B5
      1 gap in its range: G3

      drum 1
        outer   F#3 Bb3 D4 F#4 Ab4 E4 C4 Ab3
        middle  Bb4 D5 F#5 Ab5 E5 C5
        inner   Bb5
      drum 2
        outer   B3 D#4 G4 A4 F4 C#4 A3
        middle  B4 Eb5 G5 A5 F5 C#5
        inner   B5
      sketch only: which ring each note lies in
      sketch only: where on the ring each note lies
      note: Where the notes lie is taken from the layout double-second, not from the pan.
      looks like a double second without its low G (G3)

    wrote dock-seconds.toml
    ");
    insta::assert_snapshot!(fs::read_to_string(folder.path().join("dock-seconds.toml")).expect("the file"), @r#"
    # You gave the notes. Where they lie is taken from the layout that is named below, not from your pan. Look at
    # the pan and change what differs: `outer`, `middle` and `inner` go clockwise from the note nearest to the player. Then take
    # `note` and `confidence` out.

    name = "Dock seconds"
    kind = "double-second"
    note = "Where the notes lie is taken from the layout double-second, not from the pan."
    confidence = { pitches = "high", drums = "high", rings = "schematic", angles = "schematic" }

    [[drums]]
    start = 22.5
    outer = "F#3 Bb3 D4 F#4 Ab4 E4 C4 Ab3"
    middle = ". Bb4 D5 F#5 Ab5 E5 C5 ."
    inner = ". Bb5 . . . . . ."

    [[drums]]
    start = 67.5
    outer = "B3 D#4 G4 A4 F4 C#4 A3 ."
    middle = "B4 Eb5 G5 A5 F5 C#5 . ."
    inner = "B5"
    "#);
    let shown = run(&folder, "pans dock-seconds.toml");
    assert_eq!((shown.code, shown.err.as_str()), (Some(0), ""));
    assert!(done.out.starts_with(&shown.out), "{}", shown.out);
}

/// From note names on paper to a verdict: two commands.
#[test]
fn from_paper_to_a_verdict() {
    let folder = small();
    let lead = "Pier lead\ntenor\n1\nD5 E5 F#5 G5 A5 B5 C5 G4 A4 B4\n";
    assert_eq!(answered(folder.path(), "pans new", lead).code, Some(0));
    let done = run(&folder, "cover pier-lead.toml jam.tune --part lead");
    assert!(
        says(&done.out, "\nlead: complete as written; as good as `Lead`, which has this part now.\n"),
        "{}",
        done.out
    );
}

#[test]
fn json() {
    let folder = tempfile::tempdir().expect("a folder");
    let done = answered(folder.path(), "pans new --json -o s.toml", SECONDS);
    let value = done.json();
    assert_eq!((&value["file"], &value["pan"]["count"]), (&"s.toml".into(), &29.into()));
    assert_eq!(value["looks_like"], serde_json::json!({ "layout": "double-second", "lacking": ["G3"], "more": [] }));
}

#[test]
fn what_is_odd_is_told() {
    let folder = tempfile::tempdir().expect("a folder");
    let done = answered(folder.path(), "pans new", "Odd\nlead\n\nC2 D4 E4 F4\n");
    assert_eq!(done.code, Some(0), "{}", done.err);
    assert!(says(&done.out, "looks like none of the built-in layouts"), "{}", done.out);
    assert!(says(&done.err, "`C2` is 24 semitones below the lowest note of any usual lead"));
    let other = answered(folder.path(), "pans new -o other.toml", &SECONDS.replace("\nseconds\n\n", "\nguitar\n2\n"));
    assert!(says(&other.err, "said to be a double-guitar, but has the notes of a double-second"), "{}", other.err);
}

#[test]
fn an_input_that_ends_early_says_which_answer_is_missing() {
    let folder = tempfile::tempdir().expect("a folder");
    let lines: Vec<&str> = SECONDS.lines().collect();
    for (count, missing) in
        [(0, "name"), (1, "kind"), (2, "number of drums"), (3, "notes of drum 1"), (4, "notes of drum 2")]
    {
        let done = answered(
            folder.path(),
            "pans new",
            &lines[..count].iter().map(|line| format!("{line}\n")).collect::<String>(),
        );
        assert_eq!((done.code, done.out.as_str()), (Some(2), ""));
        let expected = format!("Problem: The input ended before the {missing}. (missing-answer)\n");
        assert!(says(&done.err, &expected), "{}", done.err);
    }
    assert!(listing(folder.path()).is_empty());
}

#[test]
fn answers_that_cannot_be_taken() {
    let folder = tempfile::tempdir().expect("a folder");
    let told = |answers: &str| {
        let done = answered(folder.path(), "pans new", answers);
        assert_eq!((done.code, done.out.as_str()), (Some(2), ""), "{answers}");
        done.err
    };
    for (answers, expected) in [
        ("\n", "a pan needs a name"),
        ("A\nlaed\n", "did you mean `lead`?"),
        ("A\nlead\nmany\n", "`many` is no number of drums from 1 to 24"),
        ("A\nlead\n25\n", "`25` is no number of drums"),
        ("A\nlead\n\n\n", "a drum has at least one note"),
        ("A\nlead\n\nC4 H4\n", "did you mean `B4`?"),
        ("A\nseconds\n\nC4 D4\nE4 C4\n", "`C4` is there twice"),
        ("A\nlead\n\nC4 D4\nE4\n", "nothing is asked any more"),
    ] {
        let err = told(answers);
        assert!(says(&err, expected), "{answers}: {err}");
    }
    let err = told("A\nlead\n\nF#4 D4 Gb4\n");
    insta::assert_snapshot!(err, @r"
    What is the pan called?
    What kind of pan is it? (lead, double-tenor, double-second, double-guitar, triple-guitar, triple-cello, quadrophonic, tenor-bass, six-bass, nine-bass, ping-pong)
    How many drums has it? [1]
    Which notes are on it? (any order, as in C#3 E3 Bb3)
    standard input, line 4 (problem: note-twice)
        F#4 D4 Gb4
               └─┘
      `Gb4` is the same note as `F#4`.
      try: leave one out, or see whether an octave is mistyped
    ");
    assert!(listing(folder.path()).is_empty());
}

/// A list of notes as people keep it on paper: no octaves.
#[test]
fn notes_without_octaves() {
    let folder = tempfile::tempdir().expect("a folder");
    // From C4 on alone are all of them on a lead.
    let done = answered(folder.path(), "pans new", "Own lead\nlead\n\nC D E F G A B C D E F G A B C\n");
    assert_eq!(done.code, Some(0), "{}", done.err);
    assert!(done.err.ends_with("only from C4 on are they on the layout lead-c: taken so\n"), "{}", done.err);
    assert!(says(&done.out, "15 notes on 1 drum, C4 to C6"), "{}", done.out);
    // The octave of the lowest is enough.
    let done = answered(folder.path(), "pans new -o a.toml", "Low lead\nlead\n\nD4 E F# G A B C D\n");
    assert_eq!(done.code, Some(0), "{}", done.err);
    assert!(says(&done.out, "8 notes on 1 drum, D4 to D5"), "{}", done.out);
    // From C4 and from C5 on they are on a lead, and there is nobody to ask.
    let done = answered(folder.path(), "pans new -o b.toml", "Any lead\nlead\n\nC D E F# G\n");
    assert_eq!(done.code, Some(2));
    assert!(says(&done.err, "these notes have no octaves"), "{}", done.err);
    assert!(
        says(&done.err, "write the octave of the lowest, and the others rise from it: `C4 D E F# …`"),
        "{}",
        done.err
    );
    assert_eq!(listing(folder.path()), ["a.toml", "own-lead.toml"]);
}

/// `script` (util-linux) gives the program a terminal; where there is none, nothing can be asked.
#[test]
fn on_a_terminal_the_octave_is_asked_for() {
    let folder = tempfile::tempdir().expect("a folder");
    let line = format!("{} pans new -o a.toml", env!("CARGO_BIN_EXE_panfold"));
    let mut command = std::process::Command::new("script");
    command.args(["-qec", &line, "/dev/null"]).current_dir(folder.path()).stdin(Stdio::piped()).stdout(Stdio::piped());
    let Ok(mut child) = command.spawn() else { return };
    child.stdin.take().expect("a pipe").write_all(b"Any lead\nlead\n\nC D E F# G\nD4\n5\n").expect("it reads");
    let screen = String::from_utf8_lossy(&child.wait_with_output().expect("it ends").stdout).into_owned();
    assert!(says(&screen, "Which octave is the lowest note, C, in? (C4 is middle C)"), "{screen}");
    assert!(says(&screen, "an octave is a number from 0 to 7, found `D4`"), "{screen}");
    assert!(says(&screen, "5 notes on 1 drum, C5 to G5"), "{screen}");
}

#[test]
fn nothing_is_written_over() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("dock-seconds.toml");
    fs::write(&path, "mine").expect("a file");
    for arguments in ["pans new", "pans new -o dock-seconds.toml"] {
        let done = answered(folder.path(), arguments, SECONDS);
        assert_eq!(done.code, Some(2));
        assert!(says(&done.err, "`dock-seconds.toml` is there already"), "{}", done.err);
    }
    assert_eq!(fs::read_to_string(&path).expect("a file"), "mine");
    assert_eq!(answered(folder.path(), "pans new --force", SECONDS).code, Some(0));
    assert!(fs::read_to_string(&path).expect("a file").contains("Dock seconds"));
    assert_eq!(run(&folder, "pans lead-c new").code, Some(2));
}

/// A pan that is laid out like no layout of its kind keeps its notes as they were told.
#[test]
fn what_lies_otherwise_is_not_placed() {
    let folder = tempfile::tempdir().expect("a folder");
    let halves = "Own seconds\nseconds\n2\nF#3 G3 G#3 A3 Bb3 B3 C4 C#4 D4 Eb4\nE4 F4 F#4 G4 G#4 A4 Bb4 B4 C5 C#5\n";
    assert_eq!(answered(folder.path(), "pans new -o own.toml", halves).code, Some(0));
    let file = fs::read_to_string(folder.path().join("own.toml")).expect("the file");
    assert!(file.starts_with("# Where the notes lie is not known yet") && file.contains("notes = \"F#3 G3"), "{file}");
    // Then the sticks say what their tempos are worth.
    fs::write(folder.path().join("band.toml"), "name = \"B\"\n[[pan]]\nname = \"Own\"\nfile = \"own.toml\"\n")
        .expect("a file");
    fs::write(
        folder.path().join("a.tune"),
        "title A\nband band.toml\npart second on double-second\nsection a\n second | C4 E4 G4 C5 |\n",
    )
    .expect("a file");
    let sticks = run(&folder, "sticks a.tune --part second");
    assert!(
        says(&sticks.out, "panfold assumes where the notes of Own lie, so these tempos are estimates"),
        "{}",
        sticks.out
    );
}

//! `panfold check` and `panfold findings`: screens and exit codes.

use std::fs;

use super::{here, run, says, small};

#[test]
fn a_clean_tune_gets_one_line() {
    let done = run(small().path(), "check jam.tune");
    assert_eq!((done.out.as_str(), done.code), ("Jam on Test band: no problems found in 3 parts\n", Some(0)));
    assert_eq!(done.err, "");
}

#[test]
fn the_table_on_request() {
    let done = run(small().path(), "check jam.tune --table");
    insta::assert_snapshot!(done.out, @r"
    part  on        played by   strokes  different notes  range     report
    lead  lead      Lead              4                3  D5 to B5  none
    bass  six-bass  Six               2                2  D2 to G2  none
    iron  iron      Brake drum        4                1  -         none

    Jam on Test band: no problems found in 3 parts
    ");
}

#[test]
fn several_tunes_and_the_worst_of_them_decides() {
    let folder = small();
    fs::write(
        folder.path().join("high.tune"),
        fs::read_to_string(folder.path().join("jam.tune")).unwrap().replace("B5 |\n  bass | G2", "B6 |\n  bass | G2"),
    )
    .unwrap();
    let done = run(folder.path(), "check jam.tune high.tune");
    assert_eq!(done.code, Some(1));
    insta::assert_snapshot!(done.out, @r"
    Jam on Test band: no problems found in 3 parts
    high.tune, line 14: bar 1 of verse, lead (problem: missing-note)
        lead | D5 . G5 B6 |
                       └┘
      `B6` is not on `Lead`: 7 semitones above its highest note, `E6`.
      try: move it an octave down: `B5`
           move it 2 octaves down: `B4`

    part  on        played by   strokes  different notes  range     report
    lead  lead      Lead              4                4  D5 to B6  1 problem
    bass  six-bass  Six               2                2  D2 to G2  none
    iron  iron      Brake drum        4                1  -         none

    Jam on Test band: 1 problem
    ");
    assert_eq!(run(folder.path(), "check jam.tune high.tune nowhere.tune").code, Some(2));
}

#[test]
fn another_tolerance_and_another_band() {
    let broken = here("broken/tunes");
    assert_eq!(run(&broken, "check out-of-tune.tune").out.matches("(possible problem: out-of-tune)").count(), 1);
    assert_eq!(run(&broken, "check out-of-tune.tune --tolerance 19").out.matches("possible problem").count(), 0);
    let other = run(small().path(), "check jam.tune --band missing.toml");
    assert_eq!(other.code, Some(2));
    assert!(other.out.starts_with("Problem: There is no file `missing.toml`. (unreadable)\n"), "{}", other.out);
}

#[test]
fn wrong_arguments_end_with_2() {
    for arguments in
        ["", "chekc", "check", "check x.tune --tolerance 101", "check x.tune --tolerance much", "render x.tune"]
    {
        let done = run(".", arguments);
        assert_eq!((done.code, done.out.as_str()), (Some(2), ""), "panfold {arguments}");
        assert!(!done.err.is_empty());
    }
}

#[test]
fn the_program_introduces_itself() {
    let done = run(".", "--version");
    assert_eq!(done.out, format!("panfold {}\n", env!("CARGO_PKG_VERSION")));
    let help = run(".", "--help");
    assert_eq!(help.code, Some(0));
    for command in ["start", "check", "cover", "lineup", "tidy", "findings", "pans", "render", "pack"] {
        assert!(says(&help.out, &format!("\n  {command} ")), "{command} is not in the help");
        let own = run(".", &format!("{command} --help"));
        assert!(own.code == Some(0) && says(&own.out, "Usage: panfold"), "{}", own.out);
    }
}

#[test]
fn kinds_of_finding() {
    let all = run(".", "findings");
    assert!(says(&all.out, "\nmissing-note\n    A part has a note"), "{}", all.out);
    let one = run(".", "findings silent-part");
    assert!(one.out.starts_with("silent-part\n    ") && one.out.lines().count() > 2, "{}", one.out);
    let wrong = run(".", "findings mising-note");
    assert_eq!(wrong.code, Some(2));
    insta::assert_snapshot!(wrong.err, @r"
    Problem: There is no kind of problem or advice `mising-note`. (wrong-choice)
      Did you mean `missing-note`?
    ");
}

#[test]
fn a_band_in_place_of_a_tune_is_one_mistake() {
    let folder = super::small();
    for command in ["check band.toml", "tidy band.toml", "pack band.toml", "fit band.toml"] {
        let done = super::run(folder.path(), command);
        let told = format!("{}{}", done.out, done.err);
        assert_eq!(done.code, Some(2), "{told}");
        assert!(
            told.contains("`band.toml` is a band or a pan, not a tune") && told.matches("Problem: ").count() == 1,
            "{told}"
        );
    }
}

/// The folder's tune with one thing replaced, and what `check` says of it from the folder above.
fn changed(from: &str, to: &str) -> String {
    let folder = small();
    let path = folder.path().join("jam.tune");
    let tune = fs::read_to_string(&path).unwrap();
    assert!(tune.contains(from), "{from}");
    fs::write(&path, tune.replacen(from, to, 1)).unwrap();
    let name = folder.path().file_name().unwrap().to_str().unwrap().to_owned();
    run(folder.path().parent().unwrap(), &format!("check {name}/jam.tune")).out
}

#[test]
fn a_band_is_offered_as_the_tune_names_it() {
    let out = changed("band band.toml", "band bnad.toml");
    assert!(says(&out, "did you mean `band band.toml`?"), "{out}");
}

#[test]
fn without_a_band_nobody_is_missed_in_it() {
    let out = changed("on lead\n", "on lead for Ida\n").replace("jam.tune", "");
    assert!(says(&out, "(problem: nobody-named)"), "{out}");
    let out = changed(
        "band band.toml\ntempo 240\nroll none\n\npart lead on lead\n",
        "band none.toml\ntempo 240\nroll none\n\npart lead on lead for Ida\n",
    );
    assert!(!says(&out, "nobody-named") && says(&out, "(problem: unreadable)"), "{out}");
}

#[test]
fn the_table_counts_what_reading_found_too() {
    let out = changed("| D5 . G5 B5 |", "| D5 . Q5 B5 |");
    assert!(out.lines().any(|line| line.starts_with("lead ") && line.ends_with("1 problem")), "{out}");
    let out = changed("| x x X x |", "| x x X x x |");
    assert!(out.lines().any(|line| line.starts_with("iron ") && line.ends_with("1 possible problem")), "{out}");
}

#[test]
fn an_empty_tune_is_told_in_one_line() {
    let folder = small();
    for (text, what) in [("", "is empty"), (" \n\n", "is empty"), ("# nothing yet\n", "has only comments")] {
        fs::write(folder.path().join("new.tune"), text).unwrap();
        let done = run(folder.path(), "check new.tune");
        assert_eq!(done.out.matches("Problem: ").count(), 1, "{}", done.out);
        assert!(says(&done.out, what) && says(&done.out, "`panfold start` writes a tune"), "{}", done.out);
    }
}

#[test]
fn a_squeezed_pickup_makes_nothing_too_fast() {
    let rows = "section start\n  lead | . . . . . . C5 E5 |\n\nsection verse\n  lead | F#5 . C5 . D5 - B4 G5 | D5 . G5 . B5 . G5 . |\n";
    let folder = small();
    let tune =
        format!("title Jam\nband band.toml\ntempo 140\npickup 1\n\npart lead on lead\n\nform start verse\n\n{rows}");
    fs::write(folder.path().join("up.tune"), tune).unwrap();
    let done = run(folder.path(), "check up.tune");
    assert!(says(&done.out, "pickup-bar)") && !says(&done.out, "too-fast"), "{}", done.out);
}

#[test]
fn a_player_without_the_pan_is_told_that_one_reason() {
    let folder = small();
    let band = fs::read_to_string(folder.path().join("band.toml")).unwrap();
    fs::write(folder.path().join("band.toml"), format!("{band}\n[[player]]\nname = \"Ida\"\nplays = [\"Six\"]\n"))
        .unwrap();
    let tune = "title Jam\nband band.toml\n\npart lead on lead for Ida\n\nsection verse\n  lead | D5 . G5 . |\n";
    fs::write(folder.path().join("for.tune"), tune).unwrap();
    let out = run(folder.path(), "check for.tune").out;
    assert!(says(&out, "`Ida` plays `Six`, and no lead: write `plays = [\"Six\", \"Lead\"]` for `Ida`"), "{out}");
    assert!(!says(&out, "at the same time"), "{out}");
}

/// It looks again when the tune is saved, and when the band is.
#[test]
fn a_saved_tune_is_looked_through_again() {
    use std::io::{BufRead, BufReader};
    let folder = small();
    let path = folder.path().join("jam.tune");
    let good = fs::read_to_string(&path).expect("a tune");
    let mut command = super::program(&folder);
    command.args(["check", "jam.tune", "--watch"]).stdout(std::process::Stdio::piped());
    let mut child = command.stderr(std::process::Stdio::null()).spawn().expect("the program runs");
    let mut lines = BufReader::new(child.stdout.take().expect("a pipe")).lines();
    let mut next = |what: &str| lines.by_ref().map(|line| line.expect("a line")).find(|line| line.contains(what));
    assert!(next("no problems found").is_some());
    fs::write(&path, good.replace("G5 B5 |", "G5 H5 |")).expect("a file");
    assert!(next("1 problem").is_some());
    fs::write(&path, &good).expect("a file");
    assert!(next("no problems found").is_some());
    let band = folder.path().join("band.toml");
    let text = fs::read_to_string(&band).expect("a band");
    fs::write(&band, text.replacen("layout = \"lead-c\"", "layout = \"lead-c\"\nwithout = [\"B5\"]", 1))
        .expect("a file");
    assert!(next("1 problem").is_some());
    child.kill().expect("it ends");
    child.wait().expect("it ended");
}

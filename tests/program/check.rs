//! `panfold check` and `panfold findings`: screens and exit codes.

use std::fs;

use super::{here, run, small};

#[test]
fn a_clean_tune_gets_one_line() {
    let done = run(small().path(), "check jam.tune");
    assert_eq!((done.out.as_str(), done.code), ("Jam on Test band: nothing to mend in 3 parts\n", Some(0)));
    assert_eq!(done.err, "");
}

#[test]
fn the_table_on_request() {
    let done = run(small().path(), "check jam.tune --table");
    insta::assert_snapshot!(done.out, @"
    part  on        played by   notes  different  range     findings
    lead  lead      Lead            4          3  D5 to B5  none
    bass  six-bass  Six             2          2  D2 to G2  none
    iron  iron      Brake drum      4          1  -         none

    Jam on Test band: nothing to mend in 3 parts
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
    insta::assert_snapshot!(done.out, @"
    Jam on Test band: nothing to mend in 3 parts
    error[missing-note]: `B6` is not on `Lead`: 7 semitones above its highest note, `E6`
      --> high.tune:14:18
       |
    14 |   lead | D5 . G5 B6 |
       |                  ^^ bar 1 of section `verse`
       |
       = help: an octave down it is there: `B5`
       = help: 2 octaves down it is there: `B4`

    part  on        played by   notes  different  range     findings
    lead  lead      Lead            4          4  D5 to B6  1 error
    bass  six-bass  Six             2          2  D2 to G2  none
    iron  iron      Brake drum      4          1  -         none

    Jam on Test band: 1 error
    ");
    assert_eq!(run(folder.path(), "check jam.tune high.tune nowhere.tune").code, Some(2));
}

#[test]
fn another_tolerance_and_another_band() {
    let broken = here("broken/tunes");
    assert_eq!(run(&broken, "check out-of-tune.tune").out.matches("warning[out-of-tune]").count(), 1);
    assert_eq!(run(&broken, "check out-of-tune.tune --tolerance 19").out.matches("warning").count(), 0);
    let other = run(small().path(), "check jam.tune --band missing.toml");
    assert_eq!(other.code, Some(2));
    assert!(other.out.starts_with("error[unreadable]: there is no file `missing.toml`\n"), "{}", other.out);
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
        assert!(help.out.contains(&format!("\n  {command} ")), "{command} is not in the help");
        let own = run(".", &format!("{command} --help"));
        assert!(own.code == Some(0) && own.out.contains("Usage: panfold"), "{}", own.out);
    }
}

#[test]
fn kinds_of_finding() {
    let all = run(".", "findings");
    assert!(all.out.contains("\nmissing-note\n    A part has a note"), "{}", all.out);
    let one = run(".", "findings silent-part");
    assert!(one.out.starts_with("silent-part\n    ") && one.out.lines().count() > 2, "{}", one.out);
    let wrong = run(".", "findings mising-note");
    assert_eq!(wrong.code, Some(2));
    insta::assert_snapshot!(wrong.err, @"
    error[wrong-choice]: there is no kind of finding `mising-note`
     |
     = help: did you mean `missing-note`?
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
            told.contains("`band.toml` is a band or a pan, not a tune") && told.matches("error[").count() == 1,
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
    assert!(out.contains("did you mean `band band.toml`?"), "{out}");
}

#[test]
fn without_a_band_nobody_is_missed_in_it() {
    let out = changed("on lead\n", "on lead for Ida\n").replace("jam.tune", "");
    assert!(out.contains("error[nobody-named]"), "{out}");
    let out = changed(
        "band band.toml\ntempo 240\nroll none\n\npart lead on lead\n",
        "band none.toml\ntempo 240\nroll none\n\npart lead on lead for Ida\n",
    );
    assert!(!out.contains("nobody-named") && out.contains("error[unreadable]"), "{out}");
}

#[test]
fn the_table_counts_what_reading_found_too() {
    let out = changed("| D5 . G5 B5 |", "| D5 . Q5 B5 |");
    assert!(out.lines().any(|line| line.starts_with("lead ") && line.ends_with("1 error")), "{out}");
    let out = changed("| x x X x |", "| x x X x x |");
    assert!(out.lines().any(|line| line.starts_with("iron ") && line.ends_with("1 warning")), "{out}");
}

#[test]
fn an_empty_tune_is_told_in_one_line() {
    let folder = small();
    for (text, what) in [("", "is empty"), (" \n\n", "is empty"), ("# nothing yet\n", "has only comments")] {
        fs::write(folder.path().join("new.tune"), text).unwrap();
        let done = run(folder.path(), "check new.tune");
        assert_eq!(done.out.matches("error[").count(), 1, "{}", done.out);
        assert!(done.out.contains(what) && done.out.contains("`panfold start` writes a tune"), "{}", done.out);
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
    assert!(done.out.contains("warning[pickup-bar]") && !done.out.contains("too-fast"), "{}", done.out);
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
    assert!(out.contains("`Ida` plays `Six`, and no lead: write `plays = [\"Six\", \"Lead\"]` for `Ida`"), "{out}");
    assert!(!out.contains("at the same time"), "{out}");
}

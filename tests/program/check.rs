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
    for command in ["start", "check", "cover", "load", "tidy", "findings", "pans", "render", "pack"] {
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

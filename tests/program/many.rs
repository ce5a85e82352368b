//! Several tunes at once: all of them are done, a line sums up, and the worst decides how it ends.

use std::fs;

use super::{run, says, small_with};

const OTHER: &str = "title Other\nband band.toml\nroll none\npart lead on lead\nsection a\n  lead | G4 B4 |\n";
/// `H5` is no note.
const BROKEN: &str = "title Broken\nband band.toml\npart lead on lead\nsection a\n  lead | H5 |\n";

fn folder() -> tempfile::TempDir {
    small_with(&[("broken.tune", BROKEN), ("other.tune", OTHER)])
}

#[test]
fn one_that_can_not_be_read_does_not_stop_the_others() {
    for (command, fine, first) in [
        ("check {} --table", "without problems", "Jam on"),
        ("fit {}", "without problems", "jam.tune\n"),
        ("sticks {} --part lead", "done", "jam.tune\n"),
    ] {
        let folder = folder();
        let done = run(&folder, &command.replace("{}", "jam.tune broken.tune other.tune nowhere.tune"));
        assert_eq!(done.code, Some(2), "{command}: {}", done.err);
        let (one, other) =
            (done.out.find(first), done.out.find(&first.replace("jam", "other").replace("Jam", "Other")));
        assert!(one < other && one.is_some(), "{command} in the order of the tunes:\n{}", done.out);
        let broken = if command.starts_with("check") { "1 with problems (broken.tune), 1" } else { "2" };
        assert!(says(&done.err, &format!("4 tunes: 2 {fine}, {broken} left out (")), "{command}: {}", done.err);
        assert!(done.err.contains("nowhere.tune") || done.out.contains("nowhere.tune"), "{command}: {}", done.err);
    }
}

#[test]
fn files_go_into_a_folder_under_the_names_of_their_tunes() {
    for (command, files) in [
        ("export {} -o out/", ["jam.musicxml", "other.musicxml"]),
        ("sheet {} -o out", ["jam.pdf", "other.pdf"]),
        ("page {} --part lead -o out/", ["jam-lead.html", "other-lead.html"]),
    ] {
        let folder = folder();
        let done = run(&folder, &command.replace("{}", "jam.tune other.tune"));
        assert_eq!(done.code, Some(0), "{command}: {}", done.err);
        assert!(done.err.ends_with("2 tunes: 2 done\n"), "{command}: {}", done.err);
        let mut there: Vec<String> = fs::read_dir(folder.path().join("out"))
            .expect("the folder")
            .map(|entry| entry.expect("an entry").file_name().into_string().expect("a plain name"))
            .collect();
        there.sort();
        assert_eq!(there, files, "{command}");
        // One alone goes into a folder that is there.
        let again = run(&folder, &command.replace("{}", "jam.tune"));
        assert_eq!(again.code, Some(0), "{command}: {}", again.err);
    }
}

#[test]
fn several_do_not_go_into_one_file() {
    let folder = folder();
    for command in ["export {} -o all.mxl", "sheet {} -o all.pdf", "page {} --part lead -o all.html"] {
        let done = run(&folder, &command.replace("{}", "jam.tune other.tune"));
        assert_eq!(done.code, Some(2), "{command}");
        assert!(says(&done.err, "2 tunes can't go into one file"), "{command}: {}", done.err);
        assert!(says(&done.err, "name a folder: `-o all/`"), "{command}: {}", done.err);
    }
}

#[test]
fn tunes_of_one_name_are_not_written_over_each_other() {
    let folder = folder();
    let sub = folder.path().join("sub");
    fs::create_dir(&sub).expect("a folder");
    for file in ["jam.tune", "band.toml"] {
        fs::copy(folder.path().join(file), sub.join(file)).expect("a copy");
    }
    for command in ["export {} -o out/", "sheet {}", "page {} --part lead", "pack {} --format wav"] {
        let done = run(&folder, &command.replace("{}", "jam.tune sub/jam.tune"));
        assert_eq!(done.code, Some(2), "{command}");
        assert!(
            says(&done.err, "what is written for `jam.tune` and for `sub/jam.tune` would have the same name"),
            "{}",
            done.err
        );
    }
    assert_eq!(run(&folder, "check jam.tune sub/jam.tune").code, Some(0));
}

#[test]
fn json_of_several_is_a_list_with_their_files() {
    let folder = folder();
    for command in ["fit {} --json", "sticks {} --part lead --json", "export {} --json"] {
        let json = |tunes: &str| -> serde_json::Value {
            serde_json::from_str(&run(&folder, &command.replace("{}", tunes)).out).expect("JSON")
        };
        let all = json("jam.tune broken.tune other.tune");
        let files: Vec<&str> =
            all["tunes"].as_array().expect("a list").iter().filter_map(|of| of["file"].as_str()).collect();
        assert_eq!(files, ["jam.tune", "broken.tune", "other.tune"], "{command}");
        assert!(all["tunes"][1]["errors"].is_array(), "{command}");
        let mut alone = json("jam.tune");
        assert_eq!(alone["file"], serde_json::Value::Null, "{command}");
        alone["file"] = "jam.tune".into();
        assert_eq!(all["tunes"][0], alone, "{command}");
    }
}

#[test]
fn cover_answers_for_the_tunes_that_can_be_read_and_says_which_it_left_out() {
    let folder = folder();
    let done = run(&folder, "cover lead-c jam.tune broken.tune other.tune");
    assert_eq!(done.code, Some(2));
    assert!(says(&done.err, "3 tunes: 2 looked at, 1 left out (broken.tune)"), "{}", done.err);
    assert_eq!(done.out, run(&folder, "cover lead-c jam.tune other.tune").out);
    let none = run(&folder, "cover lead-c broken.tune nowhere.tune");
    assert_eq!((none.code, none.out.as_str()), (Some(2), ""));
    assert!(says(&none.err, "none of the tunes can be played"), "{}", none.err);
}

#[test]
fn packs_of_several_share_a_folder() {
    let folder = folder();
    let done = run(&folder, "pack jam.tune broken.tune other.tune -o out --format wav");
    assert_eq!(done.code, Some(2), "{}", done.err);
    assert!(says(&done.err, "3 tunes: 2 done, 1 left out (broken.tune)"), "{}", done.err);
    let index = fs::read_to_string(folder.path().join("out/index.html")).expect("an index");
    assert!(index.contains("Jam") && index.contains("Other") && !index.contains("Broken"));
}

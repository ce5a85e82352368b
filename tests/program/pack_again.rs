//! A pack over an older one, several tunes in one folder, and files that no pack put there.

use std::fs;
use std::path::Path;

use super::{listing, run, says, small, small_with};

fn text(folder: &Path, name: &str) -> String {
    fs::read_to_string(folder.join(name)).expect("a file")
}

/// The same tune without its bass.
fn take_out_the_bass(folder: &Path) {
    let tune = text(folder, "jam.tune");
    let lines: Vec<&str> = tune.lines().filter(|line| !line.contains("bass")).collect();
    fs::write(folder.join("jam.tune"), lines.join("\n") + "\n").expect("a file");
}

#[test]
fn what_is_not_on_the_list_is_never_touched() {
    for name in ["README.txt", "index.html", "check.txt", "whole-band/jam.mid", "pack.json"] {
        let folder = small();
        fs::create_dir_all(folder.path().join("out/whole-band")).expect("a folder");
        fs::write(folder.path().join("out").join(name), "mine").expect("a file");
        let done = run(folder.path(), "pack jam.tune -o out");
        assert_eq!((done.code, done.out.as_str()), (Some(2), ""), "{name}");
        assert!(says(&done.err, name) && says(&done.err, "`--replace`"), "{name}: {}", done.err);
        assert_eq!(text(&folder.path().join("out"), name), "mine");
        assert_eq!(listing(&folder.path().join("out")), [name]);
    }
}

#[test]
fn what_a_pack_no_longer_has_goes_and_the_rest_is_replaced() {
    let folder = small();
    assert_eq!(run(folder.path(), "pack jam.tune -o out").code, Some(0));
    let out = folder.path().join("out");
    fs::write(out.join("bass/notes.txt"), "mine").expect("a file");
    take_out_the_bass(folder.path());
    let done = run(folder.path(), "pack jam.tune -o out");
    assert_eq!(done.code, Some(0), "{}", done.err);
    assert!(says(&done.out, "took away 4 files that the pack no longer has"), "{}", done.out);
    let bass: Vec<String> = listing(&out).into_iter().filter(|name| name.starts_with("bass")).collect();
    assert_eq!(bass, ["bass/notes.txt"]);
    assert!(!text(&out, "index.html").contains("bass") && text(&out, "index.html").contains("lead"));
    fs::remove_file(out.join("bass/notes.txt")).expect("a file");
    // In another format, the tracks of the old one go, and with them the folders that have nothing else.
    assert_eq!(run(folder.path(), "pack jam.tune -o out --format wav").code, Some(0));
    assert!(listing(&out).iter().all(|name| !name.ends_with(".mp3")));
}

#[test]
fn several_tunes_share_one_index() {
    let folder =
        small_with(&[("tide.tune", "title Tide\nband band.toml\npart lead on lead\nsection a\n lead | D5 |\n")]);
    for tune in ["jam", "tide", "jam"] {
        assert_eq!(run(folder.path(), &format!("pack {tune}.tune -o out")).code, Some(0));
    }
    let out = folder.path().join("out");
    for name in ["index.html", "README.txt", "check.txt"] {
        assert!(text(&out, name).contains("Jam") && text(&out, name).contains("Tide"), "{name}");
    }
    let index = text(&out, "index.html");
    let addresses: Vec<&str> = index.split("href=\"").skip(2).filter_map(|rest| rest.split('"').next()).collect();
    let mut listed: Vec<String> = addresses.iter().map(ToString::to_string).collect();
    listed.extend(["README.txt", "index.html", "pack.json"].map(String::from));
    listed.sort();
    listed.dedup();
    assert_eq!(listed, listing(&out));
}

#[test]
fn a_pack_that_is_not_whole_is_told_and_not_in_the_index() {
    let folder =
        small_with(&[("tide.tune", "title Tide\nband band.toml\npart lead on lead\nsection a\n lead | D5 |\n")]);
    assert_eq!(run(folder.path(), "pack jam.tune -o out").code, Some(0));
    let out = folder.path().join("out");
    // As after a run that was killed while it put the files in their place.
    fs::write(out.join("pack.json"), text(&out, "pack.json").replace("\"whole\": true", "\"whole\": false"))
        .expect("a file");
    fs::remove_file(out.join("index.html")).expect("a file");
    let done = run(folder.path(), "pack tide.tune -o out");
    assert_eq!(done.code, Some(0), "{}", done.err);
    assert!(says(&done.err, "the pack of `jam` was stopped half way and is not in the index"), "{}", done.err);
    assert!(!text(&out, "index.html").contains("jam"));
    assert!(run(folder.path(), "pack jam.tune -o out").err.starts_with("writing 18 files into out, about "));
    assert!(text(&out, "index.html").contains("jam"));
}

#[test]
fn a_list_that_leads_elsewhere_takes_nothing_away_there() {
    let folder = small();
    assert_eq!(run(folder.path(), "pack jam.tune -o out").code, Some(0));
    let out = folder.path().join("out");
    fs::write(folder.path().join("mine.txt"), "mine").expect("a file");
    let list = text(&out, "pack.json").replacen("\"files\": [", "\"files\": [\n\"../mine.txt\",", 1);
    fs::write(out.join("pack.json"), list).expect("a file");
    assert_eq!(run(folder.path(), "pack jam.tune -o out").code, Some(0));
    assert_eq!(text(folder.path(), "mine.txt"), "mine");
}

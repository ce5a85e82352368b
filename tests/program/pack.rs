//! `panfold pack`: all of it is there, findings are told, and `--strict` writes nothing.

use std::fs;

use super::{here, listing, run, says, small};

#[test]
fn everything_is_there() {
    let folder = small();
    let done = run(folder.path(), "pack jam.tune");
    assert_eq!((done.code, done.err.as_str()), (Some(0), ""));
    assert_eq!(done.out, "Jam on Test band: no problems found in 3 parts\nwrote 18 files into jam\n");
    let expected = [
        "README.txt",
        "bass/jam-bass-slow-70.flac",
        "bass/jam-bass.flac",
        "bass/jam-bass.html",
        "bass/jam-bass.pdf",
        "check.txt",
        "index.html",
        "iron/jam-iron-slow-70.flac",
        "iron/jam-iron.flac",
        "iron/jam-iron.html",
        "iron/jam-iron.pdf",
        "lead/jam-lead-slow-70.flac",
        "lead/jam-lead.flac",
        "lead/jam-lead.html",
        "lead/jam-lead.pdf",
        "pack.json",
        "whole-band/jam-whole-band.flac",
        "whole-band/jam.mid",
    ];
    assert_eq!(listing(&folder.path().join("jam")), expected);
    let readme = fs::read_to_string(folder.path().join("jam/README.txt")).expect("a file");
    assert!(readme.contains("85 dBA") && readme.contains("lead/jam-lead.flac"), "{readme}");
}

#[test]
fn the_index_leads_to_every_file() {
    let folder = small();
    assert_eq!(run(folder.path(), "pack jam.tune").code, Some(0));
    let index = fs::read_to_string(folder.path().join("jam/index.html")).expect("a file");
    let addresses: Vec<&str> = index.split("href=\"").skip(2).filter_map(|rest| rest.split('"').next()).collect();
    let mut listed: Vec<String> = addresses.iter().map(ToString::to_string).collect();
    listed.extend(["README.txt", "index.html", "pack.json"].map(String::from));
    listed.sort();
    assert_eq!(listed, listing(&folder.path().join("jam")));
    assert!(index.contains("85 dBA") && index.contains("<title>Jam: what to practise with</title>"));
}

#[test]
fn each_pan_that_plays_a_part_has_a_page_and_a_sheet() {
    let folder = small();
    let path = folder.path().join("band.toml");
    let band = fs::read_to_string(&path).expect("a file");
    let more =
        "\n[[pan]]\nname = \"Blue / rim\"\nlayout = \"lead-d\"\n\n[[pan]]\nname = \"blue rim\"\nlayout = \"lead-c\"\n";
    fs::write(&path, band + more).expect("a file");
    assert_eq!(run(folder.path(), "pack jam.tune").code, Some(0));
    let names = listing(&folder.path().join("jam/lead"));
    for name in ["jam-lead-lead.html", "jam-lead-blue---rim.pdf", "jam-lead-blue-rim.html"] {
        assert!(names.contains(&name.to_owned()), "{names:?}");
    }
}

#[test]
fn what_else_is_in_the_folder_stays() {
    let folder = small();
    fs::create_dir(folder.path().join("out")).expect("a folder");
    fs::write(folder.path().join("out/notes.txt"), "mine").expect("a file");
    fs::write(folder.path().join("out/check.txt"), "old").expect("a file");
    assert_eq!(run(folder.path(), "pack jam.tune -o out --format wav --replace").code, Some(0));
    assert_eq!(fs::read_to_string(folder.path().join("out/notes.txt")).expect("a file"), "mine");
    let check = fs::read_to_string(folder.path().join("out/check.txt")).expect("a file");
    assert!(check.ends_with("Jam on Test band: no problems found in 3 parts\n"), "{check}");
    assert!(fs::read(folder.path().join("out/lead/jam-lead.wav")).expect("a file").starts_with(b"RIFF"));
    assert_eq!(listing(&folder.path().join("out")).len(), 19);
}

#[test]
fn findings_are_told_and_strict_stops() {
    let folder = tempfile::tempdir().expect("a folder");
    let tunes = here("broken/tunes");
    for name in ["band.toml", "missing-notes.tune"] {
        fs::copy(tunes.join(name), folder.path().join(name)).expect("a copy");
    }
    let strict = run(folder.path(), "pack missing-notes.tune -o out --strict");
    assert_eq!(strict.code, Some(1));
    assert!(says(&strict.err, "missing-note)") && says(&strict.err, "nothing was written"), "{}", strict.err);
    assert!(!folder.path().join("out").exists());
    let done = run(folder.path(), "pack missing-notes.tune -o out");
    assert_eq!(done.code, Some(0));
    assert!(says(&done.err, "missing-note)"), "{}", done.err);
    let check = fs::read_to_string(folder.path().join("out/check.txt")).expect("a file");
    assert!(says(&check, "`E6` is not on `Short lead`"), "{check}");
}

#[test]
fn a_tune_with_mistakes_is_not_packed() {
    let folder = tempfile::tempdir().expect("a folder");
    for name in ["band.toml", "unknown-note.tune"] {
        fs::copy(here("broken/tunes").join(name), folder.path().join(name)).expect("a copy");
    }
    let done = run(folder.path(), "pack unknown-note.tune");
    assert_eq!((done.code, done.out.as_str()), (Some(2), ""));
    assert_eq!(listing(folder.path()), ["band.toml", "unknown-note.tune"]);
}

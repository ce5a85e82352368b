//! `panfold pack`: all of it is there, findings are told, and `--strict` writes nothing.

use std::fs;

use super::{here, listing, program, run, says, small};

#[test]
fn everything_is_there() {
    let folder = small();
    let done = run(folder.path(), "pack jam.tune");
    assert_eq!(done.code, Some(0), "{}", done.err);
    assert!(done.err.starts_with("writing 18 files into jam, about ") && done.err.ends_with(" KB\n"), "{}", done.err);
    assert_eq!(done.out, "Jam on Test band: no problems found in 3 parts\nwrote 18 files into jam\n");
    let expected = [
        "README.txt",
        "bass/jam-bass-slow-70.mp3",
        "bass/jam-bass.html",
        "bass/jam-bass.mp3",
        "bass/jam-bass.pdf",
        "check.txt",
        "index.html",
        "iron/jam-iron-slow-70.mp3",
        "iron/jam-iron.html",
        "iron/jam-iron.mp3",
        "iron/jam-iron.pdf",
        "lead/jam-lead-slow-70.mp3",
        "lead/jam-lead.html",
        "lead/jam-lead.mp3",
        "lead/jam-lead.pdf",
        "pack.json",
        "whole-band/jam-whole-band.mp3",
        "whole-band/jam.mid",
    ];
    assert_eq!(listing(&folder.path().join("jam")), expected);
    let readme = fs::read_to_string(folder.path().join("jam/README.txt")).expect("a file");
    assert!(readme.contains("85 dBA") && readme.contains("lead/jam-lead.mp3"), "{readme}");
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
    // Each track has one player, and each file its size.
    let size = |name: &str| fs::metadata(folder.path().join("jam").join(name)).expect("a file").len();
    for name in listing(&folder.path().join("jam")).iter().filter(|name| name.ends_with(".mp3")) {
        assert_eq!(index.matches(&format!("<audio controls preload=\"none\" src=\"{name}\"")).count(), 1, "{name}");
        let said = "MP3, 0:0";
        let entry = index.split(&format!("href=\"{name}\"")).nth(1).and_then(|rest| rest.split("</a>").next());
        let entry = entry.unwrap_or_else(|| panic!("{name} is in the index"));
        assert!(entry.contains(said) && entry.contains(&format!("{} KB", size(name).div_ceil(1000))), "{entry}");
    }
}

#[test]
fn some_players_alone() {
    let folder = small();
    let path = folder.path().join("band.toml");
    let more = "\n[[pan]]\nname = \"Blue rim\"\nlayout = \"lead-d\"\n";
    fs::write(&path, fs::read_to_string(&path).expect("a file") + more).expect("a file");
    let done = run(folder.path(), "pack jam.tune --part iron --part bass --format none");
    assert_eq!(done.code, Some(0), "{}", done.err);
    let all =
        ["README.txt", "bass/jam-bass.html", "bass/jam-bass.pdf", "check.txt", "index.html", "iron/jam-iron.html"];
    assert_eq!(listing(&folder.path().join("jam-bass-iron")), [&all[..], &["iron/jam-iron.pdf", "pack.json"]].concat());
    // The files are called as in a pack for all.
    let mut command = program(folder.path());
    let blue = command.args(["pack", "jam.tune", "-o", "blue", "--pan", "Blue rim"]).output().expect("it runs");
    assert!(blue.status.success(), "{}", String::from_utf8_lossy(&blue.stderr));
    let lead =
        ["lead/jam-lead-blue-rim.html", "lead/jam-lead-blue-rim.pdf", "lead/jam-lead-slow-70.mp3", "lead/jam-lead.mp3"];
    assert_eq!(
        listing(&folder.path().join("blue")),
        [&["README.txt", "check.txt", "index.html"], &lead[..], &["pack.json"]].concat()
    );
    for (choice, said) in [
        ("--part laed", "did you mean `lead`?"),
        ("--pan Lea", "did you mean `Lead`?"),
        ("--pan Iron", "its pans are `Lead`, `Six`, and `Blue rim`"),
    ] {
        let done = run(folder.path(), &format!("pack jam.tune -o none {choice}"));
        assert!(done.code == Some(2) && says(&done.err, said), "{choice}: {}", done.err);
        assert!(!folder.path().join("none").exists());
    }
}

#[test]
fn archives_hold_the_folders_byte_for_byte() {
    let folder = small();
    assert_eq!(run(folder.path(), "pack jam.tune -o plain").code, Some(0));
    for out in ["first", "second"] {
        assert_eq!(run(folder.path(), &format!("pack jam.tune -o {out} --zip")).code, Some(0));
    }
    let at = |name: &str| folder.path().join(name);
    let archives = ["jam-bass.zip", "jam-iron.zip", "jam-lead.zip", "jam-whole-band.zip"];
    let listed = [&["README.txt", "check.txt", "index.html"], &archives[..], &["pack.json"]].concat();
    assert_eq!(listing(&at("first")), listed);
    let index = fs::read_to_string(at("first/index.html")).expect("a file");
    let mut held = Vec::new();
    for name in archives {
        assert!(index.contains(&format!("href=\"{name}\"")), "{index}");
        let bytes = fs::read(at("first").join(name)).expect("a file");
        assert_eq!(bytes, fs::read(at("second").join(name)).expect("a file"), "{name}");
        let mut archive = zip::ZipArchive::new(std::io::Cursor::new(bytes)).expect("an archive");
        for number in 0..archive.len() {
            let mut file = archive.by_index(number).expect("a file of it");
            let name = file.name().expect("a name").into_owned();
            let mut bytes = Vec::new();
            std::io::Read::read_to_end(&mut file, &mut bytes).expect("all of it");
            assert!(bytes == fs::read(at("plain").join(&name)).expect("the same file"), "{name}");
            held.push(name);
        }
    }
    held.extend(["README.txt", "check.txt", "index.html", "pack.json"].map(String::from));
    held.sort();
    assert_eq!(held, listing(&at("plain")));
    // Without archives again, they go.
    let done = run(folder.path(), "pack jam.tune -o first");
    assert!(done.code == Some(0) && says(&done.out, "took away 4 files"), "{}", done.out);
    assert_eq!(listing(&at("first")), listing(&at("plain")));
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

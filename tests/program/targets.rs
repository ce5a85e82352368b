//! Where commands write: each asks for its own ending, and none writes over what it reads.

use std::fs;
use std::path::Path;

use super::{listing, run, says, small_with};

const PAN: &str = "kind = \"lead\"\nname = \"Own\"\nlayout = \"lead-c\"\n";

/// The contents of all files of a folder.
fn all(folder: &Path) -> Vec<(String, Vec<u8>)> {
    listing(folder).into_iter().map(|name| (name.clone(), fs::read(folder.join(&name)).expect("a file"))).collect()
}

#[test]
fn every_writer_asks_for_its_own_ending() {
    let folder = small_with(&[("other.tune", "title Other\n"), ("own.toml", PAN)]);
    assert_eq!(run(&folder, "render jam.tune --midi jam.mid").code, Some(0));
    let before = all(folder.path());
    for (arguments, help) in [
        ("render jam.tune --midi other.tune", "let the name end in `.mid`"),
        ("render jam.tune --midi band.toml", "let the name end in `.mid`"),
        ("render jam.tune --midi new", "let the name end in `.mid`"),
        ("render jam.tune --sound other.tune", "let the name end in `.mp3`, `.flac` or `.wav`"),
        ("drill jam.tune --part lead -o other.tune", "let the name end in `.mp3`, `.flac`, `.wav` or `.mid`"),
        ("patterns soca-snare --sound other.tune", "let the name end in `.mp3`, `.flac` or `.wav`"),
        ("export jam.tune -o other.tune", "let the name end in `.musicxml` or `.mxl`"),
        ("page jam.tune --part lead -o other.tune", "let the name end in `.html`"),
        ("sheet jam.tune -o other.tune", "let the name end in `.pdf` or `.svg`"),
        ("cover lead-c jam.tune --picture other.tune", "give a name that ends in `.svg`"),
        ("import jam.mid -o jam.mid --replace", "let the name end in `.tune`"),
        ("import jam.mid -o band.toml --replace", "let the name end in `.tune`"),
        ("pans new -o other.tune --force", "let the name end in `.toml`"),
    ] {
        let done = run(&folder, arguments);
        assert_eq!(done.code, Some(2), "{arguments}: {}", done.err);
        assert!(says(&done.err, help), "{arguments}: {}", done.err);
        assert_eq!(all(folder.path()), before, "{arguments}");
    }
}

#[cfg(unix)]
#[test]
fn nothing_that_is_read_is_written_over() {
    let folder = small_with(&[]);
    let at = |name: &str| folder.path().join(name);
    let band = fs::read_to_string(at("band.toml")).expect("a file");
    fs::write(at("own.toml"), super::run(&folder, "pans lead-c --file").out).expect("a file");
    fs::write(at("band.toml"), band.replacen("layout = \"lead-c\"", "file = \"own.toml\"", 1)).expect("a file");
    // Under other names, the tune, the band and the pan file have the right endings.
    std::os::unix::fs::symlink("jam.tune", at("tune.mid")).expect("a link");
    fs::hard_link(at("band.toml"), at("band.html")).expect("a link");
    std::os::unix::fs::symlink("own.toml", at("pan.svg")).expect("a link");
    std::os::unix::fs::symlink("own.toml", at("pan-1.svg")).expect("a link");
    fs::hard_link(at("jam.tune"), at("tune.wav")).expect("a link");
    let before = all(folder.path());
    for (arguments, what) in [
        (
            "render jam.tune --midi tune.mid --replace",
            "this would write over `jam.tune`, which it reads (`tune.mid` is the same file)",
        ),
        (
            "render jam.tune --sound tune.wav --replace",
            "this would write over `jam.tune`, which it reads (`tune.wav` is the same file)",
        ),
        ("drill jam.tune --part lead -o tune.wav --replace", "this would write over `jam.tune`, which it reads"),
        (
            "page jam.tune --part lead -o band.html --replace",
            "this would write over `band.toml`, which it reads (`band.html` is the same file)",
        ),
        (
            "sheet jam.tune --part lead -o pan.svg --replace",
            "this would write over `own.toml`, which it reads (`pan.svg` is the same file)",
        ),
        (
            "sheet --pan own.toml -o pan.svg --replace",
            "this would write over `own.toml`, which it reads (`pan.svg` is the same file)",
        ),
        (
            "sheet --pan band.toml -o pan.svg --replace",
            "this would write over `own.toml`, which it reads (`pan-1.svg` is the same file)",
        ),
        (
            "cover own.toml jam.tune --picture pan.svg --replace",
            "this would write over `own.toml`, which it reads (`pan.svg` is the same file)",
        ),
    ] {
        let done = run(&folder, arguments);
        assert_eq!(done.code, Some(2), "{arguments}: {}", done.err);
        assert!(says(&done.err, what), "{arguments}: {}", done.err);
        assert_eq!(all(folder.path()), before, "{arguments}");
    }
}

#[test]
fn what_is_brought_in_is_not_written_over() {
    let folder = small_with(&[]);
    assert_eq!(run(&folder, "render jam.tune --midi jam.mid").code, Some(0));
    fs::rename(folder.path().join("jam.mid"), folder.path().join("song.tune")).expect("a file");
    let before = all(folder.path());
    let done = run(&folder, "import song.tune -o song.tune --replace");
    assert_eq!(done.code, Some(2), "{}", done.err);
    assert!(says(&done.err, "this would write over `song.tune`, which it reads"), "{}", done.err);
    assert_eq!(all(folder.path()), before);
}

#[test]
fn what_panfold_wrote_is_written_again_and_nothing_else_is() {
    let folder = small_with(&[]);
    for (arguments, name) in [
        ("render jam.tune --midi jam.mid", "jam.mid"),
        ("render jam.tune --sound jam.wav --section chorus", "jam.wav"),
        ("render jam.tune --sound jam.mp3 --section chorus", "jam.mp3"),
        ("render jam.tune --sound jam.flac --section chorus", "jam.flac"),
        ("drill jam.tune --part lead -o drill.mid", "drill.mid"),
        ("export jam.tune -o jam.musicxml", "jam.musicxml"),
        ("export jam.tune -o jam.mxl", "jam.mxl"),
        ("page jam.tune --part lead -o jam.html", "jam.html"),
        ("sheet jam.tune -o jam.pdf", "jam.pdf"),
        ("sheet jam.tune --part lead -o jam.svg", "jam.svg"),
        ("cover lead-c jam.tune --picture face.svg", "face.svg"),
    ] {
        let path = folder.path().join(name);
        for _ in 0..2 {
            let done = run(&folder, arguments);
            assert_eq!(done.code, Some(0), "{arguments}: {}", done.err);
        }
        let written = fs::read(&path).expect("a file");
        // Changed since, where that can be seen: a sound file only says who wrote it.
        let mut others = vec![b"somebody's own".to_vec()];
        if !["wav", "mp3", "flac"].iter().any(|ending| name.ends_with(ending)) {
            others.push([&written[..], b"\n"].concat());
            let mut changed = written.clone();
            changed[written.len() / 2] ^= 1;
            others.push(changed);
        }
        for other in others {
            fs::write(&path, &other).expect("a file");
            let done = run(&folder, arguments);
            assert_eq!(done.code, Some(2), "{arguments}: {}", done.err);
            assert!(says(&done.err, "there-already)"), "{arguments}: {}", done.err);
            assert!(says(&done.err, "`--replace`"), "{arguments}: {}", done.err);
            assert_eq!(fs::read(&path).expect("a file"), other, "{arguments}");
        }
        assert_eq!(run(&folder, &format!("{arguments} --replace")).code, Some(0));
        assert_eq!(fs::read(&path).expect("a file"), written, "{arguments}");
        // Nothing is lost with an empty file.
        fs::write(&path, "").expect("a file");
        assert_eq!(run(&folder, arguments).code, Some(0), "{arguments}");
    }
}

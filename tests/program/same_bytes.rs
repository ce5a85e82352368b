//! The same tune gives the same bytes, wherever and by however many threads it is worked on.

use std::fs;
use std::path::Path;

use super::{listing, program, small};

/// What is written of a tune.
const COMMANDS: [&str; 9] = [
    "render jam.tune --midi jam.mid",
    "render jam.tune --sound jam.wav",
    "render jam.tune --sound jam.mp3",
    "export jam.tune -o jam.mxl",
    "page jam.tune --part lead -o jam.html",
    "sheet jam.tune -o jam.pdf",
    "cover lead-c jam.tune --picture jam.svg",
    "pack jam.tune -o pack",
    "pack jam.tune -o archives --zip --format wav",
];

/// All files that come of a tune in a folder, and what is told, where the environment says these things.
fn made(folder: &Path, says: &[(&str, &str)]) -> Vec<(String, Vec<u8>)> {
    let mut all = Vec::new();
    for arguments in COMMANDS {
        let mut command = program(folder);
        command.args(arguments.split(' ')).envs(says.iter().copied());
        let output = command.output().expect("it runs");
        assert_eq!(output.status.code(), Some(0), "{arguments}: {}", String::from_utf8_lossy(&output.stderr));
        all.push((arguments.to_owned(), [output.stdout, output.stderr].concat()));
    }
    let mut folders = vec![folder.to_owned()];
    while let Some(at) = folders.pop() {
        for name in listing(&at) {
            let path = at.join(&name);
            if path.is_dir() {
                folders.push(path);
            } else {
                let name = path.strip_prefix(folder).expect("a file in it").display().to_string();
                all.push((name, fs::read(&path).expect("a file")));
            }
        }
    }
    all.sort();
    all
}

#[test]
fn neither_locale_nor_clock_nor_folder_nor_threads_change_a_byte() {
    let (here, there) = (small(), small());
    let other = there.path().join("Ein anderer Ordner");
    fs::create_dir(&other).expect("a folder");
    for file in ["jam.tune", "band.toml"] {
        fs::copy(there.path().join(file), other.join(file)).expect("a copy");
    }
    let plain = made(here.path(), &[("LC_ALL", "C"), ("TZ", "UTC"), ("RAYON_NUM_THREADS", "1")]);
    let foreign =
        [("LC_ALL", "tr_TR.UTF-8"), ("LANG", "tr_TR.UTF-8"), ("TZ", "Pacific/Kiritimati"), ("RAYON_NUM_THREADS", "4")];
    let otherwise = made(&other, &foreign);
    assert_eq!(plain.len(), otherwise.len());
    assert!(plain.len() > 20, "{}", plain.len());
    for (a, b) in plain.iter().zip(&otherwise) {
        assert!(a == b, "{} and {} differ", a.0, b.0);
    }
}

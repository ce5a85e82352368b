//! The README's pictures are not older than what they show: what they were made from is written down beside them.

use std::fs;
use std::path::{Path, PathBuf};

use sha2::{Digest, Sha256};

use super::readme::run;
use super::root;

/// The most bytes of a picture, and of all of them.
const MOST: (u64, u64) = (120_000, 400_000);

/// Of what the list speaks: a file of the project, what a command prints, a file that a command writes, or of a page what is seen.
fn bytes(what: &str, folder: &Path) -> Vec<u8> {
    if let Some(path) = what.strip_prefix("file: ") {
        return read(&root().join(path));
    }
    if let Some(command) = what.strip_prefix("prints: ") {
        return run(folder, command).into_bytes();
    }
    let (verb, rest) = what.split_once(' ').expect("what is done");
    let (name, command) = rest.split_once(": ").expect("a file and a command");
    run(folder, command);
    let written = read(&folder.join(name));
    match verb {
        "writes" => written,
        // A page's strokes and their times are behind what is seen.
        "shows" => {
            let page = String::from_utf8(written).expect("text");
            let seen = page.lines().take_while(|line| !line.contains("id=\"data\""));
            seen.flat_map(|line| [line, "\n"]).collect::<String>().into_bytes()
        }
        _ => panic!("`{verb}` is not known"),
    }
}

fn read(path: &Path) -> Vec<u8> {
    fs::read(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

fn sum(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

fn pictures() -> Vec<PathBuf> {
    let paths = fs::read_dir(root().join("examples/pictures")).expect("the pictures");
    let paths = paths.map(|entry| entry.expect("an entry").path());
    paths.filter(|path| path.extension().is_some_and(|extension| extension == "webp")).collect()
}

#[test]
fn pictures_are_not_older_than_what_they_show() {
    let list = fs::read_to_string(root().join("examples/pictures/made-from.txt")).expect("what they were made from");
    let folder = tempfile::tempdir().expect("a folder");
    let mut old = Vec::new();
    for line in list.lines().filter(|line| !line.starts_with('#')) {
        let (written, what) = line.split_once("  ").expect("a sum and what it is of");
        if sum(&bytes(what, folder.path())) != written {
            old.push(what);
        }
    }
    assert!(old.is_empty(), "run examples/pictures/make.sh, for these have changed:\n{}", old.join("\n"));
    for picture in pictures() {
        let name = picture.file_name().expect("a name").to_string_lossy().into_owned();
        assert!(list.contains(&format!("  file: examples/pictures/{name}\n")), "nobody says what {name} was made from");
    }
}

#[test]
fn pictures_are_small_and_all_are_shown() {
    let readme = fs::read_to_string(root().join("README.md")).expect("the README");
    let pictures = pictures();
    let mut all = 0;
    for picture in &pictures {
        let name = picture.file_name().expect("a name").to_string_lossy();
        let size = picture.metadata().expect("its size").len();
        assert!(size < MOST.0, "{name} has {size} bytes");
        assert!(readme.contains(&format!("](examples/pictures/{name})")), "the README does not show {name}");
        all += size;
    }
    assert!(all < MOST.1 && pictures.len() >= 4, "{} pictures of {all} bytes", pictures.len());
}

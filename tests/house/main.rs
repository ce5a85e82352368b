//! The house's own rules: what the compiler doesn't hold, and what DEVELOPERS.md promises.

mod circles;
mod engine_room;
mod files;
mod kinds;
mod pictures;
mod readme;
mod rooms;
mod visible;
mod words;

use std::fs;
use std::path::{Path, PathBuf};

/// The folder of the project.
fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Every Rust file below a folder of the project, by path, with its text; in order of the paths.
fn rust_files(folder: &str) -> Vec<(PathBuf, String)> {
    let mut paths = Vec::new();
    let mut folders = vec![root().join(folder)];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).unwrap_or_else(|error| panic!("{}: {error}", folder.display())) {
            let path = entry.expect("an entry").path();
            match path.extension() {
                _ if path.is_dir() => folders.push(path),
                Some(extension) if extension == "rs" => paths.push(path),
                _ => {}
            }
        }
    }
    paths.sort();
    let read = |path: PathBuf| {
        let text = fs::read_to_string(&path).expect("a readable file");
        (path.strip_prefix(root()).expect("below the root").to_owned(), text)
    };
    paths.into_iter().map(read).collect()
}

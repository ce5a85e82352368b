//! Every file says what it is for, and is short enough to read.

use super::rust_files;

/// The most lines of a file.
const MOST_LINES: usize = 600;

#[test]
fn every_file_opens_with_what_it_is_for() {
    for (path, text) in ["src", "tests", "examples", "benches"]
        .iter()
        .filter(|f| super::root().join(f).exists())
        .flat_map(|f| rust_files(f))
    {
        let opening = text.lines().next().unwrap_or_default();
        assert!(
            opening.starts_with("//! ") && opening.len() > 10,
            "{} should open with `//! What it is for`",
            path.display()
        );
    }
}

#[test]
fn no_file_is_too_long_to_read() {
    for (path, text) in rust_files("src").into_iter().chain(rust_files("tests")) {
        let lines = text.lines().count();
        assert!(lines <= MOST_LINES, "{} has {lines} lines, at most {MOST_LINES} are allowed", path.display());
    }
}

//! The built program, looked at from outside: its screens, its exit codes, the files that it writes and does not write.

mod bounds;
mod broken;
mod check;
mod closed_pipe;
mod codes;
mod cover;
mod drill;
mod export;
mod files;
mod fit;
mod guide;
mod hostile;
mod import;
mod json;
mod lineup;
mod many;
mod misread;
mod names;
mod open;
mod pack;
mod pack_again;
mod page;
mod pans;
mod pans_new;
mod play;
mod prompt;
mod render;
mod rewritten;
mod same_bytes;
mod seats;
mod sheet;
mod start;
mod sticks;
mod stopped;
mod targets;
mod terminal;
mod tidy;

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// What the program did.
struct Done {
    code: Option<i32>,
    out: String,
    err: String,
}

impl Done {
    /// What it has written as JSON.
    fn json(&self) -> serde_json::Value {
        serde_json::from_str(&self.out).unwrap_or_else(|error| panic!("{error}: {}{}", self.out, self.err))
    }
}

/// The program, to be run in a folder, with a plain terminal and no colours asked for.
fn program(folder: impl AsRef<Path>) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_panfold"));
    command.current_dir(folder).env_remove("NO_COLOR").env_remove("COLUMNS");
    command
}

/// Runs the program in a folder; arguments are cut at spaces.
fn run(folder: impl AsRef<Path>, arguments: &str) -> Done {
    done(program(folder.as_ref()).args(arguments.split_whitespace()).output().expect("the program runs"))
}

fn done(output: Output) -> Done {
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("the program writes UTF-8");
    Done { code: output.status.code(), out: text(output.stdout), err: text(output.stderr) }
}

/// Whether a screen says something, wherever its lines are broken, and with a capital letter if a sentence begins with it.
fn says(screen: &str, text: &str) -> bool {
    let flat = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    let (screen, text) = (flat(screen), flat(text));
    let mut letters = text.chars();
    let capital: String = letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default();
    screen.contains(&text) || screen.contains(&capital)
}

/// A folder of this test program.
fn here(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/program").join(name)
}

/// A new folder with these files, by name and text.
fn folder_of(files: &[(&str, &str)]) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    for (name, text) in files {
        std::fs::write(folder.path().join(name), text).expect("a file");
    }
    folder
}

/// The text of a band of one pan, `P`.
fn one_pan(layout: &str) -> String {
    format!("name = \"T\"\n[[pan]]\nname = \"P\"\nlayout = \"{layout}\"\n")
}

/// A new folder with a small band and a small tune in it.
fn small() -> tempfile::TempDir {
    small_with(&[])
}

/// The same with more files, by name and text.
fn small_with(files: &[(&str, &str)]) -> tempfile::TempDir {
    let band = "name = \"Test band\"\n\n[[pan]]\nname = \"Lead\"\nlayout = \"lead-c\"\n\n[[pan]]\nname = \"Six\"\n\
                layout = \"six-bass\"\n\n[[percussion]]\nname = \"Brake drum\"\nkind = \"iron\"\n";
    let tune = "title Jam\nby the band\nband band.toml\ntempo 240\nroll none\n\npart lead on lead\npart bass on six-bass\n\
                part iron on iron\n\nform verse chorus\n\nsection verse\n  lead | D5 . G5 B5 |\n  bass | G2 . . . |\n  \
                iron | x x X x |\n\nsection chorus\n  lead | B5 |\n  bass | D2 |\n";
    folder_of(&[&[("band.toml", band), ("jam.tune", tune)], files].concat())
}

/// The names of everything in a folder and below, in order.
fn listing(folder: &Path) -> Vec<String> {
    let mut names = Vec::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(at) = folders.pop() {
        for entry in std::fs::read_dir(&at).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                folders.push(path);
            } else {
                let name = path.strip_prefix(folder).expect("below the folder").display().to_string();
                names.push(name.replace('\\', "/"));
            }
        }
    }
    names.sort();
    names
}

//! What people read keeps to the band's words: none of those that were given up stands there in its old sense.

use std::fs;
use std::process::Command;

use super::root;

/// Words that were given up, as they stood on screens, and what is said now.
const GIVEN_UP: [(&str, &str); 17] = [
    ("panfold load", "lineup"),
    ("in front of the band", "my part loud, the band soft"),
    ("--mix front", "--mix loud"),
    ("scraper", "scratcher"),
    ("on sticks", "on claves"),
    ("improver", "intermediate"),
    (" shed", "panyard"),
    ("the stretch", "these bars"),
    ("chord of the moment", "the current chord"),
    ("larger pan", "bigger"),
    ("to mend", "to fix"),
    (" mended", "fixed"),
    (" torn", "a jump of an octave in the line"),
    ("called after", "named after"),
    ("is told", "is shown"),
    ("are told", "are shown"),
    ("ringing ear", "if your ears ring"),
];

/// What the program prints.
fn printed(arguments: &[&str]) -> String {
    let mut command = Command::new(env!("CARGO_BIN_EXE_panfold"));
    let output = command.args(arguments).current_dir(root()).output().expect("the program runs");
    String::from_utf8(output.stdout).expect("text")
}

/// Every text that people read, by where it stands.
fn texts() -> Vec<(String, String)> {
    let mut texts = Vec::new();
    let mut add = |name: &str, text: String| {
        assert!(!text.is_empty(), "{name} says nothing");
        texts.push((name.to_owned(), text));
    };
    let help = printed(&["--help"]);
    let commands = help.lines().filter_map(|line| line.strip_prefix("  ")?.split_once(' ').map(|(name, _)| name));
    let commands: Vec<&str> = commands.filter(|name| name.chars().all(|c| c.is_ascii_lowercase())).collect();
    assert!(commands.len() >= 20, "{commands:?}");
    for name in commands.iter().filter(|name| **name != "help") {
        add(&format!("{name} --help"), printed(&[name, "--help"]));
    }
    let listed = printed(&["findings"]);
    let kinds: Vec<&str> = listed.lines().filter(|line| !line.is_empty() && !line.contains(' ')).collect();
    assert!(kinds.len() > 80, "{kinds:?}");
    add("findings", printed(&[&["findings"], &kinds[..]].concat()));
    add("help", help);
    for folder in ["src/cli/guide", "src/cli/start", "src/page", "src/pan/layouts", "arrangements"] {
        for entry in fs::read_dir(root().join(folder)).expect("a folder") {
            let path = entry.expect("an entry").path();
            let ending = path.extension().and_then(|ending| ending.to_str()).unwrap_or_default();
            if ["md", "toml", "tune", "html"].contains(&ending) {
                add(&path.display().to_string(), fs::read_to_string(&path).expect("a text"));
            }
        }
    }
    add("README.md", fs::read_to_string(root().join("README.md")).expect("the README"));
    for tune in ["jetty-jam", "sea-grape-road", "slow-water"] {
        let tune = format!("arrangements/{tune}.tune");
        for command in ["check", "lineup", "fit"] {
            add(&format!("{command} {tune}"), printed(&[command, &tune]));
        }
    }
    texts
}

#[test]
fn words_that_were_given_up_stand_nowhere() {
    let mut found = Vec::new();
    for (name, text) in texts() {
        for line in text.lines() {
            // What is understood as well stands in the table of the engine room.
            let is_synonym = line.starts_with("| `");
            let line = line.to_lowercase();
            let here = GIVEN_UP.iter().filter(|(old, _)| !is_synonym && line.contains(old));
            found.extend(here.map(|(old, now)| format!("{name}: `{old}` is `{now}` now: {line}")));
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}

//! Data flows one way: a room uses only the rooms above it, and only three of them touch the world outside.

use std::path::Path;

use super::{root, rust_files};

/// The rooms in order.
const ROOMS: [&str; 18] = [
    "text",
    "music",
    "notation",
    "pan",
    "tune",
    "people",
    "hands",
    "fit",
    "check",
    "cover",
    "performance",
    "midi",
    "exchange",
    "sound",
    "drawing",
    "page",
    "door",
    "cli",
];

/// What only the sound's file writers, the door and the program use: files, clocks, the terminal, other programs.
const WORLD: [&str; 7] =
    ["std::fs", "std::env", "std::process", "std::net", "SystemTime", "Instant::now", "io::stdout"];

/// The rooms that may touch the world.
const DOORS: [&str; 3] = ["sound", "door", "cli"];

/// The room of a file, if it is in one: `src/pan/face.rs` is in `pan`.
fn room(path: &Path) -> Option<usize> {
    let name = path.strip_prefix("src").ok()?.iter().next()?.to_str()?;
    ROOMS.iter().position(|room| *room == name.trim_end_matches(".rs"))
}

/// The lines of a file that are code, numbered from 1: comments may speak of any room.
fn code(text: &str) -> impl Iterator<Item = (usize, &str)> {
    let lines = text.lines().enumerate().map(|(number, line)| (number + 1, line));
    lines.filter(|(_, line)| !line.trim_start().starts_with("//"))
}

/// The rooms that a stretch of code names: after `crate::` or `super::super::`, alone or in braces (on one line or several).
fn used(code: &str) -> Vec<&'static str> {
    let mut found = Vec::new();
    for start in ["crate::", "super::super::"] {
        for (at, _) in code.match_indices(start) {
            let rest = &code[at + start.len()..];
            let names: Vec<&str> = match rest.strip_prefix('{') {
                Some(group) => top_level(group),
                None => vec![rest],
            };
            found.extend(names.into_iter().filter_map(|name| ROOMS.into_iter().find(|room| word(name) == *room)));
        }
    }
    found
}

/// The word at the start of a text.
fn word(text: &str) -> &str {
    let text = text.trim_start();
    &text[..text.find(|c: char| !c.is_alphanumeric() && c != '_').unwrap_or(text.len())]
}

/// The items of a group in braces, without what stands in braces within them.
fn top_level(group: &str) -> Vec<&str> {
    let mut items = Vec::new();
    let (mut depth, mut start) = (0, 0);
    for (at, c) in group.char_indices() {
        match c {
            '{' => depth += 1,
            '}' if depth == 0 => {
                items.push(&group[start..at]);
                return items;
            }
            '}' => depth -= 1,
            ',' if depth == 0 => {
                items.push(&group[start..at]);
                start = at + 1;
            }
            _ => {}
        }
    }
    items
}

#[test]
fn a_room_uses_only_rooms_above_it() {
    let mut wrong = Vec::new();
    for (path, text) in rust_files("src") {
        let Some(place) = room(&path) else { continue };
        let code: Vec<&str> = code(&text).map(|(_, line)| line).collect();
        for used in used(&code.join("\n")) {
            if ROOMS.iter().position(|room| *room == used) > Some(place) {
                wrong.push(format!("{} uses `{used}`, which is below it", path.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn only_three_rooms_touch_the_world() {
    let mut wrong = Vec::new();
    for (path, text) in rust_files("src") {
        let Some(place) = room(&path).filter(|place| !DOORS.contains(&ROOMS[*place])) else { continue };
        // Tests may read the demo band's files.
        let text = text.split("#[cfg(test)]").next().unwrap_or_default();
        for (number, line) in code(text) {
            if let Some(door) = WORLD.iter().find(|door| line.contains(**door)) {
                wrong.push(format!("{}:{number} in `{}` uses `{door}`", path.display(), ROOMS[place]));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_folder_is_a_room_and_the_developers_page_lists_it_in_order() {
    let page = std::fs::read_to_string(root().join("DEVELOPERS.md")).expect("DEVELOPERS.md");
    let listed: Vec<&str> =
        page.lines().filter_map(|line| line.strip_prefix("| `")?.split_once("/` |").map(|(room, _)| room)).collect();
    assert_eq!(listed, ROOMS);
    let modules = std::fs::read_to_string(root().join("src/lib.rs")).expect("src/lib.rs");
    let mut declared: Vec<&str> =
        modules.lines().filter_map(|line| line.strip_prefix("pub mod ")?.strip_suffix(';')).collect();
    let mut rooms = ROOMS.to_vec();
    declared.sort_unstable();
    rooms.sort_unstable();
    assert_eq!(declared, rooms);
}

#[test]
fn uses_are_seen_however_they_are_written() {
    assert_eq!(used("use crate::cli::screen;"), ["cli"]);
    assert_eq!(used("let x = crate::sound::wav::write();"), ["sound"]);
    assert_eq!(used("use crate::{\n    midi::{read, sound},\n    tune,\n};"), ["midi", "tune"]);
    assert_eq!(used("use super::super::fit;"), ["fit"]);
    assert_eq!(used("use crate::midiwire;"), [""; 0]);
}

/// The files that the developers' page names, each with the room under whose heading it stands.
fn named_files(page: &str) -> Vec<(String, String)> {
    let mut room = "";
    let mut files = Vec::new();
    for line in page.lines() {
        if line.starts_with('#') {
            room = line.strip_prefix("### ").unwrap_or_default();
        }
        let in_code = line.split('`').skip(1).step_by(2);
        let named = in_code.filter(|code| code.ends_with(".rs") && !code.contains(|c: char| c.is_uppercase()));
        files.extend(named.map(|file| (room.to_owned(), file.to_owned())));
    }
    files
}

#[test]
fn files_that_the_developers_page_names_are_there() {
    let page = std::fs::read_to_string(root().join("DEVELOPERS.md")).expect("DEVELOPERS.md");
    let files = named_files(&page);
    assert!(files.len() > 30, "the page names files");
    for (room, file) in files {
        let places = [format!("src/{room}/{file}"), format!("src/{file}"), file.clone()];
        assert!(places.iter().any(|place| root().join(place).exists()), "under `{room}` there is no `{file}`");
    }
    assert_eq!(
        named_files("### fit\n`a.rs`, `b`\n## End\n`c/d.rs`"),
        [("fit".to_owned(), "a.rs".to_owned()), (String::new(), "c/d.rs".to_owned())]
    );
}

#[test]
fn decisions_are_told_of_rooms_in_their_order() {
    let page = std::fs::read_to_string(root().join("DEVELOPERS.md")).expect("DEVELOPERS.md");
    let decisions =
        page.split("\n## Decisions\n").nth(1).and_then(|rest| rest.split("\n## ").next()).expect("decisions");
    let told: Vec<&str> = decisions.lines().filter_map(|line| line.strip_prefix("### ")).collect();
    let known: Vec<&str> = ROOMS.into_iter().filter(|room| told.contains(room)).collect();
    assert_eq!(told, known);
}

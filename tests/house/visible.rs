//! Nothing is public that nothing outside its room uses: whoever reads the library sees only what there is to use.
//!
//! A type may also be public because it shows in what a public item of its room takes, gives or holds.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use super::rust_files;

/// The room of a file: `src/pan/face.rs` is in `pan`; other folders are rooms of their own.
fn room(path: &Path) -> String {
    let steps: Vec<&str> = path.iter().filter_map(|step| step.to_str()).collect();
    match steps[..] {
        ["src", room, ..] => room.trim_end_matches(".rs").to_owned(),
        _ => steps[0].to_owned(),
    }
}

/// The words of a text's code, and of the examples in its documentation that use the library from outside.
fn words(text: &str) -> impl Iterator<Item = &str> {
    let lines = text.lines().filter(|line| !line.trim_start().starts_with("//") || line.contains("panfold::"));
    lines.flat_map(|line| line.split(|c: char| !c.is_alphanumeric() && c != '_'))
}

/// What a line makes public, if it is a function, a constant or a module.
fn made_public(line: &str) -> Option<&str> {
    let rest = line.trim_start().strip_prefix("pub ")?;
    let kinds = ["const fn ", "fn ", "const ", "static ", "mod "];
    let name = kinds.iter().find_map(|kind| rest.strip_prefix(kind))?;
    name.split(|c: char| !c.is_alphanumeric() && c != '_').next()
}

/// The type that a line makes public, if it is one.
fn made_public_type(line: &str) -> Option<&str> {
    let rest = line.trim_start().strip_prefix("pub ")?;
    let name = ["struct ", "enum ", "trait ", "type "].iter().find_map(|kind| rest.strip_prefix(kind))?;
    name.split(|c: char| !c.is_alphanumeric() && c != '_').next()
}

/// The words of what a file's public items take, give and hold: signatures, fields, the variants of enums.
fn shown_words(code: &str) -> BTreeSet<&str> {
    let mut shown = BTreeSet::new();
    let mut lines = code.lines().filter(|line| !line.trim_start().starts_with("//"));
    while let Some(line) = lines.next() {
        let text = line.trim();
        let Some(rest) = text.strip_prefix("pub ") else {
            // What an implementation of a foreign trait gives.
            if text.starts_with("type ") {
                shown.extend(words(text));
            }
            continue;
        };
        let own_name = made_public(line).or_else(|| made_public_type(line));
        shown.extend(words(rest).filter(|word| Some(*word) != own_name));
        let ends: fn(&str) -> bool = match rest.split(' ').next() {
            Some("fn" | "const") => |line| line.ends_with(['{', ';', '}']),
            Some("enum") => |line| line == "}" || line.ends_with("{}"),
            _ => continue,
        };
        let mut is_whole = !rest.starts_with("enum") && ends(line);
        while !is_whole && let Some(line) = lines.next() {
            shown.extend(words(line));
            is_whole = ends(line);
        }
    }
    shown
}

/// Whether the modules down to a file are all public, so that it can be reached from outside.
fn is_reached(path: &Path, texts: &BTreeMap<String, &String>) -> bool {
    let module = path.with_extension("");
    let steps: Vec<&str> = module.iter().skip(1).filter_map(|step| step.to_str()).collect();
    let steps = steps.strip_suffix(&["mod"]).unwrap_or(&steps);
    (1..steps.len()).all(|depth| {
        let parent = format!("src/{}/mod.rs", steps[..depth].join("/"));
        texts.get(&parent).is_some_and(|text| text.contains(&format!("pub mod {};", steps[depth])))
    })
}

#[test]
fn nothing_is_public_that_only_its_own_room_uses() {
    let files: Vec<_> = ["src", "tests", "examples", "benches", "fuzz"].into_iter().flat_map(rust_files).collect();
    let texts: BTreeMap<String, &String> =
        files.iter().map(|(path, text)| (path.display().to_string(), text)).collect();
    let mut used: BTreeMap<&str, BTreeSet<String>> = BTreeMap::new();
    for (path, text) in &files {
        for word in words(text) {
            used.entry(word).or_default().insert(room(path));
        }
    }
    let is_front = |path: &Path| ["src/lib.rs", "src/main.rs"].iter().any(|front| path == Path::new(front));
    let own: Vec<_> = files
        .iter()
        .filter(|(path, _)| path.starts_with("src") && !is_front(path) && is_reached(path, &texts))
        .map(|(path, text)| (path, text, text.split("#[cfg(test)]\nmod tests").next().unwrap_or_default()))
        .collect();
    let mut surfaces: BTreeMap<String, BTreeSet<&str>> = BTreeMap::new();
    for (path, _, code) in &own {
        surfaces.entry(room(path)).or_default().extend(shown_words(code));
    }
    let mut wrong = Vec::new();
    for (path, text, code) in own {
        // What stands in doc examples of its own room counts as used from outside.
        let shown: BTreeSet<&str> = text.lines().filter(|line| line.contains("panfold::")).flat_map(words).collect();
        let surface = &surfaces[&room(path)];
        let items = code.lines().filter_map(made_public).map(|name| (name, false));
        let types = code.lines().filter_map(made_public_type).map(|name| (name, surface.contains(name)));
        for (name, is_shown) in items.chain(types) {
            let elsewhere = used.get(name).is_some_and(|rooms| rooms.iter().any(|other| *other != room(path)));
            if !elsewhere && !is_shown && !shown.contains(name) {
                wrong.push(format!("{}: `{name}` is public, but nothing outside its room uses it", path.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_type_that_nothing_shows_is_found() {
    let code = "pub fn all(\n    some: &Taken,\n) -> Given {\n}\nstruct Own;\npub struct Hidden {\n    pub held: Vec<Held>,\n    own: Own,\n}\n\
                pub enum Kind {\n    One(Inner),\n}\nimpl Iterator for Given {\n    type Item = Item;\n}\n";
    let shown = shown_words(code);
    assert!(["Taken", "Given", "Held", "Inner", "Item"].iter().all(|name| shown.contains(name)), "{shown:?}");
    assert!(["Hidden", "Own", "Kind"].iter().all(|name| !shown.contains(name)), "{shown:?}");
}

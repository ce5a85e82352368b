//! No two files import each other: one of them would have to be read before the other can be understood, and neither can be first.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use super::rust_files;

/// The module that a file is: `src/pan/mod.rs` is `pan`, `src/pan/face.rs` is `pan::face`.
fn module(path: &Path) -> String {
    let steps = path.with_extension("");
    let steps: Vec<&str> = steps.iter().skip(1).filter_map(|step| step.to_str()).collect();
    steps.strip_suffix(&["mod"]).unwrap_or(&steps).join("::")
}

/// The paths that a `use` names, its braces taken apart.
fn paths(tree: &str) -> Vec<String> {
    let Some((start, group)) = tree.split_once('{') else {
        return vec![tree.split(" as ").next().unwrap_or_default().trim().to_owned()];
    };
    let group = group.trim_end().strip_suffix('}').unwrap_or(group);
    let mut depth = 0;
    let parts = group.split(|c| {
        depth += i32::from(c == '{') - i32::from(c == '}');
        c == ',' && depth == 0
    });
    let within = parts.filter(|part| !part.trim().is_empty()).flat_map(|part| paths(part.trim()));
    within.map(|path| format!("{}{path}", start.trim())).collect()
}

/// The `use` lines of a file, without those of its tests, and without what it only passes on.
fn uses(text: &str) -> Vec<String> {
    let text = text.split("#[cfg(test)]\nmod tests {").next().unwrap_or_default();
    let statements = text.split(';').filter_map(|statement| {
        let at = statement.rfind("\nuse ").map(|at| at + 5)?;
        Some(statement[at..].split_whitespace().collect::<Vec<_>>().join(" "))
    });
    statements.flat_map(|tree| paths(&tree)).collect()
}

/// The file that a path leads to, seen from a module.
fn target(path: &str, from: &str, modules: &BTreeSet<String>) -> Option<String> {
    let mut steps: Vec<&str> = from.split("::").collect();
    let mut rest: Vec<&str> = path.split("::").collect();
    match rest[0] {
        "crate" => (steps, rest) = (Vec::new(), rest.split_off(1)),
        "self" => rest = rest.split_off(1),
        "super" => {
            while rest.first() == Some(&"super") {
                steps.pop();
                rest.remove(0);
            }
        }
        child if modules.contains(&format!("{from}::{child}")) => {}
        _ => return None,
    }
    steps.extend(rest);
    let found = (1..=steps.len()).rev().map(|length| steps[..length].join("::")).find(|name| modules.contains(name));
    found.filter(|found| found != from)
}

#[test]
fn no_two_files_import_each_other() {
    let files = rust_files("src");
    let is_test = |path: &Path| {
        let name = path.file_stem().and_then(|name| name.to_str()).unwrap_or_default();
        name.ends_with("tests") || name.ends_with("laws") || path.starts_with("src/kit")
    };
    let modules: BTreeSet<String> = files.iter().map(|(path, _)| module(path)).collect();
    let mut imports: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for (path, text) in files.iter().filter(|(path, _)| !is_test(path)) {
        let from = module(path);
        let targets = uses(text).into_iter().filter_map(|path| target(&path, &from, &modules)).collect();
        imports.insert(from, targets);
    }
    assert!(imports.values().map(BTreeSet::len).sum::<usize>() > 500, "the imports are seen");
    let back = |from: &String, to: &String| imports.get(to).is_some_and(|theirs| theirs.contains(from));
    let circles: Vec<String> = imports
        .iter()
        .flat_map(|(from, targets)| targets.iter().map(move |to| (from, to)))
        .filter(|(from, to)| from < to && back(from, to))
        .map(|(from, to)| format!("{from} and {to} import each other"))
        .collect();
    assert!(circles.is_empty(), "{}", circles.join("\n"));
}

#[test]
fn imports_are_seen_however_they_are_written() {
    let text = "//! A file.\n\nuse std::fs;\nuse super::a::{self, B};\nuse crate::{\n    x::Y,\n    z::{P, Q as R},\n};\npub use d::E;\n";
    assert_eq!(uses(text), ["std::fs", "super::a::self", "super::a::B", "crate::x::Y", "crate::z::P", "crate::z::Q"]);
    let modules: BTreeSet<String> = ["m", "m::a", "m::b", "x"].map(str::to_owned).into();
    assert_eq!(target("super::a::B", "m::b", &modules).as_deref(), Some("m::a"));
    assert_eq!(target("a::B", "m", &modules).as_deref(), Some("m::a"));
    assert_eq!(target("crate::x::Y", "m::b", &modules).as_deref(), Some("x"));
    assert_eq!(target("std::fs", "m", &modules), None);
}

//! Every kind of finding has a name of its own, and says what is the case and why that matters.

use std::collections::BTreeMap;

use super::rust_files;

/// A kind as it stands in the source: its name, and the text of its declaration.
fn declared() -> Vec<(String, String, String)> {
    let mut kinds = Vec::new();
    for (path, text) in rust_files("src") {
        for (at, start) in text.match_indices(": Kind = Kind {") {
            let rest = &text[at + start.len()..];
            let body = &rest[..rest.find("\n};").or_else(|| rest.find("};")).expect("the end of a kind")];
            let name = field(body, "name");
            kinds.push((name, path.display().to_string(), body.to_owned()));
        }
    }
    kinds
}

/// The text of a field of a declaration: what stands in its quotes.
fn field(body: &str, name: &str) -> String {
    let start = body.find(&format!("{name}: \"")).unwrap_or_else(|| panic!("no {name} in {body}"));
    let text = &body[start + name.len() + 3..];
    let mut end = 0;
    while !text[end..].starts_with('"') {
        end += if text[end..].starts_with('\\') { 2 } else { text[end..].chars().next().map_or(1, char::len_utf8) };
    }
    text[..end].to_owned()
}

#[test]
fn names_are_words_with_hyphens_and_unique() {
    let mut seen: BTreeMap<String, String> = BTreeMap::new();
    for (name, path, _) in declared() {
        let words = name.split('-').all(|word| !word.is_empty() && word.chars().all(|c| c.is_ascii_lowercase()));
        assert!(words, "`{name}` in {path} should be lower-case words with hyphens");
        if let Some(first) = seen.insert(name.clone(), path.clone()) {
            panic!("`{name}` stands in {first} and in {path}");
        }
    }
    assert!(seen.contains_key("too-large"), "the reader of the source finds no kinds");
}

#[test]
fn what_and_why_are_sentences() {
    for (name, path, body) in declared() {
        for text in ["what", "why"] {
            let text = field(&body, text);
            assert!(text.len() > 15 && text.trim_end().ends_with('.'), "`{name}` in {path}: `{text}` is no sentence");
        }
    }
}

#[test]
fn every_kind_is_listed_for_people() {
    let listed: Vec<&str> = panfold::cli::kinds::all().iter().map(|kind| kind.name).collect();
    let mut declared: Vec<String> = declared().into_iter().map(|(name, ..)| name).collect();
    declared.sort();
    assert_eq!(listed, declared, "`panfold findings` and the sources");
}

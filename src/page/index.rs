//! The index of a pack: a page that lists what there is for every part, with links into the pack's folders.
//!
//! It opens from a folder or from any web server that hands out files; its content policy forbids every request, so it has no
//! script, and leaves playing a track to the browser.

use std::fmt::Write;
use std::path::Path;

use serde::{Deserialize, Serialize};

use super::encode::policy_hash;
use super::write::{CAUTION, by_day_and_night, fill, inks};
use crate::drawing::svg::escape;
use crate::text::words;

/// The template; `{{name}}` stands for what is filled in.
const TEMPLATE: &str = include_str!("index.html");

/// The index's own style.
const STYLE: &str = include_str!("index.css");

/// What the pack of a tune holds.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Index {
    /// The tune's title.
    pub title: String,
    /// Who made it, for whom, and how it goes: a line.
    pub about: String,
    /// What there is for everybody.
    pub everybody: Vec<Entry>,
    /// What there is for each part.
    pub parts: Vec<Part>,
}

/// What a pack holds for a part.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Part {
    /// Its name.
    pub name: String,
    /// What it is played on, and by whom.
    pub on: String,
    /// Its files.
    pub entries: Vec<Entry>,
}

/// A file of a pack.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub struct Entry {
    /// Where it lies, from the index on, with `/` between folders.
    pub path: String,
    /// What it is.
    pub what: String,
}

/// The index of a folder as HTML, with the packs of one tune or of several.
pub fn index(tunes: &[Index]) -> String {
    let style = by_day_and_night(inks) + STYLE;
    let policy = format!(
        "default-src 'none'; style-src {}; img-src data:; base-uri 'none'; form-action 'none'",
        policy_hash(&style)
    );
    let titles: Vec<&str> = tunes.iter().map(|tune| tune.title.as_str()).collect();
    let (title, about, inner) = match tunes {
        [one] => (one.title.clone(), one.about.clone(), inner(one, 0, 2)),
        _ => (words::and(&titles), String::new(), tunes.iter().enumerate().map(of_several).collect()),
    };
    fill(
        TEMPLATE,
        &[
            ("policy", &policy),
            ("style", &style),
            ("title", &escape(&title)),
            ("about", &escape(&about)),
            ("tunes", &inner),
            ("caution", &escape(CAUTION)),
        ],
    )
}

/// One of several tunes under its title; `number` tells its headings from those of the others.
fn of_several((number, tune): (usize, &Index)) -> String {
    let (title, about) = (escape(&tune.title), escape(&tune.about));
    format!("<h2>{title}</h2>\n<p class=\"quiet\">{about}</p>\n{}", inner(tune, 1000 * number, 3))
}

/// What there is for the parts of a tune, and for everybody.
///
/// - `first`: the number of the first part's heading, for its address.
/// - `level`: the level of the headings.
fn inner(tune: &Index, first: usize, level: usize) -> String {
    let part = |(number, part): (usize, &Part)| {
        section(&format!("part-{number}"), level, (&part.name, Some(&part.on)), &entries(&part.entries, &part.name))
    };
    let parts: String = (first..).zip(&tune.parts).map(part).collect();
    let id = if first == 0 { "everybody".to_owned() } else { format!("everybody-{first}") };
    let everybody = entries(&tune.everybody, "for everybody");
    format!("<div class=\"parts\">\n{parts}</div>\n{}", section(&id, level, ("For everybody", None), &everybody))
}

fn section(id: &str, level: usize, (name, on): (&str, Option<&str>), entries: &str) -> String {
    let name = escape(name);
    let on = on.map_or_else(String::new, |on| format!("<p class=\"quiet\">{}</p>\n", escape(on)));
    format!("<section aria-labelledby=\"{id}\">\n<h{level} id=\"{id}\">{name}</h{level}>\n{on}{entries}</section>\n")
}

/// Links to files; each says whom it is for, so that a screen reader says it too.
fn entries(entries: &[Entry], whose: &str) -> String {
    let mut out = String::from("<ul>\n");
    for entry in entries {
        let ending = Path::new(&entry.path).extension().unwrap_or_default().to_string_lossy().to_uppercase();
        let _ = writeln!(
            out,
            "<li><a href=\"{}\">{}<span class=\"unseen\">, {}</span> <small>{}</small></a></li>",
            address(&entry.path),
            escape(&entry.what),
            escape(whose),
            escape(&ending)
        );
    }
    out + "</ul>\n"
}

/// A path as a relative address (RFC 3986): what is no letter, digit or one of `-._~/` is written as its bytes.
fn address(path: &str) -> String {
    let mut out = String::new();
    for byte in path.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~/".contains(&byte) {
            out.push(char::from(byte));
        } else {
            let _ = write!(out, "%{byte:02X}");
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_and_addresses_are_only_that() {
        let entry = Entry { path: "a b/ü&\"#?:%.pdf".to_owned(), what: "<i>sheet</i>".to_owned() };
        let part = Part { name: "<b>lead</b>".to_owned(), on: "\"Rim\" & co".to_owned(), entries: vec![entry] };
        let page = index(&[Index { title: "</title><script>".to_owned(), parts: vec![part], ..Index::default() }]);
        assert!(page.contains("href=\"a%20b/%C3%BC%26%22%23%3F%3A%25.pdf\""), "{page}");
        assert!(
            page.contains("&lt;i&gt;sheet&lt;/i&gt;")
                && page.contains("<h2 id=\"part-0\">&lt;b&gt;lead&lt;/b&gt;</h2>")
        );
        assert!(!page.contains("<script>") && page.contains("85 dBA"));
        let style = page.split_once("<style>").and_then(|(_, rest)| rest.split_once("</style>")).expect("a style").0;
        assert!(page.contains(&policy_hash(style)), "the policy allows the style");
    }
}

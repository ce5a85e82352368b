//! The index of a pack: a page that lists what there is for every part, with links into the pack's folders.
//!
//! It opens from a folder or from any web server that hands out files; its content policy forbids every request, so it has no
//! script, and leaves playing a track to the browser.

use std::fmt::Write;
use std::path::Path;

use super::encode::policy_hash;
use super::write::{CAUTION, by_day_and_night, fill, inks};
use crate::drawing::svg::escape;

/// The template; `{{name}}` stands for what is filled in.
const TEMPLATE: &str = include_str!("index.html");

/// The index's own style.
const STYLE: &str = include_str!("index.css");

/// What a pack holds.
#[derive(Clone, Debug, Default)]
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
#[derive(Clone, Debug, Default)]
pub struct Part {
    /// Its name.
    pub name: String,
    /// What it is played on, and by whom.
    pub on: String,
    /// Its files.
    pub entries: Vec<Entry>,
}

/// A file of a pack.
#[derive(Clone, Debug, Default)]
pub struct Entry {
    /// Where it lies, from the index on, with `/` between folders.
    pub path: String,
    /// What it is.
    pub what: String,
}

/// The index as HTML.
pub fn index(index: &Index) -> String {
    let style = by_day_and_night(inks) + STYLE;
    let policy = format!(
        "default-src 'none'; style-src {}; img-src data:; base-uri 'none'; form-action 'none'",
        policy_hash(&style)
    );
    let parts: String = index.parts.iter().enumerate().map(part).collect();
    fill(
        TEMPLATE,
        &[
            ("policy", &policy),
            ("style", &style),
            ("title", &escape(&index.title)),
            ("about", &escape(&index.about)),
            ("everybody", &entries(&index.everybody, "for everybody")),
            ("parts", &parts),
            ("caution", &escape(CAUTION)),
        ],
    )
}

fn part((number, part): (usize, &Part)) -> String {
    let (name, on) = (escape(&part.name), escape(&part.on));
    format!(
        "<section aria-labelledby=\"part-{number}\">\n<h2 id=\"part-{number}\">{name}</h2>\n<p class=\"quiet\">{on}</p>\n{}</section>\n",
        entries(&part.entries, &part.name)
    )
}

/// Links to files; each says for readers of screens whom it is for.
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
        let page = index(&Index { title: "</title><script>".to_owned(), parts: vec![part], ..Index::default() });
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

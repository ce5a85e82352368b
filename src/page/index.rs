//! The index of a pack: a page that lists what there is for every part, with links into the pack's folders.
//!
//! It opens from a folder or from any web server that hands out files; its content policy forbids every request but for the tracks
//! beside it, so it has no script: each player's name opens what there is for them, and the browser's own player plays their tracks.

use std::fmt::Write;
use std::path::Path;

use serde::{Deserialize, Serialize};

use super::encode::policy_hash;
use super::write::{CAUTION, by_day_and_night, fill, inks};
use crate::drawing::svg::escape;
use crate::music::count;
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
    /// How long it plays, in seconds, if it is a track.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seconds: Option<f64>,
    /// How large it is, in bytes, if that is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bytes: Option<u64>,
}

/// The index of a folder as HTML, with the packs of one tune or of several.
pub fn index(tunes: &[Index]) -> String {
    let style = by_day_and_night(inks) + STYLE;
    let policy = format!(
        "default-src 'none'; style-src {}; img-src data:; media-src 'self' file:; base-uri 'none'; form-action 'none'",
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
        // Where there is only one player, there is nobody else to look past.
        let is_open = tune.parts.len() == 1;
        let heading = Heading { id: &format!("part-{number}"), level, name: &part.name, on: &part.on, is_open };
        heading.section(&entries(&part.entries, &part.name))
    };
    let parts: String = (first..).zip(&tune.parts).map(part).collect();
    let id = if first == 0 { "everybody".to_owned() } else { format!("everybody-{first}") };
    let everybody = Heading { id: &id, level, name: "For everybody", on: "", is_open: false };
    let everybody = everybody.section(&entries(&tune.everybody, "for everybody"));
    format!("<div class=\"parts\">\n{parts}{everybody}</div>\n")
}

/// A name that opens what there is for somebody.
struct Heading<'a> {
    id: &'a str,
    level: usize,
    name: &'a str,
    on: &'a str,
    is_open: bool,
}

impl Heading<'_> {
    fn section(&self, entries: &str) -> String {
        let Heading { id, level, .. } = self;
        let (name, open) = (escape(self.name), if self.is_open { " open" } else { "" });
        let on = if self.on.is_empty() { String::new() } else { format!(" <small>{}</small>", escape(self.on)) };
        format!(
            "<details{open}>\n<summary><h{level} id=\"{id}\">{name}</h{level}>{on}</summary>\n{entries}</details>\n"
        )
    }
}

/// Links to files, each with its length and size, and a player under each track; each says whom it is for, so that a screen reader says it too.
fn entries(entries: &[Entry], whose: &str) -> String {
    let mut out = String::from("<ul>\n");
    for entry in entries {
        let ending = Path::new(&entry.path).extension().unwrap_or_default().to_string_lossy().to_uppercase();
        let facts = [Some(ending), entry.seconds.map(length), entry.bytes.map(size)];
        let facts: Vec<String> = facts.into_iter().flatten().collect();
        let (address, what, whose) = (address(&entry.path), escape(&entry.what), escape(whose));
        let facts = escape(&facts.join(", "));
        let _ = write!(
            out,
            "<li><a href=\"{address}\">{what}<span class=\"unseen\">, {whose}</span> <small>{facts}</small></a>"
        );
        if entry.seconds.is_some() {
            let _ = write!(
                out,
                "<audio controls preload=\"none\" src=\"{address}\" aria-label=\"{what}, {whose}\"></audio>"
            );
        }
        out.push_str("</li>\n");
    }
    out + "</ul>\n"
}

/// A length of time as players of sound show it: `2:08`.
fn length(seconds: f64) -> String {
    let whole = count(seconds.round());
    format!("{}:{:02}", whole / 60, whole % 60)
}

/// A number of bytes as people say it: `850 KB`, `1.2 MB`, `38 MB`.
pub fn size(bytes: u64) -> String {
    let millions = bytes as f64 / 1e6;
    match bytes {
        0..1_000_000 => format!("{} KB", bytes.div_ceil(1000)),
        1_000_000..10_000_000 => format!("{millions:.1} MB"),
        _ => format!("{millions:.0} MB"),
    }
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
    fn a_track_has_its_length_its_size_and_one_player() {
        let entry = Entry {
            path: "a/b c.mp3".to_owned(),
            what: "track".to_owned(),
            seconds: Some(127.6),
            bytes: Some(1_023_776),
        };
        let part = Part { name: "lead".to_owned(), entries: vec![entry.clone()], ..Part::default() };
        let page = index(&[Index {
            parts: vec![part.clone(), part],
            everybody: vec![Entry { seconds: None, ..entry }],
            ..Index::default()
        }]);
        assert_eq!(page.matches("<small>MP3, 2:08, 1.0 MB</small>").count(), 2, "{page}");
        assert_eq!(page.matches("<audio controls preload=\"none\" src=\"a/b%20c.mp3\"").count(), 2, "{page}");
        assert!(page.contains("<small>MP3, 1.0 MB</small>") && page.contains("media-src 'self' file:;"), "{page}");
        assert_eq!([0, 850_001, 1_234_567, 38_400_000].map(size), ["0 KB", "851 KB", "1.2 MB", "38 MB"]);
    }

    #[test]
    fn names_and_addresses_are_only_that() {
        let entry = Entry { path: "a b/ü&\"#?:%.pdf".to_owned(), what: "<i>sheet</i>".to_owned(), ..Entry::default() };
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

//! The pattern library: strum, bass and engine-room patterns of the trade, as tune files like any user's, embedded.
//!
//! Each file under `styles/` is a style: `title`, `meter` and `tempo`, then patterns whose comment says what they
//! are for and where they are from: `# strum: off the beat; common practice, no source`.

use std::sync::{Arc, OnceLock};

use crate::music::{Meter, Tempo};
use crate::notation::tree::{Line, PatternLine, Statement, Value};
use crate::text::Source;

/// The files by name, in the order in which they are listed.
const FILES: [(&str, &str); 10] = [
    ("calypso", include_str!("styles/calypso.tune")),
    ("soca", include_str!("styles/soca.tune")),
    ("bossa", include_str!("styles/bossa.tune")),
    ("samba", include_str!("styles/samba.tune")),
    ("bolero", include_str!("styles/bolero.tune")),
    ("rumba", include_str!("styles/rumba.tune")),
    ("mambo", include_str!("styles/mambo.tune")),
    ("reggae", include_str!("styles/reggae.tune")),
    ("march", include_str!("styles/march.tune")),
    ("waltz", include_str!("styles/waltz.tune")),
];

/// A style and its patterns.
#[derive(Debug)]
pub struct Style {
    /// Its name in patterns' names: `calypso`.
    pub name: &'static str,
    /// Its name for people.
    pub title: String,
    /// The usual meter.
    pub meter: Meter,
    /// A usual tempo (common practice, no source).
    pub tempo: Tempo,
    /// Its patterns.
    pub patterns: Vec<LibraryPattern>,
}

/// A pattern of the library.
#[derive(Debug)]
pub struct LibraryPattern {
    /// Its bars and its name.
    pub line: PatternLine,
    /// The line as it is written, without its comment: to copy into a tune.
    pub text: String,
    /// What plays it: `strum`, `bass`, or an instrument of the engine room.
    pub role: String,
    /// What it is, in words.
    pub what: String,
    /// Where it is from.
    pub origin: String,
    /// The meter of its style.
    pub meter: Meter,
    /// The tempo of its style.
    pub tempo: Tempo,
}

impl LibraryPattern {
    /// Its name.
    pub fn name(&self) -> &str {
        &self.line.name.value
    }
}

/// All styles.
pub fn styles() -> &'static [Style] {
    static STYLES: OnceLock<Vec<Style>> = OnceLock::new();
    STYLES.get_or_init(|| FILES.iter().map(|(name, text)| style(name, text)).collect())
}

/// The pattern of a name.
pub fn pattern(name: &str) -> Option<&'static LibraryPattern> {
    // Styles lead their patterns' names, so a tune that plays its own patterns reads none of the files for a wrong name.
    FILES.iter().any(|(style, _)| name.starts_with(style)).then_some(())?;
    styles().iter().flat_map(|style| &style.patterns).find(|pattern| pattern.name() == name)
}

/// The names of all patterns.
pub fn names() -> impl Iterator<Item = &'static str> {
    styles().iter().flat_map(|style| style.patterns.iter().map(LibraryPattern::name))
}

fn style(name: &'static str, text: &str) -> Style {
    let source: Arc<Source> = Source::new(format!("{name}.tune"), text);
    let (tree, findings) = crate::notation::parse(&source);
    assert!(findings.is_empty(), "the embedded patterns of {name} read well: {findings:?}");
    let mut style =
        Style { name, title: name.to_owned(), meter: Meter::default(), tempo: Tempo::default(), patterns: Vec::new() };
    for line in tree.lines {
        match &line.statement {
            Some(Statement::Setting(setting)) => match &setting.value.value {
                Value::Title(title) => style.title.clone_from(title),
                Value::Meter(meter) => style.meter = *meter,
                Value::Tempo(tempo) => style.tempo = *tempo,
                _ => {}
            },
            Some(Statement::Pattern(_)) => {
                style.patterns.push(library_pattern(&source, line, style.meter, style.tempo))
            }
            _ => {}
        }
    }
    style
}

fn library_pattern(source: &Source, line: Line, meter: Meter, tempo: Tempo) -> LibraryPattern {
    let comment = line.comment.map_or("", |span| source.slice(span));
    let written = source.slice(line.span).trim_end_matches(comment).trim_end().to_owned();
    let said = comment.trim_start_matches('#').trim();
    let (role, rest) = said.split_once(": ").unwrap_or(("", said));
    let (what, origin) = rest.rsplit_once("; ").unwrap_or((rest, ""));
    let Some(Statement::Pattern(pattern)) = line.statement else { unreachable!("a pattern's line") };
    // Inside a file the names are lined up; one line alone needs no such room.
    let text = written.split("  ").filter(|word| !word.is_empty()).map(str::trim).collect::<Vec<_>>().join(" ");
    LibraryPattern {
        line: pattern,
        text,
        role: role.to_owned(),
        what: what.to_owned(),
        origin: origin.to_owned(),
        meter,
        tempo,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pan::Instrument;
    use crate::tune::patterns::is_strum;

    #[test]
    fn every_pattern_says_what_plays_it_and_where_it_is_from() {
        let mut names: Vec<&str> = names().collect();
        for style in styles() {
            assert!(style.patterns.iter().any(|pattern| pattern.role == "strum"), "{}", style.name);
            assert!(style.patterns.iter().any(|pattern| pattern.role == "bass"), "{}", style.name);
            for pattern in &style.patterns {
                assert!(pattern.name().starts_with(style.name), "{}", pattern.name());
                assert!(!pattern.what.is_empty() && !pattern.origin.is_empty(), "{}", pattern.name());
                let plays = match pattern.role.as_str() {
                    "bass" => !is_strum(&pattern.line.bars),
                    "strum" => is_strum(&pattern.line.bars),
                    role => Instrument::from_name(role).is_some(),
                };
                assert!(plays, "{} for {}", pattern.name(), pattern.role);
            }
        }
        names.sort_unstable();
        names.dedup();
        assert_eq!(names.len(), styles().iter().map(|style| style.patterns.len()).sum::<usize>());
    }
}

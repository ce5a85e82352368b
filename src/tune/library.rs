//! The pattern library: strum, bass and engine-room patterns of the trade, as tune files like any user's, embedded.
//!
//! Each file under `styles/` is a style in one meter: `title`, `meter` and `tempo`, then patterns whose comment says what they
//! are for and where they are from: `# strum: off the beat; common practice, no source`. A style has the same patterns in each of
//! its meters, so that a tune asks for them by one name: the section's meter decides which version is played. A meter that the style does
//! not have gets the version for the style's usual one, with a warning. In calypso, soca, samba and marches a version keeps what stands
//! on a beat; the figures over two bars of bossa nova, mambo, bolero and rumba keep their bars, whose beats are then twice as long.

use std::sync::{Arc, OnceLock};

use crate::music::{Meter, Tempo};
use crate::notation::tree::{Line, PatternLine, Statement, Value};
use crate::text::Source;

/// The files by the names of their styles, in the order in which they are listed. The first of a style is in its usual meter.
const FILES: [(&str, &str); 38] = [
    ("calypso", include_str!("styles/calypso.tune")),
    ("calypso", include_str!("styles/calypso-2-4.tune")),
    ("calypso", include_str!("styles/calypso-2-2.tune")),
    ("soca", include_str!("styles/soca.tune")),
    ("soca", include_str!("styles/soca-2-4.tune")),
    ("soca", include_str!("styles/soca-2-2.tune")),
    ("bossa", include_str!("styles/bossa.tune")),
    ("bossa", include_str!("styles/bossa-2-4.tune")),
    ("bossa", include_str!("styles/bossa-2-2.tune")),
    ("samba", include_str!("styles/samba.tune")),
    ("samba", include_str!("styles/samba-2-4.tune")),
    ("samba", include_str!("styles/samba-2-2.tune")),
    ("bolero", include_str!("styles/bolero.tune")),
    ("bolero", include_str!("styles/bolero-2-4.tune")),
    ("rumba", include_str!("styles/rumba.tune")),
    ("rumba", include_str!("styles/rumba-2-4.tune")),
    ("mambo", include_str!("styles/mambo.tune")),
    ("mambo", include_str!("styles/mambo-2-2.tune")),
    ("reggae", include_str!("styles/reggae.tune")),
    ("march", include_str!("styles/march.tune")),
    ("march", include_str!("styles/march-2-4.tune")),
    ("march", include_str!("styles/march-2-2.tune")),
    ("march", include_str!("styles/march-6-8.tune")),
    ("waltz", include_str!("styles/waltz.tune")),
    ("waltz", include_str!("styles/waltz-6-8.tune")),
    ("waltz", include_str!("styles/waltz-9-8.tune")),
    ("waltz", include_str!("styles/waltz-3-2.tune")),
    ("jig", include_str!("styles/jig.tune")),
    ("jig", include_str!("styles/jig-9-8.tune")),
    ("reel", include_str!("styles/reel.tune")),
    ("reel", include_str!("styles/reel-2-4.tune")),
    ("reel", include_str!("styles/reel-3-2.tune")),
    ("hymn", include_str!("styles/hymn.tune")),
    ("hymn", include_str!("styles/hymn-2-2.tune")),
    ("hymn", include_str!("styles/hymn-3-4.tune")),
    ("hymn", include_str!("styles/hymn-6-8.tune")),
    ("hymn", include_str!("styles/hymn-9-8.tune")),
    ("hymn", include_str!("styles/hymn-3-2.tune")),
];

/// A style in one of its meters, with its patterns.
#[derive(Debug)]
pub struct Style {
    /// Its name in patterns' names: `calypso`.
    pub name: &'static str,
    /// Its name for people, in this meter.
    pub title: String,
    /// The meter.
    pub meter: Meter,
    /// A usual tempo (common practice, no source).
    pub tempo: Tempo,
    /// Its patterns.
    pub patterns: Vec<LibraryPattern>,
}

/// A pattern of the library in one meter.
#[derive(Debug)]
pub struct LibraryPattern {
    /// Its bars and its name.
    pub line: PatternLine,
    /// The line as it is written, without its comment: to copy into a tune.
    pub text: String,
    /// The name of its style.
    pub style: &'static str,
    /// What plays it: `strum`, `bass`, or an instrument of the engine room.
    pub role: String,
    /// What it is, in words.
    pub what: String,
    /// Where it is from.
    pub origin: String,
    /// The meter that it is cut for.
    pub meter: Meter,
    /// The tempo of its style in this meter.
    pub tempo: Tempo,
}

impl LibraryPattern {
    /// Its name, the same in all meters.
    pub fn name(&self) -> &str {
        &self.line.name.value
    }
}

/// All styles, each in all its meters: those of one style follow each other, its usual meter first.
pub fn styles() -> &'static [&'static Style] {
    static STYLES: OnceLock<Vec<&'static Style>> = OnceLock::new();
    STYLES.get_or_init(|| (0..FILES.len()).map(read).collect())
}

/// The style of a file, by the file's number. Each is read when it is first asked for: a tune plays few of them.
fn read(file: usize) -> &'static Style {
    static EACH: [OnceLock<Style>; FILES.len()] = [const { OnceLock::new() }; FILES.len()];
    EACH[file].get_or_init(|| style(FILES[file].0, FILES[file].1))
}

/// The versions of a pattern, one a meter, its style's usual meter first; none where there is no such pattern.
pub fn versions(name: &str) -> impl Iterator<Item = &'static LibraryPattern> {
    // Styles lead their patterns' names, so only the files of one style are read, and none for a tune's own pattern.
    let known = (0..FILES.len()).filter(move |file| name.starts_with(FILES[*file].0));
    known.map(read).flat_map(|style| &style.patterns).filter(move |pattern| pattern.name() == name)
}

/// The pattern of a name for a meter; where it has no version for that, the one for its style's usual meter.
pub(crate) fn pattern(name: &str, meter: Meter) -> Option<&'static LibraryPattern> {
    versions(name).find(|pattern| pattern.meter == meter).or_else(|| versions(name).next())
}

/// The names of all patterns, each once.
pub fn names() -> impl Iterator<Item = &'static str> {
    let usual = styles().chunk_by(|one, other| one.name == other.name).filter_map(|style| style.first());
    usual.flat_map(|style| style.patterns.iter().map(LibraryPattern::name))
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
                let pattern = library_pattern(&source, line, &style);
                style.patterns.push(pattern);
            }
            _ => {}
        }
    }
    style
}

fn library_pattern(source: &Source, line: Line, style: &Style) -> LibraryPattern {
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
        style: style.name,
        role: role.to_owned(),
        what: what.to_owned(),
        origin: origin.to_owned(),
        meter: style.meter,
        tempo: style.tempo,
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use crate::kit;
    use crate::pan::Instrument;
    use crate::tune::patterns::is_strum;

    /// The names and roles of a style's patterns, in order.
    fn held(style: &Style) -> Vec<(&str, &str)> {
        style.patterns.iter().map(|pattern| (pattern.name(), pattern.role.as_str())).collect()
    }

    #[test]
    fn every_pattern_says_what_plays_it_and_where_it_is_from() {
        for style in styles() {
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
        let all: BTreeSet<&str> = names().collect();
        assert_eq!(all.len(), names().count(), "no two patterns of one name");
    }

    #[test]
    fn a_style_has_the_same_patterns_in_each_of_its_meters() {
        for versions in styles().chunk_by(|one, other| one.name == other.name) {
            let meters: BTreeSet<String> = versions.iter().map(|style| style.meter.to_string()).collect();
            assert_eq!(meters.len(), versions.len(), "{}: a file for each meter", versions[0].name);
            for style in versions {
                let (name, meter) = (style.name, style.meter);
                assert_eq!(held(style), held(versions[0]), "{name} in {meter}");
                for role in ["strum", "bass", "iron", "shaker"] {
                    assert!(style.patterns.iter().any(|pattern| pattern.role == role), "{name} in {meter}: {role}");
                }
            }
        }
    }

    #[test]
    fn the_meters_of_marches_jigs_reels_and_hymns_have_styles() {
        for (meter, least) in [((2, 4), 8), ((2, 2), 8), ((6, 8), 4), ((9, 8), 3), ((3, 2), 3), ((4, 4), 10)] {
            let meter = Meter::new(meter.0, meter.1).expect("a meter");
            let have = styles().iter().filter(|style| style.meter == meter).count();
            assert!(have >= least, "{meter}: {have}");
        }
    }

    /// Each section gets the version for its own meter, by one name, and nothing is asked about any of them.
    #[test]
    fn a_section_gets_the_pattern_for_its_meter() {
        for versions in styles().chunk_by(|one, other| one.name == other.name) {
            for pattern in &versions[0].patterns {
                let (kind, verb) = match pattern.role.as_str() {
                    "strum" => ("double-second", "strum"),
                    "bass" => ("six-bass", "play"),
                    role => (role, "play"),
                };
                let name = pattern.name();
                let mut text = format!("part it on {kind}\n");
                for (number, style) in versions.iter().enumerate() {
                    text +=
                        &format!("section s{number}\n meter {}\n chords | G | % |\n it = {verb} {name}\n", style.meter);
                }
                let (tune, findings) = kit::seated(kit::ONE_LEAD, &text);
                assert!(findings.is_empty(), "{name}: {findings:?}");
                for (section, style) in tune.sections.iter().zip(versions) {
                    let version = pattern_in(style, name);
                    let row = section.rows[0].as_ref().expect("a row");
                    let times = 2 / version.line.bars.len();
                    let strokes = strikes(version);
                    assert_eq!(row.events.len(), times * strokes, "{name} in {}", style.meter);
                }
            }
        }
    }

    fn pattern_in<'a>(style: &'a Style, name: &str) -> &'a LibraryPattern {
        style.patterns.iter().find(|pattern| pattern.name() == name).expect("the pattern")
    }

    /// How many cells of a pattern's text strike something.
    fn strikes(pattern: &LibraryPattern) -> usize {
        let (_, bars) = pattern.text.split_once('|').expect("bars");
        bars.split_whitespace().filter(|cell| !["|", ".", "-", "~"].contains(cell)).count()
    }
}

//! The tune's settings, parts and patterns: everything before the sections.

use std::sync::Arc;

use super::findings::{NAME_TWICE, NOBODY_NAMED, NOTHING_TO_PLAY, RESERVED_NAME, UNKNOWN_KIND};
use super::model::{Part, Player, Whom};
use crate::music::{Key, Meter, Tempo};
use crate::notation::findings::INCOMPLETE;
use crate::notation::tree::{PartLine, PatternLine, Statement, Tree, Value};
use crate::pan::{Band, BandPlayer, Instrument, PanKind, kit};
use crate::text::{Finding, Source, Span, Spanned, words};

/// Names of rows that no part may have.
pub const RESERVED: [&str; 3] = ["chords", "words", "dynamics"];

/// The settings of the header or of a section.
#[derive(Clone, Debug, Default)]
pub struct Settings {
    /// `title`.
    pub title: Option<String>,
    /// `by`.
    pub by: Option<String>,
    /// `key`.
    pub key: Option<Key>,
    /// `meter`.
    pub meter: Option<Meter>,
    /// `tempo`.
    pub tempo: Option<Tempo>,
    /// `swing`.
    pub swing: Option<(u8, u8)>,
    /// `pickup` in beats, and its place.
    pub pickup: Option<Spanned<num_rational::Ratio<i64>>>,
    /// `roll` in beats; `Some(None)` for `roll none`.
    pub roll: Option<Option<num_rational::Ratio<i64>>>,
}

impl Settings {
    /// Takes a value; the last of two of a kind counts (`notation` reports that there are two).
    pub fn take(&mut self, value: &Spanned<Value>) {
        match &value.value {
            Value::Title(text) => self.title = Some(text.clone()),
            Value::By(text) => self.by = Some(text.clone()),
            Value::Key(key) => self.key = Some(*key),
            Value::Meter(meter) => self.meter = Some(*meter),
            Value::Tempo(tempo) => self.tempo = Some(*tempo),
            Value::Swing(first, second) => self.swing = Some((*first, *second)),
            Value::Pickup(beats) => self.pickup = Some(Spanned::new(*beats, value.span)),
            Value::Roll(beats) => self.roll = Some(*beats),
            Value::Band(_) | Value::Broken => {}
        }
    }
}

/// The `band` line's path, relative to the tune, and its place.
pub fn band_path(tree: &Tree) -> Option<Spanned<String>> {
    tree.lines.iter().find_map(|line| match &line.statement {
        Some(Statement::Setting(setting)) => match &setting.value.value {
            Value::Band(path) => Some(Spanned::new(path.clone(), setting.value.span)),
            _ => None,
        },
        _ => None,
    })
}

/// The parts that could be understood, and the names of those that could not (so that their rows aren't reported again).
pub fn parts(tree: &Tree, band: &Band, people: &[BandPlayer], findings: &mut Vec<Finding>) -> (Vec<Part>, Vec<String>) {
    let mut parts: Vec<Part> = Vec::new();
    let mut lost = Vec::new();
    for line in tree.lines.iter().filter_map(|line| line.statement.as_ref()) {
        let line = match line {
            Statement::Part(part) => part,
            Statement::LostPart(name) => {
                lost.push(name.value.clone());
                continue;
            }
            _ => continue,
        };
        if let Some(first) = parts.iter().find(|part| part.name == line.name.value) {
            findings.push(twice(&tree.source, "part", &line.name, first.span));
        } else if RESERVED.contains(&line.name.value.as_str()) {
            findings.push(
                Finding::error(&RESERVED_NAME, format!("a part can't be called `{}`", line.name.value))
                    .at(&tree.source, line.name.span)
                    .help("rows of that name are for chord symbols, cues or loudness: give the part another name"),
            );
            lost.push(line.name.value.clone());
        } else if let Some((player, on)) = player(line) {
            if on != line.kind.value {
                findings.push(several_words(&tree.source, line, &on));
            }
            let whom = line.whom.iter().filter_map(|name| whom(name, &tree.source, band, people, findings)).collect();
            let (name, span) = (line.name.value.clone(), line.name.span);
            parts.push(Part { name, span, on, player, whom, version: None });
        } else if let Some((on, who)) = who_for_kind(&line.kind.value, band, people) {
            let (finding, part) = without_kind(&tree.source, line, on, who, band, people);
            findings.push(finding);
            parts.push(part);
        } else {
            findings.push(unknown_kind(&tree.source, line));
            lost.push(line.name.value.clone());
        }
    }
    (parts, lost)
}

/// Whom a name means: a pan, a piece of percussion, or a player.
fn whom(
    name: &Spanned<String>,
    source: &Arc<Source>,
    band: &Band,
    people: &[BandPlayer],
    findings: &mut Vec<Finding>,
) -> Option<Whom> {
    let is = |other: &str| other.trim().to_lowercase() == name.value.to_lowercase();
    let piece = band.pieces().find(|piece| is(band.name_of(*piece))).map(Whom::Piece);
    let found = piece.or_else(|| people.iter().position(|player| is(&player.name)).map(Whom::Player));
    if found.is_none() {
        let message = format!("the band has no pan, percussion or player named `{}`", name.value);
        let finding = Finding::error(&NOBODY_NAMED, message).at(source, name.span);
        let known: Vec<&str> = band.pieces().map(|piece| band.name_of(piece)).collect();
        let known = known.into_iter().chain(people.iter().map(|player| player.name.as_str()));
        findings.push(match words::nearest(&name.value, known) {
            Some(near) => finding.help(format!("did you mean `{near}`?")),
            None => finding.help("write the name of a pan or a player of the band file after `for`"),
        });
    }
    found
}

/// Whom a line names instead of the kind, and what they play.
fn who_for_kind(kind: &str, band: &Band, people: &[BandPlayer]) -> Option<(&'static str, Whom)> {
    let folded = |name: &str| name.trim().to_lowercase().replace([' ', '_'], "-");
    let is = |name: &str| folded(name) == folded(kind);
    if let Some(piece) = band.pieces().find(|piece| is(band.name_of(*piece))) {
        return Some((band.kind_of(piece), Whom::Piece(piece)));
    }
    let player = people.iter().position(|player| is(&player.name))?;
    let piece = people[player].plays.first()?;
    Some((band.kind_of(*piece), Whom::Player(player)))
}

/// A line that says who plays a part but not on what, and the part that it means.
fn without_kind(
    source: &Arc<Source>,
    line: &PartLine,
    on: &str,
    who: Whom,
    band: &Band,
    people: &[BandPlayer],
) -> (Finding, Part) {
    let (what, name) = match who {
        Whom::Piece(piece) => ("the name of a pan or a drum", band.name_of(piece)),
        Whom::Player(player) => ("the name of a player", people[player].name.as_str()),
    };
    let message = format!("`{name}` is {what}: write it after `for`, and the kind of pan before that");
    let finding = Finding::error(&INCOMPLETE, message).at(source, line.kind.span).part(&line.name.value);
    let finding = finding.help(format!("did you mean `part {} on {on} for {name}`?", line.name.value));
    let kind = Spanned::new(on.to_owned(), line.kind.span);
    let meant = PartLine { name: line.name.clone(), kind, whom: Vec::new() };
    let (player, on) = player(&meant).expect("a band's kinds are kinds");
    let (name, span) = (line.name.value.clone(), line.name.span);
    (finding, Part { name, span, on, player, whom: vec![who], version: None })
}

/// What a pan's own version of a part is named.
pub(crate) fn version_name(part: &str, pan: &str) -> String {
    format!("{part} for {}", pan.split_whitespace().collect::<Vec<_>>().join(" "))
}

/// Who plays a part, and what it is played on: as written, but in one word.
fn player(line: &PartLine) -> Option<(Player, String)> {
    let on = one_word(&line.kind.value);
    if let Some(kind) = PanKind::from_name(&on) {
        return Some((Player::Pans { kind, pans: Vec::new() }, on));
    }
    let instrument = Instrument::from_name(&on)?;
    Some((Player::Percussion { instrument, percussion: Vec::new() }, on))
}

/// A kind that is written in several words in one: `double-tenor` for `the double tenor pan`.
fn one_word(kind: &str) -> String {
    let is_known = |kind: &str| PanKind::from_name(kind).is_some() || Instrument::from_name(kind).is_some();
    let words: Vec<&str> = kind.split_whitespace().collect();
    let plain: Vec<&str> =
        words.iter().copied().filter(|word| !["the", "a", "an", "pan", "pans"].contains(word)).collect();
    let all = words.join("-");
    let all = if words.len() > 1 { all.to_lowercase() } else { all };
    if words.len() > 1 && !is_known(&all) && is_known(&plain.join("-")) { plain.join("-") } else { all }
}

/// A finding for a kind in several words, which is understood all the same.
fn several_words(source: &Arc<Source>, line: &PartLine, on: &str) -> Finding {
    let message = format!("the kind of pan is one word with a hyphen, not `{}`", line.kind.value);
    let finding = Finding::error(&UNKNOWN_KIND, message).at(source, line.kind.span).part(&line.name.value);
    finding.help(format!("did you mean `part {} on {on}`?", line.name.value))
}

fn unknown_kind(source: &Arc<Source>, line: &PartLine) -> Finding {
    let kind = &line.kind.value;
    if kit::is_kit(kind) {
        return kit::as_a_part(source, kind, line.kind.span);
    }
    let pans = PanKind::ALL.iter().flat_map(|kind| kind.names());
    let rest = Instrument::ALL.iter().flat_map(|instrument| instrument.names());
    let known: Vec<&str> = pans.chain(rest).copied().collect();
    let finding = Finding::error(&UNKNOWN_KIND, format!("`{kind}` is not a kind of pan or percussion"))
        .at(source, line.kind.span)
        .label("a kind of pan or an instrument of the engine room goes here");
    match words::nearest(&one_word(kind), words::singular(&known)) {
        Some(near) => finding.help(format!("did you mean `{near}`?")),
        None => {
            let pans: Vec<String> = PanKind::ALL.iter().map(|kind| format!("`{kind}`")).collect();
            let rest: Vec<String> = Instrument::ALL.iter().map(|instrument| format!("`{instrument}`")).collect();
            finding.help(format!("pans: {}", pans.join(" "))).help(format!("engine room: {}", rest.join(" ")))
        }
    }
}

/// A finding for a name that two things have.
pub fn twice(source: &Arc<Source>, noun: &str, name: &Spanned<String>, first: Span) -> Finding {
    let line = source.position(first.start).line;
    Finding::error(&NAME_TWICE, format!("there is a {noun} `{}` already, on line {line}", name.value))
        .at(source, name.span)
        .help("give one of them another name")
}

/// The patterns that the tune defines.
pub fn patterns<'a>(tree: &'a Tree, findings: &mut Vec<Finding>) -> Vec<&'a PatternLine> {
    let mut patterns: Vec<&PatternLine> = Vec::new();
    for line in &tree.lines {
        let Some(Statement::Pattern(pattern)) = &line.statement else { continue };
        match patterns.iter().find(|other| other.name.value == pattern.name.value) {
            Some(first) => findings.push(twice(&tree.source, "pattern", &pattern.name, first.name.span)),
            None => patterns.push(pattern),
        }
    }
    patterns
}

/// A finding for a tune without parts or sections, unless something else has already been said about it.
pub(crate) fn nothing_to_play(source: &Arc<Source>, what: &str, example: &str) -> Finding {
    Finding::error(&NOTHING_TO_PLAY, format!("the tune has no {what}"))
        .at(source, Span::new(0, 0))
        .help(format!("write at least one, for example `{example}`"))
}

//! Reading the people of a band file: the tables `[[player]]`.

use std::sync::Arc;

use super::band::{BandPan, Percussion};
use super::fields::Fields;
use super::findings::{PLAYER_TWICE, UNKNOWN_PIECE, WRONG_ENTRY};
use super::level::Level;
use super::player::{BandPlayer, Known, Piece};
use crate::text::{Finding, Source, Spanned, words};

/// What a band has that somebody can play.
pub struct Pieces<'a> {
    /// Its pans.
    pub pans: &'a [BandPan],
    /// Its percussion.
    pub percussion: &'a [Percussion],
    /// Whether one of them could not be read, so that a name may be unknown for that reason only.
    pub some_lost: bool,
}

impl Pieces<'_> {
    fn names(&self) -> impl Iterator<Item = (&str, Piece)> {
        let pans = self.pans.iter().enumerate().map(|(number, of)| (of.pan.name.as_str(), Piece::Pan(number)));
        let percussion = self.percussion.iter().enumerate();
        pans.chain(percussion.map(|(number, of)| (of.name.as_str(), Piece::Percussion(number))))
    }

    fn named(&self, name: &str) -> Option<Piece> {
        let folded = |text: &str| text.trim().to_lowercase();
        let exact = self.names().find(|(other, _)| *other == name);
        exact.or_else(|| self.names().find(|(other, _)| folded(other) == folded(name))).map(|(_, piece)| piece)
    }
}

/// One `[[player]]`; `None` when nothing that they play is there.
///
/// - `fields`: the table's, of which `level` has been read.
pub fn player<'a>(
    source: &'a Arc<Source>,
    mut fields: Fields<'a>,
    level: Option<Level>,
    pieces: &Pieces,
    findings: &mut Vec<Finding>,
) -> Option<BandPlayer> {
    let name = fields.needed_text("name", findings);
    let named = fields.texts("plays", findings);
    if named.is_empty() {
        let who = name.as_ref().map_or("this player", |name| name.value.as_str());
        let finding = Finding::error(&WRONG_ENTRY, format!("`plays` is missing: what does {who} play?"));
        findings.push(finding.at(source, fields.place).help(plays_example(pieces)));
    }
    let mut plays = Vec::new();
    for text in &named {
        match pieces.named(&text.value) {
            Some(piece) if plays.contains(&piece) => {}
            Some(piece) => plays.push(piece),
            None if pieces.some_lost => {}
            None => findings.push(unknown(source, text, pieces)),
        }
    }
    let knows = fields.texts("knows", findings);
    let knows = knows.iter().filter_map(|text| known(source, text, findings)).collect();
    let span = fields.place;
    fields.finish(findings);
    let name = name?;
    (!plays.is_empty()).then_some(BandPlayer { name: name.value, plays, level, knows, span, is_named: true })
}

fn plays_example(pieces: &Pieces) -> String {
    let name = pieces.names().next().map_or("Red rim", |(name, _)| name);
    format!("name pans or percussion of this file: `plays = [\"{name}\"]`")
}

fn unknown(source: &Arc<Source>, text: &Spanned<String>, pieces: &Pieces) -> Finding {
    let message = format!("the band has no pan or percussion named `{}`", text.value);
    let finding = Finding::error(&UNKNOWN_PIECE, message).at(source, text.span);
    let near = words::nearest(&text.value, pieces.names().map(|(name, _)| name));
    match near.or_else(|| same_beginning(&text.value, pieces)) {
        Some(near) => finding.help(format!("did you mean `{near}`?")),
        None => {
            let names: Vec<String> = pieces.names().take(12).map(|(name, _)| format!("`{name}`")).collect();
            finding.help(format!("choose from the pans and percussion of this file: {}", words::and(&names)))
        }
    }
}

/// The only name that begins with the same three letters, for names that are spelt by ear.
fn same_beginning<'a>(text: &str, pieces: &'a Pieces) -> Option<&'a str> {
    let beginning = |name: &str| name.to_lowercase().chars().take(3).collect::<String>();
    let wanted = beginning(text);
    let mut alike = pieces.names().map(|(name, _)| name).filter(|name| beginning(name) == wanted);
    alike.next().filter(|_| wanted.chars().count() == 3 && alike.next().is_none())
}

fn known(source: &Arc<Source>, text: &Spanned<String>, findings: &mut Vec<Finding>) -> Option<Known> {
    let known = Known::read(&text.value);
    if known.is_none() {
        let message = format!("`{}` doesn't say which part of which tune", text.value);
        let finding = Finding::error(&WRONG_ENTRY, message).at(source, text.span);
        findings.push(finding.help("write the tune's file name and the part, as in `\"sea-grape-road: lead\"`"));
    }
    known
}

/// A finding for every player whose name another player has already.
pub fn doubles(source: &Arc<Source>, players: &[BandPlayer], findings: &mut Vec<Finding>) {
    let mut seen: Vec<&str> = Vec::new();
    for BandPlayer { name, span, .. } in players {
        if seen.contains(&name.as_str()) {
            let finding = Finding::error(&PLAYER_TWICE, format!("the band has two players named `{name}`"));
            findings.push(finding.at(source, *span).help("add the first letter of a surname, or use a nickname"));
        }
        seen.push(name);
    }
}

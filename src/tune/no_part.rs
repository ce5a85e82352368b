//! What to say about a row without a part: which line `part` it needs.

use std::sync::Arc;

use super::model::Part;
use crate::pan::findings::DRUM_KIT;
use crate::pan::{Band, Instrument, PanKind, Piece, kit};
use crate::text::{Finding, Source, Spanned, words};

use super::findings::UNKNOWN_PART;

/// Other names for percussion, as rows are called (common practice, no source).
const SPOKEN: [(&str, Instrument); 10] = [
    ("hat", Instrument::HiHat),
    ("hats", Instrument::HiHat),
    ("hihats", Instrument::HiHat),
    ("high-hat", Instrument::HiHat),
    ("bd", Instrument::Kick),
    ("foot-drum", Instrument::Kick),
    ("sd", Instrument::Snare),
    ("side-drum", Instrument::Snare),
    ("sidedrum", Instrument::Snare),
    ("cowbells", Instrument::Cowbell),
];

/// The pieces of a drum kit that its own finding explains how to write.
const OF_KIT: [&str; 3] = ["kick", "snare", "hat"];

/// The part whose name is nearly the row's.
pub fn nearest<'a>(name: &str, parts: &'a [Part]) -> Option<&'a str> {
    words::nearest(name, parts.iter().map(|part| part.name.as_str()))
}

/// The finding for a row without a part; `None` where an earlier finding already says which part to write.
pub fn unknown_part(
    source: &Arc<Source>,
    name: &Spanned<String>,
    (parts, reserved): (&[Part], &[&str]),
    band: &Band,
    told: &[Finding],
) -> Option<Finding> {
    let row = name.value.as_str();
    if OF_KIT.contains(&row) && told.iter().any(|finding| *finding.kind == DRUM_KIT) {
        return None;
    }
    let finding = Finding::error(&UNKNOWN_PART, format!("there is no part `{row}`")).at(source, name.span);
    let known = parts.iter().map(|part| part.name.as_str()).chain(reserved.iter().copied());
    if let Some(near) = words::nearest(row, known) {
        return Some(finding.help(format!("did you mean `{near}`?")));
    }
    if let Some(on) = on(row, band) {
        return Some(finding.help(format!("write it above the sections: `part {row} on {on}`")));
    }
    if kit::is_kit(row) {
        let help =
            "write a part, and a row, for each drum: `part kick on kick`, `part snare on snare`, `part hat on hi-hat`";
        return Some(finding.help(help));
    }
    Some(finding.help(format!("write above the sections `part {row} on` and what it is played on: {}", kinds(band))))
}

/// What a row is played on, by its name; with the pan that has that name.
fn on(row: &str, band: &Band) -> Option<String> {
    let lower = row.to_lowercase();
    let is = |name: &str| name.trim().to_lowercase().replace([' ', '_'], "-") == lower;
    if let Some(piece) = band.pieces().find(|piece| is(band.name_of(*piece))) {
        let kind = band.kind_of(piece);
        return Some(match piece {
            Piece::Pan(_) => format!("{kind} for {}", band.name_of(piece)),
            Piece::Percussion(_) => kind.to_owned(),
        });
    }
    if Instrument::from_name(row).is_some() || PanKind::from_name(row).is_some() {
        return Some(lower);
    }
    if let Some((_, instrument)) = SPOKEN.iter().find(|(spoken, _)| *spoken == lower) {
        return Some(instrument.to_string());
    }
    let names: Vec<&str> = Instrument::ALL.iter().flat_map(|instrument| instrument.names()).copied().collect();
    let kinds: Vec<&str> = PanKind::ALL.iter().flat_map(|kind| kind.names()).copied().collect();
    words::nearest(row, words::singular(&names).chain(words::singular(&kinds))).map(str::to_owned)
}

/// What the band has, in the order of its file; examples if it has nothing.
fn kinds(band: &Band) -> String {
    let mut kinds: Vec<String> = Vec::new();
    for piece in band.pieces() {
        let kind = format!("`{}`", band.kind_of(piece));
        if !kinds.contains(&kind) {
            kinds.push(kind);
        }
    }
    if kinds.is_empty() { "`lead`, `six-bass`, `iron` and the like".to_owned() } else { words::or(&kinds) }
}

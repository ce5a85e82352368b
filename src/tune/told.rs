//! Of a mistake that both reading and the tune have seen, the better finding stays: in a row of percussion a letter is no stroke,
//! whatever note reading took it for.

use std::collections::BTreeSet;

use super::findings::{UNKNOWN_SECTION, WRONG_STROKE};
use crate::notation::findings::{INCOMPLETE, MISPLACED, UNKNOWN_INSTRUCTION, WRONG_CELL};
use crate::notation::wrong_line::missing_section;
use crate::text::{Finding, Kind, Source, Span};

/// The findings of reading and of the tune, each mistake once.
pub fn once(read: Vec<Finding>, of_tune: Vec<Finding>, source: &Source) -> Vec<Finding> {
    // Where rows lack the line of their section, the form names one that is not there.
    let lost = read.iter().any(|finding| *finding.kind == MISPLACED).then(|| missing_section(source)).flatten();
    let is_named = |span: Span| Some(source.slice(span)) == lost;
    let is_lost = |finding: &Finding| {
        *finding.kind == UNKNOWN_SECTION && finding.place.as_ref().is_some_and(|place| is_named(place.span))
    };
    let mut told = left(read, &of_tune);
    told.extend(of_tune.into_iter().filter(|finding| !is_lost(finding)));
    told
}

/// The findings of reading without those that the tune's findings say better.
fn left(read: Vec<Finding>, of_tune: &[Finding]) -> Vec<Finding> {
    let told = |kind: &Kind| -> BTreeSet<Span> {
        let of_kind = of_tune.iter().filter(|finding| finding.kind == kind);
        of_kind.flat_map(places).collect()
    };
    let (strokes, lines, instructions) = (told(&WRONG_STROKE), told(&INCOMPLETE), told(&UNKNOWN_INSTRUCTION));
    let is_told = |finding: &Finding| match finding.kind {
        kind if *kind == WRONG_CELL => places_all(finding, |span| strokes.contains(span)),
        kind if *kind == INCOMPLETE => {
            places_all(finding, |line| lines.iter().any(|told| line.start <= told.start && told.end <= line.end))
        }
        kind if *kind == UNKNOWN_INSTRUCTION => places_all(finding, |span| instructions.contains(span)),
        _ => false,
    };
    read.into_iter().filter(|finding| !is_told(finding)).collect()
}

fn places(finding: &Finding) -> impl Iterator<Item = Span> + '_ {
    finding.place.iter().map(|place| place.span).chain(finding.more.iter().copied())
}

/// Whether a finding has a place, and all of its places are such.
fn places_all(finding: &Finding, is: impl Fn(&Span) -> bool) -> bool {
    finding.place.is_some() && places(finding).all(|span| is(&span))
}

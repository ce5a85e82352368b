//! Entries of a band file that ended up in the wrong table because of where they were written, and files that are no band.
//!
//! TOML puts every line below a line in square brackets into that table, which people who write a band file once a year
//! don't expect.

use std::sync::Arc;

use toml::Spanned as At;
use toml::de::DeTable;

use super::findings::{UNKNOWN_SETTING, WRONG_ENTRY};
use super::place::span;
use crate::text::{Finding, Source, Span};

/// The keys that stand for the whole band, above all tables, or are tables of their own.
const AT_THE_TOP: [&str; 6] = ["name", "a4", "tolerance", "level", "levels", "fit"];

/// What only a pan file has at its top.
const OF_A_PAN: [&str; 5] = ["layout", "kind", "drums", "notes", "confidence"];

/// A finding for a key that belongs to the whole band but is in a table; `None` for any other key.
///
/// - `within`: the table as it is headed, for example `[levels]`.
pub fn misplaced(source: &Arc<Source>, key: &str, place: Span, within: &str) -> Option<Finding> {
    if !AT_THE_TOP.contains(&key) {
        return None;
    }
    let message = format!("`{key}` is for the whole band, but is written under `{within}`");
    let finding = Finding::error(&UNKNOWN_SETTING, message).at(source, place);
    Some(finding.help("move it above the first line in square brackets"))
}

/// A finding for a pan file where a band is wanted; `None` for anything else.
pub fn is_a_pan_file(source: &Arc<Source>, table: &At<DeTable>) -> Option<Finding> {
    let table = table.get_ref();
    if ["pan", "percussion", "levels", "level", "a4"].iter().any(|key| table.contains_key(*key)) {
        return None;
    }
    let first =
        table.keys().filter(|key| OF_A_PAN.contains(&key.get_ref().as_ref())).min_by_key(|key| key.span().start)?;
    let finding = Finding::error(&WRONG_ENTRY, "this is a pan file, not a band").at(source, span(first));
    Some(finding.help("give a band file; a `[[pan]]` in it with the line `file = \"…\"` brings this pan in"))
}

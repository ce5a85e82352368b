//! How JSON is written: indented, and with a line end, so that people can read it too.

use std::io::{self, Write};

use serde::Serialize;
use serde_json::Value;

use crate::text::signs::steers;

/// Writes JSON.
///
/// # Errors
/// When it can't be written.
pub fn write_json(out: &mut dyn Write, value: &Value) -> io::Result<()> {
    let text = serde_json::to_string_pretty(value)?;
    // Outside of texts there are only spaces and line ends; in them, all that steers a terminal can be written as its number.
    let is_raw = |c: char| c != '\n' && steers(c);
    let mut rest = text.as_str();
    while let Some(at) = rest.find(is_raw) {
        let c = rest[at..].chars().next().unwrap_or_default();
        write!(out, "{}\\u{:04x}", &rest[..at], u32::from(c))?;
        rest = &rest[at + c.len_utf8()..];
    }
    writeln!(out, "{rest}")
}

/// What is made of texts, numbers and lists, as JSON.
pub(super) fn value(of: impl Serialize) -> Value {
    serde_json::to_value(of).expect("texts and numbers")
}

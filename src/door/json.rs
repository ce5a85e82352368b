//! How JSON is written: indented, and with a line end, so that people can read it too.

use std::io::{self, Write};

use serde::Serialize;
use serde_json::Value;

/// Writes JSON.
///
/// # Errors
/// When it can't be written.
pub fn write_json(out: &mut dyn Write, value: &Value) -> io::Result<()> {
    serde_json::to_writer_pretty(&mut *out, value)?;
    writeln!(out)
}

/// What is made of texts, numbers and lists, as JSON.
pub(super) fn value(of: impl Serialize) -> Value {
    serde_json::to_value(of).expect("texts and numbers")
}

//! How JSON is written: indented, and with a line end, so that people can read it too.

use std::io::{self, Write};

use serde_json::Value;

/// Writes JSON.
///
/// # Errors
/// When it can't be written.
pub fn write_json(out: &mut dyn Write, value: &Value) -> io::Result<()> {
    serde_json::to_writer_pretty(&mut *out, value)?;
    writeln!(out)
}

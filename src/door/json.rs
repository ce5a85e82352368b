//! How JSON is written: indented, and with a line end, so that people can read it too.

use std::io::{self, Write};

use serde::Serialize;
use serde_json::Value;
use serde_json::ser::{Formatter, PrettyFormatter};

use crate::door::kinds::WRONG_CHOICE;
use crate::text::Finding;
use crate::text::signs::steers;

/// Writes JSON.
///
/// # Errors
/// When it can't be written.
pub fn write_json(out: &mut dyn Write, value: &Value) -> io::Result<()> {
    write_text(out, &serde_json::to_string_pretty(value)?)
}

/// Writes JSON with a line for each entry of its long lists, which lie `depth` lists or objects deep.
///
/// # Errors
/// When it can't be written.
pub fn write_lists(out: &mut dyn Write, value: &Value, depth: usize) -> io::Result<()> {
    let mut bytes = Vec::new();
    let lines = Lines { pretty: PrettyFormatter::new(), deepest: depth, depth: 0 };
    value.serialize(&mut serde_json::Serializer::with_formatter(&mut bytes, lines))?;
    write_text(out, &String::from_utf8_lossy(&bytes))
}

fn write_text(out: &mut dyn Write, text: &str) -> io::Result<()> {
    // Outside of texts there are only spaces and line ends; in them, all that steers a terminal can be written as its number.
    let is_raw = |c: char| c != '\n' && steers(c);
    let mut rest = text;
    while let Some(at) = rest.find(is_raw) {
        let c = rest[at..].chars().next().unwrap_or_default();
        write!(out, "{}\\u{:04x}", &rest[..at], u32::from(c))?;
        rest = &rest[at + c.len_utf8()..];
    }
    writeln!(out, "{rest}")
}

/// How many strokes a tune may have to be written as JSON, which is less than 5 MB then. A tune of five minutes with a band of ten has
/// ten to fifteen thousand.
const MAX_STROKES: usize = 24_000;

/// Whether this many strokes can be written as JSON.
///
/// # Errors
/// A finding that says how to ask for fewer.
pub fn may_hold(strokes: usize) -> Result<(), Box<Finding>> {
    if strokes <= MAX_STROKES {
        return Ok(());
    }
    let message = format!("{strokes} strokes are too many for JSON, which takes {MAX_STROKES}");
    Err(Box::new(
        Finding::error(&WRONG_CHOICE, message).help("choose a part (`--part`), or a section where that can be chosen"),
    ))
}

/// What is made of texts, numbers and lists, as JSON.
pub(super) fn value(of: impl Serialize) -> Value {
    serde_json::to_value(of).expect("texts and numbers")
}

/// Indented down to some depth, and in one line below it.
struct Lines {
    pretty: PrettyFormatter<'static>,
    deepest: usize,
    depth: usize,
}

impl Lines {
    fn is_pretty(&self) -> bool {
        self.depth <= self.deepest
    }

    fn comma<W: Write + ?Sized>(first: bool, out: &mut W) -> io::Result<()> {
        if first { Ok(()) } else { out.write_all(b", ") }
    }
}

impl Formatter for Lines {
    fn begin_array<W: Write + ?Sized>(&mut self, out: &mut W) -> io::Result<()> {
        self.depth += 1;
        if self.is_pretty() { self.pretty.begin_array(out) } else { out.write_all(b"[") }
    }

    fn end_array<W: Write + ?Sized>(&mut self, out: &mut W) -> io::Result<()> {
        let done = if self.is_pretty() { self.pretty.end_array(out) } else { out.write_all(b"]") };
        self.depth -= 1;
        done
    }

    fn begin_array_value<W: Write + ?Sized>(&mut self, out: &mut W, first: bool) -> io::Result<()> {
        if self.is_pretty() { self.pretty.begin_array_value(out, first) } else { Lines::comma(first, out) }
    }

    fn end_array_value<W: Write + ?Sized>(&mut self, out: &mut W) -> io::Result<()> {
        if self.is_pretty() { self.pretty.end_array_value(out) } else { Ok(()) }
    }

    fn begin_object<W: Write + ?Sized>(&mut self, out: &mut W) -> io::Result<()> {
        self.depth += 1;
        if self.is_pretty() { self.pretty.begin_object(out) } else { out.write_all(b"{") }
    }

    fn end_object<W: Write + ?Sized>(&mut self, out: &mut W) -> io::Result<()> {
        let done = if self.is_pretty() { self.pretty.end_object(out) } else { out.write_all(b"}") };
        self.depth -= 1;
        done
    }

    fn begin_object_key<W: Write + ?Sized>(&mut self, out: &mut W, first: bool) -> io::Result<()> {
        if self.is_pretty() { self.pretty.begin_object_key(out, first) } else { Lines::comma(first, out) }
    }

    fn begin_object_value<W: Write + ?Sized>(&mut self, out: &mut W) -> io::Result<()> {
        out.write_all(b": ")
    }

    fn end_object_value<W: Write + ?Sized>(&mut self, out: &mut W) -> io::Result<()> {
        if self.is_pretty() { self.pretty.end_object_value(out) } else { Ok(()) }
    }
}

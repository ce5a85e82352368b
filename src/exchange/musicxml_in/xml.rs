//! XML from outside as a tree, with limits: no entities of its own, no deep nesting, no second file.
//!
//! MusicXML files open with a `DOCTYPE` that names the standard's own definition. That is accepted, but never fetched. One that
//! declares entities is refused, since entities can make a small file grow without limit, or reach for other files.

use std::sync::Arc;

use roxmltree::{Document, Node, ParsingOptions};

use crate::exchange::findings::{TOO_MUCH_MUSIC, WRONG_MUSIC_FILE};
use crate::exchange::limits::{MAX_ATTRIBUTES, MAX_DEPTH};
use crate::text::{Finding, Source, Span};

/// Nodes of a document: half a gigabyte of memory at most. A symphony has about a million.
const MAX_NODES: u32 = 4_000_000;

/// The text of an XML file: UTF-8, or UTF-16 with its mark in front, as the standard of XML asks every reader to take.
///
/// # Errors
/// When there are too many bytes, or they are not text.
pub fn text(name: &str, bytes: Vec<u8>) -> Result<Arc<Source>, Box<Finding>> {
    let utf16 = |units: fn([u8; 2]) -> u16| {
        let units: Vec<u16> = bytes[2..].chunks_exact(2).map(|pair| units([pair[0], pair[1]])).collect();
        String::from_utf16(&units).ok().filter(|_| bytes.len().is_multiple_of(2))
    };
    let text = match bytes.get(..2) {
        Some([0xFE, 0xFF]) => utf16(u16::from_be_bytes),
        Some([0xFF, 0xFE]) => utf16(u16::from_le_bytes),
        _ => return Source::from_bytes(name, bytes),
    };
    match text {
        Some(text) => Source::from_bytes(name, text.into_bytes()),
        None => Err(Box::new(
            Finding::error(&WRONG_MUSIC_FILE, format!("`{name}` begins as UTF-16, but is not"))
                .help("save the file again as MusicXML in UTF-8"),
        )),
    }
}

/// The tree of an XML text.
///
/// # Errors
/// When it is not well-formed XML, is nested too deeply, or declares entities; the place is where that is.
pub fn parse(source: &Arc<Source>) -> Result<Document<'_>, Box<Finding>> {
    look_through(source)?;
    let options = ParsingOptions { allow_dtd: true, nodes_limit: MAX_NODES, ..ParsingOptions::default() };
    Document::parse_with_options(source.text(), options).map_err(|error| {
        let name = source.name();
        if matches!(error, roxmltree::Error::NodesLimitReached) {
            let message = format!("`{name}` has more than {MAX_NODES} pieces of XML");
            return Box::new(Finding::error(&TOO_MUCH_MUSIC, message).help("is this the file that you meant?"));
        }
        let at = offset(source, error.pos());
        let text = error.to_string();
        // The place is told by the finding, so the library's own words on it are cut off.
        let text = text.rsplit_once(" at ").map_or(text.as_str(), |(text, _)| text);
        Box::new(
            Finding::error(&WRONG_MUSIC_FILE, format!("`{name}` can't be read as XML: {text}"))
                .at(source, Span::new(at, at))
                .help("the file is damaged or cut off: have it written again by the program that made it"),
        )
    })
}

/// The byte of a library's line and column, both from 1, columns in characters.
fn offset(source: &Source, at: roxmltree::TextPos) -> usize {
    let line = (at.row as usize).clamp(1, source.line_count());
    let span = source.line_span(line);
    let text = source.slice(span);
    let column = (at.col as usize).saturating_sub(1);
    span.start as usize + text.char_indices().nth(column).map_or(text.len(), |(byte, _)| byte)
}

/// The stretch of the source that a node's start tag covers, for findings.
pub fn span(node: Node) -> Span {
    let range = node.range();
    let text = &node.document().input_text()[range.clone()];
    let tag = text.find('>').map_or(text.len(), |end| end + 1);
    Span::new(range.start, range.start + tag)
}

/// One walk over the text, for everything that must not reach the reader of the tree.
fn look_through(source: &Arc<Source>) -> Result<(), Box<Finding>> {
    let text = source.text();
    let bytes = text.as_bytes();
    let refuse = |kind, at: usize, message: String, help: &str| {
        Err(Box::new(Finding::error(kind, message).at(source, Span::new(at, at + 1)).help(help)))
    };
    let (mut at, mut depth) = (0, 0usize);
    while let Some(found) = memchr(bytes, at, b'<') {
        let rest = &text[found..];
        let skip = |close: &str| rest.find(close).map_or(text.len(), |end| found + end + close.len());
        if rest.starts_with("<!--") {
            at = skip("-->");
        } else if rest.starts_with("<![CDATA[") {
            at = skip("]]>");
        } else if rest.starts_with("<?") {
            at = skip("?>");
        } else if rest.starts_with("<!") {
            let end = skip(">");
            if let Some(inner) = rest[..end - found].find('[') {
                let message = format!("`{}` declares entities or elements of its own", source.name());
                let help = "MusicXML needs none: take the part of the DOCTYPE in `[ ]` out, if you trust the file";
                return refuse(&WRONG_MUSIC_FILE, found + inner, message, help);
            }
            at = end;
        } else if rest.starts_with("</") {
            depth = depth.saturating_sub(1);
            at = found + 2;
        } else {
            let end = tag_end(bytes, found);
            if bytes.get(end.wrapping_sub(1)) != Some(&b'/') {
                depth += 1;
            }
            if bytes[found..end].iter().filter(|byte| **byte == b'=').nth(MAX_ATTRIBUTES).is_some() {
                let message = format!("`{}` has an element with more than {MAX_ATTRIBUTES} attributes", source.name());
                return refuse(&TOO_MUCH_MUSIC, found, message, "MusicXML has about twenty: this is some other file");
            }
            if depth > MAX_DEPTH {
                let message = format!("`{}` has more than {MAX_DEPTH} elements within each other", source.name());
                return refuse(&TOO_MUCH_MUSIC, found, message, "MusicXML has about a dozen: this is some other file");
            }
            at = end.max(found + 1);
        }
    }
    Ok(())
}

fn memchr(bytes: &[u8], from: usize, wanted: u8) -> Option<usize> {
    bytes.get(from..)?.iter().position(|byte| *byte == wanted).map(|at| from + at)
}

/// The `>` that ends the tag which begins at `at`; one in quotes is text.
fn tag_end(bytes: &[u8], at: usize) -> usize {
    let mut quote = None;
    for (place, byte) in bytes.iter().enumerate().skip(at) {
        match (quote, byte) {
            (None, b'"' | b'\'') => quote = Some(*byte),
            (Some(open), byte) if open == *byte => quote = None,
            (None, b'>') => return place,
            _ => {}
        }
    }
    bytes.len()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn attributes_are_counted_and_not_their_letters() {
        let element = |attributes: usize, value: &str| {
            let attributes: String = (0..attributes).map(|number| format!(" a{number}=\"{value}\"")).collect();
            look_through(&Source::new("a.xml", format!("<score-partwise{attributes}/>"))).is_ok()
        };
        assert!(element(MAX_ATTRIBUTES, "") && element(1, &"x".repeat(500)));
        assert!(!element(MAX_ATTRIBUTES + 1, ""));
    }
}

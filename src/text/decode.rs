//! From the bytes of a file to a source.

use std::sync::Arc;

use super::finding::{Finding, Kind};
use super::source::{MAX_SOURCE_BYTES, Source};
use super::span::Span;

/// A file is larger than [`MAX_SOURCE_BYTES`].
pub static TOO_LARGE: Kind = Kind {
    name: "too-large",
    what: "A file is larger than panfold reads: 2 MiB of a tune, a band or a pan, 4 MiB of MIDI, 32 MiB of MusicXML.",
    why: "No tune or band needs that much; the limit keeps a wrong file from filling the memory.",
};

/// A file is not plain UTF-8 text.
pub static NOT_TEXT: Kind = Kind {
    name: "not-text",
    what: "A file is not plain UTF-8 text.",
    why: "Tunes, bands and pans are text files. A word processor's own format, or an old code page, can't be read: \
          save the file as plain text, UTF-8.",
};

/// A finding for a file that has more bytes than panfold reads.
pub(crate) fn too_large(name: &str, most: usize) -> Finding {
    let message = format!("`{name}` is larger than {} MiB", most >> 20);
    Finding::error(&TOO_LARGE, message).help("is this the file that you meant?")
}

impl Source {
    /// A source from the bytes of a file.
    ///
    /// # Errors
    /// A finding when the bytes are too many or are not UTF-8; the place is the first bad byte.
    pub fn from_bytes(name: impl Into<String>, bytes: Vec<u8>) -> Result<Arc<Source>, Box<Finding>> {
        let name = name.into();
        if bytes.len() > MAX_SOURCE_BYTES {
            return Err(Box::new(too_large(&name, MAX_SOURCE_BYTES)));
        }
        match String::from_utf8(bytes) {
            Ok(text) => Ok(Source::new(name, text)),
            Err(error) => {
                let good = error.utf8_error().valid_up_to();
                let text = String::from_utf8_lossy(error.as_bytes()).into_owned();
                let source = Source::new(name.clone(), text);
                let bom = if source.has_bom() { '\u{feff}'.len_utf8() } else { 0 };
                let at = good.saturating_sub(bom);
                Err(Box::new(
                    Finding::error(&NOT_TEXT, format!("`{name}` is not plain text as panfold reads it"))
                        .at(&source, Span::new(at, at + '\u{fffd}'.len_utf8()))
                        .label("this letter can't be read")
                        .help("in your editor choose Save as, plain text, and the encoding UTF-8"),
                ))
            }
        }
    }
}

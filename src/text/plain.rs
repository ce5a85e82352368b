//! Files that look like text to their owner and are not plain text: what word processors and browsers save, and UTF-16.

/// What a file is that is not plain UTF-8 text, and what to do about it.
pub struct Foreign {
    /// What it is, after `is`.
    pub what: &'static str,
    /// How to turn it into plain text.
    pub help: &'static str,
}

const DOCUMENT: &str =
    "open it in the program that made it, choose Save as, and take plain text (.txt) with the encoding UTF-8";
const ENCODING: &str = "open it in the program that made it, choose Save as, and take the encoding UTF-8";

/// How many bytes at the front are looked at.
const FRONT: usize = 1024;

/// What a file is, if it begins like something else than plain UTF-8 text. The bytes are the formats' own marks: those
/// of RTF, ZIP, compound documents, PDF and HTML are as registered with IANA, those of UTF-16 as in the Unicode Standard.
pub fn foreign(bytes: &[u8]) -> Option<Foreign> {
    let front = &bytes[..bytes.len().min(FRONT)];
    let is = |what, help| Some(Foreign { what, help });
    if front.starts_with(b"{\\rtf") {
        return is("rich text from a word processor, not plain text", DOCUMENT);
    }
    if front.starts_with(b"PK\x03\x04") || front.starts_with(&[0xd0, 0xcf, 0x11, 0xe0]) {
        return is("a word processor's document or a packed file, not plain text", DOCUMENT);
    }
    if front.starts_with(b"%PDF-") {
        return is("a page for printing (PDF), not plain text", DOCUMENT);
    }
    if is_html(front) {
        return is("a web page, not plain text", DOCUMENT);
    }
    is_utf16(front).then_some(Foreign { what: "text in the encoding UTF-16, not UTF-8", help: ENCODING })
}

fn is_html(front: &[u8]) -> bool {
    let front = String::from_utf8_lossy(front).trim_start_matches('\u{feff}').trim_start().to_ascii_lowercase();
    front.starts_with("<!doctype html") || front.starts_with("<html")
}

/// A mark for the order of bytes, or a zero in place of every second letter, as Western text has it.
fn is_utf16(front: &[u8]) -> bool {
    if front.starts_with(&[0xff, 0xfe]) || front.starts_with(&[0xfe, 0xff]) {
        return true;
    }
    let zeros = |first: usize| front.iter().skip(first).step_by(2).filter(|byte| **byte == 0).count();
    let (even, odd) = (zeros(0), zeros(1));
    let mostly = |here: usize, there: usize| there == 0 && here > 1 && 4 * here > front.len();
    mostly(even, odd) || mostly(odd, even)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wide(text: &str, swapped: bool) -> Vec<u8> {
        text.encode_utf16().flat_map(|unit| if swapped { unit.to_be_bytes() } else { unit.to_le_bytes() }).collect()
    }

    #[test]
    fn what_is_no_plain_text_is_known() {
        let what = |bytes: &[u8]| foreign(bytes).map_or("plain", |foreign| foreign.what);
        assert!(what(b"{\\rtf1\\ansi title Jam}").contains("rich text"));
        assert!(what(b"PK\x03\x04\x14\0").contains("document"));
        assert!(what(&[0xd0, 0xcf, 0x11, 0xe0, 0xa1]).contains("document"));
        assert!(what(b"%PDF-1.7\n").contains("PDF"));
        assert!(what(b"\n<!DOCTYPE html><p>title Jam").contains("web page"));
        for swapped in [false, true] {
            assert!(what(&wide("title Jam\n", swapped)).contains("UTF-16"));
            assert!(what(&wide("\u{feff}title Jam\n", swapped)).contains("UTF-16"));
        }
        for text in
            ["", "a", "title Jam\n", "\u{feff}title Jam\n", "title \0\n", "{ }", "PK\n", "title Ömür \u{1f941}\n"]
        {
            assert_eq!(what(text.as_bytes()), "plain", "{text:?}");
        }
    }
}

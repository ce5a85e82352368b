//! What may stand in an HTML file: base64, JSON in a script element, and the hashes of a content policy.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde::Serialize;
use sha2::{Digest, Sha256};

use crate::text::signs::steers;

/// Bytes as base64 (RFC 4648, section 4).
pub fn base64(bytes: &[u8]) -> String {
    STANDARD.encode(bytes)
}

/// A value as JSON that may stand in a `<script type="application/json">` element: nothing in it can end the element, or
/// begin a comment or another script there.
pub fn json(value: &impl Serialize) -> String {
    let text = without_steering(&serde_json::to_string(value).expect("texts and numbers"));
    text.replace('<', "\\u003c").replace('>', "\\u003e")
}

/// JSON in whose texts nothing steers: names are shown by the page as they are.
fn without_steering(json: &str) -> String {
    let mut out = String::with_capacity(json.len());
    let mut rest = json;
    while let Some(at) = rest.find(|c: char| c == '\\' || steers(c)) {
        out.push_str(&rest[..at]);
        rest = &rest[at..];
        // What is escaped is a quote or a backslash, or steers.
        let (kept, length) = match rest.as_bytes() {
            [b'\\', b'"' | b'\\', ..] => (&rest[..2], 2),
            [b'\\', b'u', ..] => ("", 6),
            [b'\\', ..] => (" ", 2),
            _ => ("", rest.chars().next().map_or(0, char::len_utf8)),
        };
        out.push_str(kept);
        rest = &rest[length..];
    }
    out + rest
}

/// The source expression that allows an inline script or style of this text (CSP Level 3, section 2.3.1).
pub fn policy_hash(text: &str) -> String {
    format!("'sha256-{}'", base64(&Sha256::digest(text.as_bytes())))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The test vectors of RFC 4648, section 10.
    #[test]
    fn base64_is_the_published_one() {
        let vectors = ["", "Zg==", "Zm8=", "Zm9v", "Zm9vYg==", "Zm9vYmE=", "Zm9vYmFy"];
        for (letters, expected) in vectors.iter().enumerate() {
            assert_eq!(base64(&b"foobar"[..letters]), *expected);
        }
        assert_eq!(base64(&[0xfb, 0xff]), "+/8=");
    }

    /// The example of CSP Level 3, section 8.3: `alert('Hello, world.');`.
    #[test]
    fn hashes_are_the_published_ones() {
        let hash = policy_hash("alert('Hello, world.');");
        assert_eq!(hash, "'sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng='");
    }

    #[test]
    fn no_text_gets_out_of_its_element() {
        assert_eq!(json(&"a\\u001b\u{1b}[m\t\"\u{202e}b"), "\"a\\\\u001b[m \\\"b\"");
        assert_eq!(json(&"</script><!--\u{2028}"), "\"\\u003c/script\\u003e\\u003c!--\"");
    }
}

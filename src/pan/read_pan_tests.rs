//! The edges of what a pan may say in a file: so many cents and so many drums, and no more.

use super::read_band;
use super::read_pan::{MAX_CENTS, MAX_DRUMS};
use crate::text::Source;

/// What is said of a band whose pan has these lines.
fn said(lines: &str) -> Vec<String> {
    let text = format!("name = \"B\"\n[[pan]]\nname = \"P\"\n{lines}");
    let findings = read_band(&Source::new("band.toml", text), &mut |_| unreachable!("one file")).1;
    findings.into_iter().map(|finding| finding.message).collect()
}

#[test]
fn a_note_may_be_a_semitone_off_and_no_more() {
    // 100 cents, a semitone: our own setting, see `MAX_CENTS`.
    assert_eq!(MAX_CENTS, 100.0);
    let cents = |cents: &str| said(&format!("layout = \"lead-c\"\ncents = {{ \"C4\" = {cents} }}\n"));
    for exact in ["100", "-100", "100.0", "0"] {
        assert_eq!(cents(exact), Vec::<String>::new(), "{exact}");
    }
    assert_eq!(cents("100.5"), ["cents of `C4` are a number from -100 to 100, not `100.5`"]);
    assert_eq!(cents("-101").len(), 1);
}

#[test]
fn a_pan_may_have_24_drums_and_no_more() {
    // Our own setting, see `MAX_DRUMS`.
    assert_eq!(MAX_DRUMS, 24);
    let drums = |count: usize| {
        let drums: Vec<String> = (0..count)
            .map(|n| format!("{{ outer = \"{}\" }}", crate::music::Pitch::new(36 + n as u8).expect("a key")))
            .collect();
        said(&format!("kind = \"double-second\"\ndrums = [{}]\n", drums.join(", ")))
    };
    assert_eq!(drums(24), Vec::<String>::new());
    assert_eq!(drums(25), ["a pan can have 24 drums at most, and this one has 25"]);
}

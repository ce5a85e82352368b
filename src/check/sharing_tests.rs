//! Sharing a part between two players is told where it helps, and only there.

use super::sticks::sticks;
use crate::kit::{ONE_LEAD, tune};
use crate::text::Finding;

fn too_fast(text: &str) -> Vec<Finding> {
    let band = format!("level = \"beginner\"\n{ONE_LEAD}");
    let mut findings = sticks(&tune(&band, text));
    findings.retain(|finding| finding.kind.name == "too-fast");
    findings
}

fn is_shared(text: &str) -> bool {
    let findings = too_fast(text);
    assert!(!findings.is_empty(), "it is too fast");
    findings.iter().any(|finding| finding.help.iter().any(|help| help.contains("share it between two players")))
}

#[test]
fn sharing_is_told_where_it_helps_and_only_there() {
    let head = "tempo 400\nmeter 1/4\npart lead on lead\n";
    // In one section the players take turns: each has twice the time.
    assert!(is_shared(&format!("{head}section a\n lead | C5 | C5 | C5 | C5 | C5 | C5 | C5 | C5 |\n")));
    // Here the hard strokes are each the first of a section, and so all one player's, however the part is shared; the other
    // player has the second stroke of the last one, and nothing is won.
    let sections: String = (0..8).map(|n| format!("section s{n}\n lead | C5 |\n")).collect();
    let last = "section z\n meter 4/4\n lead | . . C5 . | . . . C5 |\n";
    assert!(!is_shared(&format!("{head}{sections}{last}")));
}

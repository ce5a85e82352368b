//! Advice on chords between the beats, and on what only the swing makes too fast.

use super::uneven_chords::uneven_chords;
use super::{Options, check};
use crate::kit::{pans, tune};

const BAND: [(&str, &str); 2] = [("Red rim", "lead-c"), ("Seconds", "double-second")];
const PARTS: &str = "part lead on tenor\npart second on double-second\n";

fn uneven(meter: &str, chords: &str) -> Option<String> {
    let bars = chords.matches('|').count() - 1;
    let tune = tune(
        &pans(&BAND),
        &format!("meter {meter}\n{PARTS}section verse\n chords {chords}\n lead |{}\n", " . |".repeat(bars)),
    );
    uneven_chords(&tune).map(|f| format!("{} ({}, {} more) {}", f.message, f.label, f.more.len(), f.help.join("; ")))
}

#[test]
fn chords_between_the_beats_are_told_once_a_tune() {
    assert_eq!(
        uneven("3/4", "| G | G D | C | C D | % |").as_deref(),
        Some(
            "2 chords share a bar of 3/4, so each lasts 1½ beats (bar 2 of `verse`, 1 more) write 3 cells, one a beat, with `-` \
             where a chord goes on: `G - D`; or begin the bar with `2:` if you want it that way"
        )
    );
    assert!(
        uneven("4/4", "| G C D |").expect("advice").starts_with("3 chords share a bar of 4/4, so each lasts 1⅓ beats")
    );
    for (meter, chords) in [
        ("4/4", "| G D | G C D G |"),
        ("6/8", "| G D |"),
        ("3/4", "| G - D | G D C | G - - D - - | 2: G D |"),
        ("2/4", "| G D |"),
        ("4/4", "| G - - D - - - - |"),
    ] {
        assert_eq!(uneven(meter, chords), None, "{meter} {chords}");
    }
}

#[test]
fn what_only_the_swing_makes_too_fast_says_so() {
    let told = |swing: &str, tempo: u32| -> Vec<String> {
        let rows = " chords | C | G |\n second = strum calypso-double\n lead | . | . |\n";
        let tune = tune(&pans(&BAND), &format!("tempo {tempo}\nswing {swing}\n{PARTS}section a\n{rows}"));
        let report = check(&tune, &Options::default());
        let fast = report.findings.iter().filter(|finding| finding.kind.name == "too-fast");
        fast.map(|finding| finding.help.join("; ")).collect()
    };
    assert_eq!(told("1:1", 104), Vec::<String>::new());
    let swung = told("2:1", 104);
    assert!(
        swung.len() == 1
            && swung[0]
                .starts_with("it is `swing 2:1` that makes it too fast: played straight, it is comfortable up to "),
        "{swung:?}"
    );
    // What is too fast straight too is not the swing's doing.
    assert!(!told("2:1", 260)[0].contains("it is `swing"), "{:?}", told("2:1", 260));
}

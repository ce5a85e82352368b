//! A table a family, and laws over made-up pans and tunes.

use super::{Options, Report, check};
use crate::kit::tune;
use crate::music::Cents;
use crate::pan::NoteSet;
use crate::text::{Severity, edit};

const BAND: &str = r#"
name = "Lantern Quay"
[[pan]]
name = "Red rim"
layout = "lead-c"
without = ["E6", "F4"]
[[pan]]
name = "Market seconds"
layout = "double-second"
cents = { "Eb5" = -19, "C4" = 8 }
[[pan]]
name = "Tall six"
layout = "six-bass"
[[percussion]]
name = "Brake drum"
kind = "iron"
"#;

const PARTS: &str =
    "part lead on lead\npart second on double-second\npart bass on six-bass\npart iron on iron\nsection a\n";

fn report(rows: &str) -> Report {
    check(&tune(BAND, &format!("{PARTS}{rows}")), &Options::default())
}

/// Kind, message and help of every finding but those about silent parts.
fn said(report: &Report) -> Vec<String> {
    let told = report.findings.iter().filter(|finding| finding.kind.name != "silent-part");
    told.map(|f| format!("{}: {} ({}) {}", f.kind.name, f.message, f.label, f.help.join("; "))).collect()
}

#[test]
fn a_clean_tune_has_no_findings() {
    let report = report(" lead | C5 . E5 G5 |\n second | E4+G4 . . . |\n bass | C2 - . . |\n iron | x . x . |\n");
    assert_eq!(said(&report), Vec::<String>::new());
    let lead = &report.parts[0];
    assert_eq!((lead.strokes, lead.distinct), (3, 3));
    assert_eq!(lead.range.map(|(low, high)| format!("{low} {high}")).as_deref(), Some("C5 G5"));
    assert_eq!(report.parts[3].players, ["Brake drum"]);
}

#[test]
fn missing_notes_say_where_they_lie_and_what_to_do() {
    let table = [
        (
            " lead | E6 |\n",
            "missing-note: `E6` is not on `Red rim`: 1 semitone above its highest note, `Eb6` (bar 1 of `a`) move it an \
             octave down: `E5`; move it 2 octaves down: `E4`",
        ),
        (
            " lead | B3 |\n",
            "missing-note: `B3` is not on `Red rim`: 1 semitone below its lowest note, `C4` (bar 1 of `a`) move it an \
             octave up: `B4`; move it 2 octaves up: `B5`; or use another pan: `Market seconds` (double-second) has it",
        ),
        (
            " lead | F4 |\n",
            "missing-note: `F4` is not on `Red rim`: a gap between its `E4` and `F#4` (bar 1 of `a`) move it an octave \
             up: `F5`; or use another pan: `Market seconds` (double-second) has it",
        ),
        (
            " bass | E3 |\n",
            "missing-note: `E3` is not on `Tall six`: 1 semitone above its highest note, `Eb3` (bar 1 of `a`) move it an \
             octave down: `E2`",
        ),
    ];
    for (row, expected) in table {
        assert_eq!(said(&report(row)), [expected]);
    }
}

#[test]
fn a_missing_note_is_told_once_with_all_its_places() {
    let report = report(" lead | E6 . E6 . | C5 E6 . . |\n");
    let missing: Vec<_> = report.findings.iter().filter(|finding| finding.kind.name == "missing-note").collect();
    assert_eq!((missing.len(), missing[0].more.len()), (1, 2));
    assert!(missing[0].edits.is_empty());
    assert_eq!(report.parts[0].found, [1, 0, 0]);
}

#[test]
fn two_sticks_strike_two_notes() {
    let table = [
        (" second | C4+E4+G4 |\n", "too-many-notes: 3 notes at once, and one player has two sticks"),
        (" second | C4+C4 . . . |\n", "same-note: the same note twice in one stroke"),
        (" second | C4+E4 ~ . . |\n", "roll-with-note: a roll on two notes: the sticks take turns"),
        (" second | C4+E4 - . . |\n", "roll-with-note: a roll on two notes: the sticks take turns"),
    ];
    for (row, expected) in table {
        let said = said(&report(row));
        assert!(said.len() == 1 && said[0].starts_with(expected), "{row}{said:?}");
    }
    assert_eq!(said(&report(" second | C4+E4 . . . |\n")).len(), 0);
}

#[test]
fn two_players_share_what_one_cant_strike() {
    let band =
        BAND.replace("[[percussion]]", "[[pan]]\nname = \"New seconds\"\nlayout = \"double-second\"\n[[percussion]]");
    let of = |row: &str| check(&tune(&band, &format!("{PARTS}{row}")), &Options::default());
    assert_eq!(said(&of(" second | C4+E4+G4+B4 . . . |\n")).len(), 0);
    assert_eq!(said(&of(" second | C4+E4 ~ . . |\n")).len(), 0);
    assert!(said(&of(" second | C4+E4+G4+B4+D5 . . . |\n"))[0].contains("2 players have 4 sticks"));
}

#[test]
fn every_pan_that_plays_a_part_must_have_its_notes() {
    let band = BAND.replace("[[percussion]]", "[[pan]]\nname = \"Blue rim\"\nlayout = \"lead-d\"\n[[percussion]]");
    let of = |row: &str| said(&check(&tune(&band, &format!("{PARTS}{row}")), &Options::default()));
    assert!(of(" lead | C4 |\n")[0].contains("is not on `Blue rim`: 2 semitones below its lowest note, `D4`"));
    assert!(of(" lead | G6 |\n")[0].contains("is not on `Red rim` and `Blue rim`"));
    assert!(of(" lead | G6 |\n")[0].contains("on `Red rim` it is 4 semitones above its highest note, `Eb6`"));
    // E6 is on Blue rim only; E5 is on both.
    assert!(of(" lead | E6 |\n")[0].contains("move it an octave down: `E5`"));
}

#[test]
fn out_of_tune_notes_beyond_the_tolerance() {
    let tune = tune(BAND, &format!("{PARTS} second | D#5 C4 . . |\n"));
    let told = said(&check(&tune, &Options::default()));
    assert_eq!(told.len(), 1);
    assert!(told[0].starts_with("out-of-tune: `D#5` on `Market seconds` is 19 cents flat"), "{told:?}");
    let strict = check(&tune, &Options { tolerance: Some(Cents(5.0)) });
    assert_eq!(said(&strict).len(), 2);
    let loose = check(&tune, &Options { tolerance: Some(Cents(20.0)) });
    assert_eq!(said(&loose).len(), 0);
}

#[test]
fn players_and_parts_find_each_other() {
    let tune =
        tune(BAND, "part cello on triple-cello\npart shaker on shaker\nsection a\n cello | C3 |\n shaker | x |\n");
    let told = said(&check(&tune, &Options::default()));
    assert!(told[0].starts_with("no-player: the band has no pan for the part `cello` (on `triple-cello`)"), "{told:?}");
    assert!(told[1].starts_with("no-player: the band has no instrument for the part `shaker` (on `shaker`)"));
    let idle: Vec<&String> = told.iter().filter(|told| told.starts_with("idle-pan")).collect();
    let all = "`Red rim` (lead), `Market seconds` (double-second), and";
    assert!(idle.len() == 1 && idle[0].contains(all), "{told:?}");
}

#[test]
fn who_stands_by_and_whose_part_is_mistyped() {
    let band = r#"
name = "B"
[[pan]]
name = "Red"
layout = "lead-c"
plays = ["laed", "descant"]
[[pan]]
name = "Blue"
layout = "lead-c"
plays = ["lead", "lead-2", "solo"]
[[pan]]
name = "Green"
layout = "lead-d"
[[percussion]]
name = "Drum"
kind = "iron"
[[percussion]]
name = "Tin"
kind = "shaker"
plays = ["shake"]
[[percussion]]
name = "Grater"
kind = "scratcher"
"#;
    let tune = tune(band, "part lead on lead\npart shaker on shaker\npart iron on iron\nsection a\n lead | C5 |\n");
    let report = check(&tune, &Options::default());
    let kind = |kind: &str| report.findings.iter().filter(|f| f.kind.name == kind).cloned().collect::<Vec<_>>();
    let said = |kind_name: &str| {
        kind(kind_name).iter().map(|f| format!("{}: {}", f.message, f.help.join("; "))).collect::<Vec<_>>()
    };
    assert_eq!(
        said("mistyped-plays"),
        [
            "`Red` plays `laed`, which is not a part in this tune: if you mean `lead`, write that in its `plays`",
            "`Tin` plays `shake`, which is not a part in this tune: if you mean `shaker`, write that in its `plays`",
        ],
        "`lead-2` may be another tune's part: Blue plays `lead` besides"
    );
    assert_eq!(
        said("idle-pan"),
        [
            "`Red` (lead) has no part in this tune: let the player double another part (`= with PART`), or give them a rest; \
          the `plays` of `Red` names only `laed` and `descant`, which this tune does not have",
        ]
    );
    assert_eq!(
        said("idle-percussion"),
        [
            "`Grater` (scratcher) has no part in this tune: write a part (`part scratcher on scratcher`) and its rows, or give \
             the player a rest",
        ]
    );
    assert_eq!(kind("idle-percussion")[0].severity, Severity::Advice);
    assert!(kind("no-player").is_empty() && kind("broken-habit").is_empty(), "Tin plays the shaker: a slip, told once");
    assert_eq!(kind("mistyped-plays")[0].severity, Severity::Warning);
}

#[test]
fn what_is_never_heard_is_told() {
    let tune = tune(BAND, &PARTS.replace("section a", "form a\nsection b\n lead | C5 |\nsection a\n second | C4 |"));
    let report = check(&tune, &Options::default());
    let kinds: Vec<&str> = report.findings.iter().map(|finding| finding.kind.name).collect();
    assert_eq!(kinds, ["silent-part", "silent-part", "never-played"]);
}

#[test]
fn strummed_notes_outside_the_chord_are_advice() {
    let report = report(" chords | C G7 |\n second | C4+E4 . G4+C5 . |\n lead | F#5+A5 . . . |\n");
    let told = said(&report);
    assert_eq!(
        told,
        [
            "outside-chord: `C5` is strummed over `G7` and is not in it (bar 1 of `a`) choose a note of `G7` (G, B, D, and F), or change the chord"
        ]
    );
    assert_eq!(report.findings[0].severity, Severity::Advice);
}

/// For every key that MIDI has: a finding exactly when the pan lacks it, and each suggested move really is on it.
#[test]
fn missing_notes_are_those_that_the_pan_lacks() {
    let set: NoteSet = tune(BAND, &format!("{PARTS} lead | C5 |\n")).band.pans[0].pan.note_set();
    for key in 24..108u8 {
        let pitch = crate::music::Pitch::new(key).expect("a key");
        let text = format!("{PARTS} lead | {pitch}> |\n");
        let before = tune(BAND, &text);
        let report = check(&before, &Options::default());
        let missing = report.findings.iter().find(|finding| finding.kind.name == "missing-note");
        assert_eq!(missing.is_some(), !set.has(pitch), "{pitch}");
        for edit in missing.iter().flat_map(|finding| &finding.edits) {
            let mended = edit::apply(&before.source, std::slice::from_ref(edit));
            assert!(mended.ends_with("> |\n"), "the accent is kept: {mended}");
            let again = check(&tune(BAND, &mended), &Options::default());
            assert!(again.findings.iter().all(|finding| finding.kind.name != "missing-note"), "{mended}");
        }
    }
}

#[test]
fn every_kind_is_listed() {
    let listed: Vec<&str> = super::kinds::kinds().iter().map(|kind| kind.name).collect();
    let mut sorted = listed.clone();
    sorted.dedup();
    assert_eq!(listed, sorted, "names are unique");
}

//! Laws over made-up pans, bands and tunes: findings are compared with a plain count, and every edit is tried.

use std::collections::BTreeSet;
use std::fmt::Write;

use super::{Options, check};
use crate::fit::settle::settle;
use crate::kit::{Numbers, cases, seated};
use crate::music::Pitch;
use crate::text::{Finding, edit};
use crate::tune::Tune;

/// Bands and tunes that are tried, seeds 1 and up.
const TRIALS: u64 = 300;

/// Between C3 and B6.
fn pitch(numbers: &mut Numbers) -> Pitch {
    Pitch::new(48 + numbers.below(48) as u8).expect("a key")
}

/// Three pans of random notes; the first two play `lead`, or one of them, and the third plays `second`.
fn band(numbers: &mut Numbers) -> String {
    let mut text = String::from("name = \"Made up\"\n");
    for (name, part) in [("One", "lead"), ("Two", "lead"), ("Three", "second")] {
        let notes: BTreeSet<Pitch> = (0..24).map(|_| pitch(numbers)).collect();
        let notes: Vec<String> = notes.iter().map(|note| format!("\"{note}\"")).collect();
        let part = if name == "Two" && numbers.below(2) == 0 { "nothing" } else { part };
        let outer = notes.join(", ");
        writeln!(
            text,
            "[[pan]]\nname = \"{name}\"\nkind = \"lead\"\nplays = [\"{part}\"]\ndrums = [{{ outer = [{outer}] }}]"
        )
        .expect("text takes text");
    }
    text
}

/// A bar or two of single notes and pairs for `lead`; `second` plays with it, or something of its own.
fn tune(numbers: &mut Numbers) -> String {
    let mut row = || {
        let mut row = String::from("|");
        for _ in 0..1 + numbers.below(2) {
            for _ in 0..1 + numbers.below(4) {
                let (a, b) = (pitch(numbers), pitch(numbers));
                let pair = numbers.below(3) == 0 && a != b;
                let accent = if numbers.below(4) == 0 { ">" } else { "" };
                row += &if pair { format!(" {a}+{b}{accent}") } else { format!(" {a}{accent}") };
            }
            row += " |";
        }
        row
    };
    let (lead, second) = (row(), row());
    // Rows of one section have as many bars as each other; a section each keeps them apart.
    let second =
        if numbers.below(2) == 0 { " second = with lead".to_owned() } else { format!("section b\n second {second}") };
    format!("roll none\npart lead on lead\npart second on lead\nsection a\n lead {lead}\n{second}\n")
}

fn read(band: &str, text: &str) -> Tune {
    let (tune, findings) = seated(band, text);
    // Three cells a bar are asked about.
    assert!(findings.iter().all(|finding| finding.kind.name == "odd-cells"), "{text}{findings:?}");
    settle(&tune).tune
}

/// The findings of these kinds.
fn found(tune: &Tune, kinds: &[&str]) -> Vec<Finding> {
    let findings = check(tune, &Options::default()).findings.into_iter();
    findings.filter(|finding| kinds.contains(&finding.kind.name)).collect()
}

/// Part and pitch of each missing note, counted the slow way.
fn counted(tune: &Tune) -> BTreeSet<(String, Pitch)> {
    let mut counted = BTreeSet::new();
    for (number, part) in tune.parts.iter().enumerate() {
        let crate::tune::Player::Pans { pans, .. } = &part.player else { continue };
        for pan in pans.iter().copied() {
            let pan: Vec<Pitch> = tune.band.pans[pan].pan.notes().map(|(_, area)| area.pitch).collect();
            for row in tune.sections.iter().filter_map(|section| section.rows[number].as_ref()) {
                for event in &row.events {
                    let crate::tune::model::Struck::Notes(notes) = &event.struck else { continue };
                    let missing = notes.iter().filter(|note| !pan.contains(&note.pitch));
                    counted.extend(missing.map(|note| (part.name.clone(), note.pitch)));
                }
            }
        }
    }
    counted
}

#[test]
fn missing_notes_are_exactly_those_that_a_pan_of_the_part_lacks() {
    for seed in 1..=cases(TRIALS) {
        let mut numbers = Numbers(seed);
        let tune = read(&band(&mut numbers), &tune(&mut numbers));
        let told: Vec<(String, Pitch)> = found(&tune, &["missing-note"])
            .iter()
            .map(|finding| {
                let place = finding.place.as_ref().expect("a place");
                let note = tune.source.slice(place.span).trim_end_matches('>');
                (finding.part.clone().expect("a part"), note.parse().expect("a note"))
            })
            .collect();
        let set: BTreeSet<(String, Pitch)> = told.iter().cloned().collect();
        assert_eq!(set.len(), told.len(), "seed {seed}: each is told once");
        assert_eq!(set, counted(&tune), "seed {seed}");
    }
}

/// Every edit leaves fewer missing notes, in whichever parts play the place, and brings no new trouble.
#[test]
fn every_edit_settles_its_finding_and_makes_no_other() {
    let mut tried = 0;
    for seed in 1..=cases(TRIALS) {
        let mut numbers = Numbers(seed);
        let (band, text) = (band(&mut numbers), tune(&mut numbers));
        let before = read(&band, &text);
        let kinds = ["missing-note", "same-note"];
        let findings = found(&before, &kinds);
        for edit in findings.iter().flat_map(|finding| &finding.edits) {
            let mended = edit::apply(&before.source, std::slice::from_ref(edit));
            let after = found(&read(&band, &mended), &kinds);
            assert!(after.len() < findings.len(), "seed {seed}: {edit:?}\n{band}{text}{after:?}");
            tried += 1;
        }
    }
    assert!(tried > cases(TRIALS), "only {tried} edits were tried");
}

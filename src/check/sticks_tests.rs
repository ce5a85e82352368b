//! What is told about sticks: lines that can be struck, lines that can't, and lines that only some can.

use super::*;
use crate::kit::{Numbers, cases, pans, tune};

fn band(level: &str) -> String {
    let list = [("Red rim", "lead-c"), ("Six", "six-bass"), ("Seconds", "double-second")];
    format!("level = \"{level}\"\n{}level = \"experienced\"\n", pans(&list))
}

fn told(level: &str, tempo: u32, rows: &str) -> Vec<Finding> {
    let parts = "part lead on lead\npart second on double-second\npart bass on six-bass\n";
    sticks(&tune(&band(level), &format!("tempo {tempo}\n{parts}section a\n{rows}")))
}

fn fast(level: &str, tempo: u32, rows: &str) -> Vec<Finding> {
    let mut findings = told(level, tempo, rows);
    findings.retain(|finding| *finding.kind == TOO_FAST);
    findings
}

const RUN: &str = " lead | C5 C#5 D5 Eb5 E5 F5 F#5 G5 G#5 A5 Bb5 B5 C6 B5 Bb5 A5 |\n";

#[test]
fn slow_tunes_are_for_everybody() {
    let rows = " lead | C5 . G5 E5 |\n second | E4+G4 . E4+G4 . |\n bass | C2 . G2 . |\n";
    for level in ["beginner", "intermediate", "experienced"] {
        assert_eq!(told(level, 80, rows), []);
    }
}

#[test]
fn the_same_run_is_nothing_a_warning_or_an_error() {
    let severities = |level: &str, tempo: u32| -> Vec<Severity> {
        fast(level, tempo, RUN).iter().map(|finding| finding.severity).collect()
    };
    assert_eq!(severities("experienced", 100), []);
    assert_eq!(severities("beginner", 100), [Severity::Warning]);
    assert_eq!(severities("experienced", 300), [Severity::Error]);
    assert_eq!(severities("beginner", 300), [Severity::Error]);
}

#[test]
fn a_finding_says_from_where_to_where_and_how_slow_it_has_to_be() {
    let finding = &fast("beginner", 120, RUN)[0];
    assert!(finding.message.contains(" is too fast for one stick (0."), "{}", finding.message);
    assert!(finding.message.ends_with("for a beginner"), "{}", finding.message);
    assert!(
        finding.help.iter().any(|help| help.contains("a beginner can play the whole part at")),
        "{:?}",
        finding.help
    );
    assert!(finding.help.iter().any(|help| help.contains("panfold share a.tune --part lead")), "{:?}", finding.help);
    assert!(!finding.more.is_empty());
    // What it says is possible is possible.
    let limit = |words: &str| -> u32 {
        let at = finding.message.find(words).expect("the words") + words.len();
        finding.message[at..].split([' ', ',']).next().and_then(|number| number.parse().ok()).expect("a tempo")
    };
    let whole = finding.help.iter().find_map(|help| help.split(" at ").nth(1)?.split(' ').next()?.parse::<u32>().ok());
    assert!(limit("comfortable up to ") < limit("possible up to "));
    assert_eq!(fast("beginner", whole.expect("a tempo"), RUN), []);
    assert!(!fast("beginner", whole.expect("a tempo") + 2, RUN).is_empty());
}

#[test]
fn drums_are_named_and_turning_is_told() {
    let seconds = " second | F#3 B5 F#3 B5 F#3+B5 F#3+B5 F#3+B5 F#3+B5 F#3 B3 F#3 B3 F#3 B3 F#3 B3 |\n";
    let finding = &told("intermediate", 200, seconds)[0];
    assert!(finding.message.contains("twice is too fast"), "{}", finding.message);
    assert!(finding.message.contains("on the "), "{}", finding.message);
    let across = " bass | C2 C#2 C2 C#2 C2 C#2 C2 C#2 C2 C#2 C2 C#2 C2 C#2 C2 C#2 |\n";
    let finding = &told("intermediate", 120, across)[0];
    assert!(finding.message.starts_with("the player can't turn from `C2` on drum 1 to `C#2` on drum 4 in 0.1"));
    assert_eq!(told("intermediate", 120, " bass | C2 C#2 C2 C#2 |\n"), []);
}

#[test]
fn sticks_that_are_written_are_kept_to() {
    let free = " lead | C5 G5 C5 G5 C5 G5 C5 G5 |\n";
    let bound = " lead | C5L G5L C5L G5L C5L G5L C5L G5L |\n";
    assert_eq!(fast("intermediate", 160, free), []);
    assert_eq!(fast("intermediate", 160, bound).len(), 1);
}

#[test]
fn sticks_that_are_written_are_told_as_the_cause_when_they_are() {
    // So many times in a bar: in quavers and in semiquavers.
    let free = |times: usize| format!(" lead |{} |\n", " C5 G5 E5 G5".repeat(times));
    let bound = |times: usize| format!(" lead |{} |\n", " C5L G5L E5L G5L".repeat(times));
    let mut alone = Vec::new();
    for (level, tempo, times) in [("beginner", 160, 2), ("intermediate", 180, 2), ("experienced", 300, 4)] {
        let (free, bound) = (&free(times), &bound(times));
        let finding = &fast(level, tempo, bound)[0];
        let told =
            finding.help[0].strip_prefix("without the sticks written here it is possible at ").expect("the cause");
        let possible: u32 = told.split(' ').next().and_then(|number| number.parse().ok()).expect("a tempo");
        // What it says is so: without the letters it is possible at that tempo, and not much faster.
        assert_eq!(fast(level, possible, free), [], "{told}");
        assert!(!fast(level, possible + 2, free).is_empty(), "{told}");
        // And the rest is said only when letters are not the whole of it.
        assert_eq!(finding.help.len() == 1, possible >= tempo, "{:?}", finding.help);
        alone.push(finding.help.len() == 1);
    }
    assert!(alone.contains(&true) && alone.contains(&false), "{alone:?}");
}

#[test]
fn sticks_that_are_written_are_not_told_where_they_cost_nothing() {
    let told = |rows: &str| fast("intermediate", 200, rows)[0].help.iter().any(|help| help.contains("sticks written"));
    assert!(!told(RUN));
    // As they are chosen anyway, so that it is no slower with them than without.
    let band = band("intermediate");
    let tune = tune(&band, &format!("tempo 200\npart lead on lead\nsection a\n{RUN}"));
    let played = Played::new(&tune, 0, &tune.band.pans[0].pan, Level::Intermediate);
    let mut letters = played.sticks.iter().map(|stick| format!("{stick:?}"));
    let stuck: Vec<String> = RUN
        .split_whitespace()
        .map(|cell| match cell.chars().next() {
            Some('A'..='G') => format!("{cell}{}", letters.next().expect("a stick")),
            _ => cell.to_owned(),
        })
        .collect();
    let stuck = format!(" {}\n", stuck.join(" "));
    assert_eq!(stuck.matches(['L', 'R']).count(), 16);
    assert!(!told(&stuck), "{stuck}");
}

#[test]
fn crossed_hands_are_told_when_they_are_many() {
    // Written so that the left stick always plays to the right of the other.
    let hands = " lead | G5L F5R G5L F5R G5L F5R G5L F5R | % |\n";
    let other = " lead | G5R F5L G5R F5L G5R F5L G5R F5L | % |\n";
    let kinds = |rows: &str| -> Vec<&str> { told("experienced", 100, rows).iter().map(|f| f.kind.name).collect() };
    let both = [kinds(hands), kinds(other)];
    assert!(both.contains(&vec!["crossed-hands"]) && both.contains(&vec![]), "{both:?}");
}

#[test]
fn a_parts_level_counts_before_its_pans_and_that_before_the_bands() {
    let tempo_and_parts = "tempo 100\npart lead on lead\npart run on lead\nsection a\n";
    let both = format!("{tempo_and_parts}{RUN}{}", RUN.replace("lead", "run "));
    let levels = |pan: &str, levels: &str| -> Vec<(String, bool)> {
        let band = format!(
            "name = \"Test\"\nlevel = \"beginner\"\n[levels]\n{levels}[[pan]]\nname = \"Red rim\"\nlayout = \"lead-c\"\n{pan}\
             [[pan]]\nname = \"Blue rim\"\nlayout = \"lead-c\"\n{pan}"
        );
        let told = sticks(&tune(&band, &both));
        let told = told.into_iter().filter(|finding| *finding.kind == TOO_FAST);
        told.map(|finding| (finding.part.expect("a part"), finding.message.ends_with("for a beginner"))).collect()
    };
    let beginner = |part: &str| (part.to_owned(), true);
    assert_eq!(levels("", ""), [beginner("lead"), beginner("run")]);
    assert_eq!(levels("", "run = \"experienced\"\n"), [beginner("lead")]);
    assert_eq!(levels("level = \"experienced\"\n", ""), []);
    assert_eq!(levels("level = \"experienced\"\n", "lead = \"beginner\"\n"), [beginner("lead")]);
}

#[test]
fn what_is_told_is_slower_than_written_even_where_only_the_bars_before_it_make_it_so() {
    let mut numbers = Numbers(20_261_127);
    let names = ["D4", "F#4", "A4", "C5", "E5", "G5", "B5", "D6"];
    let (mut told, mut by_others) = (0, 0);
    for _ in 0..cases(400) {
        // One or two strokes a bar, so that the way over a bar line is as likely to be the hard one as any other.
        let bars: String = (0..12)
            .map(|_| {
                let cells: String = (0..2).map(|_| if numbers.below(4) == 0 { " ." } else { " N" }).collect::<String>();
                cells + " |"
            })
            .collect();
        let row: String = bars
            .split('N')
            .enumerate()
            .map(
                |(i, rest)| {
                    if i == 0 { rest.to_owned() } else { format!("{}{rest}", names[numbers.below(8) as usize]) }
                },
            )
            .collect();
        let tempo = 110 + 10 * numbers.below(20);
        let tune = tune(
            &band("intermediate"),
            &format!("meter 1/4\ntempo {tempo}\npart lead on lead\nsection a\n lead |{row}\n"),
        );
        for finding in sticks(&tune).iter().filter(|finding| *finding.kind == TOO_FAST) {
            let words = finding.message.split("possible up to ").nth(1).expect("a tempo");
            let possible: u64 = words.split(' ').next().and_then(|number| number.parse().ok()).expect("a tempo");
            assert!(possible < tempo, "{tempo}: {} in {row}", finding.message);
            told += 1;
        }
        let played = Played::new(&tune, 0, &tune.band.pans[0].pan, Level::Intermediate);
        let is_fast = |stroke: &usize| played.bar_possible(&tune, 0, *stroke) >= Some(1000);
        by_others += late(&played).filter(is_fast).count();
    }
    assert!(told > cases(100) && by_others > 0, "{told} {by_others}");
}

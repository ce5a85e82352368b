//! Tables of short tunes and what they resolve to.

use super::{Open, Tune};
use crate::kit::told;
use crate::music::Length;
use crate::text::{Finding, Severity};
use crate::tune::model::{DynamicChange, Struck};

const BAND: &str = r#"
name = "Lantern Quay"
[[pan]]
name = "Red rim"
layout = "lead-c"
[[pan]]
name = "Tall six"
layout = "six-bass"
[[percussion]]
name = "Brake drum"
kind = "iron"
[[percussion]]
name = "Rice tin"
kind = "shaker"
"#;

pub(super) const PARTS: &str =
    "part lead on lead\npart answer on lead\npart bass on six-bass\npart iron on iron\npart shaker on shaker\n";

/// The tune of a text, and all that was said of it.
pub(super) fn resolved(text: &str) -> (Tune<Open>, Vec<Finding>) {
    told(BAND, &format!("{PARTS}{text}"))
}

pub(super) fn good(text: &str) -> Tune<Open> {
    let (tune, findings) = resolved(text);
    let errors: Vec<&Finding> = findings.iter().filter(|finding| finding.severity == Severity::Error).collect();
    assert!(errors.is_empty(), "{errors:?}");
    tune
}

/// The messages, each with the text that it marks.
pub(super) fn said(text: &str) -> Vec<String> {
    let (_, findings) = resolved(text);
    let marked = |finding: &Finding| finding.place.as_ref().map(|place| place.source.slice(place.span).to_owned());
    findings.iter().map(|f| format!("{}: {} [{}]", f.kind.name, f.message, marked(f).unwrap_or_default())).collect()
}

fn named(note: Open) -> String {
    match note {
        Open::Pitch(pitch) => pitch.to_string(),
        Open::Tone { tone, degree: None } => tone.to_string(),
        Open::Tone { tone, degree: Some(degree) } => format!("{degree}={tone}"),
        Open::Strum => "strum".to_owned(),
        Open::Harmony { of, event, side } => format!("{side:?} {of}:{event}"),
    }
}

/// A part's strokes in a section: start, length, what; `!` accent, `'` damped, `~` rolled.
pub(super) fn strokes(tune: &Tune<Open>, section: usize, part: &str) -> String {
    let part = tune.part(part).expect("the part");
    let row = tune.sections[section].rows[part].as_ref().expect("a row");
    let one = |event: &crate::tune::Event<Open>| {
        let what = match &event.struck {
            Struck::Notes(notes) => notes.iter().map(|note| named(note.pitch)).collect::<Vec<_>>().join("+"),
            Struck::Mark(mark) => mark.to_char().to_string(),
        };
        let marks = [(event.accent, "!"), (event.damped, "'"), (event.rolled, "~")];
        let marks: String = marks.iter().filter(|(on, _)| *on).map(|(_, mark)| *mark).collect();
        format!("{}:{}:{what}{marks}", event.start, event.length)
    };
    row.events.iter().map(one).collect::<Vec<_>>().join(" ")
}

#[test]
fn cells_are_equal_slices_of_the_bar() {
    let tune = good("section a\n lead | C5 . D5 - | E5 F5 G5 |\n iron | x X . o/s | % |\n");
    assert_eq!(strokes(&tune, 0, "lead"), "0:1:C5 2:2:D5 4:4/3:E5 16/3:4/3:F5 20/3:4/3:G5");
    assert_eq!(strokes(&tune, 0, "iron"), "0:1:x 1:1:x! 3:1/2:o 7/2:1/2:s 4:1:x 5:1:x! 7:1/2:o 15/2:1/2:s");
    assert_eq!(tune.sections[0].length, Length::quarters(8, 1));
}

#[test]
fn holds_go_on_over_bar_lines_and_sections() {
    let tune = good("form a b\nsection a\n lead | . . C5 - | ~ ~ . D5> |\nsection b\n lead | - ~ . E5' |\n");
    assert_eq!(strokes(&tune, 0, "lead"), "2:4:C5~ 7:1:D5!");
    assert_eq!(strokes(&tune, 1, "lead"), "3:1:E5'");
    let carry = tune.sections[1].rows[0].as_ref().expect("a row").carry;
    assert_eq!((carry.length, carry.rolled), (Length::quarters(2, 1), true));
}

#[test]
fn a_hold_needs_something_to_hold() {
    assert_eq!(
        said("section a\n lead | . - . . |\n"),
        ["nothing-to-hold: there is no note before this `-` to hold [-]"]
    );
    assert_eq!(
        said("form a b\nsection a\n lead | C5 . . . |\nsection b\n lead | - . . . |\n"),
        ["nothing-to-hold: no note is held into this `-` from the section `a` before [-]"]
    );
    assert_eq!(
        said("section a\n lead | ~ . . . |\n"),
        ["nothing-to-hold: there is nothing before this `~` to hold [~]"]
    );
    // Played twice, the section goes on from its own end, which is silent.
    assert_eq!(
        said("form b a x2\nsection b\n lead | 1: C5 |\nsection a\n lead | - . . . |\n"),
        ["nothing-to-hold: no note is held into this `-` from the section `a` before [-]"]
    );
}

#[test]
fn patterns_fill_the_section_and_with_doubles() {
    let tune = good(
        "pattern two | x . | o . |\nsection a\n lead | C5 | D5 | E5 |\n answer = with lead\n iron = play two\n shaker = rest\n",
    );
    assert_eq!(strokes(&tune, 0, "iron"), "0:2:x 4:2:o 8:2:x");
    assert_eq!(strokes(&tune, 0, "answer"), "0:4:C5 4:4:D5 8:4:E5");
    let shaker = tune.part("shaker").expect("the part");
    assert!(tune.sections[0].rows[shaker].is_none());
}

#[test]
fn names_are_looked_up() {
    let table = [
        ("section a\n laed | C5 |\n", "unknown-part: there is no part `laed` [laed]"),
        ("section a\n lead = with bas\n bass | C2 |\n", "unknown-part: there is no part `bas` to play with [bas]"),
        ("section a\n iron = play groov\n lead | C5 |\n", "unknown-pattern: there is no pattern `groov` [groov]"),
        ("form a b\nsection a\n lead | C5 |\n", "unknown-section: there is no section `b` [b]"),
        (
            "part x on xylophon\nsection a\n lead | C5 |\n x | C5 |\n",
            "unknown-kind: `xylophon` is not a kind of pan or percussion [xylophon]",
        ),
        (
            "part lead on lead\nsection a\n lead | C5 |\n",
            "name-twice: there is a part `lead` already, on line 1 [lead]",
        ),
        (
            "section a\n lead | C5 |\nsection a\n lead | D5 |\n",
            "name-twice: there is a section `a` already, on line 6 [a]",
        ),
        (
            "section a\n lead | C5 |\n lead = rest\n",
            "row-twice: `lead` has been told what to play already, on line 7 [lead]",
        ),
        (
            "section a\n lead = with answer\n answer = with lead\n bass | C2 |\n",
            "circular-with: `lead` and `answer` double each other in a circle [lead]",
        ),
        ("section a\n lead = with lead\n bass | C2 |\n", "circular-with: `lead` can't double itself [lead]"),
        (
            "section a\n lead = with iron\n iron | x |\n",
            "wrong-instruction: `lead` on `lead` can't play what `iron` plays [iron]",
        ),
        (
            "pattern p | x . |\nsection a\n bass | C2 |\n lead = play p\n",
            "wrong-instruction: `lead` on `lead` can't play the pattern `p` [p]",
        ),
        ("section a\n lead | x |\n", "wrong-stroke: `x` is a percussion stroke, and `lead` is on a pan (`lead`) [x]"),
        ("section a\n iron | C5 |\n", "wrong-stroke: `C5` is a note, and `iron` is percussion [C5]"),
        ("section a\n shaker | s |\n", "wrong-stroke: `shaker` has no stroke `s` [s]"),
        ("section a\n iron | x+o |\n", "wrong-stroke: `x+o`: `iron` takes one stroke at a time [x+o]"),
        ("section a\n lead | % | C5 |\n", "nothing-to-repeat: there is no bar before this `%` to play again [%]"),
        ("section a\n lead | C5 |\n chords | - |\n", "nothing-to-hold: there is no chord before this `-` to hold [-]"),
        (
            "pickup 4\nsection a\n lead | C5 |\n",
            "long-pickup: a pickup of 4 beats is as long as a bar of 4/4, or longer [4]",
        ),
        (
            "section a\n lead | C5 | D5 |\n bass | C2 |\n iron | x | x |\n",
            "bars-differ: the row `bass` of section `a` has 1 bar, the row `lead` has 2 bars [bass]",
        ),
        ("section a\n", "nothing-to-play: the section `a` has no rows [a]"),
        (
            "form a x1000 b x1000\nsection a\n tempo 10\n lead | C5 |\nsection b\n tempo 10\n lead | C5 |\n",
            "too-long: played out, the tune has more than 12 hours [b]",
        ),
    ];
    for (text, expected) in table {
        assert!(said(text).contains(&expected.to_owned()), "{text}\nexpected {expected}\nfound {:#?}", said(text));
    }
}

#[test]
fn one_mistake_is_told_once() {
    for text in [
        "section a\n lead = with bas\n bass | C2 |\n",
        "part x on xylophon\nsection a\n lead | C5 |\n x | C5 |\nsection b\n x | D5 |\n",
        "pattern p | x . |\nsection a\n bass | C2 | C2 |\n lead = play p\n",
        "section a\n lead = with answer\n answer = with lead\n bass | C2 |\n",
        "section a\n lead | % | C5 |\n",
    ] {
        assert_eq!(said(text).len(), 1, "{text}{:#?}", said(text));
    }
}

#[test]
fn a_pickup_shortens_the_bar_that_opens_the_form() {
    let tune = good("pickup 1\nmeter 3/4\nform b a\nsection a\n lead | C5 . . |\nsection b\n lead | G5 | E5 . . |\n");
    assert_eq!(strokes(&tune, 1, "lead"), "0:1:G5 1:1:E5");
    assert_eq!(tune.sections[1].length, Length::quarters(4, 1));
    assert_eq!(tune.sections[0].length, Length::quarters(3, 1));
}

#[test]
fn chords_and_dynamics_have_their_times() {
    let tune = good("section a\n chords | G | C D7 | - N.C. |\n dynamics | p | < | f |\n lead | G5 | G5 | G5 |\n");
    let section = &tune.sections[0];
    let chords: Vec<String> = section
        .chords
        .iter()
        .map(|at| format!("{}:{}", at.start, at.chord.map_or("none".into(), |c| c.to_string())))
        .collect();
    assert_eq!(chords, ["0:G", "4:C", "6:D7", "10:none"]);
    assert_eq!(section.chord_at(Length::quarters(9, 1)).map(|c| c.to_string()).as_deref(), Some("D7"));
    assert_eq!(section.dynamics.len(), 3);
    assert_eq!(section.dynamics[1].change, DynamicChange::Growing);
}

#[test]
fn odd_numbers_of_cells_held_over_many_bars_stay_exact() {
    let primes = [61, 59, 53, 47, 43, 41, 37, 31, 29, 23, 19, 17, 13, 11, 7];
    let bars: Vec<String> = primes.iter().map(|n| vec!["-"; *n].join(" ")).collect();
    let tune = good(&format!("section a\n lead | C5 | {} |\n", bars.join(" | ")));
    assert_eq!(strokes(&tune, 0, "lead"), format!("0:{}:C5", 4 * (primes.len() + 1)));
}

#[test]
fn patterns_rest_without_a_chord_and_cells_may_not() {
    let text =
        "pattern p | 1 - 5 - |\nsection a\n chords | G | N.C. | C |\n bass = play p\n lead = strum calypso-strum\n";
    let tune = good(text);
    let starts = |part: &str| -> Vec<u32> {
        let row = tune.sections[0].rows[tune.part(part).expect("a part")].as_ref().expect("a row");
        row.events.iter().map(|event| event.bar).collect()
    };
    assert_eq!(starts("bass"), [0, 0, 2, 2]);
    assert_eq!(starts("lead"), [0, 0, 0, 0, 2, 2, 2, 2]);
    assert_eq!(
        said("section a\n chords | N.C. |\n bass | 1 |\n"),
        ["no-chord: `bass` should play a note of the chord here, but there is no chord [1]"]
    );
}

#[test]
fn beats_are_counted_from_the_end_of_a_pickup() {
    let beats = |head: &str, lead: &str, from: (i64, i64), to: (i64, i64)| {
        let tune = good(&format!("{head}section a\n lead {lead}\n"));
        let length = |(quarters, of)| Length::quarters(quarters, of);
        let beats = tune.sections[0].beats(length(from), length(to)).map(|beat| beat.to_string());
        beats.collect::<Vec<_>>().join(" ")
    };
    assert_eq!(beats("", "| C5 | C5 |", (0, 1), (6, 1)), "0 1 2 3 4 5");
    assert_eq!(beats("", "| C5 |", (1, 2), (1, 1)), "");
    assert_eq!(beats("", "| C5 |", (1, 2), (3, 2)), "1");
    assert_eq!(beats("meter 6/8\n", "| C5 |", (0, 1), (3, 1)), "0 3/2");
    assert_eq!(beats("pickup 1.5\n", "| C5 D5 E5 | C5 |", (0, 1), (3, 1)), "1/2 3/2 5/2");
    assert_eq!(beats("pickup 0.5\n", "| C5 |", (0, 1), (1, 2)), "");
}

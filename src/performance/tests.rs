//! Short tunes played out.

use super::{Options, Performance, Sound, TempoChoice, perform};
use crate::kit::{ONE_LEAD, playable};
use crate::music::{Moment, Tempo};
use crate::tune::Tune;

const HEAD: &str = "part lead on lead\npart bass on six-bass\npart iron on iron\n";

pub(super) fn tune(text: &str) -> Tune {
    playable(ONE_LEAD, &format!("{HEAD}{text}"))
}

fn played(text: &str, options: &Options) -> Performance {
    perform(&tune(text), options)
}

/// Every stroke: moment, length, what, velocity.
fn strokes(performance: &Performance) -> Vec<String> {
    let one = |stroke: &super::Stroke| {
        let what = match stroke.sound {
            Sound::Note(pitch) => pitch.to_string(),
            Sound::Mark(mark) => mark.to_char().to_string(),
        };
        format!("{} {} {what} {}", stroke.at, stroke.length, stroke.force.velocity())
    };
    performance.strokes.iter().map(one).collect()
}

#[test]
fn the_form_is_played_out() {
    let performance = played(
        "form a x2 b\nsection a\n lead | C5 . . . |\nsection b\n meter 3/4\n tempo 60\n key F\n words | go |\n lead | D5' . E5> |\n",
        &Options::default(),
    );
    assert_eq!(strokes(&performance), ["0 1 C5 80", "4 1 C5 80", "8 1/2 D5 80", "10 1 E5 104"]);
    let sections: Vec<String> =
        performance.sections.iter().map(|s| format!("{} {} {}/{}", s.at, s.name, s.pass, s.of)).collect();
    assert_eq!(sections, ["0 a 1/2", "4 a 2/2", "8 b 1/1"]);
    assert_eq!(performance.bars.len(), 3);
    assert_eq!(performance.meters.len(), 2);
    assert_eq!(performance.keys[1].1.to_string(), "F");
    assert_eq!(performance.words[0].1, "go");
    // 120 beats a minute for eight beats, then 60 for three.
    assert!((performance.seconds() - (4.0 + 3.0)).abs() < 1e-12);
}

#[test]
fn chords_stand_where_they_change_and_end_where_a_section_has_none() {
    let performance = played(
        "form a b a\nsection a\n chords | G D7 | - N.C. |\n lead | C5 | C5 |\nsection b\n lead | C5 |\n",
        &Options::default(),
    );
    let chords: Vec<String> = performance.chords.iter().map(|(at, name)| format!("{at} {name}")).collect();
    assert_eq!(chords, ["0 G", "2 D7", "6 ", "12 G", "14 D7", "18 "]);
    let performance =
        played("form a b\nsection a\n chords | G |\n lead | C5 |\nsection b\n lead | C5 |\n", &Options::default());
    let chords: Vec<String> = performance.chords.iter().map(|(at, name)| format!("{at} {name}")).collect();
    assert_eq!(chords, ["0 G", "4 "]);
}

#[test]
fn ties_go_on_over_bars_and_sections() {
    let performance = played(
        "roll none\nform a b\nsection a\n lead | . . . C5 | - - . D5 |\nsection b\n lead | - - - . |\n",
        &Options::default(),
    );
    assert_eq!(strokes(&performance), ["3 3 C5 80", "7 4 D5 80"]);
}

#[test]
fn a_roll_fills_its_note_with_strokes() {
    // Two beats at 120 are one second: 12 strokes, a sixth of a quarter note each.
    let performance = played("section a\n lead | C5 ~ . . |\n", &Options::default());
    assert_eq!(performance.strokes.len(), 12);
    assert!(performance.strokes.iter().all(|stroke| stroke.length.to_string() == "1/6"));
    for (number, stroke) in performance.strokes.iter().enumerate() {
        // Hands are off by an eighth of that at most, but never where a stroke is written.
        let off = 6.0 * stroke.at.since_start().as_f64() - number as f64;
        assert!(off.abs() <= if number == 0 { 0.0 } else { 0.125 }, "stroke {number}: {off}");
    }
    let velocities: Vec<u8> = performance.strokes.iter().map(|stroke| stroke.force.velocity()).collect();
    assert!(velocities[0] == 80 && (54..=72).contains(&velocities[1]), "{velocities:?}");
    // Two sticks on two notes take turns.
    let two = played("section a\n lead | C5+E5 ~ . . |\n", &Options::default());
    let notes: Vec<Sound> = two.strokes.iter().map(|stroke| stroke.sound).collect();
    assert_eq!(two.strokes.len(), 12);
    assert!(notes.windows(2).all(|pair| pair[0] != pair[1]));
}

#[test]
fn long_notes_roll_by_themselves_except_on_basses_and_damped() {
    let count = |text: &str| played(text, &Options::default()).strokes.len();
    assert_eq!(count("section a\n lead | C5 - . . |\n"), 12);
    assert_eq!(count("section a\n lead | C5 . . . |\n"), 1);
    assert_eq!(count("section a\n lead | C5' - . . |\n"), 1);
    assert_eq!(count("section a\n bass | C2 - - - |\n"), 1);
    assert_eq!(count("section a\n bass | C2 ~ . . |\n"), 10);
    assert_eq!(count("roll none\nsection a\n lead | C5 - - - |\n"), 1);
    assert_eq!(count("roll 1\nsection a\n lead | C5 . . . |\n"), 6);
    // A note that grows long over the bar line is long.
    assert_eq!(count("section a\n lead | . . . C5 | - . . . |\n"), 12);
}

#[test]
fn swing_bends_beats_and_leaves_thirds_alone() {
    let performance =
        played("swing 2:1\nsection a\n lead | C5 D5 . . . . . . | C5 D5 E5 . . . . . . . . . |\n", &Options::default());
    assert_eq!(
        strokes(&performance),
        ["0 2/3 C5 80", "2/3 1/3 D5 80", "4 1/3 C5 80", "13/3 1/3 D5 80", "14/3 1/3 E5 80"]
    );
}

#[test]
fn sticks_count_a_bar_in_and_the_rest_of_a_pickup_bar() {
    let counted = Options { count_in: true, ..Options::default() };
    let performance = played("section a\n lead | C5 . . . |\n", &counted);
    assert_eq!(performance.begin.to_string(), "4");
    assert_eq!(performance.voices.last().map(|voice| voice.name.as_str()), Some("count-in"));
    assert_eq!(performance.strokes.len(), 5);
    let performance = played("pickup 1\nsection a\n lead | G4 | C5 . . . |\n", &counted);
    assert_eq!(performance.begin.to_string(), "7");
    let clicks = performance.strokes.iter().filter(|stroke| matches!(stroke.sound, Sound::Mark(_)));
    let accents: Vec<bool> = clicks.map(|stroke| stroke.force.velocity() > 80).collect();
    assert_eq!(accents, [true, false, false, false, true, false, false]);
}

#[test]
fn parts_sections_and_tempos_are_chosen() {
    let text = "tempo 100\nform a b\nsection a\n dynamics | ff |\n lead | C5 |\n iron | x |\nsection b\n tempo 50\n iron | o |\n";
    let iron = Options { parts: Some(vec![2]), section: Some(1), ..Options::default() };
    let performance = played(text, &iron);
    // The section is as loud as in its place in the form.
    assert_eq!(strokes(&performance), ["0 4 o 112"]);
    let tempos = |tempo: TempoChoice| -> Vec<String> {
        let performance = played(text, &Options { tempo, ..Options::default() });
        performance.tempo.changes().iter().map(|change| change.tempo.to_string()).collect()
    };
    assert_eq!(tempos(TempoChoice::AsWritten), ["100", "50"]);
    assert_eq!(tempos(TempoChoice::Percent(80.0)), ["80", "40"]);
    assert_eq!(tempos(TempoChoice::Bpm(Tempo::bpm(120.0).expect("a tempo"))), ["120", "60"]);
}

#[test]
fn nothing_drifts_over_ten_thousand_bars_of_sevenths() {
    let performance =
        played(&format!("form {}\nsection a\n iron | x . . x . . x |\n", "a x1000 ".repeat(10)), &Options::default());
    let last = performance.strokes.last().expect("strokes");
    let exact = 4 * 9_999;
    assert_eq!(last.at, Moment::START + crate::music::Length::quarters(exact * 7 + 24, 7));
    assert_eq!(performance.strokes.len(), 30_000);
}

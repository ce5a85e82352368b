//! Drills are the tune's own strokes, moved and scaled.

use super::*;
use crate::kit::{self, ONE_LEAD};
use crate::performance::Sound;

const TUNE: &str = "\
part lead on lead
part iron on iron
tempo 120
roll none
form a b
section a
 chords | C | G |
 lead | C5 . E5 - | - . G5 . |
 iron | x o x o | % |
section b
 tempo 90
 lead | A5 ~ ~ ~ | . . . D5 | C5 . . . |
 iron | x . x . | % | . |
";

fn tune() -> Tune {
    kit::tune(ONE_LEAD, TUNE)
}

fn request(kind: Kind) -> Request {
    Request { part: 0, kind, section: None, bars: None, tempo: TempoChoice::AsWritten }
}

/// Moment and sound of a voice's strokes.
fn strokes(performance: &Performance, voice: u16) -> Vec<(f64, Sound)> {
    let own = performance.strokes.iter().filter(|stroke| stroke.voice == voice);
    own.map(|stroke| (performance.tempo.seconds(stroke.at), stroke.sound)).collect()
}

fn texts(drill: &Drill) -> Vec<String> {
    drill.steps.iter().map(|step| format!("{:.2} {}", step.seconds, step.what)).collect()
}

#[test]
fn a_loop_has_no_gap() {
    let drill = drill(&tune(), &Request { section: Some(0), ..request(Kind::Loop { times: 3 }) }).expect("a drill");
    // A bar of count-in at 120 is two seconds, each time four.
    assert_eq!(texts(&drill), ["2.00 round 1 of 3", "6.00 round 2 of 3", "10.00 round 3 of 3"]);
    let once = strokes(&perform(&tune(), &Options { section: Some(0), ..Options::default() }), 0);
    let all = strokes(&drill.performance, 0);
    assert_eq!(all.len(), 3 * once.len());
    for (i, (seconds, sound)) in all.iter().enumerate() {
        let (plain, same) = once[i % once.len()];
        assert!((seconds - (2.0 + 4.0 * (i / once.len()) as f64 + plain)).abs() < 1e-9);
        assert_eq!(*sound, same);
    }
    assert_eq!(drill.performance.end, drill.performance.begin + Length::quarters(24, 1));
}

#[test]
fn a_ladder_climbs_to_the_tenth_of_a_percent() {
    let kind = Kind::Ladder { from: 60.0, to: 100.0, step: 15.0 };
    let drill = drill(&tune(), &Request { section: Some(0), ..request(kind) }).expect("a drill");
    let percents: Vec<f64> = drill.steps.iter().map(|step| step.percent).collect();
    assert_eq!(percents, [60.0, 75.0, 90.0, 100.0]);
    let tempos: Vec<f64> =
        drill.performance.tempo.changes().iter().map(|change| change.tempo.beats_a_minute()).collect();
    for (tempo, percent) in tempos.iter().zip(&percents) {
        assert!((tempo / (1.2 * percent) - 1.0).abs() < 0.001, "{tempo} at {percent} %");
    }
    // A slow roll has more strokes, not slower ones.
    let slow =
        super::drill(&tune(), &Request { section: Some(1), bars: Some((1, 1)), ..request(kind) }).expect("a drill");
    let rolled: Vec<usize> = slow
        .performance
        .sections
        .iter()
        .map(|section| {
            let end = section.at + Length::quarters(4, 1);
            slow.performance.strokes.iter().filter(|s| s.voice == 0 && s.at >= section.at && s.at < end).count()
        })
        .collect();
    // Twelve strokes a second at 120 make 32 in four beats, and a little more for a high note: three in a hundred an octave.
    assert_eq!(rolled, [55, 44, 36, 33]);
}

#[test]
fn an_echo_leaves_room_while_the_iron_keeps_time() {
    let drill = drill(&tune(), &request(Kind::Echo { bars: None })).expect("a drill");
    let whats: Vec<&str> = drill.steps.iter().map(|step| step.what.as_str()).collect();
    assert_eq!(whats, ["bars 1 to 2", "your answer", "bars 3 to 5", "your answer"]);
    let answer = &drill.performance.sections[1];
    let end = drill.performance.sections[2].at;
    let heard: Vec<u16> =
        drill.performance.strokes.iter().filter(|s| s.at >= answer.at && s.at < end).map(|s| s.voice).collect();
    assert!(!heard.is_empty() && heard.iter().all(|voice| *voice == 1), "{heard:?}");
    // The iron's own drill is answered to the claves.
    let own = super::drill(&tune(), &Request { part: 1, ..request(Kind::Echo { bars: Some(1) }) }).expect("a drill");
    let answer = &own.performance.sections[1];
    let clicks =
        own.performance.strokes.iter().filter(|s| s.at >= answer.at && s.at < answer.at + Length::quarters(4, 1));
    assert!(clicks.clone().count() == 4 && clicks.into_iter().all(|s| s.voice == 2));
}

#[test]
fn a_chain_grows_bar_by_bar() {
    let drill = drill(&tune(), &Request { bars: Some((2, 4)), ..request(Kind::Chain { by: 1 }) }).expect("a drill");
    let whats: Vec<&str> = drill.steps.iter().map(|step| step.what.as_str()).collect();
    assert_eq!(whats, ["bar 2", "bars 2 to 3", "bars 2 to 4"]);
    // The note held into bar 2 is struck at its start, each time.
    let first = drill.performance.strokes.iter().find(|stroke| stroke.voice == 0).expect("a stroke");
    assert_eq!((first.at, first.length), (drill.performance.begin, Length::quarters(1, 1)));
    // Bars and their sections stay the tune's own.
    assert_eq!(drill.performance.bars.len(), 1 + 2 + 3);
    assert!(drill.performance.strokes.iter().all(|s| (s.bar as usize) < drill.performance.bars.len()));
}

#[test]
fn what_is_not_there_is_refused() {
    let of = |bars, kind| drill(&tune(), &Request { bars, ..request(kind) }).map(|_| ()).unwrap_err();
    assert_eq!(of(Some((4, 9)), Kind::Loop { times: 1 }), Refused::NoSuchBars(5));
    assert_eq!(of(Some((0, 2)), Kind::Loop { times: 1 }), Refused::NoSuchBars(5));
    assert_eq!(of(Some((3, 2)), Kind::Loop { times: 1 }), Refused::NoSuchBars(5));
    assert_eq!(of(None, Kind::Loop { times: 1_000_000 }), Refused::TooLong);
    assert_eq!(of(None, Kind::Ladder { from: 90.0, to: 60.0, step: 5.0 }), Refused::NoLadder);
    assert_eq!(of(None, Kind::Ladder { from: 60.0, to: 90.0, step: 0.0 }), Refused::NoLadder);
}

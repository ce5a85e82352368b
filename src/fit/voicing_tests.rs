//! What a voicing must hold, on the built-in layouts.

use super::*;
use crate::pan::{Level, layout};

fn strummer(name: &str) -> Strummer {
    let pan = layout(name).expect(name);
    let set = pan.note_set();
    let hands = Arc::new(Hands::new(pan, Level::Intermediate));
    Strummer { set, home: super::super::line::home(set, pan.kind).expect("notes"), hands }
}

fn moments(chords: &str, parts: usize) -> Vec<Moment> {
    let chord = |text: &str| Moment {
        chord: text.parse().expect(text),
        lead: None,
        plays: vec![true; parts],
        gaps: vec![None; parts],
    };
    chords.split(' ').map(chord).collect()
}

fn shown(voiced: &Voiced) -> String {
    let pair = |pair: &Option<Pair>| match pair {
        Some((low, Some(high))) => format!("{low}+{high}"),
        Some((low, None)) => low.to_string(),
        None => ".".to_owned(),
    };
    voiced.pairs.iter().map(|part| part.iter().map(pair).collect::<Vec<_>>().join(" ")).collect::<Vec<_>>().join(" | ")
}

#[test]
fn one_pan_plays_third_and_seventh_or_third_and_root() {
    let moments = moments("D7 G C", 1);
    let voiced = voice(&[strummer("double-second")], &moments);
    assert_eq!(voiced.cost, voiced.bound);
    // F# and C of D7; of G and C, which have no seventh, third and root (common practice, no source).
    let classes = |moment: usize| -> Vec<u8> {
        let (low, high) = voiced.pairs[0][moment].expect("a pair");
        let mut classes = vec![low.class().number(), high.expect("two notes").class().number()];
        classes.sort_unstable();
        classes
    };
    assert_eq!(classes(0), [0, 6], "{}", shown(&voiced));
    assert_eq!(classes(1), [7, 11], "{}", shown(&voiced));
    assert_eq!(classes(2), [0, 4], "{}", shown(&voiced));
}

#[test]
fn two_pans_play_all_of_a_seventh_chord_and_stay_below_the_lead() {
    let lead: Pitch = "D5".parse().expect("a note");
    let mut moments = moments("G7 C D7 G", 2);
    moments.iter_mut().for_each(|moment| moment.lead = Some(lead));
    let voiced = voice(&[strummer("double-second"), strummer("double-guitar")], &moments);
    assert_eq!(voiced.cost, voiced.bound, "proven");
    assert!(voiced.left_out.iter().all(Vec::is_empty), "{}", shown(&voiced));
    for (low, high) in voiced.pairs.iter().flatten().flatten() {
        assert!(high.expect("two notes") < lead, "{}", shown(&voiced));
        assert!(!matches!(low.semitones_to(high.expect("two notes")), 1 | 13));
    }
}

#[test]
fn a_pan_without_the_chord_is_asked_for_its_third() {
    let mut part = strummer("double-second");
    part.set = ["C4", "F4"].iter().map(|name| name.parse::<Pitch>().expect("a note")).collect();
    let voiced = voice(&[part], &moments("B", 1));
    assert_eq!(voiced.pairs[0][0].map(|(low, _)| low.class().number()), Some(3));
}

#[test]
fn who_does_not_strum_keeps_its_hands_where_they_were() {
    let mut moments = moments("G C G", 2);
    moments[1].plays[0] = false;
    let voiced = voice(&[strummer("double-second"), strummer("double-guitar")], &moments);
    assert_eq!(voiced.pairs[0][1], None);
    assert_eq!(voiced.pairs[0][0], voiced.pairs[0][2], "{}", shown(&voiced));
}

#[test]
fn a_chord_that_changes_quickly_is_within_reach() {
    let seconds = [strummer("double-second")];
    let hands = &seconds[0].hands;
    let late = |voiced: &Voiced, gap: i64| -> Cost {
        let places: Vec<Places> = voiced.pairs[0].iter().map(|pair| seconds[0].places(*pair)).collect();
        places.windows(2).map(|two| seconds[0].late(two[0], two[1], gap)).sum()
    };
    let (mut saved, mut changed) = (0, 0);
    for chords in ["G C D7 G", "Am Dm E7 Am", "C Am F G7", "G D7 G D7"] {
        let slow = moments(chords, 1);
        let mut quick = slow.clone();
        // An eighth at 176.
        quick.iter_mut().for_each(|moment| moment.gaps = vec![Some(170_000)]);
        let (slow, quick) = (voice(&seconds, &slow), voice(&seconds, &quick));
        assert_eq!(quick.cost, quick.bound);
        saved += late(&slow, 170_000) - late(&quick, 170_000);
        changed += usize::from(slow.pairs != quick.pairs);
        assert!(late(&quick, 170_000) <= late(&slow, 170_000));
        // With time enough nothing changes.
        let mut easy = moments(chords, 1);
        easy.iter_mut().for_each(|moment| moment.gaps = vec![Some(hands.longest())]);
        assert_eq!(voice(&seconds, &easy), slow);
    }
    assert!(changed >= 1 && saved > 1_000, "{changed} changed, {saved} saved");
}

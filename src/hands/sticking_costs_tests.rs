//! What a sticking costs: a table with a row for each term, on a lead pan whose measures stand beside it.

use super::*;
use crate::hands::account::follow;
use crate::pan::{Level, layout};

fn hands() -> Hands {
    Hands::new(layout("lead-c").expect("a layout"), Level::Intermediate)
}

fn place(hands: &Hands, name: &str) -> Place {
    hands.place(name.parse().expect(name)).expect(name)
}

/// A line as words: `C5L` a note with its stick, `C5+E5L` two, the stick being the first one's; `C5L~300` is rolled for so many
/// milliseconds. Between the words stand milliseconds.
fn line(hands: &Hands, text: &str) -> Vec<Stroke> {
    let mut at = 0;
    let mut strokes = Vec::new();
    for word in text.split(' ') {
        if let Ok(gap) = word.parse::<i64>() {
            at += 1000 * gap;
            continue;
        }
        let (word, rolled) = word.split_once('~').map_or((word, None), |(word, ms)| (word, ms.parse::<i64>().ok()));
        let stick = if word.ends_with('L') { Stick::L } else { Stick::R };
        let names: Vec<&str> = word[..word.len() - 1].split('+').collect();
        strokes.push(Stroke {
            second: names.get(1).map(|name| place(hands, name)),
            rolled_until: rolled.map(|ms| at + 1000 * ms),
            stick: Some(stick),
            ..Stroke::single(at, place(hands, names[0]))
        });
    }
    strokes
}

/// What the lead pan measures for an intermediate player: the rows below are counted by hand from this. Places to the player's right and ways in
/// mm, needs in microseconds; `movement_costs_tests` holds them to the law and to the pan's geometry.
#[test]
fn the_measures_are_those_that_the_table_is_counted_from() {
    let hands = hands();
    for (note, right) in [("C4", 0), ("F4", -114), ("G4", 115), ("D4", 200), ("F#4", 0)] {
        assert_eq!(hands.right(place(&hands, note)), right, "{note}");
    }
    for (from, to, way, need) in [
        ("G4", "D4", 119, 200_000),
        ("D4", "G4", 119, 200_000),
        ("C4", "F#4", 459, 270_711),
        ("D4", "F4", 325, 232_089),
    ] {
        let (from, to) = (place(&hands, from), place(&hands, to));
        assert_eq!((hands.way(from, to), hands.need(from, to)), (way, need));
    }
    assert_eq!((hands.repeat(), hands.double()), (200_000, 125_000));
}

/// All figures are our own settings: see the constants at the top of the room. A crossing is 500 mm of way, the same stick again 200, a
/// millisecond short of the easy time (one and a half times the least) 1, four millimetres beyond the middle 1, in whole ones.
#[test]
fn what_each_term_costs() {
    let none = Terms::default;
    let table = [
        ("each stick on its side", "F4L 1000 G4R", none(), (0, 0)),
        ("in turn, at leisure", "F4L 500 G4R 500 F4L 500 G4R", none(), (0, 0)),
        ("the left stick beyond the middle", "G4L", Terms { over: 112, ..none() }, (0, 28)),
        ("the right stick beyond the middle", "F4R", Terms { over: 112, ..none() }, (0, 28)),
        ("a way, by the same stick", "G4R 1000 D4R", Terms { way: 119, same_stick: 1, ..none() }, (0, 319)),
        (
            "50 ms short of the easy time",
            "D4R 250 G4R",
            Terms { way: 119, same_stick: 1, hurry: 50, ..none() },
            (0, 119 + 200 + 50),
        ),
        (
            "late by 70.711 ms; short of the easy time only by what it isn't late",
            "C4R 200 F#4R",
            Terms { late: 70_711, way: 459, same_stick: 1, hurry: 135, ..none() },
            (70_711, 459 + 200 + 135),
        ),
        ("a double is in time", "G4R 150 G4R", Terms { same_stick: 1, hurry: 100, ..none() }, (0, 300)),
        (
            "and late where it is too quick",
            "G4R 100 G4R",
            Terms { late: 25_000, same_stick: 1, hurry: 100, ..none() },
            (25_000, 300),
        ),
        (
            "a third stroke is no double",
            "G4R 150 G4R 150 G4R",
            Terms { late: 50_000, same_stick: 2, hurry: 200, ..none() },
            (50_000, 600),
        ),
        ("crossed", "D4L 300 F4R", Terms { crossings: 1, over: 200 + 112, ..none() }, (0, 500 + 78)),
        ("the first hand is out of the way", "D4L 401 F4R", Terms { over: 200 + 112, ..none() }, (0, 78)),
        ("by 85 mm hardly shows", "D4L 300 G4R", Terms { over: 200, ..none() }, (0, 50)),
        ("by 115 mm does", "G4L 300 C4R", Terms { crossings: 1, over: 112, ..none() }, (0, 528)),
        ("a pair, each stick on its side", "F4+G4L", none(), (0, 0)),
        ("a pair crossed", "G4+F4L", Terms { crossings: 1, over: 224, ..none() }, (0, 556)),
        ("after a pair no stick is the same again", "F4+G4L 1000 G4R", none(), (0, 0)),
        (
            "after a roll both sticks are where it was",
            "F4L~1000 1200 F4R",
            Terms { hurry: 100, over: 224, ..none() },
            (0, 100 + 56),
        ),
        (
            "a roll's second stick may come half way through it",
            "D4R 100 F4L~300",
            Terms { way: 325, hurry: 98, over: 112, ..none() },
            (0, 325 + 98 + 28),
        ),
        (
            "all of it",
            "D4L 300 F4R 200 C4R 200 F#4R",
            Terms { late: 70_711, way: 119 + 459, crossings: 1, same_stick: 2, hurry: 100 + 135, over: 312 },
            (70_711, 578 + 500 + 400 + 235 + 78),
        ),
    ];
    let hands = hands();
    for (what, text, terms, (late, awkward)) in table {
        let line = line(&hands, text);
        let sticks: Vec<Stick> = line.iter().map(|stroke| stroke.stick.expect("a stick")).collect();
        assert_eq!(follow(&hands, &line, &sticks).1, terms, "{what}");
        assert_eq!((terms.cost().late, terms.cost().awkward), (late, awkward), "{what}");
        assert_eq!(solve(&hands, &line).cost, Cost { late, awkward }, "{what}: solved");
    }
}

#[test]
fn a_repetition_is_no_double_when_it_has_the_time_of_one() {
    // An intermediate player repeats 5 times a second and strikes doubles of 8 a second (our own settings, see `movement::figures`). After a stroke
    // 200 ms before, a double may begin; after one 199 ms before, that was the double.
    let hands = hands();
    for (gap, late) in [(200, 0), (199, 75_000)] {
        let line = line(&hands, &format!("C5L {gap} C5L 125 C5L"));
        assert_eq!(solve(&hands, &line).cost.late, late, "{gap} ms");
        assert_eq!(follow(&hands, &line, &[Stick::L; 3]).1.late, late, "{gap} ms");
    }
}

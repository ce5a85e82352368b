//! The optimiser against brute force over all ways through small lines.

use super::costs_tests::defined;
use super::*;
use crate::kit::Numbers;

fn key(number: u64) -> Pitch {
    Pitch::new(number as u8).expect("a key")
}

/// A made-up pan of three octaves with gaps, and a line that strays beyond it.
fn case(numbers: &mut Numbers, pairs: bool) -> (Vec<Written>, NoteSet) {
    let low = 48 + numbers.below(12);
    let set = (low..low + 30).filter(|_| numbers.below(4) > 0).map(key).collect();
    let length = 1 + numbers.below(if pairs { 4 } else { 8 });
    let mut at = low + 6 + numbers.below(20);
    let line = (0..length).map(|_| {
        at = (at + numbers.below(15)).saturating_sub(7).clamp(36, 100);
        let low = (pairs && numbers.below(2) == 0).then(|| key(at - 1 - numbers.below(9)));
        let bound = |numbers: &mut Numbers, way: i64| {
            (numbers.below(3) == 0).then(|| key(at.saturating_add_signed(way * numbers.below(16) as i64)))
        };
        let (under, over) = (bound(numbers, 1), bound(numbers, -1));
        Written { low, after_rest: numbers.below(5) == 0, under, over, ..Written::note(key(at)) }
    });
    (line.collect(), set)
}

/// The least rank over all ways, tried one by one, with the terms counted from the definition anew.
fn brute(line: &[Written], set: NoteSet, costs: &Costs) -> (Cost, u32, u32) {
    let octaves = |pitch: Pitch, octave: Octave| -> Vec<i32> {
        let there = |k: &i32| pitch.up(12 * k).is_some_and(|p| set.has(p));
        (-8..=8).filter(|k| if octave == Octave::Stays { *k == 0 } else { there(k) }).collect()
    };
    let mut ways: Vec<Vec<Moved>> = vec![Vec::new()];
    let mut missing = 0;
    for written in line {
        let tops = octaves(written.top, written.octaves.0);
        let lows = written.low.map_or(vec![0], |low| octaves(low, written.octaves.1));
        let lacking = [tops.is_empty(), lows.is_empty()].iter().filter(|lacks| **lacks).count() as Cost;
        let mut options: Vec<Moved> = Vec::new();
        if lacking > 0 {
            missing += costs.missing * lacking;
            options.push(None);
        } else {
            for top in &tops {
                for low in &lows {
                    let same = written.octaves.1 != Octave::Stays
                        && written.low.is_some_and(|l| l.up(12 * low) == written.top.up(12 * top));
                    options.extend((!same).then_some(Some((*top, *low))));
                }
            }
            if options.is_empty() {
                missing += costs.missing;
                options.push(None);
            }
        }
        ways = ways
            .iter()
            .flat_map(|way| options.iter().map(move |option| [way.as_slice(), &[*option]].concat()))
            .collect();
    }
    let rank = |way: &Vec<Moved>| {
        let terms = defined(line, way, costs);
        let far: u32 = way.iter().flatten().map(|(top, low)| top.unsigned_abs() + low.unsigned_abs()).sum();
        let many: u32 = way.iter().flatten().map(|(top, low)| u32::from(*top != 0) + u32::from(*low != 0)).sum();
        (terms.total() + missing, many, far)
    };
    ways.iter().map(rank).min().expect("a way")
}

/// The same line with some of its octaves left open, and some that stay.
fn opened(numbers: &mut Numbers, line: &[Written]) -> Vec<Written> {
    let home = line[0].top;
    let octave =
        |numbers: &mut Numbers| [Octave::Moves, Octave::Open, Octave::Open, Octave::Stays][numbers.below(4) as usize];
    let open = |written: &Written| {
        let octaves = (octave(numbers), octave(numbers));
        let lean = (numbers.below(2) == 0).then(|| numbers.below(3) as i8 - 1);
        Written { octaves, home: Some(home), lean, ..*written }
    };
    line.iter().map(open).collect()
}

fn rank(fitted: &Fitted) -> (Cost, u32, u32) {
    let moved = fitted.moved.iter().flatten();
    let many = moved.clone().map(|(top, low)| u32::from(*top != 0) + u32::from(*low != 0)).sum();
    (fitted.terms.total(), many, moved.map(|(top, low)| top.unsigned_abs() + low.unsigned_abs()).sum())
}

#[test]
fn brute_force_finds_nothing_better() {
    let mut numbers = Numbers(20_250_101);
    let costs = Costs::default();
    for number in 0..1500 {
        let (line, set) = case(&mut numbers, number % 3 == 2);
        let fitted = fit(&line, set, &costs);
        assert_eq!(rank(&fitted), brute(&line, set, &costs), "case {number}: {line:?}");
        let terms = Terms { missing: fitted.terms.missing, ..defined(&line, &fitted.moved, &costs) };
        assert_eq!(fitted.terms, terms, "case {number}: {line:?}");
        // The cost alone takes a way of its own.
        assert_eq!(cost(&line, set, &costs), fitted.terms.total(), "case {number}: {line:?}");
    }
}

#[test]
fn brute_force_finds_nothing_better_for_open_octaves() {
    let mut numbers = Numbers(20_260_101);
    let costs = Costs::default();
    for number in 0..1500 {
        let (line, set) = case(&mut numbers, number % 3 == 2);
        let line = opened(&mut numbers, &line);
        let fitted = fit(&line, set, &costs);
        assert_eq!(fitted.terms.total(), brute(&line, set, &costs).0, "case {number}: {line:?}");
        let terms = Terms { missing: fitted.terms.missing, ..defined(&line, &fitted.moved, &costs) };
        assert_eq!(fitted.terms, terms, "case {number}: {line:?}");
    }
}

#[test]
fn an_open_octave_is_the_nearest_and_degrees_rise() {
    let set = crate::pan::layout("six-bass").expect("a layout").note_set();
    let open = |name: &str, lean: Option<i8>| Written {
        octaves: (Octave::Open, Octave::Stays),
        home: Some("E2".parse().expect("a note")),
        lean,
        ..Written::note(name.parse().expect("a note"))
    };
    let names = |line: &[Written]| {
        let fitted = fit(line, set, &Costs::default());
        let notes = line.iter().zip(&fitted.moved);
        let named =
            notes.map(|(written, moved)| written.top.up(12 * moved.expect("there").0).expect("a key").to_string());
        named.collect::<Vec<_>>().join(" ")
    };
    // The same letters, in whatever octave they are named here.
    assert_eq!(names(&[open("G4", None), open("D4", None), open("G6", None)]), "G2 D2 G2");
    // 1 5 under one chord rises.
    assert_eq!(names(&[open("G4", None), open("D4", Some(1)), open("G4", Some(-1))]), "G2 D3 G2");
}

#[test]
fn a_line_on_the_pan_stays() {
    let mut numbers = Numbers(7);
    for _ in 0..200 {
        let (line, set) = case(&mut numbers, false);
        let fitted = fit(&line, set, &Costs::default());
        // Fitting what is fitted changes nothing.
        let again: Vec<Written> = line
            .iter()
            .zip(&fitted.moved)
            .filter_map(|(written, moved)| Some(Written { top: written.top.up(12 * (*moved)?.0)?, ..*written }))
            .collect();
        assert!(fit(&again, set, &Costs::default()).moved.iter().all(|moved| *moved == Some((0, 0))));
    }
}

#[test]
fn a_line_moves_together_rather_than_being_torn() {
    let set: NoteSet = (60..=88).map(key).collect();
    let line =
        |names: &[&str]| names.iter().map(|name| Written::note(name.parse().expect("a note"))).collect::<Vec<_>>();
    // F6 is just beyond the pan; the two notes before it go down with it, since tearing costs more.
    let moved = |names: &[&str]| fit(&line(names), set, &Costs::default()).moved;
    assert_eq!(moved(&["D6", "E6", "F6"]), [Some((-1, 0)); 3]);
    // Across a rest the line may be torn.
    let mut rested = line(&["C5", "D5", "E5", "F5", "G5", "A5", "F6"]);
    rested[6].after_rest = true;
    let fitted = fit(&rested, set, &Costs::default());
    assert_eq!(fitted.moved[5..], [Some((0, 0)), Some((-1, 0))]);
    assert_eq!(fitted.terms, Terms { moves: 1000, breaks_at_rests: 1500, ..Terms::default() });
}

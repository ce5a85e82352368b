//! The sticking against all stickings of small lines, counted straight from the definition.

use super::*;
use crate::hands::account::follow;
use crate::kit::Numbers;
use crate::pan::{Level, layout};

fn hands(name: &str, level: Level) -> Hands {
    Hands::new(layout(name).expect("a layout"), level)
}

/// A line of up to `most` strokes on a few notes: gaps from far too short to long, pairs, rolls, prescribed sticks.
fn case(numbers: &mut Numbers, hands: &Hands, most: usize) -> Vec<Stroke> {
    let few: Vec<Place> = (0..1 + numbers.place(6)).map(|_| numbers.place(hands.notes()) as Place).collect();
    let gaps = [[30_000, 60_000, 90_000], [80_000, 120_000, 250_000], [150_000, 300_000, 2_000_000]][numbers.place(3)];
    let mut at = 0;
    (0..1 + numbers.place(most))
        .map(|_| {
            at += gaps[numbers.place(3)] + numbers.place(20_000) as i64;
            let mut stroke = Stroke::single(at, few[numbers.place(few.len())]);
            if numbers.place(6) == 0 {
                stroke.second = Some(few[numbers.place(few.len())]).filter(|second| *second != stroke.note);
            }
            if numbers.place(8) == 0 {
                at += 10_000 + numbers.place(600_000) as i64;
                stroke.rolled_until = Some(at);
            }
            stroke.stick = [None, None, None, Some(Stick::L), Some(Stick::R)][numbers.place(5)];
            stroke
        })
        .collect()
}

/// What a sticking costs, from the definition: each stick is followed through the line on its own.
fn defined(hands: &Hands, line: &[Stroke], sticks: &[Stick]) -> Cost {
    let mut cost = Cost::default();
    // What each stick strikes: the number of the stroke, the note, when it must be there, when it is free.
    let mut struck: [Vec<(usize, Place, i64, i64)>; 2] = [Vec::new(), Vec::new()];
    for (i, (stroke, stick)) in line.iter().zip(sticks).enumerate() {
        let rolled = stroke.rolled_until.is_some();
        let free = stroke.rolled_until.unwrap_or(stroke.at);
        struck[*stick as usize].push((i, stroke.note, stroke.at, free));
        if rolled || stroke.second.is_some() {
            let late = if rolled { (hands.repeat() / 2).max((free - stroke.at) / 2) } else { 0 };
            let note = stroke.second.unwrap_or(stroke.note);
            struck[1 - *stick as usize].push((i, note, stroke.at + late, free));
        }
    }
    for (side, strokes) in struck.iter().enumerate() {
        for (_, note, ..) in strokes {
            let x = hands.right(*note) * if side == 0 { 1 } else { -1 };
            cost.awkward += if x > 0 { x / 4 } else { 0 };
        }
        for (i, pair) in strokes.windows(2).enumerate() {
            let ((_, from, _, free), (_, to, at, _)) = (pair[0], pair[1]);
            let short = hands.need(from, to) - (at - free);
            // Two quick strokes on a note are a double; a third has to wait. In a roll the sticks alternate from its start.
            let quick = |pair: &[(usize, Place, i64, i64)]| {
                pair[0].1 == pair[1].1 && line[pair[1].0].at - pair[0].3 < hands.repeat()
            };
            let second = from == to && (i == 0 || !quick(&strokes[i - 1..=i]));
            cost.late += if second { hands.double() - (at - free) } else { short }.max(0);
            let easy = hands.need(from, to) * 3 / 2;
            // Short of the easy time, as far as it is not late already.
            let hurry = if short > 0 { easy - hands.need(from, to) } else { easy - (at - free) };
            cost.awkward += hurry.max(0) / 1000 + hands.way(from, to);
        }
    }
    let by = |i: usize, side: usize| struck[side].iter().find(|(stroke, ..)| *stroke == i).map(|(_, note, ..)| *note);
    for i in 0..line.len() {
        let left_of = |right: Place, left: Place| hands.right(left) - hands.right(right) > 100;
        match (by(i, 0), by(i, 1)) {
            (Some(left), Some(right)) => cost.awkward += if left_of(right, left) { 500 } else { 0 },
            (left, right) if i > 0 => {
                let before = [by(i - 1, 0), by(i - 1, 1)];
                let side = usize::from(left.is_none());
                let soon = line[i].at - line[i - 1].rolled_until.unwrap_or(line[i - 1].at) <= 400_000;
                let crossed = match (left, right, before) {
                    (Some(left), _, [_, Some(right)]) | (_, Some(right), [Some(left), _]) => left_of(right, left),
                    _ => false,
                };
                cost.awkward += if soon && crossed { 500 } else { 0 };
                cost.awkward += if before[side].is_some() && before[1 - side].is_none() { 200 } else { 0 };
            }
            _ => {}
        }
    }
    cost
}

/// The least cost over all stickings that are allowed.
fn brute(hands: &Hands, line: &[Stroke]) -> Cost {
    let all = (0..1u32 << line.len()).map(|bits| -> Vec<Stick> {
        (0..line.len()).map(|i| if bits >> i & 1 == 0 { Stick::L } else { Stick::R }).collect()
    });
    let allowed = |sticks: &Vec<Stick>| line.iter().zip(sticks).all(|(stroke, stick)| stroke.allows(*stick));
    all.filter(allowed).map(|sticks| defined(hands, line, &sticks)).min().expect("a sticking")
}

/// Thins the lists after every stroke, so that small lines try what long ones do.
fn solve_thinned(hands: &Hands, line: &[Stroke]) -> Sticking {
    let mut search = Search::new(hands, line.len());
    let mut before = None;
    for (number, stroke) in line.iter().enumerate() {
        search.step(number, before, stroke);
        if !stroke.takes_both() {
            STICKS.iter().for_each(|stick| search.thin(*stick, stroke.at));
        }
        before = Some(stroke);
    }
    search.finish(line.len())
}

const PANS: [&str; 5] = ["lead-c", "double-second", "six-bass", "triple-cello", "double-guitar"];

#[test]
fn no_sticking_of_600_lines_is_better() {
    let mut numbers = Numbers(20_251_125);
    let mut late = 0;
    for number in 0..600 {
        let hands = hands(PANS[number % 5], Level::ALL[number % 3]);
        let line = case(&mut numbers, &hands, 10);
        let least = brute(&hands, &line);
        late += usize::from(least.late > 0);
        for solved in [solve(&hands, &line), solve_thinned(&hands, &line)] {
            let of_its_own = defined(&hands, &line, &solved.sticks);
            assert_eq!((solved.cost, of_its_own), (least, least), "line {number}: {line:?} {:?}", solved.sticks);
            let (ways, terms) = follow(&hands, &line, &solved.sticks);
            assert_eq!(terms.cost(), least, "line {number}: {solved:?}");
            assert_eq!(ways.iter().map(|way| way.late).sum::<i64>(), least.late);
        }
        assert_eq!(can_play(&hands, &line, 1.0), least.late == 0, "line {number}: {line:?}");
    }
    // The lines are neither all easy nor all impossible.
    assert!((100..500).contains(&late), "{late} late");
}

#[test]
fn thinning_changes_nothing_on_long_lines() {
    let mut numbers = Numbers(7);
    for number in 0..60 {
        let hands = hands(PANS[number % 5], Level::ALL[number % 3]);
        let line = case(&mut numbers, &hands, 400);
        let mut never = Search::new(&hands, line.len());
        let mut before = None;
        for (number, stroke) in line.iter().enumerate() {
            never.thin_at = [usize::MAX; 2];
            never.step(number, before, stroke);
            before = Some(stroke);
        }
        assert_eq!(never.finish(line.len()).cost, solve(&hands, &line).cost, "line {number}");
        assert_eq!(solve_thinned(&hands, &line).cost, solve(&hands, &line).cost, "line {number}");
    }
}

#[test]
fn an_empty_line_costs_nothing() {
    let solved = solve(&hands("lead-c", Level::Intermediate), &[]);
    assert_eq!((solved.sticks.len(), solved.cost), (0, Cost::default()));
}

#[test]
fn lists_stay_short_however_dense_the_strokes() {
    for gap in [0, 100, 10_000, 70_000, 150_000] {
        let hands = hands("lead-c", Level::Beginner);
        let mut numbers = Numbers(3);
        let mut search = Search::new(&hands, 5000);
        let mut before: Option<Stroke> = None;
        for number in 0..5000 {
            let stroke = Stroke::single(number * gap, numbers.place(hands.notes()) as Place);
            search.step(number.unsigned_abs() as usize, before.as_ref(), &stroke);
            before = Some(stroke);
            assert!(search.lists.iter().all(|list| list.len() < 400), "gap {gap}");
        }
    }
}

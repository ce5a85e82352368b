//! The limit of a stretch against its definition, all stickings tried one by one; and the laws that it keeps.

use super::*;
use crate::hands::movement::Place;
use crate::kit::Numbers;
use crate::pan::{Level, layout};

const PANS: [&str; 5] = ["lead-c", "double-second", "six-bass", "triple-cello", "nine-bass"];

fn hands(number: usize) -> (Hands, bool) {
    let pan = layout(PANS[number % 5]).expect("a layout");
    (Hands::new(pan, Level::ALL[number % 3]), pan.kind.is_bass())
}

/// One of `n`.
fn below(numbers: &mut Numbers, n: usize) -> usize {
    numbers.below(n as u64) as usize
}

/// Strokes on a few notes, some of two notes, some rolled, some with their stick written.
fn line(numbers: &mut Numbers, hands: &Hands, strokes: usize) -> Vec<Stroke> {
    let few: Vec<Place> = (0..2 + below(numbers, 4)).map(|_| below(numbers, hands.notes()) as Place).collect();
    let gaps =
        [[60_000, 90_000, 120_000], [100_000, 180_000, 250_000], [150_000, 300_000, 1_500_000]][below(numbers, 3)];
    let mut at = 0;
    (0..strokes)
        .map(|_| {
            at += gaps[below(numbers, 3)] + below(numbers, 20_000) as i64;
            let mut stroke = Stroke::single(at, few[below(numbers, few.len())]);
            if below(numbers, 6) == 0 {
                stroke.second = Some(few[below(numbers, few.len())]).filter(|second| *second != stroke.note);
            }
            if below(numbers, 9) == 0 {
                at += 10_000 + below(numbers, 400_000) as i64;
                stroke.rolled_until = Some(at);
            }
            stroke.stick = [None, None, None, None, Some(Stick::L), Some(Stick::R)][below(numbers, 6)];
            stroke
        })
        .collect()
}

/// By how much the strokes of a line come late for their sticks, together: those before `from`, and those from there on. From
/// the definition: each stick is followed on its own.
fn late(hands: &Hands, line: &[Stroke], sticks: u32, from: usize) -> [i64; 2] {
    let mut late = [0; 2];
    for side in 0..2 {
        // Where the stick was, since when, and whether it has just struck two quick strokes there.
        let mut was: Option<(Place, i64, bool)> = None;
        for (number, stroke) in line.iter().enumerate() {
            let is_first = sticks >> number & 1 == side;
            let until = stroke.rolled_until.unwrap_or(stroke.at);
            let (note, due) = match (is_first, stroke.second, stroke.rolled_until) {
                (true, ..) => (stroke.note, stroke.at),
                (false, None, None) => continue,
                (false, second, None) => (second.unwrap_or(stroke.note), stroke.at),
                // In a roll the second stick may join half a repetition later, or half way through.
                (false, second, Some(_)) => {
                    let joins = (hands.repeat() / 2).max((until - stroke.at) / 2);
                    (second.unwrap_or(stroke.note), stroke.at + joins)
                }
            };
            let mut quick = false;
            if let Some((place, since, was_quick)) = was {
                let need = if place == note && !was_quick { hands.double() } else { hands.need(place, note) };
                late[usize::from(number >= from)] += (need - (due - since)).max(0);
                quick = place == note && stroke.at - since < hands.repeat();
            }
            was = Some((note, until, quick));
        }
    }
    late
}

fn at_share(line: &[Stroke], share: Share) -> Vec<Stroke> {
    line.iter().map(|stroke| stroke.stretched(1000.0 / f64::from(share))).collect()
}

/// All choices of sticks that keep to the written ones, a bit a stroke.
fn choices(line: &[Stroke]) -> Vec<u32> {
    let is_kept = |sticks: &u32| {
        let on = |i: usize| if sticks >> i & 1 == 0 { Stick::L } else { Stick::R };
        line.iter().enumerate().all(|(i, stroke)| stroke.stick.is_none_or(|stick| stick == on(i)))
    };
    (0..1u32 << line.len()).filter(is_kept).collect()
}

/// Whether the strokes from `from` on can be played at a share of the tempo after the run-up before them, from the definition.
fn defined(hands: &Hands, line: &[Stroke], from: usize, share: Share) -> bool {
    let before = choices(&line[..from]);
    let least = |share: Share| -> i64 {
        let line = at_share(&line[..from], share);
        before.iter().map(|sticks| late(hands, &line, *sticks, from)[0]).min().expect("a choice")
    };
    let own = (SHARES.0..=share).rev().find(|share| least(*share) == 0).unwrap_or(SHARES.0);
    let (least, slow, line) = (least(own), at_share(line, own), at_share(line, share));
    choices(&line).iter().any(|sticks| {
        late(hands, &slow[..from], *sticks, from)[0] == least && late(hands, &line, *sticks, from)[1] == 0
    })
}

#[test]
fn no_choice_of_sticks_makes_a_bar_faster_than_its_limit() {
    let mut numbers = Numbers(20_261_127);
    let (mut limited, mut slow_run_ups) = (0, 0);
    for number in 0..300 {
        let (hands, _) = hands(number);
        let strokes = 5 + below(&mut numbers, 5);
        let line = line(&mut numbers, &hands, strokes);
        let within = below(&mut numbers, 5)..line.len();
        let found = limit_within(&hands, &line, within.clone(), false);
        let can = |share: Share| defined(&hands, &line, within.start, share);
        match found {
            Some(share) => {
                assert!(can(share), "line {number}: {line:?} {within:?} {share}");
                assert!(share == SHARES.1 || !can(share + 1), "line {number}: {line:?} {within:?} {share}");
                limited += usize::from((SHARES.0 + 1..SHARES.1).contains(&share));
                slow_run_ups += usize::from(limit(&hands, &line[..within.start], false) < Some(share));
            }
            None => assert!(!can(SHARES.0), "line {number}: {line:?} {within:?}"),
        }
    }
    assert!(limited > 200 && slow_run_ups > 30, "{limited} limited, {slow_run_ups} after a slower run-up");
}

/// Lines with a stretch in each.
fn cases(seed: u64, count: usize) -> impl Iterator<Item = (Hands, bool, Vec<Stroke>, Range<usize>)> {
    let mut numbers = Numbers(seed);
    (0..count).map(move |number| {
        let (hands, amid) = hands(number);
        let line = line(&mut numbers, &hands, 12);
        let start = 1 + below(&mut numbers, 8);
        let end = start + 1 + below(&mut numbers, 12 - start);
        (hands, amid, line, start..end)
    })
}

#[test]
fn what_can_be_played_can_be_played_slower() {
    for (hands, amid, line, within) in cases(1, 200) {
        let Some(share) = limit_within(&hands, &line, within.clone(), amid) else { continue };
        for slower in (SHARES.0..=share).step_by(37) {
            let times = 1000.0 / f64::from(slower);
            let line: Vec<Stroke> = line.iter().map(|stroke| stroke.stretched(times)).collect();
            let found = limit_within(&hands, &line, within.clone(), amid);
            assert!(found >= Some(1000), "{line:?} {within:?}: {share}, at {slower} {found:?}");
        }
    }
}

#[test]
fn a_longer_rest_before_a_bar_never_makes_it_harder() {
    let mut easier = 0;
    for (hands, amid, mut line, within) in cases(2, 300) {
        let mut before = limit_within(&hands, &line, within.clone(), amid);
        for rest in [1_000, 20_000, 50_000, 100_000, 300_000, 1_000_000, 5_000_000] {
            for stroke in &mut line[within.start..] {
                stroke.at += rest;
                stroke.rolled_until = stroke.rolled_until.map(|until| until + rest);
            }
            let after = limit_within(&hands, &line, within.clone(), amid);
            assert!(after >= before, "{line:?} {within:?}: {before:?} {after:?}");
            easier += usize::from(after > before);
            before = after;
        }
        // With all the time it wants, what stands before it makes no difference.
        let long: Vec<Stroke> = line
            .iter()
            .enumerate()
            .map(|(i, stroke)| {
                if i < within.start {
                    Stroke {
                        at: stroke.at - 60_000_000,
                        rolled_until: stroke.rolled_until.map(|until| until - 60_000_000),
                        ..*stroke
                    }
                } else {
                    *stroke
                }
            })
            .collect();
        let alone = limit_within(&hands, &line[within.clone()], 0..within.len(), amid);
        assert_eq!(limit_within(&hands, &long, within.clone(), amid), alone, "{line:?} {within:?}");
    }
    assert!(easier > 100, "{easier}");
}

#[test]
fn a_bar_is_no_harder_alone_and_no_harder_than_its_line() {
    let (mut easier_alone, mut easier_than_all) = (0, 0);
    for (hands, amid, line, within) in cases(3, 500) {
        let own = limit_within(&hands, &line, within.clone(), amid);
        let alone = limit(&hands, &line[within.clone()], amid);
        let whole = limit(&hands, &line, amid);
        assert!(alone >= own && own >= whole, "{line:?} {within:?}: {alone:?} {own:?} {whole:?}");
        assert_eq!(limit_within(&hands, &line, 0..line.len(), amid), whole);
        // A bar in its section.
        let longer = within.start..line.len();
        assert!(own >= limit_within(&hands, &line, longer, amid));
        easier_alone += usize::from(alone > own);
        easier_than_all += usize::from(own > whole);
    }
    assert!(easier_alone > 50 && easier_than_all > 100, "{easier_alone} {easier_than_all}");
}

#[test]
fn a_bar_whose_limit_is_not_that_alone_is_limited_by_a_first_way() {
    // With the first stroke of each stick in the bar taken on trust, the bar is as it would be alone.
    for (hands, _, line, within) in cases(4, 300) {
        let own = limit_within(&hands, &line, within.clone(), false);
        let alone = limit(&hands, &line[within.clone()], false);
        let Some(share) = own.filter(|_| own < alone) else { continue };
        let line = at_share(&line, share + 1);
        let before = run_up(&within).len();
        let near = &line[within.start - before..within.end];
        let at_fault = choices(near).into_iter().any(|sticks| {
            let firsts: [i64; 2] = late(&hands, near, sticks, before);
            let alone: [i64; 2] = late(&hands, &near[before..], sticks >> before, 0);
            firsts[1] > 0 && alone[1] == 0
        });
        assert!(at_fault, "{line:?} {within:?}");
    }
}

#[test]
fn one_easy_stroke_after_rests_has_no_limit() {
    let (hands, _) = hands(0);
    let place = |name: &str| hands.place(name.parse().expect("a note")).expect("on the pan");
    let (low, high, middle) = (place("Eb4"), place("E6"), place("C5"));
    // Eight strokes to and fro within half a second, and three bars at 150 later one more.
    let mut line: Vec<Stroke> =
        (0..8).map(|i| Stroke::single(i * 50_000, if i % 2 == 0 { low } else { high })).collect();
    line.push(Stroke::single(5_200_000, middle));
    assert_eq!(limit_within(&hands, &line, 8..9, false), Some(SHARES.1));
    assert!(limit_within(&hands, &line, 0..8, false) < Some(1000));
    // Right after them it is limited by its own way alone, which is shorter than theirs.
    line[8].at = 450_000;
    let after = limit_within(&hands, &line, 8..9, false);
    assert!(after > limit_within(&hands, &line, 0..8, false) && after < Some(SHARES.1), "{after:?}");
}

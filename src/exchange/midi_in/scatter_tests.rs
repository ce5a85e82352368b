//! What is near a cell, what is a slip, and that no note overtakes another. Own settings, no source; `tests/outside/scatter.rs` has
//! the laws for whole files.

use super::*;
use crate::kit::Numbers;
use crate::midi::file::Ending;

fn notes(at: &[u64]) -> Vec<Note> {
    let note = |tick: &u64| Note {
        tick: *tick,
        track: 0,
        channel: 0,
        key: 60,
        velocity: 80,
        length: 1,
        ending: Ending::Released,
    };
    at.iter().map(note).collect()
}

/// Where notes begin, in quarters of 480 ticks; twenty whole quarters follow, so that the file is exact.
fn beside_exact(at: &[u64]) -> Vec<(i64, i64)> {
    let all: Vec<u64> = at.iter().copied().chain((1..=20 * at.len() as u64).map(|quarter| 480 * quarter)).collect();
    let (cells, starts) = Cells::of(&notes(&all), 480).expect("an exact file");
    assert!(cells.exact);
    starts[..at.len()].iter().map(|at| (*at.ratio().numer(), *at.ratio().denom())).collect()
}

#[test]
fn a_slip_goes_to_the_cell_that_it_is_near_to() {
    // A tick, eight (which are a 64th of a quarter), and ten: half way from an eighth of a quarter to a sixth.
    for off in [1, 8, 10] {
        assert_eq!(beside_exact(&[240 + off]), [(1, 2)], "{off}");
        assert_eq!(beside_exact(&[240 - off]), [(1, 2)], "{off}");
    }
    assert_eq!(beside_exact(&[70]), [(1, 8)]);
    // Beyond, it stays what it is, or is fine.
    assert_eq!(beside_exact(&[30]), [(1, 16)]);
    assert_eq!(beside_exact(&[28]), [(1, 16)]);
    // Beside another of its kind it is no slip: two 64ths of a quarter, three notes of a septuplet.
    assert_eq!(beside_exact(&[8, 15]), [(1, 64), (1, 32)]);
    assert_eq!(beside_exact(&[69, 137, 206]), [(1, 7), (2, 7), (3, 7)]);
    // A septuplet with a note that is a tick off.
    assert_eq!(beside_exact(&[69, 138, 206]), [(1, 7), (2, 7), (3, 7)]);
}

#[test]
fn a_meter_that_is_a_tick_off_stands_at_its_bar_line() {
    let exact: Vec<u64> = (0..40).map(|quarter| 96 * quarter).collect();
    let (cells, _) = Cells::of(&notes(&exact), 96).expect("an exact file");
    assert_eq!(cells.at(4 * 96 + 1), Length::quarters(4, 1));
    assert_eq!(cells.at(4 * 96 - 1), Length::quarters(4, 1));
}

#[test]
fn a_tuplet_needs_more_than_one_note() {
    // Notes two ticks off, and a quintuplet, or one note that may be of one.
    let mut at: Vec<u64> = (0..40).map(|beat| 480 * beat + 2).collect();
    at.extend([480 * 40, 480 * 40 + 97, 480 * 40 + 193]);
    let of = |at: &[u64]| {
        let (cells, starts) = Cells::of(&notes(at), 480).expect("cells");
        assert!(!cells.exact);
        starts.iter().map(|at| at.ratio().fract()).skip(40).collect::<Vec<_>>()
    };
    assert_eq!(of(&at), [Ratio::new(0, 1), Ratio::new(1, 5), Ratio::new(2, 5)]);
    at.pop();
    assert_eq!(of(&at), [Ratio::new(0, 1), Ratio::new(1, 6)]);
}

#[test]
fn what_is_played_freely_has_no_cells() {
    let mut numbers = Numbers(3);
    let mut at: Vec<u64> = (0..200).map(|_| numbers.below(480 * 100)).collect();
    at.sort_unstable();
    assert!(Cells::of(&notes(&at), 480).is_none());
}

#[test]
fn no_note_overtakes_another() {
    let mut numbers = Numbers(11);
    for round in 0..200 {
        let ticks = [24, 48, 96, 100, 480, 960][numbers.place(6)];
        let pieces = [2, 4, 6, 12, 16, 7, 48][numbers.place(7)];
        let any = |numbers: &mut Numbers| numbers.below(ticks * 8);
        let mut at: Vec<u64> = (0..150).map(|_| any(&mut numbers) * pieces / ticks * ticks / pieces).collect();
        at.extend((0..numbers.below(30)).map(|_| any(&mut numbers)));
        at.sort_unstable();
        let Some((_, starts)) = Cells::of(&notes(&at), ticks as u16) else { continue };
        assert!(starts.is_sorted(), "round {round}: {at:?} {starts:?}");
        let quarter = Ratio::from_integer(ticks as i64);
        let furthest =
            at.iter().zip(&starts).map(|(at, place)| distance(Ratio::from(*at as i64) / quarter, place.ratio())).max();
        // Half of the widest way between two plain cells.
        assert!(furthest <= Some(Ratio::new(1, 16)), "round {round}: {furthest:?}");
    }
}

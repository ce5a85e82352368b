//! The fewest extra notes against brute force over all sets of notes, on small cases.

use super::*;
use crate::kit::{self, Numbers, ONE_LEAD};
use crate::pan::layout;
use crate::tune::Tune;
use crate::tune::model::Open;

fn key(number: u64) -> Pitch {
    Pitch::new(number as u8).expect("a key")
}

/// A part of up to six strokes of one to three notes, and a pan, both on few names over two octaves and a bit, so that all
/// sets of notes can be tried.
fn case(numbers: &mut Numbers) -> (Need, NoteSet) {
    let names = [0, 2, 5, 7, 11];
    let used = 2 + numbers.below(3) as usize;
    let note = |numbers: &mut Numbers| key(60 + names[numbers.below(used as u64) as usize] + 12 * numbers.below(3));
    let set = (0..numbers.below(5)).map(|_| note(numbers)).collect();
    let strokes = (0..1 + numbers.below(6)).map(|_| {
        let many = [1, 1, 1, 1, 2, 2, 2, 3][numbers.below(8) as usize];
        let notes: NoteSet = (0..many).map(|_| note(numbers)).collect();
        let notes = notes.iter().rev().collect();
        Stroke { notes, after_rest: numbers.below(4) == 0, times: 1 + numbers.below(3), chosen: NoteSet::EMPTY }
    });
    (Need { strokes: strokes.collect() }, set)
}

/// All sets of the notes between the lowest and the highest of pan and part that have a name of the part, the smaller first.
fn sets(need: &Need, set: NoteSet) -> Vec<NoteSet> {
    let both = set.or(need.set());
    let (low, high) = (both.lowest().expect("a note"), both.highest().expect("a note"));
    let classes: Vec<PitchClass> = need.set().iter().map(Pitch::class).collect();
    let pitches: Vec<Pitch> = (low.key()..=high.key())
        .filter_map(Pitch::new)
        .filter(|pitch| classes.contains(&pitch.class()) && !set.has(*pitch))
        .collect();
    let mut sets: Vec<NoteSet> = (0..1u32 << pitches.len())
        .map(|bits| pitches.iter().enumerate().filter(|(i, _)| bits >> i & 1 == 1).map(|(_, p)| *p).collect())
        .collect();
    sets.sort_by_key(|set: &NoteSet| set.len());
    sets
}

/// Whether the optimiser of octave moves, asked without any shortcut, gets every stroke onto a set.
fn is_playable(need: &Need, set: NoteSet) -> bool {
    let fitted = octaves::fit(&need.line(), set, &Costs::default());
    let wide = need.strokes.iter().filter(|stroke| stroke.notes.len() > 2);
    fitted.moved.iter().all(Option::is_some) && wide.into_iter().all(|stroke| stroke.is_on(set))
}

#[test]
fn no_smaller_set_does_and_none_as_small_costs_less() {
    let mut numbers = Numbers(20_260_607);
    let mut sizes = [0; 6];
    for number in 0..400 {
        let (need, set) = case(&mut numbers);
        let found = extra(&Taken::fixed(need.clone()), set);
        let all = sets(&need, set);
        let written = all.iter().find(|extra| need.strokes.iter().all(|stroke| stroke.is_on(set.or(**extra))));
        assert_eq!(Some(&found.as_written), written, "case {number}: {need:?} {set:?}");
        let size = all.iter().find(|extra| is_playable(&need, set.or(**extra))).expect("all notes do").len();
        let costs = all
            .iter()
            .filter(|extra| extra.len() == size && is_playable(&need, set.or(**extra)))
            .map(|extra| octaves::cost(&need.line(), set.or(*extra), &Costs::default()));
        assert_eq!(found.with_moves.len(), size, "case {number}: {need:?} {set:?}");
        assert_eq!(Some(found.cost), costs.min(), "case {number}: {need:?} {set:?}");
        assert!(is_playable(&need, set.or(found.with_moves)) && found.proved);
        sizes[size.min(5)] += 1;
    }
    assert!(sizes[0] > 20 && sizes[1] > 20 && sizes[2] > 20 && sizes[3] > 20, "{sizes:?}");
}

/// What the plain rules for a stroke say is what the optimiser does.
#[test]
fn a_stroke_is_near_exactly_when_the_optimiser_places_it() {
    let mut numbers = Numbers(11);
    for _ in 0..500 {
        let (need, set) = case(&mut numbers);
        let fitted = octaves::fit(&need.line(), set, &Costs::default());
        let narrow: Vec<&Stroke> = need.strokes.iter().filter(|stroke| stroke.written().is_some()).collect();
        for (stroke, moved) in narrow.iter().zip(&fitted.moved) {
            assert_eq!(stroke.is_near(set), moved.is_some(), "{stroke:?} {set:?}");
        }
    }
}

/// Twelve names in four octaves each have more choices than there is time for: the number of notes stays the least.
#[test]
fn a_long_search_ends() {
    let mut numbers = Numbers(5);
    let stroke =
        |_| Stroke { notes: vec![key(48 + numbers.below(48))], after_rest: false, times: 1, chosen: NoteSet::EMPTY };
    let need = Need { strokes: (0..400).map(stroke).collect() };
    let part = Taken::fixed(need);
    let found = extra(&part, NoteSet::EMPTY);
    assert_eq!(found.with_moves.len(), 12);
    assert!(!found.proved);
    assert_eq!(with(&part, NoteSet::EMPTY, found.with_moves).with_moves, 400);
}

/// A tune with open notes on a lead pan.
fn open(rows: &str) -> Tune<Open> {
    kit::open(ONE_LEAD, &format!("part lead on lead\nsection a\n lead {rows}\n"))
}

/// The fewest notes for open and written ones, against brute force over all sets, each with the tune settled for it anew.
#[test]
fn open_notes_ask_for_no_more_than_their_name() {
    let mut numbers = Numbers(77);
    let names = ["C5", "D5", "D6", "C", "D", "E", "C+E", "C5+D", "D+E"];
    let like = &layout("lead-c").expect("a layout").clone();
    let pan_of = |set: NoteSet| {
        let mut pan = like.clone();
        pan.drums[0].notes.retain(|note| set.has(note.pitch));
        pan
    };
    let of_name = |pitch: &Pitch| ["C", "D", "E"].contains(&&*pitch.class().to_string());
    let notes: Vec<Pitch> = like.note_set().iter().filter(of_name).collect();
    let all: Vec<NoteSet> = (0..1u32 << notes.len())
        .map(|bits| notes.iter().enumerate().filter(|(i, _)| bits >> i & 1 == 1).map(|(_, p)| *p).collect())
        .collect();
    let mut with_open = 0;
    for _ in 0..60 {
        let cells: Vec<&str> = (0..1 + numbers.below(5)).map(|_| names[numbers.below(9) as usize]).collect();
        let tune = open(&format!("| {}: {} |", cells.len(), cells.join(" ")));
        let set: NoteSet = (0..numbers.below(3)).map(|_| notes[numbers.below(notes.len() as u64) as usize]).collect();
        // Without any note a pan has no middle.
        let set = if set.is_empty() { [notes[0]].into_iter().collect() } else { set };
        let part = Taken::new(&tune, 0, &pan_of(set)).expect("a pan's part");
        let found = extra(&part, set).as_written;
        let is_whole = |extra: &&NoteSet| {
            let set = set.or(**extra);
            let need = Taken::new(&tune, 0, &pan_of(set)).expect("a pan's part");
            need.need().strokes.iter().all(|stroke| stroke.is_on(set))
        };
        let least = all.iter().filter(is_whole).map(|extra| extra.without(set).len()).min();
        assert_eq!(Some(found.len()), least, "{cells:?} on {set:?}: {found:?}");
        assert!(is_whole(&&found));
        with_open += usize::from(!part.is_fixed());
    }
    assert!(with_open > 30);
}

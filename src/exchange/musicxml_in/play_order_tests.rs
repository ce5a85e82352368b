//! Repeats and jumps together: what was repeated is played once after D.C. or D.S. (common practice, as scores are read).

use super::*;

fn order(count: usize, set: impl Fn(&mut [Signs])) -> Vec<usize> {
    let mut signs = vec![Signs::default(); count];
    set(&mut signs);
    play_order(&signs).expect("an end")
}

#[test]
fn after_da_capo_repeats_are_not_taken_again() {
    let played = order(4, |m| {
        m[1].repeat_to = Some(None);
        m[2].fine = true;
        m[3].jump = Some(Jump::Start);
    });
    assert_eq!(played, [0, 1, 0, 1, 2, 3, 0, 1, 2]);
}

#[test]
fn after_dal_segno_repeats_are_not_taken_again() {
    let played = order(5, |m| {
        m[1].segno = true;
        m[1].repeat_from = true;
        m[2].repeat_to = Some(Some(3));
        m[3].fine = true;
        m[4].jump = Some(Jump::Segno);
    });
    assert_eq!(played, [0, 1, 2, 1, 2, 1, 2, 3, 4, 1, 2, 3]);
}

#[test]
fn after_da_capo_the_last_ending_is_taken() {
    let played = order(5, |m| {
        (m[1].ending, m[1].ending_stops, m[1].repeat_to) = (vec![1], true, Some(None));
        (m[2].ending, m[2].ending_stops) = (vec![2], true);
        m[3].fine = true;
        m[4].jump = Some(Jump::Start);
    });
    assert_eq!(played, [0, 1, 0, 2, 3, 4, 0, 2, 3]);
}

/// Some programs write no end of a second ending: it lasts until something else begins, or until the piece ends.
#[test]
fn an_ending_without_a_stop_lasts_until_a_repeat_begins() {
    let set = |m: &mut [Signs]| {
        (m[1].ending, m[1].ending_stops, m[1].repeat_to) = (vec![1], true, Some(None));
        m[2].ending = vec![2];
        m[3].repeat_from = true;
        m[4].repeat_to = Some(None);
    };
    let mut signs = vec![Signs::default(); 6];
    set(&mut signs);
    let stretches: Vec<(usize, usize)> = endings(&signs).iter().map(|ending| (ending.first, ending.last)).collect();
    assert_eq!(stretches, [(1, 1), (2, 2)]);
    assert_eq!(order(6, set), [0, 1, 0, 2, 3, 4, 3, 4, 5]);
    let last = |m: &mut [Signs]| {
        (m[1].ending, m[1].ending_stops, m[1].repeat_to) = (vec![1], true, Some(None));
        m[2].ending = vec![2];
    };
    assert_eq!(order(4, last), [0, 1, 0, 2, 3]);
}

//! A sticking, step by step: every way that a stick goes, and what it costs.

use super::movement::{Hands, Place};
use super::sticking::{At, Stick, Stroke, Terms, crosses, crossing, strike_both, way};

/// A way of one stick to a note that it strikes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Way {
    /// The number of the stroke in the line.
    pub stroke: usize,
    /// The stick.
    pub stick: Stick,
    /// Where it was; `None` at its first stroke.
    pub from: Option<Place>,
    /// What it strikes.
    pub to: Place,
    /// The time that it has, in microseconds.
    pub time: i64,
    /// How late it is, in microseconds.
    pub late: i64,
    /// Whether the hands are crossed there.
    pub crossed: bool,
}

/// All ways of a line's sticks, in order of the strokes, and what they cost together.
pub fn follow(hands: &Hands, line: &[Stroke], sticks: &[Stick]) -> (Vec<Way>, Terms) {
    let mut ways = Vec::with_capacity(line.len());
    let mut terms = Terms::default();
    let mut at: [Option<At>; 2] = [None, None];
    // What the stroke before took: one stick, or `None` for both.
    let mut before: Option<(&Stroke, Option<Stick>)> = None;
    for (number, (stroke, stick)) in line.iter().zip(sticks.iter().copied()).enumerate() {
        let free = stroke.rolled_until.map_or(stroke.at, |until| until.max(stroke.at));
        let walked = |stick: Stick, to: Place, time: i64, terms: &Terms, crossed: bool| Way {
            stroke: number,
            stick,
            from: at[stick as usize].map(|at| at.note),
            to,
            time: at[stick as usize].map_or(i64::MAX, |at| time - at.free),
            late: terms.late,
            crossed,
        };
        if stroke.second.is_none() && stroke.rolled_until.is_none() {
            let mut own = way(hands, at[stick as usize], stroke.note, stroke.at, stick);
            let other = stick.other();
            if let Some((last, by)) = before {
                own.same_stick = i64::from(by == Some(stick));
                let fresh = at[other as usize].filter(|_| by != Some(stick));
                own.crossings = fresh.map_or(0, |hand| crossing(hands, last, hand, stroke, stick));
            }
            ways.push(walked(stick, stroke.note, stroke.at, &own, own.crossings > 0));
            terms.add(own);
            at[stick as usize] = Some(At::after(hands, at[stick as usize], stroke.note, stroke.at, free));
            before = Some((stroke, Some(stick)));
            continue;
        }
        let second = stroke.second.unwrap_or(stroke.note);
        let all = strike_both(hands, at, stroke, stick);
        let [left, right] = if stick == Stick::L { [stroke.note, second] } else { [second, stroke.note] };
        let crossed = crosses(hands, left, right);
        for (own, to) in [(stick, stroke.note), (stick.other(), second)] {
            let later = if own == stick { 0 } else { stroke.joins_after(hands) };
            let its = way(hands, at[own as usize], to, stroke.at + later, own);
            ways.push(walked(own, to, stroke.at + later, &its, crossed));
        }
        terms.add(all);
        let after = |stick: Stick, note: Place| Some(At::after(hands, at[stick as usize], note, stroke.at, free));
        at = [after(Stick::L, left), after(Stick::R, right)];
        before = Some((stroke, None));
    }
    (ways, terms)
}

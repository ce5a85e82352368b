//! How loud each moment is: the marks of the row `dynamics`, played out.

use crate::music::force::Dynamic;
use crate::music::{Force, Moment};
use crate::tune::model::DynamicChange;

/// How loud a tune begins that does not say: `mf` (common practice, no source).
pub const OPENING: Dynamic = Dynamic::MF;

/// How far a `<` or `>` goes that no mark follows, in steps of the scale from `pp` to `ff`: one (common practice).
pub(crate) const OPEN_STEPS: f32 = 1.0;

/// Loudness over time, in steps of the scale from `pp` (0) to `ff` (5): straight lines from point to point.
#[derive(Clone, Debug)]
pub struct Dynamics {
    /// Rising in time: from this moment on the level goes evenly from the first to the second, until the next point.
    points: Vec<(Moment, f32, f32)>,
    end: Moment,
}

impl Dynamics {
    /// The dynamics of a tune from its marks as played, rising in time, and its end.
    pub fn new(marks: &[(Moment, DynamicChange)], end: Moment) -> Self {
        let mut points = vec![(Moment::START, level(OPENING), level(OPENING))];
        let mut now = level(OPENING);
        for (number, (at, change)) in marks.iter().enumerate() {
            let next = marks.get(number + 1).map(|(_, change)| *change);
            let to = match change {
                DynamicChange::Mark(mark) => {
                    now = level(*mark);
                    now
                }
                DynamicChange::Growing => target(now, next, OPEN_STEPS),
                DynamicChange::Falling => target(now, next, -OPEN_STEPS),
            };
            points.push((*at, now, to));
            now = to;
        }
        Dynamics { points, end }
    }

    /// The force of an ordinary stroke at a moment.
    pub fn force(&self, at: Moment) -> Force {
        let after = self.points.partition_point(|(start, ..)| *start <= at);
        let (start, from, to) = self.points[after.max(1) - 1];
        let end = self.points.get(after).map_or(self.end, |(start, ..)| *start);
        let along = if from == to || end <= start { 0.0 } else { (at - start).as_f64() / (end - start).as_f64() };
        Dynamic::PP.force().steps(from + (to - from) * along.clamp(0.0, 1.0) as f32)
    }
}

fn level(mark: Dynamic) -> f32 {
    f32::from(mark as u8)
}

/// Where a `<` (or, with `steps` below 0, a `>`) leads: to the next mark if that lies in its direction, or some steps on.
fn target(now: f32, next: Option<DynamicChange>, steps: f32) -> f32 {
    match next {
        Some(DynamicChange::Mark(mark)) if (level(mark) - now) * steps > 0.0 => level(mark),
        _ => (now + steps).clamp(level(Dynamic::PP), level(Dynamic::FF)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::music::Length;

    fn at(quarters: i64) -> Moment {
        Moment::after(Length::quarters(quarters, 1))
    }

    fn velocities(marks: &[(Moment, DynamicChange)], moments: &[i64]) -> Vec<u8> {
        let dynamics = Dynamics::new(marks, at(16));
        moments.iter().map(|quarters| dynamics.force(at(*quarters)).velocity()).collect()
    }

    #[test]
    fn marks_last_until_the_next() {
        let marks = [(at(4), DynamicChange::Mark(Dynamic::P)), (at(8), DynamicChange::Mark(Dynamic::FF))];
        assert_eq!(velocities(&marks, &[0, 4, 7, 8, 15]), [80, 48, 48, 112, 112]);
    }

    #[test]
    fn growing_leads_evenly_to_the_next_mark() {
        let marks = [
            (at(0), DynamicChange::Mark(Dynamic::P)),
            (at(4), DynamicChange::Growing),
            (at(8), DynamicChange::Mark(Dynamic::F)),
        ];
        assert_eq!(velocities(&marks, &[0, 4, 5, 6, 7, 8]), [48, 48, 60, 72, 84, 96]);
    }

    #[test]
    fn without_a_mark_after_it_one_step_to_the_end() {
        assert_eq!(velocities(&[(at(0), DynamicChange::Falling)], &[0, 8, 16]), [80, 72, 64]);
        // A mark in the wrong direction is a new start, not an aim.
        let marks = [(at(0), DynamicChange::Growing), (at(8), DynamicChange::Mark(Dynamic::P))];
        assert_eq!(velocities(&marks, &[0, 4, 8]), [80, 88, 48]);
    }
}

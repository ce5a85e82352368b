//! How a bar is counted: `1 & 2 & 3 & 4 &`, finer where the strokes are finer.
//!
//! A beat is cut into as many cells as its own strokes need, but at least into halves (thirds in meters such as 6/8), so that
//! the count runs on where nobody plays. A bar whose strokes go evenly over all of it and fit no beat is cut as a whole.

use num_rational::Ratio;

use crate::music::{Length, Meter};

/// The most cells of a beat that are cut evenly: beyond, cells begin where strokes do, and show no distances.
pub const MOST_CELLS: usize = 16;

/// From how many cells a bar on, one that could be cut more coarsely as a whole is.
const MANY_CELLS: usize = 24;

/// A stretch of a bar: a beat mostly.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Beat {
    /// When it begins, from the start of the bar.
    pub start: Length,
    /// How long it is; shorter than a beat at the end of some bars.
    pub length: Length,
    /// When its cells begin, from the start of the bar: at even distances, unless that took more than [`MOST_CELLS`].
    pub starts: Vec<Length>,
    /// What is counted on each of its cells; may be empty.
    pub counts: Vec<String>,
}

impl Beat {
    fn even(start: Length, length: Length, counts: Vec<String>) -> Beat {
        let starts = (0..counts.len()).map(|cell| start + length.fraction(cell, counts.len())).collect();
        Beat { start, length, starts, counts }
    }
}

/// Cuts a bar into beats and these into cells.
///
/// - `meter`: of the bar; `length`: its own, which a pickup makes shorter.
/// - `cuts`: where cells have to begin, from the start of the bar.
pub fn beats(meter: Meter, length: Length, cuts: &[Length]) -> Vec<Beat> {
    let mut beats = Vec::new();
    let mut start = Length::ZERO;
    while start < length {
        let end = (start + meter.beat()).min(length);
        // A pickup is counted as the end of a bar.
        let number = i64::from(meter.beats()) - (length - start).per(meter.beat()).ceil().to_integer() + 1;
        let number = if length < meter.bar() { number } else { beats.len() as i64 + 1 };
        let within: Vec<Length> = cuts.iter().copied().filter(|cut| *cut > start && *cut < end).collect();
        beats.push(beat(meter, number, (start, end), within));
        start = end;
    }
    whole(&beats, length, cuts).unwrap_or(beats)
}

/// A beat from one time to another, with cells for the cuts within it.
fn beat(meter: Meter, number: i64, (start, end): (Length, Length), mut within: Vec<Length>) -> Beat {
    let length = end - start;
    let cells = pieces(meter, length, within.iter().map(|cut| (*cut - start).per(length)));
    if cells <= MOST_CELLS {
        return Beat::even(start, length, counts(meter, number, cells));
    }
    within.push(start);
    within.sort_unstable();
    within.dedup();
    let mut counts = counts(meter, number, 1);
    counts.resize(within.len(), String::new());
    Beat { start, length, starts: within, counts }
}

/// The bar cut as one piece, where that takes fewer cells.
fn whole(beats: &[Beat], length: Length, cuts: &[Length]) -> Option<Vec<Beat>> {
    let cells = common(cuts.iter().map(|cut| cut.per(length)));
    let by_beat: usize = beats.iter().map(|beat| beat.counts.len()).sum();
    (by_beat > MANY_CELLS && cells < by_beat && cells.checked_rem(beats.len()) != Some(0))
        .then(|| vec![Beat::even(Length::ZERO, length, vec![String::new(); cells])])
}

/// Into how many cells a beat is cut.
fn pieces(meter: Meter, length: Length, within: impl Iterator<Item = Ratio<i64>>) -> usize {
    let needed = common(within);
    let usual = match (length == meter.beat(), meter.is_compound()) {
        (true, true) => 3,
        (true, false) => 2,
        (false, _) => 1,
    };
    if usual % needed == 0 { usual } else { needed }
}

/// The fewest equal pieces that begin at all of these fractions.
fn common(fractions: impl Iterator<Item = Ratio<i64>>) -> usize {
    fractions.fold(1, |all, fraction| least_common_multiple(all, fraction.denom().unsigned_abs() as usize))
}

fn least_common_multiple(a: usize, b: usize) -> usize {
    let (mut x, mut y) = (a, b);
    while y != 0 {
        (x, y) = (y, x % y);
    }
    (a / x).saturating_mul(b)
}

/// What is counted on the cells of beat `number`, as drummers and band teachers count (common practice, no source).
fn counts(meter: Meter, number: i64, cells: usize) -> Vec<String> {
    let between: &[&str] = match cells {
        2 => &["&"],
        3 => &["&", "a"],
        4 => &["e", "&", "a"],
        6 => &["", "&", "", "a", ""],
        8 => &["", "e", "", "&", "", "a", ""],
        _ => &[],
    };
    if meter.is_compound() {
        // Eighths are counted through: 1 2 3 4 5 6.
        let first = (number - 1) * 3 + 1;
        let every = if cells.is_multiple_of(3) { cells / 3 } else { cells.max(1) };
        return (0..cells)
            .map(|cell| if cell % every == 0 { (first + (cell / every) as i64).to_string() } else { String::new() })
            .collect();
    }
    let rest = (1..cells).map(|cell| between.get(cell - 1).copied().unwrap_or_default().to_owned());
    std::iter::once(number.to_string()).chain(rest).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn counted(meter: (u8, u8), length: Option<Length>, cuts: &[(i64, i64)]) -> String {
        let meter = Meter::new(meter.0, meter.1).expect("a meter");
        let cuts: Vec<Length> = cuts.iter().map(|(n, d)| Length::quarters(*n, *d)).collect();
        let beats = beats(meter, length.unwrap_or(meter.bar()), &cuts);
        let words = |beat: &Beat| {
            let words: Vec<&str> = beat.counts.iter().map(|word| if word.is_empty() { "." } else { word }).collect();
            words.join(" ")
        };
        beats.iter().map(words).collect::<Vec<_>>().join(" | ")
    }

    #[test]
    fn bars_are_counted_as_finely_as_they_are_played() {
        assert_eq!(counted((4, 4), None, &[]), "1 & | 2 & | 3 & | 4 &");
        assert_eq!(counted((4, 4), None, &[(1, 4), (3, 1)]), "1 e & a | 2 & | 3 & | 4 &");
        assert_eq!(counted((3, 4), None, &[(1, 3), (5, 3)]), "1 & a | 2 & a | 3 &");
        assert_eq!(counted((6, 8), None, &[]), "1 2 3 | 4 5 6");
        assert_eq!(counted((6, 8), None, &[(1, 4)]), "1 . 2 . 3 . | 4 5 6");
    }

    #[test]
    fn a_pickup_is_counted_as_the_end_of_a_bar() {
        assert_eq!(counted((4, 4), Some(Length::quarters(1, 1)), &[]), "4 &");
        assert_eq!(counted((4, 4), Some(Length::quarters(3, 2)), &[(1, 1)]), "3 & | 4");
    }

    #[test]
    fn strokes_across_all_beats_cut_the_whole_bar() {
        let sevenths: Vec<(i64, i64)> = (0..7).map(|n| (4 * n, 7)).collect();
        assert_eq!(counted((4, 4), None, &sevenths), ". . . . . . .");
    }
}

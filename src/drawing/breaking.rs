//! Where lines of bars break.
//!
//! Least total badness over all lines, by dynamic programming, as paragraphs are broken well (Knuth & Plass, Breaking
//! Paragraphs into Lines, 1981; here bars are the words). Cost: O(bars × bars a line).

use std::ops::Range;

/// How many bars a line may have for people to think in: phrases are twos, fours and eights (common practice, no source).
const PHRASES: [usize; 4] = [1, 2, 4, 8];

/// A line with a long rest has any number of bars; it keeps phrases whole where that is this many, or a multiple.
const WITH_RESTS: usize = 4;

/// What a line costs that has another number of bars; and one that begins in the middle of a phrase. As shares of what an
/// empty line would cost; our own settings.
const ODD_LINE: f64 = 0.4;
const OFF_PHRASE: f64 = 0.2;

/// The lines of least badness for measures of these widths; each has at least one, however wide.
///
/// - `bars`: how many bars each measure stands for: 1, or more for a long rest.
///
/// A line's badness is the square of the share of it that stays empty; the last line may end early for nothing.
pub fn lines(widths: &[f64], bars: &[usize], width: f64) -> Vec<Range<usize>> {
    let n = widths.len();
    // before[i]: how many bars stand before measure i.
    let before: Vec<usize> = [0].into_iter().chain(bars.iter().scan(0, |all, bars| Some(add(all, *bars)))).collect();
    // best[i]: the least badness of the bars from i on, and where the first of their lines ends.
    let mut best = vec![(0.0, n); n + 1];
    for start in (0..n).rev() {
        best[start] = (f64::INFINITY, start + 1);
        let mut used = 0.0;
        for end in start + 1..=n {
            used += widths[end - 1];
            if used > width + 1e-9 && end > start + 1 {
                break;
            }
            let total = badness(&before, start..end, used / width) + best[end].0;
            if total < best[start].0 {
                best[start] = (total, end);
            }
        }
    }
    let mut lines = Vec::new();
    let mut start = 0;
    while start < n {
        lines.push(start..best[start].1);
        start = best[start].1;
    }
    lines
}

/// Adds to a sum, and gives it.
fn add(all: &mut usize, more: usize) -> usize {
    *all += more;
    *all
}

/// The badness of a line of these measures; `before`: how many bars stand before each measure, and before the end.
fn badness(before: &[usize], line: Range<usize>, full: f64) -> f64 {
    let is_last = line.end + 1 == before.len();
    let (first, bars) = (before[line.start], before[line.end] - before[line.start]);
    let rests = bars > line.len();
    let empty = if is_last { 0.0 } else { (1.0 - full).max(0.0).powi(2) };
    let whole = PHRASES.contains(&bars) || rests && bars.is_multiple_of(WITH_RESTS);
    let odd = if whole || is_last { 0.0 } else { ODD_LINE };
    // A line of four bars is at home at every fourth.
    let phrase = if rests { WITH_RESTS } else { bars.next_power_of_two() };
    empty + odd + if first.is_multiple_of(phrase) { 0.0 } else { OFF_PHRASE }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kit::Numbers;

    fn broken(widths: &[f64], width: f64) -> Vec<usize> {
        lines(widths, &vec![1; widths.len()], width).iter().map(|line| line.len()).collect()
    }

    #[test]
    fn phrases_stay_together() {
        assert_eq!(broken(&[10.0; 8], 40.0), [4, 4]);
        assert_eq!(broken(&[10.0; 8], 55.0), [4, 4], "five would fit");
        assert_eq!(broken(&[10.0; 10], 40.0), [4, 4, 2]);
        assert_eq!(broken(&[30.0; 3], 40.0), [1, 1, 1]);
        assert_eq!(broken(&[], 40.0), [0; 0]);
        assert_eq!(broken(&[90.0, 10.0], 40.0), [1, 1], "a bar wider than a line has one of its own");
    }

    #[test]
    fn a_long_rest_counts_all_its_bars() {
        // Eight bars of rest, then four bars, then four: a line breaks after the phrase, not after four measures.
        let widths = [10.0; 9];
        let bars = [8, 1, 1, 1, 1, 1, 1, 1, 1];
        let ends: Vec<usize> = lines(&widths, &bars, 55.0).iter().map(|line| line.end).collect();
        assert_eq!(ends, [5, 9]);
    }

    /// Against every way to break up to nine measures.
    #[test]
    fn no_other_way_is_better() {
        let mut numbers = Numbers(1);
        let mut next = || numbers.below(65_536) as f64 / 65_536.0;
        for _ in 0..200 {
            let widths: Vec<f64> = (0..9).map(|_| 4.0 + 16.0 * next()).collect();
            let bars: Vec<usize> =
                (0..9).map(|_| if next() < 0.7 { 1 } else { 1 + crate::music::count(8.0 * next()) }).collect();
            let before: Vec<usize> = (0..=9).map(|i| bars[..i].iter().sum()).collect();
            let cost = |lines: &[Range<usize>]| -> f64 {
                let used = |line: &Range<usize>| widths[line.clone()].iter().sum::<f64>();
                if lines.iter().any(|line| line.len() > 1 && used(line) > 40.0) {
                    return f64::INFINITY;
                }
                lines.iter().map(|line| badness(&before, line.clone(), used(line) / 40.0)).sum()
            };
            let every = (0..256u32).map(|breaks| {
                let ends = (0..8_usize).filter(|bit| breaks >> bit & 1 == 1).map(|bit| bit + 1).chain([9]);
                let mut start = 0;
                ends.map(|end| std::mem::replace(&mut start, end)..end).collect::<Vec<_>>()
            });
            let least = every.map(|lines| cost(&lines)).fold(f64::INFINITY, f64::min);
            assert!((cost(&lines(&widths, &bars, 40.0)) - least).abs() < 1e-9);
        }
    }
}

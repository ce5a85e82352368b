//! Repeats, endings, and jumps played out: in which order the written measures are played.

use crate::exchange::limits::MAX_MEASURES;

/// What a written measure says about the order of playing.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Signs {
    /// A repeat begins with it.
    pub repeat_from: bool,
    /// A repeat ends with it; how often it is played in all, if the file says so.
    pub repeat_to: Option<Option<u32>>,
    /// An ending begins with it: in which passes it is played.
    pub ending: Vec<u32>,
    /// An ending ends with it.
    pub ending_stops: bool,
    /// The sign that `jump` goes back to.
    pub segno: bool,
    /// Where the coda begins.
    pub coda: bool,
    /// After a jump, the coda follows this measure.
    pub to_coda: bool,
    /// After a jump, the tune ends with this measure.
    pub fine: bool,
    /// A jump back from the end of this measure.
    pub jump: Option<Jump>,
}

/// Where a jump goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Jump {
    /// To the start (D.C.).
    Start,
    /// To the sign (D.S.).
    Segno,
}

/// Repeats and jumps that would be endless when played out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TooLong;

/// The order in which measures are played. After a jump repeats are played once, with their last ending (common practice).
///
/// # Errors
/// When more than [`MAX_MEASURES`] would be played.
pub fn play_order(signs: &[Signs]) -> Result<Vec<usize>, TooLong> {
    let endings = endings(signs);
    let mut order = Vec::with_capacity(signs.len());
    let (mut at, mut from, mut pass, mut jumped) = (0, 0, 1, false);
    while at < signs.len() {
        let sign = &signs[at];
        if sign.repeat_from && at != from {
            (from, pass) = (at, 1);
        }
        if let Some(ending) = endings.iter().find(|ending| ending.first == at) {
            let last = jumped && sign.repeat_to.is_none() && ending.is_last;
            let played = if jumped { last || ending.is_last } else { sign.ending.contains(&pass) };
            if !played {
                at = ending.last + 1;
                continue;
            }
        }
        if order.len() >= MAX_MEASURES {
            return Err(TooLong);
        }
        order.push(at);
        if let Some(times) = sign.repeat_to {
            let ending = endings.iter().find(|ending| (ending.first..=ending.last).contains(&at));
            let times = times.filter(|_| ending.is_none()).unwrap_or(ending.map_or(2, |ending| ending.passes));
            if !jumped && pass < times {
                (at, pass) = (from, pass + 1);
                continue;
            }
            (from, pass) = (at + 1, 1);
        } else if sign.ending_stops && endings.iter().any(|ending| ending.last == at && ending.is_last) {
            (from, pass) = (at + 1, 1);
        }
        if jumped && sign.fine {
            break;
        }
        if jumped
            && sign.to_coda
            && let Some(coda) = signs.iter().position(|sign| sign.coda)
        {
            (at, from, pass) = (coda, coda, 1);
            continue;
        }
        if let Some(jump) = sign.jump.filter(|_| !jumped) {
            jumped = true;
            at = match jump {
                Jump::Start => 0,
                Jump::Segno => signs.iter().position(|sign| sign.segno).unwrap_or(0),
            };
            (from, pass) = (at, 1);
            continue;
        }
        at += 1;
    }
    Ok(order)
}

/// An ending of a repeat.
struct Ending {
    first: usize,
    last: usize,
    /// How often its repeat is played in all: the highest number of its group of endings.
    passes: u32,
    /// Whether it is the last of its group.
    is_last: bool,
}

/// The endings; one without a stop lasts up to the next one, or to the end of its repeat.
fn endings(signs: &[Signs]) -> Vec<Ending> {
    let mut endings: Vec<Ending> = Vec::new();
    let begins = (0..signs.len()).filter(|at| !signs[*at].ending.is_empty());
    for first in begins {
        let last = (first..signs.len())
            .find(|at| {
                let next = signs.get(at + 1).is_none_or(|next| !next.ending.is_empty() || next.repeat_from);
                signs[*at].ending_stops || signs[*at].repeat_to.is_some() || next
            })
            .unwrap_or(first);
        endings.push(Ending { first, last, passes: 0, is_last: false });
    }
    let mut from = 0;
    while from < endings.len() {
        // A group: endings that follow each other without a measure between.
        let mut to = from;
        while to + 1 < endings.len() && endings[to + 1].first == endings[to].last + 1 {
            to += 1;
        }
        let numbers = endings[from..=to].iter().flat_map(|ending| &signs[ending.first].ending);
        let passes = numbers.copied().max().unwrap_or(2).max(2);
        for ending in &mut endings[from..=to] {
            ending.passes = passes;
        }
        endings[to].is_last = true;
        from = to + 1;
    }
    endings
}

#[cfg(test)]
#[path = "play_order_tests.rs"]
mod jumps_tests;
#[cfg(test)]
mod tests {
    use super::*;

    /// Measures as letters: `|:` and `:|` as `<` and `>` beside them, an ending's number in front of it, its stop `]`.
    fn order(signs: &[Signs]) -> Vec<usize> {
        play_order(signs).expect("an end")
    }

    fn measures(count: usize, set: impl Fn(&mut [Signs])) -> Vec<Signs> {
        let mut signs = vec![Signs::default(); count];
        set(&mut signs);
        signs
    }

    #[test]
    fn repeats() {
        assert_eq!(order(&measures(3, |m| m[1].repeat_to = Some(None))), [0, 1, 0, 1, 2]);
        let twice = measures(4, |m| {
            m[1].repeat_from = true;
            m[2].repeat_to = Some(Some(3));
        });
        assert_eq!(order(&twice), [0, 1, 2, 1, 2, 1, 2, 3]);
    }

    #[test]
    fn endings_are_taken_in_turn() {
        let two = measures(5, |m| {
            (m[1].ending, m[1].ending_stops, m[1].repeat_to) = (vec![1], true, Some(None));
            (m[2].ending, m[2].ending_stops) = (vec![2], true);
            m[3].repeat_from = true;
            m[4].repeat_to = Some(None);
        });
        assert_eq!(order(&two), [0, 1, 0, 2, 3, 4, 3, 4]);
        let three = measures(3, |m| {
            (m[1].ending, m[1].ending_stops, m[1].repeat_to) = (vec![1, 2], true, Some(None));
            (m[2].ending, m[2].ending_stops) = (vec![3], true);
        });
        assert_eq!(order(&three), [0, 1, 0, 1, 0, 2]);
    }

    #[test]
    fn jumps() {
        let da_capo = measures(4, |m| {
            m[1].fine = true;
            m[3].jump = Some(Jump::Start);
        });
        assert_eq!(order(&da_capo), [0, 1, 2, 3, 0, 1]);
        let coda = measures(5, |m| {
            m[1].segno = true;
            m[2].to_coda = true;
            m[3].jump = Some(Jump::Segno);
            m[4].coda = true;
        });
        assert_eq!(order(&coda), [0, 1, 2, 3, 1, 2, 4]);
    }

    #[test]
    fn what_would_be_endless_is_told() {
        let endless = measures(2, |m| m[1].repeat_to = Some(Some(u32::MAX)));
        assert_eq!(play_order(&endless), Err(TooLong));
    }
}

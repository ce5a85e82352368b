//! A gain that never jumps: down in time for what is too loud, and slowly back.

use crate::music::count;
use std::collections::VecDeque;

/// How far ahead it looks, in seconds: the gain glides down this long before a peak. Our own setting.
const LOOK_AHEAD: f64 = 0.005;

/// From this gain on it has let go: a thousandth of a dB below 1.
const LET_GONE: f64 = 0.9999;

/// A gain that follows what each sample wants, at most 1, and is never above it.
///
/// The lowest wanted gain of the samples ahead is held, let go slowly, and smoothed by a running mean as long as the look-ahead: when
/// a sample goes out, all of the mean has been as low as that sample wants.
#[derive(Clone, Debug)]
pub struct Glide {
    ahead: usize,
    let_go: f64,
    /// The wanted gains ahead that could be the lowest: sample number and gain, rising.
    lowest: VecDeque<(u64, f64)>,
    /// The held gains of the running mean.
    held: VecDeque<f64>,
    sum: f64,
    now: f64,
    at: u64,
    /// For how many samples nothing had to be turned down.
    idle: usize,
}

impl Glide {
    /// A gain of 1, at a sample rate.
    ///
    /// - `let_go`: the time constant in seconds with which it goes back to 1.
    pub fn new(rate: u32, let_go: f64) -> Glide {
        let ahead = count((LOOK_AHEAD * f64::from(rate)).round().max(1.0));
        Glide {
            ahead,
            let_go: 1.0 - (-1.0 / (let_go * f64::from(rate))).exp(),
            lowest: VecDeque::new(),
            held: VecDeque::from(vec![1.0; ahead]),
            sum: ahead as f64,
            now: 1.0,
            at: 0,
            idle: ahead,
        }
    }

    /// How many samples before the one that is looked at the gain is for.
    pub fn delay(&self) -> usize {
        self.ahead - 1
    }

    /// Whether the gain has been 1 for so long that it stays 1 as long as no sample wants less.
    pub fn is_idle(&self) -> bool {
        self.idle >= self.ahead
    }

    /// Looks at the next sample, which wants a gain of 1 or less; gives the gain of the sample [`Glide::delay`] before.
    pub fn next(&mut self, wanted: f64) -> f64 {
        if wanted >= 1.0 && self.is_idle() {
            return 1.0;
        }
        while self.lowest.back().is_some_and(|(_, gain)| *gain >= wanted) {
            self.lowest.pop_back();
        }
        self.lowest.push_back((self.at, wanted));
        if self.lowest.front().is_some_and(|(at, _)| at + self.ahead as u64 <= self.at) {
            self.lowest.pop_front();
        }
        self.at += 1;
        let target = self.lowest.front().map_or(1.0, |(_, gain)| *gain);
        self.now = target.min(self.now + (target - self.now) * self.let_go);
        if self.now > LET_GONE {
            self.now = 1.0;
        }
        self.idle = if self.now == 1.0 { self.idle + 1 } else { 0 };
        self.held.push_back(self.now);
        self.sum += self.now - self.held.pop_front().unwrap_or(1.0);
        if self.is_idle() {
            // All held gains are 1: what rounding left in the sum goes, and so does what was looked at.
            self.sum = self.ahead as f64;
            self.lowest.clear();
        }
        (self.sum / self.ahead as f64).min(1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kit::Numbers;

    #[test]
    fn the_gain_of_a_sample_is_never_above_what_it_wants() {
        let mut numbers = Numbers(3);
        for let_go in [0.001, 0.030, 0.080] {
            let mut glide = Glide::new(44_100, let_go);
            let wanted: Vec<f64> = (0..20_000)
                .map(|_| if numbers.below(400) == 0 { numbers.below(1000) as f64 / 1000.0 } else { 1.0 })
                .collect();
            let gains: Vec<f64> = wanted.iter().map(|wanted| glide.next(*wanted)).collect();
            for (wanted, gain) in wanted.iter().zip(&gains[glide.delay()..]) {
                assert!(*gain <= wanted + 1e-4, "{gain} for {wanted}");
            }
        }
    }
}

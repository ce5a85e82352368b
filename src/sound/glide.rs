//! A gain that never jumps: down in time for what is too loud, and slowly back.

use crate::music::count;
use std::collections::VecDeque;
use std::ops::Range;

/// How far ahead it looks, in seconds: the gain glides down this long before a peak. Our own setting.
const LOOK_AHEAD: f64 = 0.005;

/// From this gain on it has let go: a thousandth of a dB below 1.
const LET_GONE: f64 = 0.9999;

/// How many samples are looked at as one. The gain goes in a straight line from one step to the next.
pub const STEP: usize = 8;

/// A gain that follows what each step wants, at most 1, and is never above it.
///
/// The lowest wanted gain of the steps ahead is held, let go slowly, and smoothed by a running mean as long as the look-ahead: when
/// a step goes out, all of the mean has been as low as that step wants, and so was the mean before it.
#[derive(Clone, Debug)]
pub struct Glide {
    /// Steps of the look-ahead.
    ahead: usize,
    let_go: f64,
    /// The wanted gains ahead that could be the lowest: number of the step and gain, rising.
    lowest: VecDeque<(u64, f64)>,
    /// The held gains of the running mean.
    held: VecDeque<f64>,
    sum: f64,
    now: f64,
    at: u64,
    /// For how many steps nothing had to be turned down.
    idle: usize,
    /// The gains at the ends of the steps that have not gone out, the one before them first.
    ends: VecDeque<f32>,
    /// How many samples of the first of these steps have gone out.
    gone: usize,
}

impl Glide {
    /// A gain of 1, at a sample rate.
    ///
    /// - `let_go`: the time constant in seconds with which it goes back to 1.
    pub fn new(rate: u32, let_go: f64) -> Glide {
        let steps = f64::from(rate) / STEP as f64;
        let ahead = count((LOOK_AHEAD * steps).round().max(1.0));
        Glide {
            ahead,
            let_go: 1.0 - (-1.0 / (let_go * steps)).exp(),
            lowest: VecDeque::new(),
            held: VecDeque::from(vec![1.0; ahead]),
            sum: ahead as f64,
            now: 1.0,
            at: 0,
            idle: 2 * ahead,
            // What goes out first is the delay, whose last step waits for the first that is looked at.
            ends: VecDeque::from(vec![1.0; 2]),
            gone: 0,
        }
    }

    /// By how many samples what goes out is behind what is looked at.
    pub fn delay(&self) -> usize {
        (self.ahead + 1) * STEP
    }

    /// Whether the gain has been 1 for so long that it stays 1 as long as no step wants less.
    fn is_idle(&self) -> bool {
        self.idle > self.ahead
    }

    /// Looks at the next step, which wants a gain of 1 or less.
    pub fn look(&mut self, wanted: f64) {
        let end = if wanted >= 1.0 && self.is_idle() { 1.0 } else { self.next(wanted) };
        self.ends.push_back(end as f32);
    }

    /// The gain at the end of the step that is [`Glide::ahead`] steps before this one.
    fn next(&mut self, wanted: f64) -> f64 {
        while self.lowest.back().is_some_and(|(_, gain)| *gain >= wanted) {
            self.lowest.pop_back();
        }
        self.lowest.push_back((self.at, wanted));
        // One more than the mean is long, for the gain at the beginning of a step too.
        if self.lowest.front().is_some_and(|(at, _)| at + (self.ahead as u64) < self.at) {
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

    /// Lets samples go out. Gives `each` which of them, the gain of the first, and by how much it grows from sample to sample.
    pub fn go_out(&mut self, samples: usize, each: &mut dyn FnMut(Range<usize>, f32, f32)) {
        let mut at = 0;
        while at < samples {
            let (before, end) = (self.ends[0], self.ends[1]);
            let mut to = samples.min(at + STEP - self.gone);
            let mut gone = self.gone + to - at;
            if gone == STEP {
                self.ends.pop_front();
                gone = 0;
            }
            if before == 1.0 && end == 1.0 {
                // As long as nothing is turned down steps go out together.
                while gone == 0 && to < samples && self.ends[1] == 1.0 {
                    let from = to;
                    to = samples.min(from + STEP);
                    gone = (to - from) % STEP;
                    if gone == 0 {
                        self.ends.pop_front();
                    }
                }
                each(at..to, 1.0, 0.0);
            } else {
                let grows = (end - before) / STEP as f32;
                each(at..to, before + grows * (self.gone + 1) as f32, grows);
            }
            (self.gone, at) = (gone, to);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kit::Numbers;

    #[test]
    fn the_gain_of_a_sample_is_never_above_what_its_step_wants_nor_does_it_jump() {
        let mut numbers = Numbers(3);
        for let_go in [0.001, 0.030, 0.080] {
            let mut glide = Glide::new(44_100, let_go);
            let (mut wanted, mut gains) = (vec![1.0; glide.delay() / STEP], Vec::new());
            let mut looked = 0;
            while gains.len() < 100_000 {
                let block = 1 + numbers.below(700) as usize;
                while looked < gains.len() + block {
                    wanted.push(if numbers.below(60) == 0 { numbers.below(1000) as f64 / 1000.0 } else { 1.0 });
                    glide.look(wanted[wanted.len() - 1]);
                    looked += STEP;
                }
                let from = gains.len();
                glide.go_out(block, &mut |range, gain, grows| {
                    assert_eq!(gains.len(), from + range.start);
                    gains.extend(range.enumerate().map(|(n, _)| gain + grows * n as f32));
                });
                assert_eq!(gains.len(), from + block);
            }
            for (n, gain) in gains.iter().enumerate() {
                assert!(f64::from(*gain) <= wanted[n / STEP] + 1e-4, "{gain} for {}", wanted[n / STEP]);
            }
            let jump = gains.windows(2).map(|two| (two[1] - two[0]).abs()).fold(0.0, f32::max);
            assert!(jump < 1.1 / (0.005 * 44_100.0), "{jump}");
            assert!(gains.contains(&1.0));
        }
    }
}

//! Loudness: what a listener's meter would read, and the limiter that keeps peaks below a ceiling.
//!
//! Integrated loudness and true peak are those of ITU-R BS.1770. The tests hold the meter to the published signals and to the
//! crate `ebur128`, which filters one channel after the other and sums every block anew: a pack is mostly measuring.

use std::collections::VecDeque;

use super::gate::{gated, stretch};
use super::pan_voice::db;
use super::true_peak::TruePeak;
use super::weighting::{Cascade, Frame, LANES, k_weighting};

/// The level in dB of an amplitude.
pub(super) fn level(amplitude: f64) -> f64 {
    20.0 * amplitude.log10()
}

/// A loudness meter for a stereo track.
pub struct Meter {
    weighting: Cascade,
    /// The samples of the stretch that is being listened to, left and right in the first two lanes.
    frames: Vec<Frame>,
    stretch: usize,
    /// The energy of each stretch so far.
    energies: Vec<f64>,
    peaks: [TruePeak; 2],
}

impl Meter {
    /// A meter for a sample rate within [`super::settings::RATES`].
    pub fn new(rate: u32) -> Meter {
        let stretch = stretch(rate);
        Meter {
            weighting: Cascade::new(&k_weighting(f64::from(rate))),
            frames: Vec::with_capacity(stretch),
            stretch,
            energies: Vec::new(),
            peaks: [TruePeak::default(), TruePeak::default()],
        }
    }

    /// Listens to a block; both channels must be equally long.
    pub fn add(&mut self, left: &[f32], right: &[f32]) {
        let mut at = 0;
        while at < left.len() {
            let end = left.len().min(at + self.stretch - self.frames.len());
            self.frames.extend(left[at..end].iter().zip(&right[at..end]).map(|(left, right)| {
                let mut frame = [0.0; LANES];
                (frame[0], frame[1]) = (*left, *right);
                frame
            }));
            at = end;
            if self.frames.len() == self.stretch {
                self.weigh();
            }
        }
        self.peaks[0].add(left);
        self.peaks[1].add(right);
    }

    /// Notes the energy of a full stretch.
    fn weigh(&mut self) {
        self.weighting.filter(&mut self.frames);
        let mut sums = [0.0; LANES];
        for frame in &self.frames {
            (0..LANES).for_each(|lane| sums[lane] += frame[lane] * frame[lane]);
        }
        self.energies.push(sums.iter().map(|sum| f64::from(*sum)).sum());
        self.frames.clear();
    }

    /// Integrated loudness so far in LUFS; minus infinity when nothing passed the gate (silence, or less than 0.4 s).
    pub fn loudness(&self) -> f64 {
        gated(&self.energies, self.stretch)
    }

    /// The highest true peak so far in dBTP; minus infinity for silence.
    pub fn true_peak(&self) -> f64 {
        level(f64::from(self.peaks[0].highest.max(self.peaks[1].highest)))
    }
}

/// How far ahead the limiter looks, in seconds: the gain glides down this long before a peak. Our own setting.
const LOOK_AHEAD: f64 = 0.005;

/// Time constant in seconds with which the limiter lets go. Our own setting.
const LET_GO: f64 = 0.080;

/// How many samples that have gone out are kept before their room is given back.
const GIVEN_BACK: usize = 1 << 14;

/// How many samples are looked at as a whole.
const STRETCH: usize = 256;

/// From this gain on the limiter has let go: a thousandth of a dB below 1.
const LET_GONE: f64 = 0.9999;

/// A look-ahead limiter for stereo: both channels get the same gain, which never jumps.
///
/// The wanted gain of a sample brings it to the ceiling; the lowest wanted gain of the samples ahead is held, let go
/// slowly, and smoothed by a running mean as long as the look-ahead, so that it has arrived when the peak has. Peaks
/// between samples are met by a ceiling set low enough (see `render`). Delays by [`Limiter::delay`] samples.
#[derive(Clone, Debug)]
pub struct Limiter {
    ahead: usize,
    gain: f32,
    ceiling: f32,
    let_go: f64,
    /// Samples that wait, already with `gain`: those from `first` on.
    waiting: [Vec<f32>; 2],
    first: usize,
    /// The wanted gains ahead that could be the lowest: sample number and gain, rising.
    lowest: VecDeque<(u64, f64)>,
    /// The held gains of the running mean.
    held: VecDeque<f64>,
    sum: f64,
    now: f64,
    at: u64,
    /// For how many samples nothing had to be held down: once it is as long as the look-ahead, nothing but the delay is
    /// left to do.
    idle: usize,
    /// The lowest gain used so far.
    pub used: f64,
}

impl Limiter {
    /// A limiter that applies a gain first and then keeps samples at or below `ceiling` (an amplitude).
    pub fn new(rate: u32, gain: f64, ceiling: f64) -> Limiter {
        let ahead = (LOOK_AHEAD * f64::from(rate)).round().max(1.0) as usize;
        Limiter {
            ahead,
            gain: gain as f32,
            ceiling: ceiling as f32,
            let_go: 1.0 - (-1.0 / (LET_GO * f64::from(rate))).exp(),
            waiting: [Vec::new(), Vec::new()],
            first: 0,
            lowest: VecDeque::new(),
            held: VecDeque::from(vec![1.0; ahead]),
            sum: ahead as f64,
            now: 1.0,
            at: 0,
            idle: ahead,
            used: 1.0,
        }
    }

    /// By how many samples what comes out is late.
    pub fn delay(&self) -> usize {
        2 * self.ahead - 1
    }

    /// Takes a block of both channels and appends what comes out, as [`Limiter::next`] would give it sample by sample, to
    /// two others; the first [`Limiter::delay`] samples that come out are silent.
    ///
    /// Where nothing is too loud nothing but the delay is left to do, so stretches are looked at as a whole first.
    pub fn block(&mut self, left: &[f32], right: &[f32], out: &mut [Vec<f32>; 2]) {
        for (left, right) in left.chunks(STRETCH).zip(right.chunks(STRETCH)) {
            let loudest = |samples: &[f32]| samples.iter().fold(0.0f32, |peak, sample| peak.max(sample.abs()));
            let quiet = loudest(left).max(loudest(right)) * self.gain <= self.ceiling;
            if quiet && self.idle >= self.ahead && self.waits() >= self.delay() {
                let gain = self.gain;
                self.waiting[0].extend(left.iter().map(|sample| sample * gain));
                self.waiting[1].extend(right.iter().map(|sample| sample * gain));
                let due = self.first..self.first + left.len();
                out[0].extend_from_slice(&self.waiting[0][due.clone()]);
                out[1].extend_from_slice(&self.waiting[1][due]);
                self.gone(left.len());
                continue;
            }
            for (left, right) in left.iter().zip(right) {
                let (left, right) = self.next(*left, *right);
                out[0].push(left);
                out[1].push(right);
            }
        }
    }

    /// Takes a sample of both channels, gives one that was taken [`Limiter::delay`] samples before.
    pub fn next(&mut self, left: f32, right: f32) -> (f32, f32) {
        let (left, right) = (left * self.gain, right * self.gain);
        let peak = left.abs().max(right.abs());
        let mean = if peak <= self.ceiling && self.idle >= self.ahead { 1.0 } else { self.mean(peak) };
        self.waiting[0].push(left);
        self.waiting[1].push(right);
        if self.waits() <= self.delay() {
            return (0.0, 0.0);
        }
        let (left, right) = (self.waiting[0][self.first], self.waiting[1][self.first]);
        self.gone(1);
        self.used = self.used.min(mean);
        let mean = mean as f32;
        (left * mean, right * mean)
    }

    /// How many samples wait.
    fn waits(&self) -> usize {
        self.waiting[0].len() - self.first
    }

    /// So many samples have gone out; what they took is given back now and then.
    fn gone(&mut self, count: usize) {
        self.first += count;
        if self.first >= GIVEN_BACK {
            self.waiting.iter_mut().for_each(|samples| drop(samples.drain(..self.first)));
            self.first = 0;
        }
    }

    /// The running mean of the held gains, once a sample of this peak is ahead.
    fn mean(&mut self, peak: f32) -> f64 {
        let wanted = if peak > self.ceiling { f64::from(self.ceiling) / f64::from(peak) } else { 1.0 };
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
        if self.idle >= self.ahead {
            // All held gains are 1: what rounding left in the sum goes, and so does what was looked at.
            self.sum = self.ahead as f64;
            self.lowest.clear();
        }
        (self.sum / self.ahead as f64).min(1.0)
    }
}

/// Gains and ceilings in dB as amplitudes, for the rooms beside.
pub(super) fn amplitude(level: f64) -> f64 {
    db(level)
}

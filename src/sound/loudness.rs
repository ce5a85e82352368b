//! Loudness: what a listener's meter would read, and the limiter that keeps peaks below a ceiling.
//!
//! Integrated loudness and true peak are those of ITU-R BS.1770. The tests hold the meter to the published signals and to the
//! crate `ebur128`, which filters one channel after the other and sums every block anew: a pack is mostly measuring.

use super::gate::{gated, stretch};
use super::glide::Glide;
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

/// Time constant in seconds with which the limiter behind a mix lets go. Our own setting.
const LET_GO: f64 = 0.080;

/// How many samples that have gone out are kept before their room is given back.
const GIVEN_BACK: usize = 1 << 14;

/// How many samples are looked at as a whole.
const STRETCH: usize = 256;

/// A look-ahead limiter for stereo: both channels get the same gain, which never jumps.
///
/// The wanted gain of a sample brings it to the ceiling; a `Glide` is there in time. Peaks between samples are met by a ceiling
/// set low enough (see `render`). Delays by `Limiter::delay` samples.
#[derive(Clone, Debug)]
pub struct Limiter {
    gain: f32,
    ceiling: f32,
    glide: Glide,
    /// Samples that wait, already with `gain`: those from `first` on.
    waiting: [Vec<f32>; 2],
    first: usize,
    /// The lowest gain used so far.
    pub used: f64,
}

impl Limiter {
    /// A limiter that applies a gain first and then keeps samples at or below `ceiling` (an amplitude).
    pub fn new(rate: u32, gain: f64, ceiling: f64) -> Limiter {
        Limiter::that_lets_go(LET_GO, rate, gain, ceiling)
    }

    /// The same, with the time constant in seconds with which it lets go.
    pub(crate) fn that_lets_go(let_go: f64, rate: u32, gain: f64, ceiling: f64) -> Limiter {
        Limiter {
            gain: gain as f32,
            ceiling: ceiling as f32,
            glide: Glide::new(rate, let_go),
            waiting: [Vec::new(), Vec::new()],
            first: 0,
            used: 1.0,
        }
    }

    /// By how many samples what comes out is late.
    pub(crate) fn delay(&self) -> usize {
        self.glide.delay()
    }

    /// Takes a block of both channels and appends what comes out, as [`Limiter::next`] would give it sample by sample, to
    /// two others; the first `Limiter::delay` samples that come out are silent.
    ///
    /// Where nothing is too loud nothing but the delay is left to do, so stretches are looked at as a whole first.
    pub fn block(&mut self, left: &[f32], right: &[f32], out: &mut [Vec<f32>; 2]) {
        for (left, right) in left.chunks(STRETCH).zip(right.chunks(STRETCH)) {
            let loudest = |samples: &[f32]| samples.iter().fold(0.0f32, |peak, sample| peak.max(sample.abs()));
            let quiet = loudest(left).max(loudest(right)) * self.gain <= self.ceiling;
            if quiet && self.glide.is_idle() && self.waits() >= self.delay() {
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

    /// Takes a sample of both channels, gives one that was taken `Limiter::delay` samples before.
    pub fn next(&mut self, left: f32, right: f32) -> (f32, f32) {
        let (left, right) = (left * self.gain, right * self.gain);
        let peak = left.abs().max(right.abs());
        let wanted = if peak > self.ceiling { f64::from(self.ceiling) / f64::from(peak) } else { 1.0 };
        let mean = self.glide.next(wanted);
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
}

/// Gains and ceilings in dB as amplitudes, for the rooms beside.
pub(super) fn amplitude(level: f64) -> f64 {
    db(level)
}

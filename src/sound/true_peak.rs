//! True peak: the highest value between the samples too, by fourfold oversampling (ITU-R BS.1770, annex 2).
//!
//! Most of a track lies far below its peak. A stretch is oversampled only if its highest sample, times the most that the
//! interpolation can add, could exceed the peak so far; the result is the same as if all were.

use std::f64::consts::PI;
use std::sync::LazyLock;

/// How many samples each interpolated one is made from.
const TAPS: usize = 12;

/// How many samples are looked at together.
const STRETCH: usize = 64;

/// The interpolation a quarter, a half and three quarters of the way between samples: a sinc under a Hann window.
static PHASES: LazyLock<[[f32; TAPS]; 3]> = LazyLock::new(|| {
    let tap = |phase: usize, tap: usize| {
        // Distance from the interpolated place, which lies between taps 5 and 6.
        let x = tap as f64 - 5.0 - (phase + 1) as f64 / 4.0;
        let window = 0.5 + 0.5 * (PI * x / (TAPS / 2) as f64).cos();
        ((PI * x).sin() / (PI * x) * window) as f32
    };
    std::array::from_fn(|phase| std::array::from_fn(|t| tap(phase, t)))
});

/// The most by which an interpolated value can exceed the highest sample that it is made from.
static MOST: LazyLock<f32> = LazyLock::new(|| {
    let sums = PHASES.iter().map(|phase| phase.iter().map(|tap| tap.abs()).sum());
    1.0001 * sums.fold(1.0, f32::max)
});

/// The true peak of one channel.
#[derive(Clone, Debug, Default)]
pub struct TruePeak {
    /// The highest amplitude so far.
    pub highest: f32,
    /// The last samples, which the next interpolations need; then the block.
    samples: Vec<f32>,
}

impl TruePeak {
    /// Listens to a block.
    pub fn add(&mut self, block: &[f32]) {
        self.samples.extend_from_slice(block);
        let mut at = 0;
        while at + STRETCH + TAPS <= self.samples.len() {
            self.stretch(at);
            at += STRETCH;
        }
        // Samples that no full stretch has reached count as they are until one does.
        self.highest = self.highest.max(loudest(&self.samples[at..]));
        self.samples.drain(..at);
    }

    fn stretch(&mut self, at: usize) {
        let samples: &[f32; STRETCH + TAPS] =
            self.samples[at..at + STRETCH + TAPS].try_into().expect("a stretch has this length");
        let loudest_sample = loudest(samples);
        if loudest_sample * *MOST <= self.highest {
            return;
        }
        self.highest = self.highest.max(loudest_sample);
        for phase in PHASES.iter() {
            let mut between = [0f32; STRETCH];
            for (tap, weight) in phase.iter().enumerate() {
                for (n, value) in between.iter_mut().enumerate() {
                    *value += weight * samples[n + tap];
                }
            }
            self.highest = self.highest.max(loudest(&between));
        }
    }
}

/// The highest amplitude of some samples. Amplitudes are compared by their bits, which have the same order and are
/// compared several at a time.
pub fn loudest(samples: &[f32]) -> f32 {
    let bits = samples.iter().map(|sample| (sample.to_bits() & 0x7FFF_FFFF) as i32);
    f32::from_bits(bits.fold(0, i32::max).unsigned_abs())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// EBU Tech 3341, signals 15 to 19: frequency as a part of the sample rate, amplitude, phase in degrees, expected
    /// true peak in dBTP (tolerance +0.2 / -0.4 dB).
    #[test]
    fn true_peaks_of_the_published_signals() {
        let signals = [(4.0, 0.5, 0.0, -6.0), (4.0, 0.5, 45.0, -6.0), (6.0, 0.5, 60.0, -6.0), (8.0, 0.5, 67.5, -6.0)];
        for (part, amplitude, phase, expected) in signals.into_iter().chain([(4.0, 1.41, 45.0, 3.0)]) {
            let sample = |n: u32| {
                let fade = f64::from(n.min(4799 - n)).min(480.0) / 480.0;
                (fade * amplitude * (2.0 * PI * f64::from(n) / part + f64::to_radians(phase)).sin()) as f32
            };
            let samples: Vec<f32> = (0..4800).map(sample).collect();
            let mut peak = TruePeak::default();
            samples.chunks(100).for_each(|block| peak.add(block));
            let level = 20.0 * f64::from(peak.highest).log10();
            assert!((expected - 0.4..=expected + 0.2).contains(&level), "fs/{part} at {phase}: {level}");
        }
    }
}

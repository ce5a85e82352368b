//! Filters to measure with: the K-weighting of ITU-R BS.1770, and what is left of a sound on a phone's small speaker.
//!
//! Several signals go through side by side, since a filter must wait for its own last sample but not for its neighbour's.

use std::f64::consts::{PI, TAU};

/// Below this frequency in hertz a phone's speaker is taken to give nothing. Common practice, no source; speakers differ.
pub const SMALL_SPEAKER: f64 = 300.0;

/// The order of the Butterworth high-pass that stands for a small speaker: 48 dB an octave. A closed box falls by 12 (second
/// order), a vented one by 24; a steeper filter than either leaves the least of a low pan, so that what holds behind it holds
/// on the gentler ones as well. Our own setting.
pub const SMALL_SPEAKER_ORDER: usize = 8;

/// How many signals are filtered side by side.
pub const LANES: usize = 8;

/// What a filter remembers of a sound that is over, as an amplitude: 300 dB below full scale.
const SILENCE: f32 = 1e-15;

/// A sample of each of the signals that are filtered side by side.
pub type Frame = [f32; LANES];

/// A filter of second order: what it takes from the signal, and from what it gave before.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Biquad {
    /// Of the sample, the one before, and the one before that.
    pub b: [f64; 3],
    /// Of what was given one and two samples before.
    pub a: [f64; 2],
}

impl Biquad {
    /// A filter from an analogue one (bilinear): `numerator` gives b0, b1 and b2 from K and K/Q before they are divided.
    fn new(frequency: f64, q: f64, rate: f64, numerator: impl Fn(f64, f64) -> [f64; 3]) -> Biquad {
        let k = (PI * frequency / rate).tan();
        let a0 = 1.0 + k / q + k * k;
        Biquad { b: numerator(k, k / q).map(|b| b / a0), a: [2.0 * (k * k - 1.0) / a0, (1.0 - k / q + k * k) / a0] }
    }

    /// By which factor it changes the power of a frequency in hertz.
    fn power(&self, frequency: f64, rate: f64) -> f64 {
        let turn = TAU * frequency / rate;
        let at = |c: [f64; 3]| {
            let re = c[0] + c[1] * turn.cos() + c[2] * (2.0 * turn).cos();
            let im = c[1] * turn.sin() + c[2] * (2.0 * turn).sin();
            re * re + im * im
        };
        at(self.b) / at([1.0, self.a[0], self.a[1]])
    }
}

/// The K-weighting at a sample rate: the head's shelf, then the low cut. Analogue values that give the tables of BS.1770 at
/// 48 kHz (see the tests).
pub fn k_weighting(rate: f64) -> Vec<Biquad> {
    let high = 10f64.powf(3.999_843_853_973_347 / 20.0);
    let band = high.powf(0.499_666_774_154_541_6);
    let shelf = Biquad::new(1_681.974_450_955_533, 0.707_175_236_955_419_6, rate, |k, kq| {
        [high + band * kq + k * k, 2.0 * (k * k - high), high - band * kq + k * k]
    });
    let low_cut = Biquad::new(38.135_470_876_024_44, 0.500_327_037_323_877_3, rate, |_, _| [1.0, -2.0, 1.0]);
    // The standard's table leaves the low cut's numerator undivided.
    vec![shelf, Biquad { b: [1.0, -2.0, 1.0], ..low_cut }]
}

/// What a small speaker lets through: a Butterworth high-pass of [`SMALL_SPEAKER_ORDER`] at [`SMALL_SPEAKER`].
pub fn small_speaker(rate: f64) -> Vec<Biquad> {
    let pairs = SMALL_SPEAKER_ORDER / 2;
    let section = |n: usize| {
        let q = 0.5 / (PI * (2 * n + 1) as f64 / (4 * pairs) as f64).cos();
        Biquad::new(SMALL_SPEAKER, q, rate, |_, _| [1.0, -2.0, 1.0])
    };
    (0..pairs).map(section).collect()
}

/// By which factor filters, one after the other, change the power of a frequency in hertz.
pub fn power(filters: &[Biquad], frequency: f64, rate: f64) -> f64 {
    filters.iter().map(|filter| filter.power(frequency, rate)).product()
}

/// Filters one after the other, at work on several signals.
#[derive(Clone, Debug)]
pub struct Cascade {
    sections: Vec<Section>,
}

/// One filter with what it remembers. Single precision leaves its noise 80 dB below the signal at the worst, the low cut.
#[derive(Clone, Debug)]
struct Section {
    b: [f32; 3],
    a: [f32; 2],
    first: Frame,
    second: Frame,
}

impl Cascade {
    /// Filters at rest.
    pub fn new(filters: &[Biquad]) -> Cascade {
        let zero = [0.0; LANES];
        let section = |filter: &Biquad| Section {
            b: filter.b.map(|b| b as f32),
            a: filter.a.map(|a| a as f32),
            first: zero,
            second: zero,
        };
        Cascade { sections: filters.iter().map(section).collect() }
    }

    /// Filters the next frames in place.
    pub fn filter(&mut self, frames: &mut [Frame]) {
        // Two filters at a time: while one waits for its last sample, the other has something to do.
        let (pairs, single) = self.sections.as_chunks_mut::<2>();
        for [one, other] in pairs {
            let (mut first, mut second) = (one.clone(), other.clone());
            for frame in &mut *frames {
                *frame = second.next(first.next(*frame));
            }
            (*one, *other) = (first.rested(), second.rested());
        }
        for section in single {
            let mut only = section.clone();
            for frame in &mut *frames {
                *frame = only.next(*frame);
            }
            *section = only.rested();
        }
    }
}

impl Section {
    /// What it gives for the next sample.
    #[inline]
    fn next(&mut self, x: Frame) -> Frame {
        let ([b0, b1, b2], [a1, a2]) = (self.b, self.a);
        let mut given = [0.0; LANES];
        for lane in 0..LANES {
            let y = b0 * x[lane] + self.first[lane];
            self.first[lane] = b1 * x[lane] - a1 * y + self.second[lane];
            self.second[lane] = b2 * x[lane] - a2 * y;
            given[lane] = y;
        }
        given
    }

    /// What is left of a sound long over is nothing; numbers that small would be slow to work with.
    fn rested(mut self) -> Section {
        for value in self.first.iter_mut().chain(&mut self.second) {
            if value.abs() < SILENCE {
                *value = 0.0;
            }
        }
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ITU-R BS.1770, tables 1 and 2: the coefficients at 48 kHz.
    #[test]
    fn the_weighting_is_that_of_the_standard() {
        let published = [
            (
                [1.535_124_859_586_97, -2.691_696_189_406_38, 1.198_392_810_852_85],
                [-1.690_659_293_182_41, 0.732_480_774_215_85],
            ),
            ([1.0, -2.0, 1.0], [-1.990_047_454_833_98, 0.990_072_250_366_21]),
        ];
        for (filter, (b, a)) in k_weighting(48_000.0).iter().zip(published) {
            let pairs = filter.b.iter().chain(&filter.a).zip(b.iter().chain(&a));
            for (ours, theirs) in pairs {
                assert!((ours - theirs).abs() < 1e-8, "{ours}, published {theirs}");
            }
        }
    }

    /// A Butterworth filter of order n: |H|² = 1 / (1 + (300/f)^2n).
    #[test]
    fn a_small_speaker_gives_half_the_power_at_300_hz_and_48_db_an_octave_less_below() {
        let filters = small_speaker(44_100.0);
        for (frequency, expected) in [(300.0, 0.5), (150.0, 1.0 / 65_537.0), (1000.0, 1.0)] {
            let power = power(&filters, frequency, 44_100.0);
            assert!((10.0 * (power / expected).log10()).abs() < 0.05, "{frequency} Hz: {power}");
        }
        let mut cascade = Cascade::new(&filters);
        let sine = |n: usize| (TAU * 300.0 * n as f64 / 44_100.0).sin() as f32;
        let mut frames: Vec<Frame> = (0..44_100).map(|n| [sine(n); LANES]).collect();
        cascade.filter(&mut frames);
        let power: f64 = frames[22_050..].iter().map(|frame| f64::from(frame[5]).powi(2)).sum::<f64>() / 22_050.0;
        assert!((power / 0.25 - 1.0).abs() < 0.01, "{power}");
    }
}

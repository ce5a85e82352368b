//! One partial of a struck body: a sine that rises, decays and may glide. Strokes are sums of these (modal synthesis).
//!
//! A partial is level · (1 − e^(−t/rise)) · e^(−t/τ) · sin(phase), with τ = T60 / ln 1000. Multiplied out, that is the
//! difference of two decaying sines, and each of those is a complex number turned and shrunk sample by sample: a few
//! multiplications, eight samples side by side.

use crate::music::count;
use std::f64::consts::TAU;

/// ln 1000: how many time constants an exponential decay takes to fall by 60 dB.
pub(crate) const LN_1000: f64 = 6.907_755_278_982_137;

/// A partial that has fallen this far below the loudest partial of its stroke ends: -80 dB.
pub(crate) const FLOOR: f64 = 1e-4;

/// After how many samples the turning numbers are set anew from double precision, so that rounding can't grow.
const ANCHOR: usize = 256;

/// The same while the pitch glides, where each stretch has one frequency.
const GLIDE_ANCHOR: usize = 64;

/// A glide is over after this many of its time constants: e^-8 of a few cents is nothing.
const GLIDE_ENDS: f64 = 8.0;

/// How many samples are worked side by side.
const LANES: usize = 8;

/// A partial of a struck body.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Partial {
    /// Frequency in hertz, once a glide is over.
    pub frequency: f64,
    /// Level as an amplitude: what the partial would start with if it rose at once.
    pub level: f64,
    /// Time constant of the rise in seconds; 0: at once.
    pub rise: f64,
    /// Seconds in which it decays by 60 dB.
    pub t60: f64,
    /// By how many cents it starts above its frequency.
    pub glide: f64,
    /// Time constant in seconds with which the glide dies away.
    pub glide_time: f64,
    /// Phase at the start, in turns.
    pub phase: f64,
}

impl Partial {
    /// A plain partial that starts at once from phase 0 and does not glide.
    pub fn new(frequency: f64, level: f64, t60: f64) -> Partial {
        Partial { frequency, level, rise: 0.0, t60, glide: 0.0, glide_time: 0.0, phase: 0.0 }
    }

    /// The time constant of the decay in seconds: T60 / 6.908.
    pub(crate) fn tau(&self) -> f64 {
        self.t60 / LN_1000
    }

    /// Its energy from beginning to end: half the integral of its squared envelope.
    pub fn energy(&self) -> f64 {
        let (fall, rise) = (2.0 / self.tau(), if self.rise > 0.0 { 1.0 / self.rise } else { f64::INFINITY });
        0.5 * self.level * self.level * (1.0 / fall - 2.0 / (fall + rise) + 1.0 / (fall + 2.0 * rise))
    }

    /// When its envelope is highest, in seconds: rise · ln(1 + τ/rise).
    pub fn peak_time(&self) -> f64 {
        if self.rise > 0.0 { self.rise * (1.0 + self.tau() / self.rise).ln() } else { 0.0 }
    }

    /// When it has decayed to `floor` (an amplitude), in seconds.
    pub fn ends(&self, floor: f64) -> f64 {
        (self.tau() * (self.level.abs() / floor).ln()).max(0.0)
    }

    /// Adds the partial's samples to `out`, up to where it has decayed to `floor`.
    pub(crate) fn add_to(&self, out: &mut [f32], rate: f64, floor: f64) {
        if self.frequency <= 0.0 || self.frequency * self.highest_glide() >= 0.5 * rate {
            return;
        }
        let end = count((self.ends(floor) * rate).ceil()).min(out.len());
        self.add_decaying(&mut out[..end], rate, self.level, 1.0 / self.tau());
        if self.rise > 0.0 {
            let speed = 1.0 / self.tau() + 1.0 / self.rise;
            let rising = count(((self.level.abs() / floor).ln() / speed * rate).ceil().max(0.0)).min(out.len());
            self.add_decaying(&mut out[..rising], rate, -self.level, speed);
        }
    }

    /// By how much the glide raises the frequency at most.
    fn highest_glide(&self) -> f64 {
        (self.glide.max(0.0) / 1200.0).exp2()
    }

    /// Adds `level · e^(−speed·t) · sin(phase(t))`.
    fn add_decaying(&self, out: &mut [f32], rate: f64, level: f64, speed: f64) {
        let shrink = -speed / rate;
        let turn = TAU * self.frequency / rate;
        let mut z = Turning::new(level, self.phase * TAU);
        let gliding = if self.glide == 0.0 { 0 } else { count(GLIDE_ENDS * self.glide_time * rate) };
        let (glide, steady) = out.split_at_mut(gliding.min(out.len()));
        let mut cents = self.glide;
        let fade = (-(GLIDE_ANCHOR as f64) / (self.glide_time * rate)).exp();
        for stretch in glide.chunks_mut(GLIDE_ANCHOR) {
            let step = Turning::new(shrink.exp(), turn * (cents / 1200.0).exp2());
            add_stretch(stretch, z, step);
            z = z.times(step.power(stretch.len()));
            cents *= fade;
        }
        let step = Turning::new(shrink.exp(), turn);
        let leap = step.power(ANCHOR);
        for stretch in steady.chunks_mut(ANCHOR) {
            add_stretch(stretch, z, step);
            z = z.times(leap);
        }
    }
}

/// A complex number: where a decaying sine is, or what one sample does to it.
#[derive(Clone, Copy, Debug)]
struct Turning {
    re: f64,
    im: f64,
}

impl Turning {
    fn new(length: f64, angle: f64) -> Turning {
        Turning { re: length * angle.cos(), im: length * angle.sin() }
    }

    fn times(self, other: Turning) -> Turning {
        Turning { re: self.re * other.re - self.im * other.im, im: self.re * other.im + self.im * other.re }
    }

    fn power(self, exponent: usize) -> Turning {
        let (mut result, mut square, mut left) = (Turning { re: 1.0, im: 0.0 }, self, exponent);
        while left > 0 {
            if left & 1 == 1 {
                result = result.times(square);
            }
            square = square.times(square);
            left >>= 1;
        }
        result
    }
}

/// Adds the imaginary parts of z, z·step, z·step² … to `out`.
fn add_stretch(out: &mut [f32], z: Turning, step: Turning) {
    let (mut re, mut im) = ([0f32; LANES], [0f32; LANES]);
    let mut lane = z;
    for l in 0..LANES {
        (re[l], im[l]) = (lane.re as f32, lane.im as f32);
        lane = lane.times(step);
    }
    let leap = step.power(LANES);
    let (leap_re, leap_im) = (leap.re as f32, leap.im as f32);
    let mut groups = out.chunks_exact_mut(LANES);
    for group in &mut groups {
        for l in 0..LANES {
            group[l] += im[l];
            (re[l], im[l]) = (re[l] * leap_re - im[l] * leap_im, re[l] * leap_im + im[l] * leap_re);
        }
    }
    for (sample, value) in groups.into_remainder().iter_mut().zip(im) {
        *sample += value;
    }
}

/// The samples of a sum of partials, at most `most` of them; each partial ends at `FLOOR` below `loudest`.
pub fn sum(partials: &[Partial], loudest: f64, rate: f64, most: usize) -> Vec<f32> {
    let floor = loudest * FLOOR;
    let longest = partials.iter().map(|partial| partial.ends(floor)).fold(0.0, f64::max);
    let mut out = vec![0.0; count((longest * rate).ceil()).min(most)];
    for partial in partials {
        partial.add_to(&mut out, rate, floor);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_partial_is_what_its_formula_says() {
        let rate = 44_100.0;
        let partial = Partial { rise: 0.02, phase: 0.1, ..Partial::new(443.7, 0.8, 0.9) };
        let out = sum(&[partial], 0.8, rate, usize::MAX);
        for (n, sample) in out.iter().enumerate().step_by(37) {
            let t = n as f64 / rate;
            let envelope = 0.8 * (1.0 - (-t / 0.02).exp()) * (-t / partial.tau()).exp();
            let expected = envelope * (TAU * (443.7 * t + 0.1)).sin();
            assert!((f64::from(*sample) - expected).abs() < 2e-4, "sample {n}: {sample}, expected {expected}");
        }
    }

    #[test]
    fn the_end_is_quiet() {
        let out = sum(&[Partial::new(200.0, 1.0, 0.5)], 1.0, 44_100.0, usize::MAX);
        assert!(out.iter().rev().take(100).all(|sample| sample.abs() < 1.1e-4));
        assert!((out.len() as f64 / 44_100.0 - 0.5 * 80.0 / 60.0).abs() < 0.001);
    }

    #[test]
    fn a_partial_above_half_the_rate_is_left_out() {
        assert!(sum(&[Partial::new(23_000.0, 1.0, 0.5)], 1.0, 44_100.0, 1000).iter().all(|sample| *sample == 0.0));
    }
}

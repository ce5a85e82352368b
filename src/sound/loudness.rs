//! Loudness: what a listener's meter would read, and the limiter that keeps peaks below a ceiling.
//!
//! Integrated loudness and true peak are those of ITU-R BS.1770. The tests hold the meter to the published signals and to the
//! crate `ebur128`, which filters one channel after the other and sums every block anew: a pack is mostly measuring.

use super::gate::{gated, stretch};
use super::glide::{Glide, STEP};
use super::hearing::{Energies, Hearing};
use super::pan_voice::db;
use super::true_peak::{TruePeak, loudest};

/// The level in dB of an amplitude.
pub(super) fn level(amplitude: f64) -> f64 {
    20.0 * amplitude.log10()
}

/// A loudness meter for a stereo track.
pub struct Meter {
    hearing: Hearing,
    energies: Energies,
    stretch: usize,
    peaks: [TruePeak; 2],
}

impl Meter {
    /// A meter for a sample rate within [`super::settings::RATES`].
    pub fn new(rate: u32) -> Meter {
        let stretch = stretch(rate);
        let peaks = [TruePeak::default(), TruePeak::default()];
        Meter { hearing: Hearing::full(rate), energies: Energies::new(stretch), stretch, peaks }
    }

    /// Listens to a block; both channels must be equally long.
    pub fn add(&mut self, left: &[f32], right: &[f32]) {
        self.hearing.add(left, right, &mut |[powers, _]| self.energies.add(powers));
        self.peaks[0].add(left);
        // One channel that stands for both need not be looked at twice.
        if !std::ptr::eq(left, right) {
            self.peaks[1].add(right);
        }
    }

    /// Integrated loudness so far in LUFS; minus infinity when nothing passed the gate (silence, or less than 0.4 s).
    pub fn loudness(&self) -> f64 {
        let mut energies = self.energies.clone();
        self.hearing.clone().finish(&mut |[powers, _]| energies.add(powers));
        gated(&energies.stretches, self.stretch)
    }

    /// The highest true peak so far in dBTP; minus infinity for silence.
    pub fn true_peak(&self) -> f64 {
        level(f64::from(self.peaks[0].highest.max(self.peaks[1].highest)))
    }
}

/// Time constant in seconds with which the limiter behind a mix lets go. Our own setting.
const LET_GO: f64 = 0.080;

/// A look-ahead limiter for stereo: both channels get the same gain, which never jumps.
///
/// The wanted gain of a few samples brings the loudest of them to the ceiling; a `Glide` is there in time. Peaks between samples are
/// met by a ceiling set low enough (see `render`). Delays by `Limiter::delay` samples.
#[derive(Clone, Debug)]
pub struct Limiter {
    gain: f32,
    ceiling: f32,
    glide: Glide,
    /// Samples that wait; how many of them have been looked at.
    waiting: [Vec<f32>; 2],
    looked: usize,
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
        let glide = Glide::new(rate, let_go);
        let delay = glide.delay();
        Limiter {
            gain: gain as f32,
            ceiling: ceiling as f32,
            glide,
            waiting: [vec![0.0; delay], vec![0.0; delay]],
            looked: delay,
            used: 1.0,
        }
    }

    /// By how many samples what comes out is late.
    pub(crate) fn delay(&self) -> usize {
        self.glide.delay()
    }

    /// Takes a block of both channels, or of one that stands for both, and leaves in its place what comes out, late: the first
    /// `Limiter::delay` samples that come out are silent.
    pub fn block(&mut self, sides: &mut [&mut [f32]]) {
        let Limiter { gain, ceiling, glide, waiting, looked, used } = self;
        let length = sides[0].len();
        waiting.iter_mut().zip(&*sides).for_each(|(waiting, side)| waiting.extend_from_slice(side));
        let waiting = &mut waiting[..sides.len()];
        while *looked + STEP <= waiting[0].len() {
            let step = |side: &Vec<f32>| loudest(&side[*looked..*looked + STEP]);
            let peak = waiting.iter().map(step).fold(0.0, f32::max) * *gain;
            glide.look(if peak > *ceiling { f64::from(*ceiling) / f64::from(peak) } else { 1.0 });
            *looked += STEP;
        }
        glide.go_out(length, &mut |range, first, grows| {
            *used = used.min(f64::from(first)).min(f64::from(first + grows * (range.len() - 1) as f32));
            for (side, waiting) in sides.iter_mut().zip(&*waiting) {
                let (out, waiting) = (&mut side[range.clone()], &waiting[range.clone()]);
                if first == 1.0 && grows == 0.0 {
                    out.iter_mut().zip(waiting).for_each(|(out, sample)| *out = sample * *gain);
                } else {
                    let gains = (0u8..).map(|n| *gain * (first + grows * f32::from(n)));
                    out.iter_mut().zip(waiting).zip(gains).for_each(|((out, sample), gain)| *out = sample * gain);
                }
            }
        });
        waiting.iter_mut().for_each(|side| drop(side.drain(..length)));
        *looked -= length;
    }
}

/// Gains and ceilings in dB as amplitudes, for the rooms beside.
pub(super) fn amplitude(level: f64) -> f64 {
    db(level)
}

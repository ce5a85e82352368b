//! How the engine room sounds: iron, shaker, scratcher, congas, a small drum set, claves here; further drums in `drums`,
//! cymbals, triangle and tambourine in `metals`.
//!
//! Struck bodies are sums of modes, whose frequency ratios are those of textbook bodies (free plate, membrane, free bar);
//! the shaker is P. R. Cook's model; scraped and rattling sounds are noise through `fundsp` filters. Sizes, decays and
//! levels that no source gives are our own settings.

use fundsp::prelude64::{An, AudioNode, U1, bandpass_hz, highpass_hz, noise};

use super::pan_voice::db;
use super::partial::{self, Partial};
use crate::music::Force;
use crate::music::Seed;
use crate::music::count;
use crate::notation::tree::Mark;
use crate::pan::Instrument;

/// Mode ratios of a free circular plate of grey iron (Poisson 0.28), from the free-edge plate equation; the handbook
/// list for steel is 1 : 1.73 : 2.328 : 3.91 … (Fletcher & Rossing, after Leissa 1969). A brake drum lies between this
/// and a ring; no list of a brake drum's own modes was found.
pub const PLATE: [f64; 8] = [1.0, 1.653, 2.318, 3.772, 4.064, 6.230, 6.507, 7.084];

/// Mode ratios of a thin free ring, n(n²−1)/√(n²+1) for n = 2 to 6 (Rayleigh, Hoppe).
pub const RING: [f64; 5] = [1.0, 2.828, 5.423, 8.771, 12.866];

/// Mode ratios of an ideal membrane, the zeros of Bessel functions, in the order 01 11 21 02 31 12 41 22 03 51 32
/// (Morrison & Rossing, "Percussion musical instruments", 2018, fig. 9.1).
pub const MEMBRANE: [f64; 11] = [1.0, 1.593, 2.136, 2.295, 2.653, 2.917, 3.155, 3.500, 3.598, 3.647, 4.059];

/// Mode ratios of a free straight bar (Euler and Bernoulli).
pub const BAR: [f64; 4] = [1.0, 2.757, 5.404, 8.933];

/// The iron's lowest plate mode in hertz. Our own setting.
pub const IRON: f64 = 640.0;

/// The conga's lowest membrane mode in hertz. Our own setting.
pub const CONGA: f64 = 205.0;

/// The same of the drum set's snare and bass drum. Our own settings.
const SNARE: f64 = 185.0;
const KICK: f64 = 56.0;

/// The sample rate that levels are set at, in hertz; the others follow it.
const USUAL: f64 = 44_100.0;

/// Cook's shaker (P. R. Cook, "Physically informed sonic modeling", Computer Music Journal 21(3), 1997), at the rate
/// that his figures hold for.
pub mod shaker {
    /// The model's sample rate in hertz (from memory; the decays below are per sample at this rate).
    pub const RATE: f64 = 22_050.0;
    /// Chance that beans collide in a sample.
    pub(crate) const COLLISION: f64 = 1.0 / 16.0;
    /// What is left of the shake's energy after a sample: a time constant of 45.3 ms.
    pub const SYSTEM_DECAY: f64 = 0.999;
    /// What is left of a collision's sound after a sample: a time constant of 0.884 ms.
    pub const SOUND_DECAY: f64 = 0.95;
    /// The shell's resonance in hertz.
    pub(crate) const RESONANCE: f64 = 3200.0;
    /// The radius of its poles.
    pub const RADIUS: f64 = 0.96;
    /// How many beans.
    pub(crate) const BEANS: f64 = 64.0;
}

/// The samples of a stroke, about 1 at its loudest.
///
/// - `force`: how hard; only the brightness depends on it, the mix sets the loudness.
/// - `variant`: which of several strokes that are meant the same.
pub fn samples(instrument: Instrument, mark: Mark, force: Force, variant: u8, rate: f64) -> Vec<f32> {
    let mut out = one(instrument, mark, force, variant, rate);
    if rate != USUAL {
        as_strong_as(&one(instrument, mark, force, variant, USUAL), &mut out, rate);
    }
    out
}

/// Scales a stroke to the energy that it has at the usual rate, if its peak lets it: hits and phases at random are others at each rate,
/// and give other peaks (up to 5 dB, measured).
fn as_strong_as(usual: &[f32], out: &mut [f32], rate: f64) {
    let energy = |samples: &[f32], rate| samples.iter().map(|sample| f64::from(*sample).powi(2)).sum::<f64>() / rate;
    let peak = out.iter().fold(0f32, |most, sample| most.max(sample.abs()));
    let factor = (energy(usual, USUAL) / energy(out, rate)).sqrt().min(1.0 / f64::from(peak));
    if factor.is_finite() {
        out.iter_mut().for_each(|sample| *sample *= factor as f32);
    }
}

/// The samples of a stroke, its peak at the level of its kind.
fn one(instrument: Instrument, mark: Mark, force: Force, variant: u8, rate: f64) -> Vec<f32> {
    let seed = Seed::of(&[instrument as u64, mark as u64, u64::from(variant)]);
    let stroke = Stroke { seed, bright: f64::from(force.value()) - 80.0 / 127.0, rate };
    let mut out = match instrument {
        Instrument::Iron => stroke.iron(mark),
        Instrument::Shaker => stroke.shaker(mark),
        Instrument::Scratcher => stroke.scratcher(mark),
        Instrument::Conga => stroke.conga(mark),
        Instrument::Kick => stroke.kick(),
        Instrument::Snare => stroke.snare(mark),
        Instrument::HiHat => stroke.hi_hat(mark),
        Instrument::Cowbell => stroke.cowbell(mark),
        Instrument::Claves => stroke.claves(),
        Instrument::Tambourine => stroke.tambourine(mark),
        Instrument::Triangle => stroke.triangle(mark),
        Instrument::Cymbal => stroke.cymbal(mark),
        Instrument::Ride => stroke.ride(mark),
        Instrument::Toms | Instrument::Bongos | Instrument::Timbales => stroke.drum(instrument, mark),
    };
    fade_end(&mut out);
    out
}

/// The modes of a struck iron, cowbell, triangle, pair of claves, or drum without a snare; empty for what is mostly noise.
pub fn modes(instrument: Instrument, mark: Mark, force: Force, variant: u8) -> Vec<Partial> {
    let seed = Seed::of(&[instrument as u64, mark as u64, u64::from(variant)]);
    let stroke = Stroke { seed, bright: f64::from(force.value()) - 80.0 / 127.0, rate: USUAL };
    match instrument {
        Instrument::Iron => stroke.iron_modes(mark),
        Instrument::Conga => stroke.conga_modes(mark),
        Instrument::Cowbell => stroke.cowbell_modes(mark),
        Instrument::Claves => stroke.claves_modes(),
        Instrument::Triangle => stroke.triangle_modes(mark),
        Instrument::Toms | Instrument::Bongos | Instrument::Timbales => stroke.drum_modes(instrument, mark),
        _ => Vec::new(),
    }
}

/// What a stroke's sound depends on.
pub(super) struct Stroke {
    pub(super) seed: Seed,
    /// Force above `mf`.
    pub(super) bright: f64,
    pub(super) rate: f64,
}

/// Small things that hit each other at random: beans or jingles.
pub(super) struct Rattle {
    /// How long it is listened to.
    pub seconds: f64,
    /// The energy that it is given at the start.
    pub push: f64,
    /// What is left of the energy from one sample to the next.
    pub system: f64,
    /// What is left of the sound of the hits from one sample to the next.
    pub sound: f64,
    /// How likely a hit is in a sample.
    pub often: f64,
}

impl Stroke {
    /// Modes of a body: the ratios, the lowest in hertz, levels falling by `slope` dB an octave, T60 of the lowest in
    /// seconds and the power of the ratio with which it shortens.
    pub(super) fn body(&self, ratios: &[f64], lowest: f64, slope: f64, t60: f64, shortening: f64) -> Vec<Partial> {
        let mut seed = self.seed;
        let slope = slope - 6.0 * self.bright;
        ratios
            .iter()
            .map(|ratio| {
                let level = db(-slope * ratio.log2() + 2.0 * seed.near_zero());
                Partial::new(lowest * ratio, level, t60 * ratio.powf(-shortening))
            })
            .collect()
    }

    fn iron_modes(&self, mark: Mark) -> Vec<Partial> {
        match mark {
            Mark::Stroke => self.body(&PLATE, IRON, -2.0, 0.30, 0.3),
            Mark::Open => self.body(&PLATE, IRON, 3.5, 0.85, 0.45),
            Mark::Slap => self.body(&PLATE, IRON, 0.5, 0.07, 0.2),
        }
    }

    fn iron(&self, mark: Mark) -> Vec<f32> {
        let mut out = modal(&self.iron_modes(mark), self.rate);
        self.add_noise(&mut out, highpass_hz(self.within(5000.0), 0.7), db(-8.0), 0.004);
        level_to(out, 0.8)
    }

    fn conga_modes(&self, mark: Mark) -> Vec<Partial> {
        let mut modes = match mark {
            Mark::Stroke => self.body(&MEMBRANE, CONGA, 6.0, 0.11, 0.3),
            Mark::Open => self.body(&MEMBRANE, CONGA, 7.0, 0.60, 0.9),
            Mark::Slap => self.body(&MEMBRANE, CONGA, 0.0, 0.16, 0.4),
        };
        for mode in &mut modes {
            (mode.glide, mode.glide_time) = (25.0, 0.02);
        }
        modes
    }

    fn conga(&self, mark: Mark) -> Vec<f32> {
        let mut out = modal(&self.conga_modes(mark), self.rate);
        let (level, length) = if mark == Mark::Slap { (-4.0, 0.012) } else { (-16.0, 0.006) };
        self.add_noise(&mut out, bandpass_hz(self.within(2600.0), 0.8), db(level), length);
        level_to(out, 0.8)
    }

    fn kick(&self) -> Vec<f32> {
        let mut modes = self.body(&MEMBRANE[..4], KICK, 9.0, 0.32, 0.8);
        for mode in &mut modes {
            (mode.glide, mode.glide_time) = (700.0, 0.025);
        }
        let mut out = modal(&modes, self.rate);
        self.add_noise(&mut out, bandpass_hz(self.within(1800.0), 0.7), db(-18.0), 0.006);
        level_to(out, 0.9)
    }

    fn snare(&self, mark: Mark) -> Vec<f32> {
        if mark == Mark::Slap {
            let mut out = modal(&self.body(&BAR, 830.0, 4.0, 0.045, 0.3), self.rate);
            self.add_noise(&mut out, bandpass_hz(self.within(2200.0), 1.0), db(-10.0), 0.008);
            return level_to(out, 0.7);
        }
        let rim = mark == Mark::Open;
        let mut out = modal(&self.body(&MEMBRANE, SNARE, if rim { 3.0 } else { 6.0 }, 0.2, 0.5), self.rate);
        self.add_noise(&mut out, bandpass_hz(self.within(if rim { 4200.0 } else { 3300.0 }), 0.5), db(3.0), 0.17);
        level_to(out, 0.8)
    }

    fn hi_hat(&self, mark: Mark) -> Vec<f32> {
        let length = match mark {
            Mark::Stroke => 0.065,
            Mark::Open => 0.45,
            Mark::Slap => 0.045,
        };
        let mut out = vec![0.0; self.frames(length * 1.2)];
        // The pedal brings two plates together without a stick: duller.
        let middle = if mark == Mark::Slap { 5500.0 } else { 9000.0 };
        self.add_noise(&mut out, bandpass_hz(self.within(middle), 0.9), 1.0, length);
        let metal = modal(&self.body(&RING, 3150.0, -1.0, length * 0.9, 0.2), self.rate);
        out.iter_mut().zip(metal).for_each(|(sample, metal)| *sample += 0.12 * metal);
        level_to(out, 0.6)
    }

    fn cowbell_modes(&self, mark: Mark) -> Vec<Partial> {
        let t60 = if mark == Mark::Open { 0.45 } else { 0.10 };
        self.body(&[1.0, 1.51, 2.04, 2.98, 3.87, 5.21], 562.0, 3.0, t60, 0.5)
    }

    fn cowbell(&self, mark: Mark) -> Vec<f32> {
        let mut out = modal(&self.cowbell_modes(mark), self.rate);
        self.add_noise(&mut out, highpass_hz(self.within(4000.0), 0.7), db(-12.0), 0.004);
        level_to(out, 0.8)
    }

    fn claves_modes(&self) -> Vec<Partial> {
        self.body(&BAR[..3], 1750.0, 6.0, 0.075, 0.8)
    }

    fn claves(&self) -> Vec<f32> {
        let mut out = modal(&self.claves_modes(), self.rate);
        self.add_noise(&mut out, bandpass_hz(self.within(3500.0), 1.0), db(-14.0), 0.003);
        level_to(out, 0.8)
    }

    /// A scrape: the scratcher's ridges struck one after the other, each a short burst of noise.
    fn scratcher(&self, mark: Mark) -> Vec<f32> {
        let (ridges, length) = if mark == Mark::Open { (22, 0.20) } else { (7, 0.055) };
        let mut seed = self.seed;
        let frames = self.frames(length + 0.02);
        let mut hits = vec![0.0f64; frames];
        for ridge in 0..ridges {
            let place = (f64::from(ridge) + 0.25 * seed.near_zero().abs()) / f64::from(ridges);
            let at = count(place * length * self.rate);
            let loud = 0.75 + 0.25 * seed.unit();
            let burst = count(0.004 * self.rate);
            for (n, hit) in hits.iter_mut().skip(at).take(burst).enumerate() {
                *hit += loud * (-6.0 * n as f64 / burst as f64).exp() * seed.even();
            }
        }
        level_to(resonance(&hits, 2900.0, 0.93, self.rate), 0.6)
    }

    /// Cook's shaker after one push, its constants converted to the sample rate.
    fn shaker(&self, mark: Mark) -> Vec<f32> {
        let push = if mark == Mark::Open { 0.75 } else { 1.0 };
        let per_sample = shaker::RATE / self.rate;
        let hits = self.hits(&Rattle {
            seconds: 0.25,
            push,
            system: shaker::SYSTEM_DECAY.powf(per_sample),
            sound: shaker::SOUND_DECAY.powf(per_sample),
            often: shaker::COLLISION * per_sample * shaker::BEANS / 64.0,
        });
        let tone = if mark == Mark::Open { 0.92 } else { 1.0 };
        level_to(resonance(&hits, shaker::RESONANCE * tone, shaker::RADIUS, self.rate), 0.6 * push as f32)
    }

    /// The noise of hits at random, the first at once, while what shakes them comes to rest.
    pub(super) fn hits(&self, rattle: &Rattle) -> Vec<f64> {
        let mut seed = self.seed;
        let (mut energy, mut level) = (rattle.push, 0.0);
        let sample = |n: usize| {
            energy *= rattle.system;
            if n == 0 || seed.unit() < rattle.often {
                level += energy;
            }
            level *= rattle.sound;
            level * seed.even()
        };
        (0..self.frames(rattle.seconds)).map(sample).collect()
    }

    /// Adds noise through a `fundsp` filter: level, and T60-like length in seconds.
    pub(super) fn add_noise<F>(&self, out: &mut [f32], filter: An<F>, level: f64, length: f64)
    where
        F: AudioNode<Inputs = U1, Outputs = U1>,
    {
        let mut seed = self.seed;
        let mut graph: An<_> = noise().seed(seed.next_u64()) >> filter;
        graph.set_sample_rate(self.rate);
        let shrink = (-partial::LN_1000 / (length * self.rate)).exp();
        let mut envelope = level * db(4.0 * self.bright);
        for sample in out.iter_mut().take(count(1.3 * length * self.rate)) {
            *sample += (envelope * f64::from(graph.get_mono())) as f32;
            envelope *= shrink;
        }
    }

    pub(super) fn frames(&self, seconds: f64) -> usize {
        count(seconds * self.rate)
    }

    /// A filter's frequency, below half the sample rate, where filters are of no use.
    pub(super) fn within(&self, hertz: f64) -> f32 {
        hertz.min(0.45 * self.rate) as f32
    }
}

/// The samples of modes, down to -80 dB below the strongest.
pub(super) fn modal(modes: &[Partial], rate: f64) -> Vec<f32> {
    let loudest = modes.iter().map(|mode| mode.level).fold(0.0, f64::max);
    partial::sum(modes, loudest, rate, usize::MAX)
}

/// A signal through one resonance with a pole radius that holds at [`shaker::RATE`].
pub(super) fn resonance(signal: &[f64], frequency: f64, radius: f64, rate: f64) -> Vec<f32> {
    let radius = radius.powf(shaker::RATE / rate);
    let a1 = -2.0 * radius * (std::f64::consts::TAU * frequency / rate).cos();
    let a2 = radius * radius;
    let (mut y1, mut y2) = (0.0, 0.0);
    let step = |x: &f64| {
        let y = x - a1 * y1 - a2 * y2;
        (y2, y1) = (y1, y);
        y as f32
    };
    signal.iter().map(step).collect()
}

/// The samples scaled so that the loudest is `peak`.
pub(super) fn level_to(mut out: Vec<f32>, peak: f32) -> Vec<f32> {
    let loudest = out.iter().fold(0f32, |most, sample| most.max(sample.abs()));
    if loudest > 0.0 {
        out.iter_mut().for_each(|sample| *sample *= peak / loudest);
    }
    out
}

/// How many samples [`fade_end`] fades.
pub(super) const END: usize = 96;

/// Fades the last 2 ms or so, so that a sound cut at -80 dB ends without a step.
pub(super) fn fade_end(out: &mut [f32]) {
    let fade = out.len().min(END);
    let from = out.len() - fade;
    for (n, sample) in out[from..].iter_mut().enumerate() {
        *sample *= 1.0 - (n + 1) as f32 / fade as f32;
    }
}

#[cfg(test)]
#[path = "engine_room_tests.rs"]
mod tests;

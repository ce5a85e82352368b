//! How the engine room's cymbals, its triangle and its tambourine sound.
//!
//! A cymbal is many modes that lie evenly, as those of any thin plate do (Fletcher & Rossing, "The Physics of Musical
//! Instruments", on plates), and noise above them where they lie too close to tell apart. A triangle is a bent bar. Sizes,
//! decays and levels are our own settings: no source gives them.

use fundsp::prelude64::{bandpass_hz, highpass_hz};

use super::engine_room::{Rattle, Stroke, level_to, modal, resonance};
use super::pan_voice::db;
use super::partial::{LN_1000, Partial};
use crate::music::Seed;
use crate::music::count;
use crate::notation::tree::Mark;

/// A cymbal as it is struck.
struct Plate {
    /// Its lowest mode in hertz, and how far apart its modes lie.
    lowest: f64,
    apart: f64,
    /// How many of them are heard one by one.
    modes: u32,
    /// By how many dB an octave they get weaker, at `mf`.
    slope: f64,
    /// How long the lowest takes to fall by 60 dB, in seconds, and the power of a mode's ratio with which it dies sooner.
    t60: f64,
    shortening: f64,
    /// The time constant, in seconds, with which a blow spreads over the plate.
    spreads: f64,
    /// The hiss above: dB, from which hertz on, seconds.
    hiss: (f64, f64, f64),
    /// The stick's click: dB, middle in hertz, seconds.
    click: (f64, f64, f64),
}

const CRASH: Plate = Plate {
    lowest: 340.0,
    apart: 148.0,
    modes: 56,
    slope: 1.0,
    t60: 2.3,
    shortening: 0.35,
    spreads: 0.004,
    hiss: (2.0, 5200.0, 1.1),
    click: (-6.0, 3500.0, 0.010),
};

/// A hand that chokes a cymbal right after the stroke.
const CHOKED: Plate = Plate { t60: 0.16, shortening: 0.1, hiss: (0.0, 5200.0, 0.12), ..CRASH };

const RIDE: Plate = Plate {
    lowest: 420.0,
    apart: 171.0,
    modes: 44,
    slope: -0.5,
    t60: 1.3,
    shortening: 0.25,
    spreads: 0.0,
    hiss: (-20.0, 6500.0, 0.5),
    click: (2.0, 5200.0, 0.012),
};

/// The bell, which is thick and small: few modes, far apart.
const BELL: Plate = Plate {
    lowest: 780.0,
    apart: 655.0,
    modes: 9,
    slope: 1.5,
    t60: 1.1,
    shortening: 0.3,
    spreads: 0.0,
    hiss: (-30.0, 6500.0, 0.3),
    click: (-10.0, 5200.0, 0.006),
};

/// How unevenly a cymbal's modes lie: the part of their distance by which each is off at most.
const UNEVEN: f64 = 0.45;

/// A triangle's steel rod, half a metre long and a centimetre thick: the lowest mode of the straight one, in hertz, by the
/// formula of the free bar (Euler and Bernoulli).
const ROD: f64 = 181.0;

/// The first root of the free bar's equation; the n-th is near (2n + 1)π/2.
const FIRST_ROOT: f64 = 4.730_041;

/// A triangle's modes by their numbers. The thin rod hardly radiates the ones below.
const ROD_MODES: std::ops::RangeInclusive<u32> = 4..=11;

/// Where the bend parts each mode into one in the triangle's plane and one across it: a part of the frequency.
const BEND: f64 = 0.007;

/// How long an open triangle takes to fall by 60 dB, and a muted one, in seconds.
const TRIANGLE: (f64, f64) = (2.2, 0.11);

/// A tambourine struck, and shaken: for how long the jingles go on hitting each other, in seconds of T60; how often they do,
/// a second; how much is left of a hit after its T60 in seconds.
const STRUCK: (f64, f64, f64) = (0.16, 700.0, 0.030);
const SHAKEN: (f64, f64, f64) = (0.42, 420.0, 0.030);

/// The jingles' resonances in hertz, the radius of the poles (at the shaker's rate), and the level of each.
const JINGLES: [(f64, f64, f64); 3] = [(5400.0, 0.95, 0.8), (7700.0, 0.96, 1.0), (9600.0, 0.96, 0.7)];

/// The frame of a tambourine that the hand strikes: dB, middle in hertz, seconds.
const FRAME: (f64, f64, f64) = (-12.0, 900.0, 0.020);

impl Stroke {
    pub(super) fn cymbal(&self, mark: Mark) -> Vec<f32> {
        let plate = if mark == Mark::Slap { &CHOKED } else { &CRASH };
        level_to(self.plate(plate), 0.8)
    }

    pub(super) fn ride(&self, mark: Mark) -> Vec<f32> {
        let plate = if mark == Mark::Open { &BELL } else { &RIDE };
        level_to(self.plate(plate), 0.7)
    }

    fn plate(&self, plate: &Plate) -> Vec<f32> {
        let mut out = modal(&self.plate_modes(plate), self.rate);
        // Many modes at once, whose phases differ: about as loud as the square root of their number.
        let loud = f64::from(plate.modes).sqrt();
        let (level, from, length) = plate.hiss;
        self.add_noise(&mut out, highpass_hz(self.within(from), 0.7), loud * db(level), length);
        let (level, middle, length) = plate.click;
        self.add_noise(&mut out, bandpass_hz(self.within(middle), 0.8), loud * db(level), length);
        out
    }

    /// The modes of a plate. They lie alike in every stroke; their levels and phases differ.
    fn plate_modes(&self, plate: &Plate) -> Vec<Partial> {
        let (mut place, mut seed) = (Seed::of(&[count(plate.lowest) as u64]), self.seed);
        let slope = plate.slope - 6.0 * self.bright;
        (0..plate.modes)
            .map(|number| {
                let frequency = plate.lowest + plate.apart * (f64::from(number) + UNEVEN * place.even());
                let ratio = frequency / plate.lowest;
                let level = db(-slope * ratio.log2() + 4.0 * seed.near_zero());
                let mut mode = Partial::new(frequency, level, plate.t60 * ratio.max(1.0).powf(-plate.shortening));
                (mode.rise, mode.phase) = (plate.spreads, seed.unit());
                mode
            })
            .collect()
    }

    pub(super) fn triangle_modes(&self, mark: Mark) -> Vec<Partial> {
        let t60 = if mark == Mark::Open { TRIANGLE.0 } else { TRIANGLE.1 };
        let mut seed = self.seed;
        let mut mode = |number: u32, side: f64| {
            let root = f64::from(2 * number + 1) * std::f64::consts::FRAC_PI_2 / FIRST_ROOT;
            let level = db(2.0 * seed.near_zero() + 6.0 * self.bright * (root / 5.0).log2());
            Partial::new(ROD * root * root * (1.0 + side * BEND / 2.0), level, t60 * root.powf(-0.3) * 5f64.powf(0.3))
        };
        ROD_MODES.flat_map(|number| [mode(number, -1.0), mode(number, 1.0)]).collect()
    }

    pub(super) fn triangle(&self, mark: Mark) -> Vec<f32> {
        let mut out = modal(&self.triangle_modes(mark), self.rate);
        self.add_noise(&mut out, highpass_hz(self.within(7000.0), 0.7), db(-4.0), 0.003);
        level_to(out, 0.7)
    }

    /// Jingles that hit each other at random while the blow or the shake lasts.
    pub(super) fn tambourine(&self, mark: Mark) -> Vec<f32> {
        let is_struck = mark != Mark::Open;
        let (lasts, often, sound) = if is_struck { STRUCK } else { SHAKEN };
        let decay = |t60: f64| (-LN_1000 / (t60 * self.rate)).exp();
        let hits = self.hits(&Rattle {
            seconds: 1.3 * lasts,
            push: 1.0,
            system: decay(lasts),
            sound: decay(sound),
            often: often / self.rate,
        });
        let mut out = vec![0.0; hits.len()];
        for (frequency, radius, level) in JINGLES {
            let jingle = level_to(resonance(&hits, f64::from(self.within(frequency)), radius, self.rate), level as f32);
            out.iter_mut().zip(jingle).for_each(|(sample, jingle)| *sample += jingle);
        }
        if is_struck {
            self.add_noise(&mut out, bandpass_hz(self.within(FRAME.1), 0.8), 3.0 * db(FRAME.0), FRAME.2);
        }
        level_to(out, 0.6)
    }
}

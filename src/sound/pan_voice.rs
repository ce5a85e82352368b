//! How a note of a pan sounds: its partials, after the published acoustics of the steelpan.
//!
//! What published work gives (Hansen & Rossing, "The Caribbean steelpan, and some offsprings"; Hansen, Rossing, Mannette
//! & George, MRS Bulletin 20(3), 1995; Achong, J. Sound Vib. 197, 1996): the lowest partials are tuned to 1 : 2 : 3 (or
//! 4), levels fall smoothly, harmonically related neighbour notes ring along, energy passes from the fundamental to the
//! upper partials after the stroke, and harder strokes are brighter. Measured partials lie up to 17 cents from exact
//! multiples. Decay times, delays and levels were not found in print: those in [`family`] are our own.

use super::lift::lift;
use super::partial::{self, Partial};
use crate::music::Seed;
use crate::music::count;
use crate::music::{Force, Hertz};
use crate::pan::PanKind;

/// How many partials of the struck note sound.
const PARTIALS: usize = 6;

/// How far a partial may lie from its exact multiple, in cents: the second, third, and later ones. The published
/// measurements reach 17 cents; tuners take most care over the octave (our own reading of them).
pub const OFFSETS: [f64; PARTIALS] = [0.0, 5.0, 10.0, 17.0, 17.0, 17.0];

/// The force at which the levels in [`family`] hold: `mf`, velocity 80. Our own setting.
const MIDDLE_FORCE: f64 = 80.0 / 127.0;

/// By how many dB a partial rises against the one below it when the force goes from 0 to 1. Our own setting.
const BRIGHTNESS: f64 = 17.0;

/// By how much the rises of upper partials lengthen when the force goes from 0 to 1: louder strokes put more energy
/// through the slow exchange between the modes. Our own setting.
const SLOWER_RISE: f64 = 0.5;

/// How far a stroke of full force starts above its pitch, in cents. Our own setting ("at most a few cents").
const GLIDE: f64 = 7.0;

/// Time constant of the glide in seconds, so that 1 % is left after 140 ms. Our own setting.
const GLIDE_TIME: f64 = 0.030;

/// How energy goes back and forth between the fundamental and the octave after the stroke (Achong, J. Sound Vib. 197, 1996; Monteil,
/// Touzé & Thomas, Nonlinear Dynamics, 2013): how often a second, lowest and highest, and how deep it bends either, as a part of its
/// level. That it does is published; how much is our own setting, small enough for no note to seem to waver.
const EXCHANGE: (f64, f64) = (1.6, 3.4);
const EXCHANGED: [f64; 2] = [0.14, 0.30];

/// How many modes lie near a multiple: a second one beside the octave and beside the third partial (Monteil, Touzé & Thomas 2012 find
/// several). How far off it lies, in hertz, lowest and highest, and its level against the first, in dB, are our own settings.
const PAIRED: std::ops::RangeInclusive<usize> = 1..=2;
const APART: (f64, f64) = (0.7, 2.6);
const SECOND: f64 = -12.0;

/// By how many dB at most the upper partials are louder or softer for where the stick lands, by chance; at most as much again for each
/// partial of its own while the stick is heard. Our own setting: the sound depends on how the stick lands (Achong 1996), by how
/// much is not in print.
const PLACE: f64 = 3.5;

/// By how much the level of a partial differs between strokes that are meant the same, in dB. Our own setting.
const VARIATION: f64 = 2.0;

/// Levels of a neighbour's ring: the note an octave up and the note a twelfth up, in dB. Published work says that
/// related neighbours couple noticeably but gives no figure: our own setting.
const NEIGHBOURS: [(i32, f64); 2] = [(12, -22.0), (19, -27.0)];

/// Time constant of a neighbour's rise in seconds. Our own setting.
const NEIGHBOUR_RISE: f64 = 0.045;

/// Modes of the drum's skirt: ratio to the skirt's lowest, and level in dB. The skirt vibrates 20 to 40 dB below the
/// struck note (Rossing, Hampton & Hansen, 1996); the ratios are our own setting.
const SKIRT: [(f64, f64); 4] = [(1.0, -30.0), (1.47, -32.0), (2.31, -33.0), (3.62, -36.0)];

/// How long the skirt sounds: T60 in seconds. Our own setting.
const SKIRT_T60: f64 = 0.09;

/// Time constant of the skirt's rise in seconds. Our own setting.
const SKIRT_RISE: f64 = 0.0008;

/// With which power of its number an upper partial's decay is shorter than the fundamental's. Our own setting.
const UPPER_SHORTENING: f64 = 0.55;

/// By how much the level of a partial differs between notes of a pan, in dB. Our own setting.
const OWN_LEVEL: f64 = 1.5;

/// Level of the stick's own sound in dB. Our own setting.
const STICK: f64 = -26.0;

/// How long the balance of partials stays shifted, in seconds. Our own setting: by then those above the fundamental are 20 dB down or
/// more, and where the stick landed is heard no longer.
const SHIFTED: f64 = 0.35;

/// What tells the seed of a note's breath from others.
const BREATH: u64 = 0x0062_7265_6174_6865;

/// The settings of a family of pans. All are our own: no published figures were found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Family {
    /// T60 of the fundamental in seconds, at `reference`.
    pub t60: f64,
    /// The frequency in hertz at which `t60` holds: about the family's lowest note.
    pub reference: f64,
    /// With which power of the frequency the decay shortens.
    pub shortening: f64,
    /// Levels of partials 2 to 6 against the fundamental, in dB, for a stroke of middle force.
    pub levels: [f64; PARTIALS - 1],
    /// Time constants of the rise of partials 1 to 3 in seconds; later partials rise as the third.
    pub rises: [f64; 3],
    /// For how long the stick touches the note, in seconds.
    pub contact: f64,
    /// The lowest mode of the skirt in hertz.
    pub skirt: f64,
}

impl Family {
    /// A family by its decay (T60, where that holds, how it shortens), and the rest in the order of the fields.
    const fn new(
        (t60, reference, shortening): (f64, f64, f64),
        levels: [f64; PARTIALS - 1],
        rises: [f64; 3],
        contact: f64,
        skirt: f64,
    ) -> Family {
        Family { t60, reference, shortening, levels, rises, contact, skirt }
    }
}

/// The settings of a kind of pan: low pans ring longer and are darker, their sticks are softer (Kronman, *Steel Pan
/// Tuning*, ch. 15, for the sticks; the figures are our own).
pub fn family(kind: PanKind) -> Family {
    match kind {
        PanKind::Lead | PanKind::PingPong => {
            Family::new((1.15, 262.0, 0.6), [-3.5, -10.0, -17.0, -25.0, -31.0], [0.0012, 0.016, 0.008], 0.0014, 720.0)
        }
        PanKind::DoubleTenor | PanKind::DoubleSecond => {
            Family::new((1.4, 185.0, 0.6), [-4.5, -11.5, -19.0, -27.0, -33.0], [0.0016, 0.018, 0.010], 0.0019, 610.0)
        }
        PanKind::DoubleGuitar | PanKind::TripleGuitar | PanKind::Quadrophonic => {
            Family::new((1.6, 123.0, 0.5), [-5.5, -13.0, -21.0, -29.0, -35.0], [0.0020, 0.022, 0.012], 0.0025, 480.0)
        }
        PanKind::TripleCello => {
            Family::new((1.9, 123.0, 0.55), [-6.5, -15.0, -23.0, -31.0, -37.0], [0.0026, 0.026, 0.014], 0.0032, 390.0)
        }
        PanKind::TenorBass => {
            Family::new((2.0, 87.0, 0.5), [-6.0, -15.0, -23.0, -31.0, -38.0], [0.0035, 0.030, 0.018], 0.0045, 300.0)
        }
        PanKind::SixBass | PanKind::NineBass => {
            Family::new((2.2, 58.0, 0.4), [-6.0, -14.0, -22.0, -30.0, -37.0], [0.0045, 0.035, 0.020], 0.0055, 230.0)
        }
    }
}

/// A note as it is struck.
#[derive(Clone, Debug, PartialEq)]
pub struct StruckNote {
    /// The kind of pan.
    pub kind: PanKind,
    /// The note's fundamental.
    pub frequency: Hertz,
    /// How hard it is struck.
    pub force: Force,
    /// What makes this pan's note itself: the same for every stroke on it.
    pub note_seed: Seed,
    /// The notes on the same pan that ring along: semitones above the struck note, and the fundamental.
    pub neighbours: Vec<(i32, Hertz)>,
    /// Whether it sounds as its own player hears it: with its upper partials lifted where a small speaker gives too little.
    pub lifted: bool,
}

/// Whether a note this many semitones above the struck one rings along: an octave or a twelfth.
pub(crate) fn rings_along(semitones: i32) -> bool {
    NEIGHBOURS.iter().any(|(interval, _)| *interval == semitones)
}

impl StruckNote {
    /// What rings: the partials of the note, then those of its neighbours, then what makes them beat. Every stroke of this force rings
    /// the same.
    ///
    /// The first is the fundamental; it lies exactly on the note's frequency.
    pub fn ring(&self) -> Vec<Partial> {
        let set = family(self.kind);
        let mut partials = self.own(&set);
        let beats = self.beats(&partials);
        partials.extend(self.neighbours.iter().filter_map(|(interval, hertz)| self.neighbour(&set, *interval, *hertz)));
        partials.extend(beats);
        partials
    }

    /// What makes partials beat: what bends fundamental and octave against each other, and the second modes beside some.
    fn beats(&self, own: &[Partial]) -> Vec<Partial> {
        let mut note = self.note_seed;
        let mut seed = Seed::of(&[note.next_u64(), BREATH]);
        let between = |(low, high): (f64, f64), seed: &mut Seed| low + (high - low) * seed.unit();
        let often = between(EXCHANGE, &mut seed);
        let mut beats = bent(&own[0], EXCHANGED[0], often).to_vec();
        beats.extend(bent(&own[1], -EXCHANGED[1], often));
        for partial in &own[PAIRED] {
            let apart = between(APART, &mut seed) * if seed.unit() < 0.5 { -1.0 } else { 1.0 };
            let (frequency, level) = (partial.frequency + apart, partial.level * db(SECOND));
            beats.push(Partial { frequency, level, phase: seed.unit(), ..*partial });
        }
        beats
    }

    /// What differs from stroke to stroke and is soon over: how bright the stick lands, and the modes of the skirt.
    ///
    /// - `variant`: which of several strokes that are meant the same.
    pub fn touch(&self, variant: u8) -> Vec<Partial> {
        let set = family(self.kind);
        let mut seed = self.stroke_seed(variant);
        let mut partials: Vec<Partial> = self.own(&set).into_iter().skip(1).collect();
        for partial in &mut partials {
            partial.level *= db(PLACE * seed.near_zero()) - 1.0;
            partial.t60 = partial.t60.min(SKIRT_T60);
        }
        partials.extend(self.skirt(&set, &mut seed));
        partials
    }

    /// T60 of the fundamental in seconds.
    pub fn t60(&self) -> f64 {
        decay(&family(self.kind), self.frequency.0)
    }

    /// The samples of what rings, at most `most` of them. The fundamental's level is 1.
    pub fn ring_samples(&self, rate: f64, most: usize) -> Vec<f32> {
        partial::sum(&self.ring(), 1.0, rate, most)
    }

    /// The samples of the partials above the fundamental, dying away within [`SHIFTED`]; at most `most` of them.
    pub(crate) fn shift_samples(&self, rate: f64, most: usize) -> Vec<f32> {
        let frames = count(SHIFTED * rate);
        let mut out = partial::sum(&self.own(&family(self.kind))[1..], 1.0, rate, frames.min(most));
        for (n, sample) in out.iter_mut().enumerate() {
            *sample *= (0.5 + 0.5 * (std::f64::consts::PI * n as f64 / frames as f64).cos()) as f32;
        }
        out
    }

    /// The samples of what differs from stroke to stroke, at most `most` of them: [`StruckNote::touch`] and the stick.
    pub(crate) fn touch_samples(&self, variant: u8, rate: f64, most: usize) -> Vec<f32> {
        let mut out = partial::sum(&self.touch(variant), 1.0, rate, most);
        self.add_stick(variant, &mut out, rate);
        out
    }

    /// The samples of a whole stroke.
    pub fn samples(&self, variant: u8, rate: f64) -> Vec<f32> {
        let mut out = self.ring_samples(rate, usize::MAX);
        let touch = self.touch_samples(variant, rate, out.len());
        out.iter_mut().zip(touch).for_each(|(sample, touch)| *sample += touch);
        let shift = shift(&mut self.stroke_seed(variant)) as f32;
        out.iter_mut().zip(self.shift_samples(rate, usize::MAX)).for_each(|(sample, upper)| *sample += shift * upper);
        out
    }

    /// By how many dB the stroke's force raises each partial against the one below it, and all that is above the note.
    fn brightness(&self) -> f64 {
        BRIGHTNESS * (f64::from(self.force.value()) - MIDDLE_FORCE)
    }

    fn own(&self, set: &Family) -> Vec<Partial> {
        let mut note = self.note_seed;
        let force = f64::from(self.force.value());
        let t60 = decay(set, self.frequency.0);
        let partial = |k: usize| {
            let number = (k + 1) as f64;
            let cents = OFFSETS[k] * note.near_zero();
            let own_level = if k == 0 { 0.0 } else { set.levels[k - 1] + OWN_LEVEL * note.near_zero() };
            let bright = self.brightness() * k as f64;
            let slower = if k == 0 { 1.0 } else { 1.0 + SLOWER_RISE * (force - MIDDLE_FORCE) };
            Partial {
                frequency: self.frequency.0 * number * (cents / 1200.0).exp2(),
                level: db(own_level + bright),
                rise: set.rises[k.min(2)] * slower,
                t60: t60 * number.powf(-UPPER_SHORTENING),
                glide: GLIDE * force * force,
                glide_time: GLIDE_TIME,
                phase: 0.0,
            }
        };
        let mut partials: Vec<Partial> = (0..PARTIALS).map(partial).collect();
        if self.lifted {
            lift(&mut partials);
        }
        partials
    }

    fn neighbour(&self, set: &Family, interval: i32, hertz: Hertz) -> Option<Partial> {
        let (_, level) = NEIGHBOURS.iter().find(|(semitones, _)| *semitones == interval)?;
        let level = db(level + self.brightness());
        Some(Partial { rise: NEIGHBOUR_RISE, ..Partial::new(hertz.0, level, decay(set, hertz.0)) })
    }

    fn skirt(&self, set: &Family, seed: &mut Seed) -> Vec<Partial> {
        let bright = self.brightness();
        let mode = |(ratio, level): (f64, f64)| {
            let level = db(level + bright + 2.0 * VARIATION * seed.near_zero());
            Partial { rise: SKIRT_RISE, ..Partial::new(set.skirt * ratio, level, SKIRT_T60) }
        };
        SKIRT.into_iter().map(mode).collect()
    }

    /// The stick's own sound: a breath of noise about as long as its contact, duller the longer that is.
    fn add_stick(&self, variant: u8, out: &mut [f32], rate: f64) {
        let set = family(self.kind);
        let mut noise = self.stroke_seed(variant);
        let level = db(STICK + self.brightness());
        let frames = count(2.0 * set.contact * rate);
        // One pole at the -3 dB point of a half-sine force pulse, 0.594 / contact.
        let keep = (-std::f64::consts::TAU * 0.594 / set.contact / rate).exp();
        let mut smooth = 0.0;
        for (n, sample) in out.iter_mut().take(frames).enumerate() {
            smooth = keep * smooth + (1.0 - keep).sqrt() * noise.even();
            let window = (std::f64::consts::PI * n as f64 / frames as f64).sin();
            *sample += (level * window * smooth) as f32;
        }
    }

    fn stroke_seed(&self, variant: u8) -> Seed {
        let mut note = self.note_seed;
        Seed::of(&[note.next_u64(), u64::from(variant), u64::from(self.force.velocity())])
    }
}

/// How much more or less of the partials above the fundamental there is for where the stick lands, as a part of them.
pub(crate) fn shift(seed: &mut Seed) -> f64 {
    db(PLACE * seed.near_zero()) - 1.0
}

/// What bends the level of a partial slowly up and down so many times a second, by a part of it that is largest at the stroke: a
/// partial as far below it as another is above, so that the pitch stays.
fn bent(partial: &Partial, part: f64, often: f64) -> [Partial; 2] {
    [-often, often].map(|off| Partial {
        frequency: partial.frequency + off,
        level: partial.level * 0.5 * part,
        ..*partial
    })
}

/// T60 of a fundamental: the family's, shorter for higher notes, so that no lower note of a pan decays faster.
fn decay(set: &Family, frequency: f64) -> f64 {
    set.t60 * (frequency / set.reference).powf(-set.shortening)
}

/// The amplitude of a level in dB.
pub(super) fn db(level: f64) -> f64 {
    10f64.powf(level / 20.0)
}

#[cfg(test)]
#[path = "pan_voice_tests.rs"]
mod tests;

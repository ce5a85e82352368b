//! The lift: a low pan's upper partials raised for its own player, so that a phone's speaker, which gives nothing of the
//! lower ones, still lets every note of the part be heard.
//!
//! A stroke is lifted just so far that enough of its loudness lies above what the speaker begins with; a stroke that has
//! that of itself, such as a lead's, stays as it is. Only the own part in tracks made for it is lifted, never the band.

use std::sync::LazyLock;

use super::partial::Partial;
use super::weighting::{self, Biquad, Cascade, Frame, LANES, SMALL_SPEAKER};

/// How much of a lifted stroke's loudness lies above [`SMALL_SPEAKER`] at least, in LU against all of it. Our own setting, by
/// measurement on the demo's tunes: with it the band stands behind a bass about as far as behind a
/// lead, and `alone` leaves a bass 6 LU softer on a phone than a lead.
pub const SHARE: f64 = -6.0;

/// The most that a partial is lifted by, in dB; a note too low for its sixth partial to be heard stays short of [`SHARE`].
/// Our own setting.
pub const MOST: f64 = 30.0;

/// Where the lift begins, in hertz: from here to [`SMALL_SPEAKER`] it grows with the octave, so that no partial stands out.
/// Our own setting.
const FROM: f64 = 150.0;

/// How close to [`SHARE`] the lift is worked out: so many halvings of [`MOST`].
const HALVINGS: u32 = 16;

/// Where a stroke on percussion is cut flat for its overtones, as a part of its loudest sample: low enough for them to last as
/// long as the stroke, so that they make it louder without higher peaks (on the demo's kick 0.1 gives 14 LU above 300 Hz at the
/// same peak; a shelf gave a click that peaked and was over). Our own setting, by measurement.
const FLAT: f32 = 0.1;

/// The sample rate at which weights are worked out; they hardly depend on it.
const RATE: f64 = 48_000.0;

/// The filters whose power weighs a partial: all of it, and what a small speaker gives.
static WEIGHTS: LazyLock<[Vec<Biquad>; 2]> =
    LazyLock::new(|| [weighting::k_weighting(RATE), weighting::small_speaker(RATE)]);

/// Lifts the upper partials of a pan's stroke, the fundamental being the first of them; all of them together stay as loud.
pub fn lift(partials: &mut [Partial]) {
    let parts: Vec<Weighed> = partials.iter().enumerate().map(|(number, partial)| weighed(number, partial)).collect();
    let sum = |lift: f64, of: fn(&Weighed) -> f64| -> f64 {
        parts.iter().map(|part| of(part) * raised(lift, part.reach).powi(2)).sum()
    };
    let lift = least(|lift| sum(lift, |part| part.small) / sum(lift, |part| part.all));
    if lift == 0.0 {
        return;
    }
    let level = (sum(0.0, |part| part.all) / sum(lift, |part| part.all)).sqrt();
    for (partial, part) in partials.iter_mut().zip(&parts) {
        partial.level *= level * raised(lift, part.reach);
    }
}

/// A partial's loudness as a power, what a small speaker gives of it, and how much of the lift it gets.
struct Weighed {
    all: f64,
    small: f64,
    reach: f64,
}

fn weighed(number: usize, partial: &Partial) -> Weighed {
    let [k, small] = &*WEIGHTS;
    let all = partial.energy() * weighting::power(k, partial.frequency, RATE);
    let reach = if number == 0 { 0.0 } else { reach(partial.frequency) };
    Weighed { all, small: all * weighting::power(small, partial.frequency, RATE), reach }
}

/// How much of the lift a frequency gets: none up to [`FROM`], all from [`SMALL_SPEAKER`] on.
fn reach(frequency: f64) -> f64 {
    ((frequency / FROM).log2() / (SMALL_SPEAKER / FROM).log2()).clamp(0.0, 1.0)
}

/// The amplitude of a lift in dB of which a share is taken.
fn raised(lift: f64, share: f64) -> f64 {
    super::pan_voice::db(lift * share)
}

/// The least lift in dB for which what a small speaker gives is [`SHARE`] of all.
fn least(share: impl Fn(f64) -> f64) -> f64 {
    let wanted = 10f64.powf(SHARE / 10.0);
    if share(0.0) >= wanted {
        return 0.0;
    }
    let (mut low, mut high) = (0.0, MOST);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if share(middle) >= wanted { high = middle } else { low = middle }
    }
    high
}

/// Lifts the samples of a stroke on percussion, such as a kick, that has hardly anything above [`SMALL_SPEAKER`] to be raised:
/// overtones are added, those of the same stroke cut flat at `FLAT` of its height. It stays as loud.
pub fn lift_samples(samples: &mut [f32], rate: f64) {
    let overtones = overtones(samples, rate);
    let energies = Overtones::of(samples, &overtones, rate);
    let lift = energies.lift();
    if lift == 0.0 {
        return;
    }
    let level = (energies.all[0] / energies.summed(&energies.all, lift)).sqrt() as f32;
    let gain = (raised(lift, 1.0) - 1.0) as f32;
    samples.iter_mut().zip(overtones).for_each(|(sample, overtone)| *sample = level * (*sample + gain * overtone));
}

/// Whether a stroke on percussion would be changed by [`lift_samples`].
pub fn needs_lift(samples: &[f32], rate: f64) -> bool {
    Overtones::of(samples, &overtones(samples, rate), rate).lift() > 0.0
}

/// What a small speaker gives of a stroke that is cut flat, as loud as if it had not been cut lower but raised.
fn overtones(samples: &[f32], rate: f64) -> Vec<f32> {
    let peak = samples.iter().fold(0.0f32, |peak, sample| peak.max(sample.abs()));
    let flat = (FLAT * peak).max(f32::MIN_POSITIVE);
    let cut = |sample: &f32| [sample.clamp(-flat, flat) / FLAT; LANES];
    let mut frames: Vec<Frame> = samples.iter().map(cut).collect();
    Cascade::new(&weighting::small_speaker(rate)).filter(&mut frames);
    frames.iter().map(|frame| frame[0]).collect()
}

/// The energies of a stroke and its overtones: of the stroke, of both together (their product), of the overtones.
struct Overtones {
    all: [f64; 3],
    small: [f64; 3],
}

impl Overtones {
    fn of(samples: &[f32], overtones: &[f32], rate: f64) -> Overtones {
        let frame = |(sample, overtone): (&f32, &f32)| {
            let mut frame = [0.0; LANES];
            (frame[0], frame[1]) = (*sample, *overtone);
            frame
        };
        let mut frames: Vec<Frame> = samples.iter().zip(overtones).map(frame).collect();
        let sum = |frames: &[Frame], a: usize, b: usize| -> f64 {
            frames.iter().map(|frame| f64::from(frame[a]) * f64::from(frame[b])).sum()
        };
        let sums = |frames: &[Frame]| [sum(frames, 0, 0), sum(frames, 0, 1), sum(frames, 1, 1)];
        Cascade::new(&weighting::k_weighting(rate)).filter(&mut frames);
        let all = sums(&frames);
        Cascade::new(&weighting::small_speaker(rate)).filter(&mut frames);
        Overtones { all, small: sums(&frames) }
    }

    fn lift(&self) -> f64 {
        if self.all[0] > 0.0 {
            least(|lift| self.summed(&self.small, lift) / self.summed(&self.all, lift))
        } else {
            0.0
        }
    }

    /// The energy of a stroke with its overtones.
    fn summed(&self, [stroke, both, overtones]: &[f64; 3], lift: f64) -> f64 {
        let gain = raised(lift, 1.0) - 1.0;
        stroke + 2.0 * gain * both + gain * gain * overtones
    }
}

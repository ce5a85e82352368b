//! How loud a page plays: for every way to hear the part, by how much the player, the band and the whole are raised.
//!
//! As tracks do, each way comes to one loudness, measured by the meter of ITU-R BS.1770 over half a minute from where the part
//! begins; the page's script keeps what is still too loud below [`CEILING`].

use std::collections::BTreeMap;

use serde::Serialize;

use super::bank::{Bank, RATE};
use crate::music::count;
use crate::performance::{Performance, Stroke};
use crate::sound::levels::{self, Beside};
use crate::sound::loudness::Meter;
use crate::sound::{Settings, plan};

/// How much is measured for the loudness of it all, in seconds.
const MEASURED: f64 = 30.0;

/// How much is measured to compare the part and the band, in seconds: all of most tunes.
const COMPARED: f64 = 300.0;

/// The highest sample that the page lets through: 1.5 dB below full scale, so that what lies between samples stays below -1 dBTP.
pub const CEILING: f64 = 0.841;

/// How far peaks may lie above the ceiling before it holds them down, in dB. Beyond, a way to hear stays softer.
const OVER: f64 = 4.0;

/// A way to hear the part.
#[derive(Clone, Debug, Serialize)]
pub struct Way {
    /// What it is called in the page.
    pub name: &'static str,
    /// What the player chooses it by.
    pub label: &'static str,
    /// Gain of the player's part.
    pub own: f64,
    /// Gain of the band.
    pub band: f64,
    /// Gain of all of it.
    pub all: f64,
}

/// How much further the band stands back on a page than by the small speaker that is measured with, in dB: a speaker that cuts off more
/// steeply leaves a low pan less (measured on the demo's cello: 0.9).
const STEEPER: f64 = 1.2;

/// The ways to hear what a player plays: loud with the band soft, alone, not at all, and as the band plays it.
///
/// There the band stands back as in the player's own track, worked out from the page's own strokes; a page's own part is
/// lifted (see [`crate::sound::lift`]) in every way to hear it.
///
/// - `own`: the voices of the player, at least one; all of them are raised or lowered together.
pub fn ways(performance: &Performance, own: &[u16], bank: &Bank) -> Vec<Way> {
    let [mine, others] = channels(performance, own, bank);
    let [part, rest] = [&mine, &others].map(|signal| levels::heard(signal, RATE));
    let behind = amplitude(Beside { own: part, rest }.behind() - STEEPER);
    let opening = |signal: &[f32]| signal[..signal.len().min(count(MEASURED * f64::from(RATE)))].to_vec();
    let (mine, others) = (opening(&mine), opening(&others));
    let way = |name, label, own: f64, band: f64| {
        let mixed: Vec<f32> =
            mine.iter().zip(&others).map(|(mine, others)| mine * own as f32 + others * band as f32).collect();
        Way { name, label, own, band, all: raised(&mixed) }
    };
    vec![
        way("loud", "my part loud, the band soft", 1.0, behind),
        way("band", "same loudness as the band", 1.0, 1.0),
        way("alone", "alone", 1.0, 0.0),
        way("silent", "silent: I play it", 0.0, 1.0),
    ]
}

/// The amplitude of a level in dB.
fn amplitude(level: f64) -> f64 {
    10f64.powf(level / 20.0)
}

/// By how much a mix is raised.
fn raised(mixed: &[f32]) -> f64 {
    let mut meter = Meter::new(RATE);
    meter.add(mixed, mixed);
    let db = amplitude;
    let (loudness, peak) = (meter.loudness(), meter.true_peak());
    if !peak.is_finite() {
        return db(Settings::default().loudness);
    }
    let most = CEILING * db(OVER) / db(peak);
    if loudness.is_finite() { db(Settings::default().loudness - loudness).min(most) } else { most.min(1.0) }
}

/// What the player plays and the band, from where the player begins, for [`COMPARED`] at most.
fn channels(performance: &Performance, own: &[u16], bank: &Bank) -> [Vec<f32>; 2] {
    let rate = f64::from(RATE);
    let seconds = |stroke: &Stroke| performance.tempo.seconds(stroke.at);
    let from = performance.strokes.iter().find(|stroke| own.contains(&stroke.voice)).map_or(0.0, seconds);
    let length = count(COMPARED.min(performance.seconds() - from).max(0.5) * rate);
    let mut out = [vec![0.0f32; length], vec![0.0f32; length]];
    let frame = |seconds: f64| count((seconds - from) * rate);
    let mut ringing: BTreeMap<u32, (usize, Rings)> = BTreeMap::new();
    for stroke in performance.strokes.iter().filter(|stroke| seconds(stroke) >= from) {
        let (at, sound) = (frame(seconds(stroke)), bank.of(stroke, 0));
        let entry = &bank.entries[sound as usize];
        let held = performance.tempo.lasts(stroke.at, stroke.length);
        let stop = if stroke.damped { (at + count(held * rate), entry.damp) } else { (usize::MAX, 0.0) };
        let rings = Rings { at, sound, loud: plan::loudness(stroke.force) as f32, stop };
        let channel = usize::from(!own.contains(&stroke.voice));
        // What a stroke stops rings no longer, as in the page's script.
        for place in &entry.stops {
            if let Some((channel, before)) = ringing.remove(place) {
                add(&mut out[channel], bank, before.stopped(at, bank.again));
            }
        }
        if let Some((channel, before)) = ringing.insert(entry.place, (channel, rings)) {
            add(&mut out[channel], bank, before);
        }
    }
    ringing.into_values().for_each(|(channel, rings)| add(&mut out[channel], bank, rings));
    out
}

/// A stroke that rings.
#[derive(Clone, Copy, Debug)]
struct Rings {
    /// The sample at which it begins.
    at: usize,
    /// Its number.
    sound: u32,
    /// How loud.
    loud: f32,
    /// The sample at which it is stopped, and how long that takes in seconds.
    stop: (usize, f64),
}

impl Rings {
    /// Stopped by another stroke, unless something stops it before.
    fn stopped(self, at: usize, fade: f64) -> Rings {
        if at < self.stop.0 { Rings { stop: (at, fade), ..self } } else { self }
    }
}

/// Adds a stroke to a channel, up to where it is stopped.
fn add(channel: &mut [f32], bank: &Bank, rings: Rings) {
    let (samples, gain) = bank.heard(rings.sound);
    let gain = gain * rings.loud;
    let at = rings.at.min(channel.len());
    let out = &mut channel[at..];
    let (plain, rest) = samples.split_at(rings.stop.0.saturating_sub(at).min(samples.len()));
    out.iter_mut().zip(plain).for_each(|(out, sample)| *out += sample * gain);
    let fade = count(rings.stop.1 * f64::from(RATE));
    for (n, (out, sample)) in out.iter_mut().skip(plain.len()).zip(&rest[..fade.min(rest.len())]).enumerate() {
        *out += sample * gain * (1.0 - n as f32 / fade as f32);
    }
}

#[cfg(test)]
#[path = "level_tests.rs"]
mod peaks_tests;
#[cfg(test)]
mod tests {
    use super::super::score::performances;
    use super::*;
    use crate::kit::demo;
    use ebur128::{EbuR128, Mode};
    use realfft::RealFftPlanner;

    /// Loudness by the crate `ebur128`; on a small speaker after everything below 300 Hz is taken out of the spectrum.
    fn loudness(signal: &[f32], gain: f64, small: bool) -> f64 {
        let mut samples: Vec<f64> = signal.iter().map(|sample| f64::from(*sample) * gain).collect();
        if small {
            samples.resize(samples.len().next_power_of_two(), 0.0);
            let size = samples.len();
            let mut planner = RealFftPlanner::<f64>::new();
            let (there, back) = (planner.plan_fft_forward(size), planner.plan_fft_inverse(size));
            let mut lines = there.make_output_vec();
            there.process(&mut samples, &mut lines).expect("sizes agree");
            let below = count(300.0 * size as f64 / f64::from(RATE));
            lines[..=below].fill(Default::default());
            back.process(&mut lines, &mut samples).expect("sizes agree");
            samples.iter_mut().for_each(|sample| *sample /= size as f64);
        }
        let mut meter = EbuR128::new(2, RATE, Mode::I).expect("a meter");
        meter.add_frames_planar_f64(&[&samples, &samples]).expect("frames");
        meter.loudness_global().expect("loudness")
    }

    #[test]
    fn a_page_lets_the_part_be_heard_loud_over_a_soft_band() {
        let tune = demo("morning-ferry.tune");
        let played = performances(&tune, &[]);
        for name in ["lead", "cello", "bass", "shaker"] {
            let own = played[0].voice(name).expect(name) as u16;
            let part = played[0].voices[usize::from(own)].part.expect("a part");
            let settings = Settings { mix: crate::sound::Mix::Loud(part.into()), ..Settings::default() };
            let bank = Bank::new(&played, &[own], &tune.band, &settings);
            let [mine, others] = channels(&played[0], &[own], &bank);
            let loud = &ways(&played[0], &[own], &bank)[0];
            for small in [false, true] {
                let over = loudness(&mine, loud.own, small) - loudness(&others, loud.band, small);
                assert!(over >= levels::ABOVE, "{name}, small speaker: {small}: {over:.2} LU above the band");
            }
        }
    }
}

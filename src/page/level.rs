//! How loud a page plays: for every way to hear the part, what the player, the band and all of it are raised by.
//!
//! As tracks do, each way comes to one loudness, measured by the meter of ITU-R BS.1770 over half a minute from where the part
//! begins; the page's script keeps what is still too loud below [`CEILING`].

use serde::Serialize;

use super::bank::{Bank, RATE};
use crate::performance::Performance;
use crate::sound::loudness::Meter;
use crate::sound::plan;
use crate::sound::{Mix, Settings};

/// How much is measured, in seconds.
const MEASURED: f64 = 30.0;

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

/// The ways to hear a part: in front of the band, alone, not at all, and as the band plays it.
pub fn ways(performance: &Performance, own: u16, bank: &Bank) -> Vec<Way> {
    let [mine, others] = channels(performance, own, bank);
    let part = performance.voices[usize::from(own)].part.unwrap_or_default();
    let band = performance.voices.iter().find(|voice| voice.part != Some(part));
    let way = |name, label, mix: Mix| {
        let gain = |voice: Option<&crate::performance::Voice>| voice.map_or(0.0, |voice| mix.gain(voice));
        let (own, band) = (gain(performance.voices.get(usize::from(own))), gain(band));
        let mixed: Vec<f32> =
            mine.iter().zip(&others).map(|(mine, others)| mine * own as f32 + others * band as f32).collect();
        Way { name, label, own, band, all: raised(&mixed) }
    };
    vec![
        way("front", "in front of the band", Mix::Front(part)),
        way("band", "as the band plays", Mix::Band),
        way("alone", "alone", Mix::Alone(part)),
        way("silent", "silent: I play it", Mix::Without(part)),
    ]
}

/// By how much a mix is raised.
fn raised(mixed: &[f32]) -> f64 {
    let mut meter = Meter::new(RATE);
    meter.add(mixed, mixed);
    let db = |level: f64| 10f64.powf(level / 20.0);
    let (loudness, peak) = (meter.loudness(), meter.true_peak());
    if !peak.is_finite() {
        return db(Settings::default().loudness);
    }
    let most = CEILING * db(OVER) / db(peak);
    if loudness.is_finite() { db(Settings::default().loudness - loudness).min(most) } else { most.min(1.0) }
}

/// The player's part and the band, from where the part begins.
fn channels(performance: &Performance, own: u16, bank: &Bank) -> [Vec<f32>; 2] {
    let rate = f64::from(RATE);
    let seconds = |stroke: &crate::performance::Stroke| performance.tempo.seconds(stroke.at);
    let from = performance.strokes.iter().find(|stroke| stroke.voice == own).map_or(0.0, seconds);
    let length = (MEASURED.min(performance.seconds() - from).max(0.5) * rate) as usize;
    let mut out = [vec![0.0f32; length], vec![0.0f32; length]];
    for stroke in &performance.strokes {
        let at = seconds(stroke) - from;
        if !(0.0..MEASURED).contains(&at) {
            continue;
        }
        let loud = plan::loudness(stroke.force) as f32;
        let channel = &mut out[usize::from(stroke.voice != own)];
        let start = ((at * rate) as usize).min(length);
        for (out, sample) in channel[start..].iter_mut().zip(bank.heard(bank.of(stroke, 0))) {
            *out += sample * loud;
        }
    }
    out
}

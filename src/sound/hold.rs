//! How far peaks of a player's own parts are held down, and the band behind with them.
//!
//! A limiter behind the mix would lower all of it where it is too loud, which is where a sparse or sharp part is struck: the part would
//! lose what it has over the band. So the own parts' peaks are held for themselves, as low as the track needs to come to its loudness,
//! and the band [gives way](super::give_way) where both together are too loud. Nothing is left to do for the limiter behind the mix.

use super::bank::Bank;
use super::gate::{gated, stretch};
use super::give_way::{Peaks, holding};
use super::levels::{self, Beside, Compared, Heard};
use super::loudness::{amplitude, level};
use super::mixer::Mixer;
use super::parts::Parts;
use super::plan::Plan;
use super::settings::{Mix, Settings, Standing};
use super::weighting::{Cascade, Frame, LANES, k_weighting, small_speaker};
use crate::music::count;
use crate::pan::Band;
use crate::performance::Performance;

/// What is kept free for the band above the own parts' peaks, in dB: it is all but silent for a few milliseconds where a part is held, which
/// the stroke covers. Our own setting, by measurement on the demo's tracks.
const FOR_THE_BAND: f64 = 0.5;

/// What is kept free below the ceiling, in dB: true peaks lie between samples, and a band that gives way adds less to the loudness
/// than is reckoned. Our own setting, by measurement on the demo's tracks.
const BELOW: f64 = 0.3;

/// Peaks are held down by at most this many dB. Our own setting: beyond, strokes lose their attack.
const MOST: f64 = 18.0;

/// How many ways to hold the peaks are tried in one go, and by how much they are held, as multiples of what they are too high by:
/// strokes that are held are softer too, so that more must be held than is too high.
const TRIED: usize = LANES / 2;
const HOLDS: [f64; TRIED] = [1.1, 1.35, 1.7, 2.4];

/// The settings with parts and rest where they must stand, which is measured unless they say it.
///
/// - `seconds`: how much of the beginning is listened to; infinite for all.
pub fn set_back(performance: &Performance, band: &Band, settings: &Settings, seconds: f64) -> Settings {
    let (Mix::Loud(own), None) = (&settings.mix, settings.standing) else { return settings.clone() };
    let measured = || levels::beside(performance, band, settings, std::slice::from_ref(own), seconds).pop();
    let compared = settings.beside.clone().or_else(measured);
    let standing =
        compared.map(|compared| Solo::new(performance, band, settings, own, seconds).standing(settings, &compared));
    Settings { standing, ..settings.clone() }
}

/// A player's own parts, alone but as they stand in the player's track.
struct Solo {
    plan: Plan,
    bank: Bank,
    frames: u64,
}

/// How the own parts sound with their peaks held.
struct Held {
    /// The highest sample that is left, in dB.
    peak: f64,
    heard: Heard,
    /// Energies of each stretch in full.
    energies: Vec<f64>,
}

/// A way to stand that was tried.
struct Way {
    standing: Standing,
    /// By how many dB the track's peaks would be too high.
    over: f64,
}

impl Solo {
    /// The parts of a player in their track.
    ///
    /// - `settings`: of the track; its mix is [`Mix::Loud`] of `own`.
    /// - `seconds`: how much of the beginning is listened to; infinite for all.
    fn new(performance: &Performance, band: &Band, settings: &Settings, own: &Parts, seconds: f64) -> Solo {
        let is_own = |voice: usize| performance.voices[voice].part.is_some_and(|part| own.has(part));
        let plan = levels::plan(performance, band, settings, is_own);
        let bank = Bank::build(&plan.bodies, &plan.wanted, f64::from(plan.rate));
        let frames = Mixer::new(&plan, &bank, None).ends().min(count(seconds * f64::from(plan.rate)) as u64);
        Solo { plan, bank, frames }
    }

    /// Where the parts and the rest must stand, from how loud they are beside each other: peaks are held as little as can be.
    fn standing(&self, settings: &Settings, compared: &Compared) -> Standing {
        let Compared { beside, .. } = compared;
        if !beside.own.full.is_finite() || !beside.rest.full.is_finite() {
            return Standing { behind: beside.behind(), ..Standing::default() };
        }
        let [plain] = self.held([f64::INFINITY]);
        let first = way(settings, compared, &plain);
        if first.over <= 0.0 {
            return first.standing;
        }
        let at = HOLDS.map(|times| amplitude(plain.peak - (first.over * times).min(MOST)));
        let tried = self.held(at).map(|held| way(settings, compared, &held));
        let least = tried.iter().map(|way| way.over).fold(f64::INFINITY, f64::min);
        let first = tried.iter().find(|way| way.over <= least.max(0.0)).expect("one of them is the least");
        first.standing
    }

    /// The parts with their peaks held at some amplitudes, at most [`TRIED`].
    fn held<const N: usize>(&self, at: [f64; N]) -> [Held; N] {
        let rate = self.plan.rate;
        let size = stretch(rate);
        let mut mixer = Mixer::new(&self.plan, &self.bank, None);
        let (mut left, mut right) = (vec![0.0; size], vec![0.0; size]);
        let mut limiters = at.map(|peak| holding(rate, peak));
        let late = limiters[0].delay();
        let mut waiting = at.map(|_| [Vec::new(), Vec::new()]);
        let mut listener = Listener::new(rate);
        let mut peaks = [0.0f32; N];
        // The last stretch is nothing but what still waits in the limiters.
        let stretches = self.frames.div_ceil(size as u64);
        for number in 0..=stretches {
            mixer.fill(&mut left, &mut right);
            for (limiter, waiting) in limiters.iter_mut().zip(&mut waiting) {
                limiter.block(&left, &right, waiting);
                if number == 0 {
                    waiting.iter_mut().for_each(|side| drop(side.drain(..late)));
                }
            }
            if number > 0 {
                for (waiting, peak) in waiting.iter().zip(&mut peaks) {
                    let samples = waiting.iter().flat_map(|side| &side[..size]);
                    *peak = samples.fold(*peak, |peak, sample| peak.max(sample.abs()));
                }
                listener.listen(&waiting);
                waiting.iter_mut().flatten().for_each(|side| drop(side.drain(..size)));
            }
        }
        std::array::from_fn(|number| {
            let [full, small] = &mut listener.energies[number];
            let heard = Heard { full: gated(full, size), small: gated(small, size) };
            Held { peak: level(f64::from(peaks[number])), heard, energies: std::mem::take(full) }
        })
    }
}

/// Where parts and rest stand with the peaks held like this, and whether they are low enough then.
fn way(settings: &Settings, compared: &Compared, held: &Held) -> Way {
    let behind = Beside { own: held.heard, ..compared.beside }.behind();
    let back = amplitude(behind).powi(2);
    let stretches = 0..held.energies.len().max(compared.rest.len());
    let at = |energies: &[f64], number: usize| energies.get(number).copied().unwrap_or_default();
    let all: Vec<f64> =
        stretches.map(|number| at(&held.energies, number) + back * at(&compared.rest, number)).collect();
    let raised = settings.loudness - gated(&all, stretch(settings.rate));
    let room = settings.ceiling - BELOW - raised;
    let peaks = Peaks { own: amplitude(held.peak), all: amplitude(room.max(held.peak + FOR_THE_BAND)) };
    Way { standing: Standing { behind, peaks: Some(peaks) }, over: held.peak + FOR_THE_BAND - room }
}

/// Listens to several sounds side by side, in full and on a small speaker.
struct Listener {
    filters: [Cascade; 2],
    frames: Vec<Frame>,
    /// For every sound the energies of each stretch, of either hearing.
    energies: [[Vec<f64>; 2]; TRIED],
}

impl Listener {
    fn new(rate: u32) -> Listener {
        let hz = f64::from(rate);
        let filters = [k_weighting(hz), small_speaker(hz)].map(|filters| Cascade::new(&filters));
        Listener { filters, frames: vec![[0.0; LANES]; stretch(rate)], energies: Default::default() }
    }

    /// Listens to the first stretch of each sound.
    fn listen(&mut self, sounds: &[[Vec<f32>; 2]]) {
        self.frames.fill([0.0; LANES]);
        for (lane, side) in sounds.iter().flatten().enumerate() {
            self.frames.iter_mut().zip(side).for_each(|(frame, sample)| frame[lane] = *sample);
        }
        // What a small speaker gives is weighted as well: the second filter goes over what the first has left.
        for (hearing, filter) in self.filters.iter_mut().enumerate() {
            filter.filter(&mut self.frames);
            for (number, energies) in self.energies.iter_mut().enumerate().take(sounds.len()) {
                let sides = self.frames.iter().map(|frame| [frame[2 * number], frame[2 * number + 1]]);
                energies[hearing].push(sides.map(|[left, right]| f64::from(left * left + right * right)).sum());
            }
        }
    }
}

//! How far peaks of a player's own parts are held down, and the band behind with them.
//!
//! A limiter behind the mix would lower all of it where it is too loud, which is where a sparse or sharp part is struck: the part would
//! lose what it has over the band. So the own parts' peaks are held for themselves, as low as the track needs to come to its loudness,
//! and the band [gives way](super::give_way) where both together are too loud. Nothing is left to do for the limiter behind the mix.

use super::bank::Bank;
use super::gate::{gated, stretch};
use super::give_way::{LET_GO, Peaks};
use super::glide::{Glide, STEP};
use super::hearing::{Ears, Hearing, Powers, sum};
use super::levels::{self, Beside, Compared, Heard};
use super::loudness::{Limiter, amplitude, level};
use super::mixer::Mixer;
use super::plan::{Event, Plan};
use super::settings::{Mix, Settings, Standing};
use super::true_peak::loudest;
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

/// How many samples are mixed at a time.
const WORK: usize = 256 * STEP;

/// By how much peaks are held, one after the other until it is enough, as multiples of what they are too high by: strokes that are held
/// are softer too, so that more must be held than is too high.
const HOLDS: [f64; 4] = [1.1, 1.35, 1.7, 2.4];

/// Puts parts and rest of a planned track where they must stand, which is measured unless the settings say it; gives the settings
/// with it.
///
/// - `bank`: the strokes of the plan.
/// - `seconds`: how much of the beginning is listened to; infinite for all.
pub fn set_back(
    plan: &mut Plan,
    bank: &Bank,
    performance: &Performance,
    band: &Band,
    settings: &Settings,
    seconds: f64,
) -> Settings {
    let (Mix::Loud(own), None) = (&settings.mix, settings.standing) else { return settings.clone() };
    let measured = || levels::beside(performance, band, settings, std::slice::from_ref(own), seconds).pop();
    let compared = settings.beside.clone().or_else(measured);
    let is_own = |event: &&Event| performance.voices[usize::from(event.place)].part.is_some_and(|part| own.has(part));
    let alone = Plan { events: plan.events.iter().filter(is_own).copied().collect(), ..plan.clone() };
    let standing = compared.map(|compared| Solo::new(&alone, bank, seconds).standing(settings, &compared));
    let settings = Settings { standing, ..settings.clone() };
    plan.stand(&performance.voices, &settings);
    settings
}

/// A player's own parts, alone but as they stand in the player's track, in steps of a few samples.
struct Solo<'a> {
    plan: &'a Plan,
    bank: &'a Bank,
    rate: u32,
    /// How many blocks of [`WORK`] samples they take.
    blocks: u64,
    /// The highest sample of each step.
    peaks: Vec<f32>,
    /// The energy of each step, in full and on a small speaker.
    energies: [Vec<f32>; 2],
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

impl<'a> Solo<'a> {
    /// The parts of a player.
    ///
    /// - `plan`: what they strike in their track.
    /// - `seconds`: how much of the beginning is listened to; infinite for all.
    fn new(plan: &'a Plan, bank: &'a Bank, seconds: f64) -> Self {
        let mut mixer = Mixer::new(plan, bank, None);
        let blocks = mixer.ends().min(count(seconds * f64::from(plan.rate)) as u64).div_ceil(WORK as u64);
        let (peaks, energies) = (Vec::new(), [Vec::new(), Vec::new()]);
        let mut solo = Solo { plan, bank, rate: plan.rate, blocks, peaks, energies };
        let mut hearing = Hearing::both(plan.rate);
        let mut powers = [Vec::new(), Vec::new()];
        let (mut left, mut right) = (vec![0.0; WORK], vec![0.0; WORK]);
        for _ in 0..blocks {
            mixer.fill(&mut left, &mut right);
            let steps =
                |side: &[f32]| side.as_chunks::<STEP>().0.iter().map(|step| loudest(step)).collect::<Vec<f32>>();
            solo.peaks.extend(steps(&left).iter().zip(steps(&right)).map(|(left, right)| left.max(right)));
            hearing.add(&left, &right, &mut |heard| solo.note(&mut powers, heard));
        }
        hearing.finish(&mut |heard| solo.note(&mut powers, heard));
        solo
    }

    /// Notes the energies of the steps that have been heard; what belongs to the next one stays.
    fn note(&mut self, left_over: &mut [Vec<f32>; 2], heard: Powers) {
        for ((energies, left_over), heard) in self.energies.iter_mut().zip(left_over).zip(heard) {
            left_over.extend_from_slice(heard);
            let (steps, rest) = left_over.as_chunks::<STEP>();
            energies.extend(steps.iter().map(|step| step.iter().sum::<f32>()));
            *left_over = rest.to_vec();
        }
    }

    /// Where the parts and the rest must stand, from how loud they are beside each other: peaks are held as little as can be.
    fn standing(&self, settings: &Settings, compared: &Compared) -> Standing {
        let Compared { beside, .. } = compared;
        if !beside.own.full.is_finite() || !beside.rest.full.is_finite() {
            return Standing { behind: beside.behind(), ..Standing::default() };
        }
        let plain = self.held(f64::INFINITY);
        let first = way(settings, compared, &plain);
        if first.over <= 0.0 {
            return first.standing;
        }
        let mut least: Option<(f64, f64)> = None;
        for times in HOLDS {
            let at = amplitude(plain.peak - (first.over * times).min(MOST));
            let over = way(settings, compared, &self.held(at)).over;
            if least.is_none_or(|(least, _)| over < least) {
                least = Some((over, at));
            }
            if over <= 0.0 {
                break;
            }
        }
        let (_, at) = least.expect("one of them is the least");
        way(settings, compared, &self.heard(at)).standing
    }

    /// The parts with their peaks held at an amplitude, as they are heard.
    fn heard(&self, at: f64) -> Held {
        let size = stretch(self.rate);
        let mut mixer = Mixer::new(self.plan, self.bank, None);
        let mut holding = Limiter::that_lets_go(LET_GO, self.rate, 1.0, at);
        let mut ears = Ears::new(self.rate);
        let (mut left, mut right) = (vec![0.0; WORK], vec![0.0; WORK]);
        let (mut early, mut peak) = (holding.delay(), 0.0f32);
        // The last block is nothing but what still waits.
        for _ in 0..=self.blocks {
            mixer.fill(&mut left, &mut right);
            holding.block(&mut [&mut left, &mut right]);
            let late = early.min(WORK);
            early -= late;
            peak = peak.max(loudest(&left)).max(loudest(&right));
            ears.add(&left[late..], &right[late..]);
        }
        let [full, small] = ears.finish();
        let heard = Heard { full: gated(&full, size), small: gated(&small, size) };
        Held { peak: level(f64::from(peak)), heard, energies: full }
    }

    /// About the same, worked out from steps: a gain so slow passes through the filters of hearing nearly as if they were not there.
    fn held(&self, at: f64) -> Held {
        let size = stretch(self.rate);
        let mut holding = Glide::new(self.rate, LET_GO);
        let mut gains = Vec::new();
        let late = holding.delay();
        let silence = std::iter::repeat_n(&0.0, late / STEP);
        for (number, peak) in self.peaks.iter().chain(silence).enumerate() {
            let peak = f64::from(*peak);
            holding.look(if peak > at { at / peak } else { 1.0 });
            holding.go_out(STEP, &mut |_, first, grows| {
                if number * STEP >= late {
                    gains.push(first + grows * 0.5 * (STEP - 1) as f32);
                }
            });
        }
        let held = self.peaks.iter().zip(&gains).map(|(peak, gain)| peak * gain);
        let peak = held.fold(0.0f32, f32::max);
        let [full, small] = self.energies.each_ref().map(|energies| in_stretches(energies, &gains, size));
        let heard = Heard { full: gated(&full, size), small: gated(&small, size) };
        Held { peak: level(f64::from(peak)), heard, energies: full }
    }
}

/// The energies of full stretches of so many samples, from those of steps and the gains that these get.
fn in_stretches(energies: &[f32], gains: &[f32], size: usize) -> Vec<f64> {
    let begins = |stretch: usize| (stretch * size).div_ceil(STEP);
    let energy = |stretch: usize| {
        let steps = begins(stretch)..begins(stretch + 1).min(energies.len());
        let turned: Vec<f32> =
            energies[steps.clone()].iter().zip(&gains[steps]).map(|(e, gain)| gain * gain * e).collect();
        sum(&turned)
    };
    (0..energies.len() * STEP / size).map(energy).collect()
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

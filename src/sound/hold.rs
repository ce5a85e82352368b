//! Peaks of a player's own parts and of the band behind, held down before they meet.
//!
//! A limiter behind the mix lowers all of it wherever it is too loud, which is where a sparse or sharp part is struck, or an iron
//! in the band: the part would lose what it has over the band. So peaks that stand too far above the loudness for the track to
//! reach its own are held by a limiter for the own parts and another for the rest; nothing is left to do for the one behind.

use super::bank::Bank;
use super::gate::{gated, stretch};
use super::levels::{self, Beside, Heard};
use super::loudness::{amplitude, level};
use super::mixer::Mixer;
use super::parts::Parts;
use super::plan::Plan;
use super::settings::{Mix, Settings, Standing};
use super::weighting::{Cascade, Frame, LANES, k_weighting, small_speaker};
use crate::pan::Band;
use crate::performance::Performance;

/// What is kept free below the ceiling for the band, in dB: its peaks come on top of the part's. Our own setting, by
/// measurement on the demo's tracks.
const FOR_THE_BAND: f64 = 3.0;

/// How far the band's peaks may stand above its loudness at least, in dB: held lower, it would lose much of that too. Our own setting.
const CREST_OF_THE_BAND: f64 = 12.0;

/// How much further back the rest stands for each dB that the track must be made louder than thought, and at most: what the limiter
/// behind the mix then takes from the part. Our own settings, by measurement on the demo's tracks.
const FURTHER: (f64, f64) = (0.2, 3.0);

/// How much the rest adds to the part's own loudness, in LU: 6 LU below it, it adds 1.
const FOR_THE_REST: f64 = 0.9;

/// Peaks are held down by at most this many dB. Our own setting: beyond, strokes lose their attack.
const MOST: f64 = 18.0;

/// How near to the peak aimed at is near enough, in dB, and how often it is tried.
const NEAR: f64 = 0.1;
const TRIES: usize = 4;

/// The settings with parts and rest where they must stand, which is measured unless they say it.
///
/// - `seconds`: how much of the beginning is listened to; infinite for all.
pub fn set_back(performance: &Performance, band: &Band, settings: &Settings, seconds: f64) -> Settings {
    let standing = match (&settings.mix, measured(performance, band, settings, seconds)) {
        (Mix::Front(own), Some(beside)) => {
            Some(Solo::new(performance, band, settings, own, seconds).standing(settings, &beside, 0.0))
        }
        _ => settings.standing,
    };
    Settings { standing, ..settings.clone() }
}

/// How loud the player's own parts and the rest are, of a track in which they have still to be set; from the settings, if they
/// say it.
pub fn measured(performance: &Performance, band: &Band, settings: &Settings, seconds: f64) -> Option<Beside> {
    match &settings.mix {
        Mix::Front(own) if settings.standing.is_none() => settings
            .beside
            .or_else(|| levels::beside(performance, band, settings, std::slice::from_ref(own), seconds).pop()),
        _ => None,
    }
}

/// A player's own parts, alone but as they stand in the player's track.
pub struct Solo {
    plan: Plan,
    bank: Bank,
    frames: u64,
    /// The highest sample, in dB.
    peak: f64,
}

impl Solo {
    /// The parts of a player in their track.
    ///
    /// - `settings`: of the track; its mix is [`super::settings::Mix::Front`] of `own`.
    /// - `seconds`: how much of the beginning is listened to; infinite for all.
    pub fn new(performance: &Performance, band: &Band, settings: &Settings, own: &Parts, seconds: f64) -> Solo {
        let settings = Settings { standing: Some(Standing::default()), ..settings.clone() };
        let is_own = |voice: usize| performance.voices[voice].part.is_some_and(|part| own.has(part));
        let plan = levels::plan(performance, band, &settings, is_own);
        let bank = Bank::build(&plan.bodies, &plan.wanted, f64::from(plan.rate));
        let frames = Mixer::new(&plan, &bank, None).ends().min((seconds * f64::from(plan.rate)) as u64);
        let mut solo = Solo { plan, bank, frames, peak: 0.0 };
        let mut peak = 0.0f32;
        solo.play(&mut |left, right| {
            peak = left.iter().chain(right).fold(peak, |peak, sample| peak.max(sample.abs()));
        });
        solo.peak = level(f64::from(peak));
        solo
    }

    /// Where the parts and the rest must stand, from how loud they are beside each other.
    ///
    /// - `louder`: how much louder than thought the track must be made, in dB: a part that plays seldom adds less to it.
    pub fn standing(&mut self, settings: &Settings, beside: &Beside, louder: f64) -> Standing {
        if !beside.own.full.is_finite() || !beside.rest.full.is_finite() {
            return Standing { behind: beside.behind(), ..Standing::default() };
        }
        // So far may the track's peaks stand above the part's loudness, and the part's own.
        let whole = settings.ceiling - (settings.loudness - FOR_THE_REST) - louder;
        let crest = whole - FOR_THE_BAND;
        let (at, heard) = self.held(beside.own, crest);
        let behind = Beside { own: heard, ..*beside }.behind() - (FURTHER.0 * louder).min(FURTHER.1);
        let own = amplitude(at);
        let rest = amplitude(heard.full + whole) - own;
        let rest = rest.max(amplitude(beside.rest.full + behind + CREST_OF_THE_BAND));
        Standing { behind, held: [if at < self.peak { own } else { f64::INFINITY }, rest] }
    }

    /// At which level the parts' peaks stand at most `crest` dB above what is left of their loudness, and how loud they are then.
    fn held(&mut self, plain: Heard, crest: f64) -> (f64, Heard) {
        if self.peak - plain.full <= crest {
            return (self.peak, plain);
        }
        let mut at = plain.full + crest;
        let mut heard = plain;
        for _ in 0..TRIES {
            at = at.max(self.peak - MOST);
            heard = self.heard(amplitude(at));
            let over = at - (heard.full + crest);
            if over <= NEAR || at <= self.peak - MOST {
                break;
            }
            // Lower peaks leave less loudness, so a little more is taken than is over.
            at -= over * 1.5;
        }
        (at, heard)
    }

    /// Plays it stretch by stretch.
    fn play(&self, each: &mut dyn FnMut(&[f32], &[f32])) {
        let mut mixer = Mixer::new(&self.plan, &self.bank, None);
        let size = stretch(self.plan.rate);
        let (mut left, mut right) = (vec![0.0; size], vec![0.0; size]);
        for _ in 0..self.frames.div_ceil(size as u64) {
            mixer.fill(&mut left, &mut right);
            each(&left, &right);
        }
    }

    /// How loud it is with its peaks held at an amplitude.
    fn heard(&mut self, held: f64) -> Heard {
        self.plan.held.iter_mut().for_each(|[own, _]| own.1 = held);
        let hz = f64::from(self.plan.rate);
        let size = stretch(self.plan.rate);
        let mut filters = [k_weighting(hz), small_speaker(hz)].map(|filters| Cascade::new(&filters));
        let mut energies = [Vec::new(), Vec::new()];
        let mut frames: Vec<Frame> = vec![[0.0; LANES]; size];
        self.play(&mut |left, right| {
            for (frame, (left, right)) in frames.iter_mut().zip(left.iter().zip(right)) {
                *frame = [0.0; LANES];
                (frame[0], frame[1]) = (*left, *right);
            }
            // What a small speaker gives is weighted as well: the second filter goes over what the first has left.
            for (filter, energies) in filters.iter_mut().zip(&mut energies) {
                filter.filter(&mut frames);
                energies.push(frames.iter().map(|frame| f64::from(frame[0] * frame[0] + frame[1] * frame[1])).sum());
            }
        });
        let [full, small] = energies.map(|energies| gated(&energies, size));
        Heard { full, small }
    }
}

//! How loud each player's parts are beside the rest of the band, and how far the band must stand back for them to be heard.
//!
//! Loudness is integrated and gated as ITU-R BS.1770 says, of the player's parts and of the rest each for itself, so that a
//! part that seldom plays is measured where it plays. Both are measured twice: in full, and as a phone's small speaker gives
//! them (`weighting::small_speaker`). The count-in belongs to neither.
//!
//! Filters are linear, so the rest's energy follows from that of all, of the part, and of both together: all players of a tune
//! are measured in one go, each on the sum of their own strokes.

use super::gate::{gated, stretch};
pub use super::heard::{ABOVE, Beside, Compared, Heard};
use super::hearing::Ears;
use super::mixer::{Mixer, add_scaled};
use super::parts::Parts;
use super::plan::{Place, Plan};
use super::settings::{Mix, Settings};
use super::weighting::{Cascade, Frame, LANES, k_weighting, small_speaker};
use crate::music::count;
use crate::pan::Band;
use crate::performance::{Performance, Voice};

/// How many samples are worked at a time: few enough for the signals of a whole band to stay in the nearest caches.
const WORK: usize = 512;

/// What is left of the rest's energy by rounding alone, against all that went into it.
const ROUNDING: f64 = 1e-5;

/// Measures how loud each of several players is beside the rest of a performance.
///
/// - `players`: the parts of each.
/// - `seconds`: how much of the beginning is listened to; infinite for all.
///
/// Gives one answer for each player, in their order.
pub fn beside(
    performance: &Performance,
    band: &Band,
    settings: &Settings,
    players: &[Parts],
    seconds: f64,
) -> Vec<Compared> {
    let rate = f64::from(settings.rate);
    let lifted = Settings { mix: Mix::Loud(players.iter().flat_map(Parts::iter).collect()), ..settings.clone() };
    let lifts = lifts(performance, band, &lifted);
    let plain = Settings { mix: Mix::Band, ..settings.clone() };
    let plans = [
        plan(performance, band, &plain, |voice| performance.voices[voice].part.is_some()),
        plan(performance, band, &lifted, |voice| lifts[voice]),
    ];
    let banks = plans.each_ref().map(|plan| settings.strokes.bank(&plan.bodies, &plan.wanted, rate));
    let mut mixers = [Mixer::new(&plans[0], &banks[0], None), Mixer::new(&plans[1], &banks[1], None)];
    let mut listener = Listener::new(&plans[0].places, &performance.voices, players, &lifts, settings.rate);
    let frames = plans[0].frames.max(mixers[0].ends()).min(count(seconds * rate) as u64);
    for _ in 0..frames.div_ceil(listener.stretch as u64) {
        listener.listen(&mut mixers);
    }
    listener.players.into_iter().map(|player| player.compared(listener.stretch)).collect()
}

/// How loud a signal is that comes from the middle, the same in both channels.
pub fn heard(signal: &[f32], rate: u32) -> Heard {
    let frames = stretch(rate);
    let mut ears = Ears::new(rate);
    ears.add(signal, signal);
    // What has begun counts as a full stretch.
    let rest = vec![0.0; signal.len().next_multiple_of(frames) - signal.len()];
    ears.add(&rest, &rest);
    let [full, small] = ears.finish();
    Heard { full: gated(&full, frames), small: gated(&small, frames) }
}

/// The plan of some voices.
pub(super) fn plan(performance: &Performance, band: &Band, settings: &Settings, heard: impl Fn(usize) -> bool) -> Plan {
    let strokes = performance.strokes.iter().filter(|stroke| heard(usize::from(stroke.voice))).copied().collect();
    Plan::new(&Performance { strokes, ..performance.clone() }, band, settings)
}

/// Which voices sound otherwise to their own players than to the band.
fn lifts(performance: &Performance, band: &Band, settings: &Settings) -> Vec<bool> {
    let plan = Plan::new(performance, band, settings);
    let mut lifts = vec![false; performance.voices.len()];
    for key in plan.wanted.keys() {
        let voice = usize::from(key.body);
        lifts[voice] |= plan.bodies[voice].is_changed_by_lift(key.struck, key.level.force(), f64::from(settings.rate));
    }
    lifts
}

/// What a signal is the sum of: voices as the band hears them, or as their own players do, with gains.
#[derive(Clone, Debug, Default)]
struct Sum {
    plain: Vec<(usize, f32)>,
    lifted: Vec<(usize, f32)>,
}

/// A channel of a player: the numbers of its signals, and where it goes.
#[derive(Clone, Copy, Debug)]
struct Channel {
    plain: usize,
    lifted: usize,
    place: Place,
}

/// A player while being measured.
#[derive(Clone, Debug, Default)]
struct Player {
    channels: Vec<Channel>,
    /// Energies of each stretch, in full and on a small speaker: of the own parts, and of the rest.
    own: [Vec<f64>; 2],
    rest: [Vec<f64>; 2],
}

impl Player {
    /// Begins a stretch.
    fn begin(&mut self) {
        self.own.iter_mut().chain(&mut self.rest).for_each(|energies| energies.push(0.0));
    }

    /// Adds to the energies of the stretch that has begun; `signals`: all signals, the band's left and right first.
    fn note(&mut self, hearing: usize, signals: &[Vec<f32>], all: f64) {
        let (mut own, mut part, mut both) = (0.0, 0.0, 0.0);
        for Channel { plain, lifted, place } in &self.channels {
            let (left, right) = (f64::from(place.left), f64::from(place.right));
            let power = left * left + right * right;
            let energy = dot(&signals[*plain], &signals[*plain]);
            part += power * energy;
            own += power * if lifted == plain { energy } else { dot(&signals[*lifted], &signals[*lifted]) };
            both += left * dot(&signals[*plain], &signals[0]) + right * dot(&signals[*plain], &signals[1]);
        }
        let rest = all - 2.0 * both + part;
        *self.own[hearing].last_mut().expect("a stretch has begun") += own;
        let energy = self.rest[hearing].last_mut().expect("a stretch has begun");
        *energy += if rest > ROUNDING * (all + part) { rest } else { 0.0 };
    }

    fn compared(self, frames: usize) -> Compared {
        let heard =
            |energies: &[Vec<f64>; 2]| Heard { full: gated(&energies[0], frames), small: gated(&energies[1], frames) };
        let beside = Beside { own: heard(&self.own), rest: heard(&self.rest) };
        let [rest, _] = self.rest;
        Compared { beside, rest }
    }
}

/// Listens stretch by stretch.
struct Listener {
    players: Vec<Player>,
    /// What the signals are: the band's left and right, then those of the players.
    sums: Vec<Sum>,
    signals: Vec<Vec<f32>>,
    /// For each eight signals, the filters.
    filters: Vec<[Cascade; 2]>,
    lanes: Vec<Frame>,
    /// Samples of a stretch.
    stretch: usize,
}

impl Listener {
    fn new(places: &[Place], voices: &[Voice], players: &[Parts], lifts: &[bool], rate: u32) -> Listener {
        let mut sums = Vec::new();
        let all: Vec<usize> = (0..voices.len()).filter(|voice| voices[*voice].part.is_some()).collect();
        for side in [|place: Place| place.left, |place: Place| place.right] {
            sums.push(Sum {
                plain: all.iter().map(|voice| (*voice, side(places[*voice]))).collect(),
                ..Sum::default()
            });
        }
        let own = |parts: &Parts| {
            all.iter().copied().filter(|voice| voices[*voice].part.is_some_and(|p| parts.has(p))).collect()
        };
        let players = players.iter().map(|parts| player(own(parts), places, lifts, &mut sums)).collect();
        let hz = f64::from(rate);
        let filters = [k_weighting(hz), small_speaker(hz)].map(|filters| Cascade::new(&filters));
        Listener {
            players,
            signals: vec![vec![0.0; WORK]; sums.len()],
            filters: vec![filters; sums.len().div_ceil(LANES)],
            sums,
            lanes: vec![[0.0; LANES]; WORK],
            stretch: stretch(rate),
        }
    }

    /// Takes the next stretch from the mixers of the plain and of the lifted voices.
    fn listen(&mut self, mixers: &mut [Mixer; 2]) {
        self.players.iter_mut().for_each(Player::begin);
        let mut left_over = self.stretch;
        while left_over > 0 {
            let frames = left_over.min(WORK);
            self.take(frames, mixers);
            for hearing in 0..2 {
                self.filter(hearing);
                let signals = &self.signals;
                let all = dot(&signals[0], &signals[0]) + dot(&signals[1], &signals[1]);
                self.players.iter_mut().for_each(|player| player.note(hearing, signals, all));
            }
            left_over -= frames;
        }
    }

    fn take(&mut self, frames: usize, [plain, lifted]: &mut [Mixer; 2]) {
        let Listener { sums, signals, .. } = self;
        for signal in &mut *signals {
            signal.clear();
            signal.resize(frames, 0.0);
        }
        plain.voices(frames, &mut |voice, samples| {
            add(signals, sums.iter().map(|sum| &sum.plain), voice, samples);
        });
        lifted.voices(frames, &mut |voice, samples| {
            add(signals, sums.iter().map(|sum| &sum.lifted), voice, samples);
        });
    }

    /// Filters all signals, eight side by side.
    fn filter(&mut self, hearing: usize) {
        for (eight, filters) in self.signals.chunks_mut(LANES).zip(&mut self.filters) {
            let lanes = &mut self.lanes[..eight[0].len()];
            for (lane, signal) in eight.iter().enumerate() {
                lanes.iter_mut().zip(signal).for_each(|(frame, sample)| frame[lane] = *sample);
            }
            filters[hearing].filter(lanes);
            for (lane, signal) in eight.iter_mut().enumerate() {
                lanes.iter().zip(signal).for_each(|(frame, sample)| *sample = frame[lane]);
            }
        }
    }
}

/// The channels of a player's voices: one that goes to its place, or left and right of several.
fn player(own: Vec<usize>, places: &[Place], lifts: &[bool], sums: &mut Vec<Sum>) -> Player {
    let (left, right) = (Place { left: 1.0, ..Place::default() }, Place { right: 1.0, ..Place::default() });
    let channels: Vec<(Place, Vec<(usize, f32)>)> = match own[..] {
        [voice] => vec![(places[voice], vec![(voice, 1.0)])],
        _ => vec![
            (left, own.iter().map(|voice| (*voice, places[*voice].left)).collect()),
            (right, own.iter().map(|voice| (*voice, places[*voice].right)).collect()),
        ],
    };
    let mut number = |sum: Sum| {
        sums.push(sum);
        sums.len() - 1
    };
    let channel = |(place, voices): (Place, Vec<(usize, f32)>)| {
        let (lifted, same): (Vec<_>, Vec<_>) = voices.iter().copied().partition(|(voice, _)| lifts[*voice]);
        let plain = number(Sum { plain: voices, lifted: Vec::new() });
        let lifted = if lifted.is_empty() { plain } else { number(Sum { plain: same, lifted }) };
        Channel { plain, lifted, place }
    };
    Player { channels: channels.into_iter().map(channel).collect(), ..Player::default() }
}

/// Adds a voice to the signals whose sums have it.
fn add<'s>(signals: &mut [Vec<f32>], sums: impl Iterator<Item = &'s Vec<(usize, f32)>>, voice: usize, samples: &[f32]) {
    for (signal, voices) in signals.iter_mut().zip(sums) {
        for (_, gain) in voices.iter().filter(|(number, _)| *number == voice) {
            add_scaled(signal, samples, *gain);
        }
    }
}

/// The sum of products, in eight sums side by side.
fn dot(a: &[f32], b: &[f32]) -> f64 {
    let mut sums = [0f32; LANES];
    for (a, b) in a.chunks_exact(LANES).zip(b.chunks_exact(LANES)) {
        (0..LANES).for_each(|lane| sums[lane] += a[lane] * b[lane]);
    }
    let rest = |side: &[f32]| side.len() - side.len() % LANES;
    let last: f32 = a[rest(a)..].iter().zip(&b[rest(b)..]).map(|(a, b)| a * b).sum();
    sums.iter().chain([&last]).map(|sum| f64::from(*sum)).sum()
}

//! The strokes that a page brings along: each distinct one once, all in one small sound file.
//!
//! The player's own part keeps its levels of force and three variants of each stroke; the band behind has one of each, and
//! rings a little shorter. That and the sample rate keep a page small; see the tests for how small.

use std::collections::{BTreeMap, HashMap};

use rayon::prelude::*;
use serde::Serialize;

use crate::music::{Force, Seed, count};
use crate::notation::tree::Mark;
use crate::pan::{Band, Instrument};
use crate::performance::dynamics::OPENING;
use crate::performance::perform::ACCENT_STEPS;
use crate::performance::stroke::VoicePlayer;
use crate::performance::{Performance, Sound, Stroke, Voice};
use crate::sound::bank::{Body, ForceLevel, Struck};
use crate::sound::plan::{self, STRUCK_AGAIN};
use crate::sound::{Settings, flac};

/// Samples a second: sound up to 11 kHz, which holds six partials of the highest note and most of the iron's shine.
pub const RATE: u32 = 22_050;

/// The loudest sample of every stroke as a whole number: 12 bits. A stroke's noise of rounding lies 70 dB below its beginning.
const FULL: f32 = 2047.0;

/// How many variants of a stroke the player's own part has, and the band.
const VARIANTS: (u8, u8) = (3, 1);

/// Where a stroke is ended, in dB below its loudest moment: of the own part, and of the band.
const ENDS: (f64, f64) = (-44.0, -38.0);

/// The longest that a stroke rings, in seconds: of the own part, and of the band.
const LONGEST: (f64, f64) = (2.4, 1.3);

/// How long a stroke that is ended fades, in seconds.
const FADE: f64 = 0.06;

/// Silence between strokes, in samples, so that resampling does not smear one into the next.
const BETWEEN: usize = 64;

/// What tells strokes of a page apart: the voice, what is struck, how bright, and the variant.
type Key = (u16, Struck, ForceLevel, u8);

/// A stroke of the bank.
#[derive(Clone, Debug, Serialize)]
pub struct Entry {
    /// The number of its voice.
    pub voice: u16,
    /// Where it begins in the sound file, and how long it is, in seconds.
    pub from: f64,
    /// Its length in seconds.
    pub lasts: f64,
    /// By how much its samples are raised to be as loud as it sounds in the band when it is struck with full force.
    pub gain: f64,
    /// What it strikes: strokes of one number are of one note, or one kind of stroke on percussion.
    pub place: u32,
    /// The places whose ringing it stops.
    pub stops: Vec<u32>,
    /// How long a hand that damps it takes, in seconds.
    pub damp: f64,
}

/// A click of the sticks that count.
#[derive(Clone, Copy, Debug, Default, Serialize)]
pub struct Click {
    /// The number of the stroke.
    pub sound: u32,
    /// How loud: 1 is full force.
    pub loud: f64,
}

/// The strokes of a page.
#[derive(Clone, Debug)]
pub struct Bank {
    /// The strokes, in the order of their numbers.
    pub entries: Vec<Entry>,
    /// How long what is struck again takes to stop, in seconds.
    pub again: f64,
    /// Their samples, as they are once the file is read and raised by [`Entry::gain`].
    samples: Vec<Vec<f32>>,
    /// The numbers.
    numbers: BTreeMap<Key, u32>,
    /// The strokes of the sticks that count, accented and not: the number, and how loud.
    pub clicks: [Click; 2],
    own: Vec<u16>,
    usual: BTreeMap<u16, ForceLevel>,
}

impl Bank {
    /// The strokes that these performances need, and no others: what is not rolled of the first, and the rolls of all. All have the
    /// same voices.
    ///
    /// - `own`: the voices of the player.
    pub fn new(performances: &[Performance], own: &[u16], band: &Band, settings: &Settings) -> Bank {
        let mut voices = performances[0].voices.clone();
        let counts = voices.len() as u16;
        let player = VoicePlayer::Percussion(Instrument::Claves);
        voices.push(Voice { name: "count-in".to_owned(), player, part: None });
        let usual = usual_levels(&performances[0]);
        let mut bank = Bank {
            entries: Vec::new(),
            again: STRUCK_AGAIN,
            samples: Vec::new(),
            numbers: BTreeMap::new(),
            clicks: Default::default(),
            own: own.to_vec(),
            usual,
        };
        let plain = performances[0].strokes.iter().filter(|stroke| stroke.roll.is_none());
        let mut wanted: Vec<Key> = counted(plain).map(|(stroke, count)| bank.key(stroke, count)).collect();
        for performance in performances {
            let rolled = performance.strokes.iter().filter(|stroke| stroke.roll.is_some());
            wanted.extend(counted(rolled).map(|(stroke, count)| bank.key(stroke, count)));
        }
        let stick = Struck::Mark(Mark::Stroke);
        let clicks = [ACCENT_STEPS, 0.0].map(|steps| OPENING.force().steps(steps));
        wanted.extend(clicks.map(|force| (counts, stick, ForceLevel::of(force), 0)));
        wanted.sort_unstable();
        wanted.dedup();
        let bodies: Vec<Body> = voices.iter().map(|voice| plan::body(voice, band, settings)).collect();
        bank.samples =
            wanted.par_iter().map(|key| samples(&bodies[usize::from(key.0)], key, own.contains(&key.0))).collect();
        bank.number(wanted, &voices);
        let number = |force| bank.numbers[&(counts, stick, ForceLevel::of(force), 0)];
        bank.clicks = clicks.map(|force| Click { sound: number(force), loud: plan::loudness(force) });
        bank
    }

    fn number(&mut self, wanted: Vec<Key>, voices: &[Voice]) {
        let mut places: BTreeMap<(u16, Struck), u32> = BTreeMap::new();
        for (voice, struck, ..) in &wanted {
            let next = places.len() as u32;
            places.entry((*voice, *struck)).or_insert(next);
        }
        let mut at = BETWEEN;
        for ((voice, struck, ..), samples) in wanted.iter().zip(&mut self.samples) {
            let player = &voices[usize::from(*voice)].player;
            let peak = samples.iter().fold(0.0f32, |peak, sample| peak.max(sample.abs())).max(1e-6);
            samples.iter_mut().for_each(|sample| *sample = (*sample / peak * FULL).round());
            self.entries.push(Entry {
                voice: *voice,
                from: at as f64 / f64::from(RATE),
                lasts: samples.len() as f64 / f64::from(RATE),
                gain: f64::from(peak * 32_768.0 / FULL) * 10f64.powf(plan::balance(player) / 20.0),
                place: places[&(*voice, *struck)],
                stops: plan::stopped(player, *struck)
                    .filter_map(|other| places.get(&(*voice, other)).copied())
                    .collect(),
                damp: plan::damping(*struck),
            });
            at += samples.len() + BETWEEN;
        }
        self.numbers = wanted.into_iter().zip(0..).collect();
    }

    fn variants(&self, voice: u16) -> u8 {
        if self.own.contains(&voice) { VARIANTS.0 } else { VARIANTS.1 }
    }

    fn key(&self, stroke: &Stroke, count: usize) -> Key {
        let level = match self.usual.get(&stroke.voice) {
            Some(level) if !self.own.contains(&stroke.voice) => *level,
            _ => ForceLevel::of(stroke.force),
        };
        let variant = (count % usize::from(self.variants(stroke.voice))) as u8;
        (stroke.voice, Struck::from(stroke.sound), level, variant)
    }

    /// The number of a stroke; `count`: how often its note was struck before ([`counted`]). Of a variant that is never struck it is
    /// that of another.
    pub fn of(&self, stroke: &Stroke, count: usize) -> u32 {
        let key = self.key(stroke, count);
        let variants = (0..self.variants(stroke.voice)).map(|variant| (key.0, key.1, key.2, variant));
        let there = std::iter::once(key).chain(variants).find_map(|key| self.numbers.get(&key));
        *there.expect("the bank has every stroke that is struck")
    }

    /// All strokes in one FLAC file.
    pub fn file(&self) -> Vec<u8> {
        let silence = || std::iter::repeat_n(0, BETWEEN);
        let strokes =
            self.samples.iter().flat_map(|samples| samples.iter().map(|sample| *sample as i32).chain(silence()));
        flac::mono(silence().chain(strokes).collect(), RATE).expect("the encoder takes samples of 12 bits")
    }

    /// The samples of a stroke, and the gain with which a player hears them when it is struck with full force.
    pub fn heard(&self, number: u32) -> (&[f32], f32) {
        (&self.samples[number as usize], self.entries[number as usize].gain as f32 / 32_768.0)
    }
}

/// Strokes in their order, each with a number of which the variant is what is left after a division. It grows by one or two from stroke
/// to stroke of the same, by chance: so no variant comes twice running, and their order does not come again.
pub fn counted<'a>(strokes: impl Iterator<Item = &'a Stroke>) -> impl Iterator<Item = (&'a Stroke, usize)> {
    let mut struck: HashMap<(u16, Sound), (usize, Seed)> = HashMap::new();
    strokes.map(move |stroke| {
        let begin = || (0, Seed::of(&[u64::from(stroke.voice), Struck::from(stroke.sound).number()]));
        let (count, seed) = struck.entry((stroke.voice, stroke.sound)).or_insert_with(begin);
        *count += 1 + usize::from(seed.unit() < 0.5);
        (stroke, *count)
    })
}

/// How loud each voice is struck mostly.
fn usual_levels(performance: &Performance) -> BTreeMap<u16, ForceLevel> {
    let mut counts: BTreeMap<(u16, ForceLevel), usize> = BTreeMap::new();
    for stroke in &performance.strokes {
        *counts.entry((stroke.voice, ForceLevel::of(stroke.force))).or_default() += 1;
    }
    let mut usual: BTreeMap<u16, (usize, ForceLevel)> = BTreeMap::new();
    for ((voice, level), count) in counts {
        let most = usual.entry(voice).or_insert((count, level));
        *most = (*most).max((count, level));
    }
    usual.into_iter().map(|(voice, (_, level))| (voice, level)).collect()
}

/// The samples of a stroke, ended where it has nearly died away.
fn samples(body: &Body, (_, struck, level, variant): &Key, own: bool) -> Vec<f32> {
    let force: Force = level.force();
    let rate = f64::from(RATE);
    let mut out = body.samples(*struck, force, *variant, rate);
    let of = |pair: (f64, f64)| if own { pair.0 } else { pair.1 };
    let peak = out.iter().fold(0.0f32, |peak, sample| peak.max(sample.abs()));
    let quiet = peak * 10f64.powf(of(ENDS) / 20.0) as f32;
    let dies = out.iter().rposition(|sample| sample.abs() > quiet).map_or(0, |last| last + 1);
    let fade = count(FADE * rate);
    out.truncate(count(of(LONGEST) * rate).min(dies + fade));
    let fade = fade.min(out.len());
    let start = out.len() - fade;
    for (n, sample) in out[start..].iter_mut().enumerate() {
        *sample *= 0.5 + 0.5 * (std::f32::consts::PI * (n + 1) as f32 / fade as f32).cos();
    }
    out
}

//! A track that can be played again and again: measured first, then written with its gain and limiter.
//!
//! Playing is cheap, so an hour of music need not be held; the beginning is kept as far as `MEMORY` reaches, since most tunes are
//! no longer than that.

use std::io;

use super::bank::Bank;
use super::loudness::{Limiter, Meter, amplitude};
use super::mixer::Mixer;
use super::plan::Plan;
use super::room::{self, Room};
use super::settings::Settings;
use crate::music::count;

/// What the bank and the beginning of a track that is kept between playings may take together: 160 MiB. Of a track of
/// 3 minutes at 44,100 samples a second all is kept, 64 MiB. A bank larger than this (a whole orchestra, an hour) is
/// held all the same.
const MEMORY: usize = 160 << 20;

/// How near to the loudness aimed at is near enough, in LU: the 0.1 LU that meters may err (EBU Tech 3341). Every try
/// measures the whole track once more.
pub(super) const NEAR: f64 = 0.1;

/// How far below the ceiling the limiter aims at first, in dB: true peaks lie between samples.
const BELOW: f64 = 0.1;

/// How much of the loudness the limiter takes back, in LU for each dB that it lowers the highest peak by beyond
/// [`LOSSLESS`]: a first guess, measured on the demo's tracks, that mostly saves a second try.
const LOSS: f64 = 0.15;

/// Up to so many dB of limiting the loudness stays, since only the very first milliseconds of strokes are lowered.
const LOSSLESS: f64 = 2.0;

/// What is kept free below the ceiling for rounding to 16 bits, in dB.
const ROUNDING: f64 = 0.01;

/// How often loudness and ceiling are tried before the track is written as it is.
const TRIES: usize = 8;

/// The limiter may lower peaks by this many dB; a track that would need more stays softer. Our own setting: beyond,
/// strokes lose their attack.
const MOST_LIMITING: f64 = 16.0;

/// The same where peaks are held before the mix (see [`hold`]): little is left to do, and what is done takes from the part as well.
const LEFT_TO_LIMIT: f64 = 0.5;

/// How a track gets its loudness, and what comes of it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Finish {
    /// The gain, as a factor.
    pub gain: f64,
    /// The amplitude that the limiter aims at; `None`: no limiter.
    limit: Option<f64>,
    /// LUFS.
    pub loudness: f64,
    /// dBTP.
    pub true_peak: f64,
    /// The limiter's lowest gain.
    pub lowest: f64,
}

impl Finish {
    /// The same, softer as a whole by some dB: gain and limiter go down together, so that the limiter does the same work
    /// and what was measured goes down with them.
    fn lowered(self, by: f64) -> Finish {
        let down = amplitude(-by);
        Finish {
            gain: self.gain * down,
            limit: self.limit.map(|limit| limit * down),
            loudness: self.loudness - by,
            true_peak: self.true_peak - by,
            lowest: self.lowest,
        }
    }
}

pub(super) type Sink<'s> = &'s mut dyn FnMut(&[f32], &[f32]) -> io::Result<()>;

/// A track that can be played again and again.
pub(super) struct Track<'a> {
    /// How it is made.
    pub settings: &'a Settings,
    /// Samples of each channel.
    pub frames: u64,
    /// The beginning, kept: left and right, or one of them where they are the same.
    kept: Vec<Vec<f32>>,
    /// What plays the rest.
    rest: Mixer<'a>,
}

impl<'a> Track<'a> {
    /// A track of a plan, with the strokes that it needs.
    pub fn new(plan: &'a Plan, bank: &'a Bank, settings: &'a Settings) -> Self {
        let rate = f64::from(settings.rate);
        let mut mixer = Mixer::new(plan, bank, settings.room.then(|| Room::new(rate)));
        let echoes = if settings.room { count(room::T60 * rate) as u64 } else { 0 };
        let frames = plan.frames.max(mixer.ends()) + echoes;
        let sides = if plan.mono { 1 } else { 2 };
        let room = MEMORY.saturating_sub(bank.bytes());
        let held = usize::try_from(frames).unwrap_or(usize::MAX).min(room / (sides * size_of::<f32>()));
        let mut kept = vec![Vec::with_capacity(held); sides];
        let (mut left, mut right) = (vec![0.0; settings.block.max(1)], vec![0.0; settings.block.max(1)]);
        while kept[0].len() < held {
            let count = left.len().min(held - kept[0].len());
            mixer.fill(&mut left[..count], &mut right[..count]);
            kept.iter_mut().zip([&left, &right]).for_each(|(kept, side)| kept.extend_from_slice(&side[..count]));
        }
        Track { settings, frames, kept, rest: mixer }
    }

    /// Plays the track from front to back, as it is mixed: left and right, or one channel that stands for both.
    fn play(&self, sink: &mut dyn FnMut(&[&[f32]]) -> io::Result<()>) -> io::Result<()> {
        let block = self.settings.block.max(1);
        let held = self.kept[0].len();
        for from in (0..held).step_by(block) {
            let part = from..held.min(from + block);
            let sides: Vec<&[f32]> = self.kept.iter().map(|side| &side[part.clone()]).collect();
            sink(&sides)?;
        }
        let mut rest = self.rest.clone();
        let mut left_over = self.frames - held as u64;
        let (mut left, mut right) = (vec![0.0; block], vec![0.0; block]);
        while left_over > 0 {
            let count = usize::try_from(left_over).map_or(block, |count| count.min(block));
            rest.fill(&mut left[..count], &mut right[..count]);
            sink(&[&left[..count], &right[..count]][..self.kept.len()])?;
            left_over -= count as u64;
        }
        Ok(())
    }

    /// Plays the track with its gain and limiter; gives the limiter's lowest gain. Where one channel stands for both, `sink` gets it
    /// twice.
    pub fn finished(&self, finish: &Finish, sink: Sink) -> io::Result<f64> {
        let mut out = vec![Vec::new(); self.kept.len()];
        let gain = finish.gain as f32;
        let Some(limit) = finish.limit else {
            self.play(&mut |sides| {
                for (out, side) in out.iter_mut().zip(sides) {
                    out.clear();
                    out.extend(side.iter().map(|sample| sample * gain));
                }
                sink(&out[0], &out[out.len() - 1])
            })?;
            return Ok(1.0);
        };
        let mut limiter = Limiter::new(self.settings.rate, finish.gain, limit);
        let delay = limiter.delay();
        let mut early = delay;
        let mut limit = |sides: &[&[f32]]| {
            for (out, side) in out.iter_mut().zip(sides) {
                out.clear();
                out.extend_from_slice(side);
            }
            let mut sides: Vec<&mut [f32]> = out.iter_mut().map(Vec::as_mut_slice).collect();
            limiter.block(&mut sides);
            let skip = early.min(out[0].len());
            early -= skip;
            sink(&out[0][skip..], &out[out.len() - 1][skip..])?;
            Ok(limiter.used)
        };
        self.play(&mut |sides| limit(sides).map(drop))?;
        // What still waits comes out; of a track shorter than that, what is left of the delay does first.
        let silence = vec![0.0; delay];
        limit(&[&silence[..], &silence][..self.kept.len()])
    }

    /// Finds the gain, and the limiter's ceiling if one is needed, by playing and measuring.
    ///
    /// - `lower`: by how many dB peaks stay lower than the settings' ceiling.
    pub fn measured(&self, lower: f64) -> Finish {
        let plain = self.measure(Finish { gain: 1.0, limit: None, loudness: 0.0, true_peak: 0.0, lowest: 1.0 });
        let ceiling = self.settings.ceiling - ROUNDING - lower;
        let up = if plain.loudness.is_finite() { self.settings.loudness - plain.loudness } else { 0.0 };
        let raised = |up: f64| Finish {
            gain: amplitude(up),
            loudness: plain.loudness + up,
            true_peak: plain.true_peak + up,
            ..plain
        };
        if plain.true_peak + up <= ceiling {
            return raised(up);
        }
        if !plain.loudness.is_finite() {
            return raised(ceiling - plain.true_peak);
        }
        self.limited(up, plain.true_peak, ceiling, lower)
    }

    /// Raises the track with a limiter until loudness and ceiling are right, or the limiter would have to work too hard.
    fn limited(&self, up: f64, peak: f64, ceiling: f64, lower: f64) -> Finish {
        let is_held = self.settings.standing.is_some_and(|standing| standing.peaks.is_some());
        let most = ceiling + if is_held { LEFT_TO_LIMIT + lower } else { MOST_LIMITING } - peak;
        let mut limit = ceiling - BELOW;
        let mut up = up + (peak + up - ceiling - LOSSLESS).max(0.0) * LOSS;
        let mut finish = Finish { gain: 1.0, limit: None, loudness: 0.0, true_peak: 0.0, lowest: 1.0 };
        for _ in 0..TRIES {
            up = up.min(most);
            finish = self.measure(Finish { gain: amplitude(up), limit: Some(amplitude(limit)), ..finish });
            let over = (finish.true_peak - ceiling).max(0.0);
            finish = finish.lowered(over);
            let short = self.settings.loudness - finish.loudness;
            if short.abs() <= NEAR || (short > 0.0 && up >= most) {
                break;
            }
            limit -= over;
            // The limiter takes back part of what is raised, so a little more is asked than is missing.
            up += (short - over) * 1.5;
        }
        finish
    }

    fn measure(&self, finish: Finish) -> Finish {
        let mut meter = Meter::new(self.settings.rate);
        let listen = &mut |left: &[f32], right: &[f32]| {
            meter.add(left, right);
            Ok(())
        };
        let lowest = self.finished(&finish, listen).expect("listening can't fail");
        Finish { loudness: meter.loudness(), true_peak: meter.true_peak(), lowest, ..finish }
    }
}

//! The mixer: adds the bank's strokes at their samples, block by block.
//!
//! Each voice's strokes are added on one channel, in their order; then each voice goes to its place between left and
//! right. Every sample is the same sum in the same order whatever the size of the blocks, so the bytes are the same.

use super::bank::Bank;
use super::give_way::GiveWay;
use super::plan::{Event, Plan};
use super::room::Room;

/// How many samples are worked at a time: small enough for a voice, left and right to stay in the nearest cache.
const WORK: usize = 2048;

/// A source of stereo sound, from its start on.
#[derive(Clone, Debug)]
pub struct Mixer<'a> {
    plan: &'a Plan,
    bank: &'a Bank,
    fades: Vec<(u32, Vec<f32>)>,
    /// The sample that comes next.
    at: u64,
    /// The next event to begin.
    next: usize,
    /// The events that sound, by place.
    sounding: Vec<Vec<Event>>,
    voice: Vec<f32>,
    held: Option<Held>,
    room: Option<Room>,
    /// What is mixed but not yet taken, from `taken` on.
    ready: [Vec<f32>; 2],
    taken: usize,
}

impl<'a> Mixer<'a> {
    /// A mixer at the start of a track, dry or in a room.
    pub fn new(plan: &'a Plan, bank: &'a Bank, room: Option<Room>) -> Self {
        let mut fades: Vec<(u32, Vec<f32>)> = Vec::new();
        for event in &plan.events {
            if event.fade > 0 && !fades.iter().any(|(length, _)| *length == event.fade) {
                fades.push((event.fade, fade(event.fade)));
            }
        }
        let sounding = vec![Vec::new(); plan.places.len()];
        let held = plan
            .peaks
            .map(|peaks| Held { give_way: GiveWay::new(plan.rate, peaks), own: [vec![0.0; WORK], vec![0.0; WORK]] });
        let ready = [vec![0.0; WORK], vec![0.0; WORK]];
        let voice = vec![0.0; WORK];
        let mut mixer = Mixer { plan, bank, fades, at: 0, next: 0, sounding, voice, held, room, ready, taken: WORK };
        if let Some(held) = &mixer.held {
            // What comes out at first is nothing but the delay.
            let late = held.give_way.delay();
            for _ in 0..late / WORK + 1 {
                mixer.work();
            }
            mixer.taken = late % WORK;
        }
        mixer
    }

    /// The sample after the last stroke has died away.
    pub fn ends(&self) -> u64 {
        let end = |event: &Event| event.start + self.length(event) as u64;
        self.plan.events.iter().map(end).max().unwrap_or(0)
    }

    /// Fills the next block; both channels must be equally long.
    pub fn fill(&mut self, left: &mut [f32], right: &mut [f32]) {
        let mut filled = 0;
        while filled < left.len() {
            if self.taken == WORK {
                self.work();
            }
            let count = (left.len() - filled).min(WORK - self.taken);
            let (to, from) = (filled..filled + count, self.taken..self.taken + count);
            left[to.clone()].copy_from_slice(&self.ready[0][from.clone()]);
            right[to].copy_from_slice(&self.ready[1][from]);
            filled += count;
            self.taken += count;
        }
    }

    /// Mixes the next stretch.
    fn work(&mut self) {
        let [mut left, mut right] = std::mem::take(&mut self.ready);
        left.fill(0.0);
        right.fill(0.0);
        match self.held.take() {
            None => self.strike(&mut left, &mut right),
            Some(mut held) => {
                self.strike_held(&mut held, &mut left, &mut right);
                self.held = Some(held);
            }
        }
        if let Some(room) = &mut self.room {
            room.add(&mut left, &mut right);
            if self.plan.mono {
                let middle = left.iter().zip(&right).map(|(left, right)| 0.5 * (left + right));
                left = middle.collect();
                right.clone_from(&left);
            }
        }
        self.ready = [left, right];
        self.taken = 0;
    }

    fn strike(&mut self, left: &mut [f32], right: &mut [f32]) {
        let plan = self.plan;
        self.voices(left.len(), &mut |number, voice| {
            add_scaled(left, voice, plan.places[number].left);
            add_scaled(right, voice, plan.places[number].right);
        });
    }

    /// As [`Mixer::strike`], with peaks held; all comes out late.
    fn strike_held(&mut self, held: &mut Held, left: &mut [f32], right: &mut [f32]) {
        let plan = self.plan;
        let [own_left, own_right] = &mut held.own;
        self.voices(left.len(), &mut |number, voice| {
            let place = plan.places[number];
            let (left, right) =
                if place.is_back { (&mut *left, &mut *right) } else { (&mut own_left[..], &mut own_right[..]) };
            add_scaled(left, voice, place.left);
            add_scaled(right, voice, place.right);
        });
        held.give_way.join(&mut held.own, [left, right]);
        held.own.iter_mut().for_each(|side| side.fill(0.0));
    }

    /// Plays the next `frames` samples voice by voice, each on one channel before it goes to its place; gives `each` the
    /// number of every voice that sounds, and its samples.
    ///
    /// A mixer that is asked for voices is not asked for blocks.
    pub fn voices(&mut self, frames: usize, each: &mut dyn FnMut(usize, &[f32])) {
        let end = self.at + frames as u64;
        self.voice.resize(self.voice.len().max(frames), 0.0);
        while let Some(event) = self.plan.events.get(self.next).filter(|event| event.start < end) {
            self.sounding[usize::from(event.place)].push(*event);
            self.next += 1;
        }
        for number in 0..self.sounding.len() {
            if self.sounding[number].is_empty() {
                continue;
            }
            let events = std::mem::take(&mut self.sounding[number]);
            self.voice[..frames].fill(0.0);
            for event in &events {
                self.add(event, frames);
            }
            each(number, &self.voice[..frames]);
            self.sounding[number] = events;
            let sounds = |event: &Event| event.start + Self::heard(self.bank, event) as u64 > end;
            self.sounding[number].retain(sounds);
        }
        self.at = end;
    }

    /// Adds what falls into the next `frames` samples of an event to the voice.
    fn add(&mut self, event: &Event, frames: usize) {
        let length = self.length(event);
        let skipped = self.at.saturating_sub(event.start) as usize;
        let into = event.start.saturating_sub(self.at) as usize;
        let count = (frames - into).min(length.saturating_sub(skipped));
        let samples = &self.bank.stroke(event.stroke)[skipped..skipped + count];
        let out = &mut self.voice[into..into + count];
        // A stroke that is stopped fades over its last samples; before that it is added as it is.
        let fade_from = if event.fade > 0 { event.length as usize - event.fade as usize } else { usize::MAX };
        let plain = fade_from.saturating_sub(skipped).min(count);
        add_scaled(&mut out[..plain], samples, event.gain);
        if plain < count {
            let (_, fade) = self.fades.iter().find(|(length, _)| *length == event.fade).expect("every fade is made");
            let fade = &fade[skipped + plain - fade_from..];
            for ((out, sample), fade) in out[plain..].iter_mut().zip(&samples[plain..]).zip(fade) {
                *out += sample * (event.gain * fade);
            }
        }
    }

    fn length(&self, event: &Event) -> usize {
        Self::heard(self.bank, event)
    }

    fn heard(bank: &Bank, event: &Event) -> usize {
        bank.stroke(event.stroke).len().min(event.length as usize)
    }
}

/// What holds peaks, and the stretch of a player's own voices.
#[derive(Clone, Debug)]
struct Held {
    give_way: GiveWay,
    own: [Vec<f32>; 2],
}

/// Adds `gain` times the samples; as many as the shorter of the two has.
pub(super) fn add_scaled(out: &mut [f32], samples: &[f32], gain: f32) {
    for (out, sample) in out.iter_mut().zip(samples) {
        *out += sample * gain;
    }
}

/// A fade of a number of samples: half a cosine from 1 to 0.
fn fade(length: u32) -> Vec<f32> {
    let angle = |n: u32| std::f64::consts::PI * f64::from(n + 1) / f64::from(length);
    (0..length).map(|n| (0.5 + 0.5 * angle(n).cos()) as f32).collect()
}

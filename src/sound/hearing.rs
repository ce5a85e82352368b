//! What is heard of a stereo sound, sample by sample: its weighted power in full, and as a phone's small speaker gives it.
//!
//! A filter waits for its own last sample, so that one signal alone would leave most of a processor idle. The sound is cut into pieces,
//! whose left and right are filtered side by side; each piece begins a little early, for its filters to know what came before.

use super::gate::stretch;
use super::weighting::{Cascade, Frame, LANES, k_weighting, small_speaker};
use crate::music::count;

/// Into how many pieces a sound is cut.
const PIECES: usize = LANES / 2;

/// How long a piece is, in seconds.
const PIECE: f64 = 0.5;

/// How much earlier its filters begin, in seconds: the slowest of them, the weighting's low cut, has then forgotten all but 1 part in 10 million.
const EARLIER: f64 = 0.08;

/// How many samples of all pieces are worked at a time: few enough to stay in the nearest cache.
const WORK: usize = 256;

/// Listens to a stereo sound from front to back.
#[derive(Clone, Debug)]
pub struct Hearing {
    rate: f64,
    piece: usize,
    early: usize,
    /// What is to be heard, after what its filters need to know of before.
    waiting: [Vec<f32>; 2],
    frames: Vec<Frame>,
    /// The power of each sample that was heard last: in full, and on a small speaker if that is listened to.
    powers: [Vec<f32>; 2],
    hearings: usize,
}

/// The powers of some samples, left and right together: in full, and on a small speaker.
pub type Powers<'p> = [&'p [f32]; 2];

impl Hearing {
    /// Hears all of a sound.
    pub fn full(rate: u32) -> Hearing {
        Hearing::new(rate, 1)
    }

    /// Hears all of a sound, and what a small speaker gives of it.
    pub fn both(rate: u32) -> Hearing {
        Hearing::new(rate, 2)
    }

    fn new(rate: u32, hearings: usize) -> Hearing {
        let hz = f64::from(rate);
        let (piece, early) = (count(PIECE * hz), count(EARLIER * hz));
        let waiting = [vec![0.0; early], vec![0.0; early]];
        let frames = vec![[0.0; LANES]; WORK];
        Hearing { rate: hz, piece, early, waiting, frames, powers: [Vec::new(), Vec::new()], hearings }
    }

    /// Takes a block, left and right equally long; gives `each` the powers of samples that have been heard, now and then and in their order.
    pub fn add(&mut self, left: &[f32], right: &[f32], each: &mut dyn FnMut(Powers)) {
        let full = self.early + PIECES * self.piece;
        let mut at = 0;
        while at < left.len() {
            let end = left.len().min(at + full - self.waiting[0].len());
            self.waiting[0].extend_from_slice(&left[at..end]);
            self.waiting[1].extend_from_slice(&right[at..end]);
            at = end;
            if self.waiting[0].len() == full {
                self.hear(self.piece);
                each([&self.powers[0], &self.powers[1]]);
                let heard = full - self.early;
                self.waiting.iter_mut().for_each(|side| drop(side.drain(..heard)));
            }
        }
    }

    /// Gives `each` the powers of what is still waiting.
    pub fn finish(mut self, each: &mut dyn FnMut(Powers)) {
        let left_over = self.waiting[0].len() - self.early;
        let piece = left_over.div_ceil(PIECES);
        let full = self.early + PIECES * piece;
        self.waiting.iter_mut().for_each(|side| side.resize(full, 0.0));
        self.hear(piece);
        let [all, small] = &self.powers;
        each([&all[..left_over], &small[..left_over.min(small.len())]]);
    }

    /// Notes the powers of what is waiting, in pieces of this length.
    fn hear(&mut self, piece: usize) {
        let mut filters = [k_weighting(self.rate), small_speaker(self.rate)].map(|filters| Cascade::new(&filters));
        let Hearing { early, waiting, frames, powers, hearings, .. } = self;
        powers[..*hearings].iter_mut().for_each(|powers| powers.resize(PIECES * piece, 0.0));
        let length = *early + piece;
        for from in (0..length).step_by(WORK) {
            let frames = &mut frames[..WORK.min(length - from)];
            for lane in 0..LANES {
                let signal = &waiting[lane % 2][lane / 2 * piece + from..];
                frames.iter_mut().zip(signal).for_each(|(frame, sample)| frame[lane] = *sample);
            }
            // What a small speaker gives is weighted as well: its filter goes over what the weighting has left.
            for (filter, powers) in filters.iter_mut().zip(&mut powers[..*hearings]) {
                filter.filter(frames);
                let skipped = early.saturating_sub(from).min(frames.len());
                for number in 0..PIECES {
                    let at = number * piece + (from + skipped).saturating_sub(*early);
                    let powers = &mut powers[at..at + frames.len() - skipped];
                    for (power, frame) in powers.iter_mut().zip(&frames[skipped..]) {
                        *power = frame[2 * number] * frame[2 * number] + frame[2 * number + 1] * frame[2 * number + 1];
                    }
                }
            }
        }
    }
}

/// The energies of stretches, from powers as they come.
#[derive(Clone, Debug)]
pub struct Energies {
    size: usize,
    /// Of each full stretch so far.
    pub stretches: Vec<f64>,
    begun: f64,
    taken: usize,
}

impl Energies {
    /// Nothing so far.
    ///
    /// - `size`: the samples of a stretch.
    pub fn new(size: usize) -> Energies {
        Energies { size, stretches: Vec::new(), begun: 0.0, taken: 0 }
    }

    /// Takes the powers of the next samples.
    pub fn add(&mut self, mut powers: &[f32]) {
        while !powers.is_empty() {
            let (now, later) = powers.split_at(powers.len().min(self.size - self.taken));
            self.begun += sum(now);
            self.taken += now.len();
            if self.taken == self.size {
                self.stretches.push(self.begun);
                (self.begun, self.taken) = (0.0, 0);
            }
            powers = later;
        }
    }
}

/// Listens to a stereo sound for the energies of its stretches of 100 ms: in full, and on a small speaker.
#[derive(Clone, Debug)]
pub struct Ears {
    hearing: Hearing,
    energies: [Energies; 2],
}

impl Ears {
    /// Nothing has been heard so far.
    pub fn new(rate: u32) -> Ears {
        let energies = Energies::new(stretch(rate));
        Ears { hearing: Hearing::both(rate), energies: [energies.clone(), energies] }
    }

    /// Listens to a block, left and right equally long.
    pub fn add(&mut self, left: &[f32], right: &[f32]) {
        let Ears { hearing, energies } = self;
        hearing.add(left, right, &mut |powers| note(energies, powers));
    }

    /// The energies of all full stretches.
    pub fn finish(self) -> [Vec<f64>; 2] {
        let Ears { hearing, mut energies } = self;
        hearing.finish(&mut |powers| note(&mut energies, powers));
        energies.map(|energies| energies.stretches)
    }
}

fn note(energies: &mut [Energies; 2], powers: Powers) {
    energies.iter_mut().zip(powers).for_each(|(energies, powers)| energies.add(powers));
}

/// The sum of some powers, in eight sums side by side.
pub fn sum(powers: &[f32]) -> f64 {
    let mut sums = [0f32; LANES];
    let (eights, rest) = powers.as_chunks::<LANES>();
    for eight in eights {
        (0..LANES).for_each(|lane| sums[lane] += eight[lane]);
    }
    sums.iter().chain(rest).map(|power| f64::from(*power)).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kit::Numbers;

    /// Pieces are heard as the whole would be, whatever the blocks.
    #[test]
    fn a_sound_in_pieces_is_heard_as_in_one() {
        for rate in [22_050, 44_100, 192_000] {
            let mut numbers = Numbers(7);
            let mut noise = |level: f32| -> Vec<f32> {
                (0..rate * 5 / 2).map(|_| level * (numbers.below(2001) as f32 / 1000.0 - 1.0) + 0.3).collect()
            };
            let [left, right] = [noise(0.5), noise(0.1)];
            let mut heard = [Vec::new(), Vec::new()];
            let mut hearing = Hearing::both(rate);
            let mut note = |[all, small]: Powers| {
                heard[0].extend_from_slice(all);
                heard[1].extend_from_slice(small);
            };
            for (left, right) in left.chunks(5003).zip(right.chunks(5003)) {
                hearing.add(left, right, &mut note);
            }
            hearing.finish(&mut note);
            let mut frames: Vec<Frame> =
                left.iter().zip(&right).map(|(l, r)| [*l, *r, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0]).collect();
            for (filters, heard) in [k_weighting(f64::from(rate)), small_speaker(f64::from(rate))].iter().zip(&heard) {
                Cascade::new(filters).filter(&mut frames);
                assert_eq!(heard.len(), frames.len());
                let power = |frame: &Frame| frame[0] * frame[0] + frame[1] * frame[1];
                // Single precision leaves its noise, another one in either.
                for (frames, heard) in frames.chunks(1000).zip(heard.chunks(1000)) {
                    let whole: f64 = frames.iter().map(|frame| f64::from(power(frame))).sum();
                    assert!((sum(heard) / whole - 1.0).abs() < 1e-3, "{rate}: {} {whole}", sum(heard));
                }
            }
        }
    }

    #[test]
    fn energies_are_sums_over_stretches() {
        let mut energies = Energies::new(10);
        let powers: Vec<f32> = (0..35u8).map(f32::from).collect();
        powers.chunks(4).for_each(|some| energies.add(some));
        assert_eq!(energies.stretches, [45.0, 145.0, 245.0]);
    }
}

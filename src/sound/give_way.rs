//! The band gives way to a player's own parts: where both together would be too loud, the band alone is turned down.

use super::glide::{Glide, STEP};
use super::loudness::Limiter;

/// Time constant in seconds with which parts and band are let go. Our own setting: sooner than behind a mix, since what follows the
/// front of a stroke is to keep its loudness, yet later than a bass's longest waves.
pub const LET_GO: f64 = 0.030;

/// Where the peaks of a player's own parts are held, and where those of all together: amplitudes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Peaks {
    /// Of the own parts alone.
    pub own: f64,
    /// Of own parts and band together, not below `own`: the band is turned down for it.
    pub all: f64,
}

/// Own parts and band on their way to each other.
#[derive(Clone, Debug)]
pub struct GiveWay {
    own: Limiter,
    all: f32,
    glide: Glide,
    /// The own parts, held, that wait for the gain that looks ahead; how many samples of them have been looked at.
    waiting: [Vec<f32>; 2],
    looked: usize,
    /// The band, which waits for the limiter as well.
    band: [Vec<f32>; 2],
}

impl GiveWay {
    /// Nothing has been heard yet.
    pub fn new(rate: u32, peaks: Peaks) -> GiveWay {
        let own = Limiter::that_lets_go(LET_GO, rate, 1.0, peaks.own);
        let glide = Glide::new(rate, LET_GO);
        let silence = |length: usize| [vec![0.0; length], vec![0.0; length]];
        let looked = glide.delay();
        let (waiting, band) = (silence(looked), silence(looked + own.delay()));
        GiveWay { own, all: peaks.all as f32, glide, waiting, looked, band }
    }

    /// By how many samples what comes out is late.
    pub fn delay(&self) -> usize {
        self.own.delay() + self.glide.delay()
    }

    /// Takes a block of both, left and right, all equally long, and gives what they come to, late, in the place of the band. The own
    /// parts' block is used up.
    pub fn join(&mut self, own: &mut [Vec<f32>; 2], band: [&mut [f32]; 2]) {
        let [own_left, own_right] = own;
        self.own.block(&mut [own_left, own_right]);
        for (waiting, block) in self.waiting.iter_mut().zip([own_left, own_right]) {
            waiting.extend_from_slice(block);
        }
        self.band.iter_mut().zip(&band).for_each(|(waiting, band)| waiting.extend_from_slice(band));
        while self.looked + STEP <= self.waiting[0].len() {
            let steps = self.looked..self.looked + STEP;
            let side = |side: usize| self.wanted(&self.waiting[side][steps.clone()], &self.band[side][steps.clone()]);
            let wanted = side(0).min(side(1));
            self.glide.look(f64::from(wanted));
            self.looked += STEP;
        }
        let length = band[0].len();
        let mut sides = band;
        let (own, band) = (&self.waiting, &self.band);
        self.glide.go_out(length, &mut |range, first, grows| {
            for ((out, own), band) in sides.iter_mut().zip(own).zip(band) {
                let (out, own, band) = (&mut out[range.clone()], &own[range.clone()], &band[range.clone()]);
                let both = out.iter_mut().zip(own).zip(band);
                if first == 1.0 && grows == 0.0 {
                    both.for_each(|((out, own), band)| *out = own + band);
                } else {
                    let gains = (0u8..).map(|n| first + grows * f32::from(n));
                    both.zip(gains).for_each(|(((out, own), band), gain)| *out = own + gain * band);
                }
            }
        });
        self.waiting.iter_mut().chain(&mut self.band).for_each(|samples| drop(samples.drain(..length)));
        self.looked -= length;
    }

    /// The band's gain at which some samples of one side are not too loud.
    fn wanted(&self, own: &[f32], band: &[f32]) -> f32 {
        let loudest = own.iter().zip(band).fold(0.0f32, |peak, (own, band)| peak.max((own + band).abs()));
        if loudest <= self.all {
            return 1.0;
        }
        let wanted = |(own, band): (&f32, &f32)| {
            if (own + band).abs() <= self.all {
                return 1.0;
            }
            // Together they are too loud on the side on which the band is.
            ((self.all - own * band.signum()) / band.abs()).clamp(0.0, 1.0)
        };
        own.iter().zip(band).map(wanted).fold(1.0, f32::min)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kit::Numbers;

    const RATE: u32 = 44_100;

    /// Plays two noises together in blocks of different sizes; gives what comes out without the delay.
    fn joined(peaks: Peaks, own: [f32; 2], band: [f32; 2], frames: usize) -> [Vec<f32>; 2] {
        let mut give_way = GiveWay::new(RATE, peaks);
        let mut numbers = Numbers(5);
        let mut out = [Vec::new(), Vec::new()];
        while out[0].len() < frames {
            let size = 1 + numbers.below(3000);
            let mut sample = |level: f32| level * (numbers.below(2001) as f32 / 1000.0 - 1.0);
            let mut noise = |level: f32| (0..size).map(|_| sample(level)).collect::<Vec<f32>>();
            let mut own = own.map(&mut noise);
            let [mut left, mut right] = band.map(&mut noise);
            give_way.join(&mut own, [&mut left, &mut right]);
            out[0].extend(left);
            out[1].extend(right);
        }
        out.map(|side| side[give_way.delay()..].to_vec())
    }

    fn highest(sides: &[Vec<f32>; 2]) -> f32 {
        sides.iter().flatten().fold(0.0, |peak, sample| peak.max(sample.abs()))
    }

    #[test]
    fn together_they_stay_below_the_peak() {
        for (own, band) in
            [([0.3, 0.2], [0.5, 0.9]), ([0.0, 0.4], [0.9, 0.1]), ([0.9, 0.9], [0.9, 0.9]), ([0.1, 0.1], [0.2, 0.2])]
        {
            let out = joined(Peaks { own: 0.4, all: 0.6 }, own, band, 40_000);
            assert!(highest(&out) <= 0.6 + 1e-6, "{own:?} {band:?}: {}", highest(&out));
        }
    }

    #[test]
    fn the_own_parts_are_not_turned_down_for_the_band() {
        let peaks = Peaks { own: 0.4, all: 0.4 };
        let mut give_way = GiveWay::new(RATE, peaks);
        let own: Vec<f32> = (0..20_000).map(|n| if n % 2 == 0 { 0.4 } else { -0.4 }).collect();
        let (mut left, mut right) = (own.clone(), own.clone());
        give_way.join(&mut [own.clone(), own.clone()], [&mut left, &mut right]);
        let late = give_way.delay();
        // The band is the same as the own parts, so that nothing of it is left; nothing of the own parts is lost.
        for (out, own) in left[late..].iter().zip(&own).skip(500) {
            assert!((out - own).abs() < 1e-3, "{out} {own}");
        }
    }

    #[test]
    fn what_is_not_too_loud_comes_out_as_it_went_in() {
        let all = Peaks { own: f64::INFINITY, all: f64::INFINITY };
        let loose = joined(all, [0.3, 0.2], [0.5, 0.9], 30_000);
        let held = joined(Peaks { own: 0.31, all: 1.2 }, [0.3, 0.2], [0.5, 0.9], 30_000);
        assert_eq!(loose, held);
        assert!(highest(&loose) > 1.0);
    }
}

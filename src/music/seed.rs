//! Seeded randomness: what differs between strokes, yet is the same in every run.

/// A stream of random numbers that depends on nothing but what it was made from.
///
/// The step is SplitMix64's (Steele, Lea & Flood, "Fast splittable pseudorandom number generators", 2014).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Seed(u64);

impl Seed {
    /// A seed from numbers that say what it is for: other numbers, or another order, give another stream.
    pub fn of(parts: &[u64]) -> Seed {
        let mut seed = Seed(0x0070_616E_666F_6C64);
        for part in parts {
            seed.0 ^= *part;
            seed.0 = seed.next_u64();
        }
        seed
    }

    /// The next 64 random bits.
    pub fn next_u64(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number from 0 up to 1.
    pub fn unit(&mut self) -> f64 {
        (self.next_u64() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// A number between -1 and 1, all equally likely.
    pub fn even(&mut self) -> f64 {
        2.0 * self.unit() - 1.0
    }

    /// A number between -1 and 1, those near 0 likelier (the mean of two even ones).
    pub fn near_zero(&mut self) -> f64 {
        0.5 * (self.even() + self.even())
    }
}

//! Numbers for seeded tests.

/// Numbers from a fixed seed, which is not 0 (xorshift64*; Vigna, ACM Transactions on Mathematical Software 42, 2016).
pub struct Numbers(pub u64);

impl Numbers {
    /// The next one, from 0 to below `n`.
    pub fn below(&mut self, n: u64) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        (self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 33) % n
    }

    /// The next one as a place in a list of `n`.
    pub fn place(&mut self, n: usize) -> usize {
        self.below(n as u64) as usize
    }
}

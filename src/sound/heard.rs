//! How loud a player is beside the rest of a band, as loudness says.

/// How much louder than the rest a player's own part is at least, in LU: clearly louder, and the band easy to follow.
/// Our own setting.
pub const ABOVE: f64 = 6.0;

/// What is added to that for the meters' sake, in LU: two may each err by 0.1 (EBU Tech 3341), and 16 bits and the limiter
/// change a little. Our own setting.
pub const SPARE: f64 = 0.3;

/// Loudness in LUFS; minus infinity when nothing passes the gate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heard {
    /// In full.
    pub full: f64,
    /// What a small speaker gives.
    pub small: f64,
}

/// How loud a player is beside the rest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Beside {
    /// The player's own parts, as they sound in the player's own tracks (see `lift`).
    pub own: Heard,
    /// The rest as the band plays it; minus infinity where there is none.
    pub rest: Heard,
}

/// How loud a player is beside the rest, and when the rest sounds.
#[derive(Clone, Debug, PartialEq)]
pub struct Compared {
    /// How loud.
    pub beside: Beside,
    /// The rest's energy in each stretch of 100 ms, K-weighted, as `gate::gated` takes it.
    pub rest: Vec<f64>,
}

impl Beside {
    /// How far the rest must stand back, in dB (0 or less), for the own part to be [`ABOVE`] it, in full and on a small
    /// speaker. 0 where there is nothing to compare.
    pub fn behind(&self) -> f64 {
        let over = |own: f64, rest: f64| if own.is_finite() && rest.is_finite() { own - rest } else { f64::INFINITY };
        let least = over(self.own.full, self.rest.full).min(over(self.own.small, self.rest.small));
        (least - ABOVE - SPARE).min(0.0)
    }
}

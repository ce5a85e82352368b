//! How loud the parts of a performance are beside each other, and how far the band must stand back behind one player.
//!
//! Loudness is integrated and gated as ITU-R BS.1770 says, of the player's parts and of the rest each for itself, so that a
//! part that seldom plays is measured where it plays. Both are measured twice: in full, and as a phone's small speaker gives
//! them ([`super::weighting::small_speaker`]). The count-in belongs to neither.
//!
//! Filters are linear: the energy of any set of parts is a sum over pairs of parts. So the pairs are measured once, in
//! stretches of 100 ms, and what any player of the tune needs follows from them.

use super::bank::Bank;
use super::mixer::Mixer;
use super::parts::Parts;
use super::plan::{Place, Plan};
use super::settings::{Mix, Settings};
use super::weighting::{Cascade, Frame, LANES, k_weighting, small_speaker};
use crate::pan::Band;
use crate::performance::Performance;

/// How much louder than the band a player's own part is at least, in LU: clearly in front, and the band still easy to follow.
/// Our own setting.
pub const ABOVE: f64 = 6.0;

/// What is added for the meters' sake, in LU: two may each err by 0.1 (EBU Tech 3341), and filters of other makers differ.
pub const SPARE: f64 = 0.3;

/// How many stretches a block of the standard's gate has: 400 ms of 100 ms each.
const STRETCHES: usize = 4;

/// The standard's gates: in LUFS, and in LU below what passed the first.
const GATES: (f64, f64) = (-70.0, -10.0);

/// The loudness of something in LUFS, minus infinity when nothing passes the gate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heard {
    /// In full.
    pub full: f64,
    /// On a small speaker.
    pub small: f64,
}

/// One stretch: the energy of each pair of signals, in full and on a small speaker, once for each pair (i, j) with j ≤ i.
type Stretch = Vec<[f32; 2]>;

/// The measured parts of a performance.
#[derive(Clone, Debug)]
pub struct Levels {
    /// For each voice its part, and the numbers of its signals: as the band hears it, and as its own player does.
    voices: Vec<Signals>,
    stretches: Vec<Stretch>,
    /// Samples of a stretch.
    frames: usize,
}

/// The signals of a voice.
#[derive(Clone, Copy, Debug)]
struct Signals {
    part: Option<usize>,
    place: Place,
    plain: usize,
    lifted: usize,
}

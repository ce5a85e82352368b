//! Pans against the tunes that a band plays: what a pan is good for, and what it lacks.
//!
//! - [`need`]: what a part needs of a pan;
//! - [`cover`](mod@cover): how much of it a pan plays, as written, with octave moves, in another key;
//! - [`extra`](mod@extra): the fewest notes to ask a tuner for; [`wish`]: which single notes are missed most;
//! - [`verdict`]: a sentence on a part, to be read aloud.

pub mod cover;
pub mod extra;
pub mod need;
pub mod verdict;
pub mod wish;

pub use cover::{Cover, InKey, Share, cover};
pub use extra::{Extra, extra};
pub use need::{Need, Stroke};
pub use wish::{Wish, wishes};

//! Pans against the tunes that a band plays: what a pan is good for, and what it lacks.
//!
//! - `need`: what a part needs of a pan; `taken`: with its open notes chosen for the pan that takes it;
//! - [`share`]: how much of it a pan plays, as written, with octave moves, in another key;
//! - `extra`: the fewest notes to ask a tuner for; `wish`: which single missing notes are needed most;
//! - `report`: a pan, or many, against many tunes;
//! - `verdict`: a sentence on a part, to be read aloud;
//! - [`lineup`]: who plays what, how much, in which register, and what that does to the lead and to the middle.

mod extra;
#[cfg(test)]
mod laws;
#[cfg(test)]
mod lead_tests;
pub mod lineup;
mod need;
mod report;
pub mod share;
#[cfg(test)]
mod share_tests;
mod taken;
mod verdict;
mod wish;

pub use extra::{Extra, extra};
pub use need::{Need, Stroke};
pub use report::{Entry, Report, Row, grid, report};
pub use share::{Cover, InKey, Share, cover};
pub use taken::Taken;
pub use verdict::{Now, verdict};
pub use wish::{Wish, wishes};

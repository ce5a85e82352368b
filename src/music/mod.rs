//! What a music handbook knows: pitch, cents, chords, keys, meters, exact time, tempo. No files, no pans.
//!
//! - [`pitch`]: note names and the sounding pitch they stand for;
//! - `tuning`: cents and frequencies;
//! - [`chord`]: chord symbols and their tones;
//! - `degree`: degrees of a chord, `1`, `3`, `b7`;
//! - [`key`]: keys, their scales and spelling;
//! - [`meter`], `time`, [`tempo`]: bars, exact musical time, beats a minute;
//! - `count`: counts from measured numbers;
//! - [`force`]: how hard a stroke is, from `pp` to `ff`;
//! - `seed`: what differs from stroke to stroke, yet is the same in every run.

pub mod chord;
mod count;
mod degree;
pub mod force;
pub mod key;
pub mod meter;
#[cfg(test)]
mod percent_tests;
pub mod pitch;
mod seed;
#[cfg(test)]
mod slash_tests;
#[cfg(test)]
mod spelling_tests;
pub mod tempo;
mod time;
mod tuning;

pub use chord::Chord;
pub use count::count;
pub use degree::Degree;
pub use force::Force;
pub use key::Key;
pub use meter::Meter;
pub use pitch::{Letter, NoteName, Pitch, PitchClass, Tone};
pub use seed::Seed;
pub use tempo::Tempo;
pub use time::{Length, Moment};
pub use tuning::{Cents, Hertz, Tuning};

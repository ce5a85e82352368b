//! The settled tune played out: one list of timed strokes that MIDI, sound, drawings and pages all use.
//!
//! - [`stroke`]: the strokes, the tempo map, the landmarks;
//! - [`perform()`]: from tune to strokes;
//! - [`pass`], `landmarks`: the form laid out in time, and what lies along it;
//! - [`drill()`]: practice plans over a stretch; `cut`, [`phrases`]: stretches joined, and where a line breathes;
//! - [`dynamics`], `roll`: how loud each moment is, how long notes are held.

#[cfg(test)]
mod breath_tests;
mod cut;
pub mod drill;
pub mod dynamics;
mod landmarks;
pub mod pass;
pub mod perform;
pub mod phrases;
#[cfg(test)]
mod pickup_tests;
mod roll;
#[cfg(test)]
mod roll_tests;
pub mod stroke;
#[cfg(test)]
mod tests;

pub use drill::drill;
pub use perform::{Options, TempoChoice, perform};
pub use stroke::{Performance, Sound, Stroke, TempoMap, Voice};

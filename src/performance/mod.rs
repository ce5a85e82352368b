//! The settled tune played out: one list of timed strokes that MIDI, sound, drawings and pages all use.
//!
//! - [`stroke`]: the strokes, the tempo map, the landmarks.

pub mod stroke;

pub use stroke::{Performance, Sound, Stroke, TempoMap, Voice};

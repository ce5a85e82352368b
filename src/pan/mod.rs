//! Pans: which notes are on them, where, and how well in tune; the band that plays them.
//!
//! - [`kind`]: kinds of pan, with the trade's other names for them;
//! - [`instrument`]: the engine room's instruments;
//! - [`face`]: drums, rings, places of notes;
//! - [`notes`]: a plain set of notes, for questions such as "which octaves of this are there";
//! - [`band`]: a band's pans and percussion.

pub mod band;
pub mod face;
pub mod instrument;
pub mod kind;
pub mod notes;

pub use band::Band;
pub use face::Pan;
pub use instrument::Instrument;
pub use kind::PanKind;
pub use notes::NoteSet;

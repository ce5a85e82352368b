//! Pans: which notes are on them, where, and how well in tune; the band that plays them.
//!
//! - `kind`: kinds of pan, with the trade's other names for them;
//! - [`instrument`]: the engine room's instruments; [`kit`]: what to say about a whole drum kit;
//! - [`face`]: drums, rings, places of notes;
//! - [`geometry`]: where the drums hang and the notes lie, in millimetres; `placing`: how the notes find room;
//! - `level`: a player's level;
//! - `notes`: a plain set of notes, for questions such as "which octaves of this are there";
//! - [`band`]: a band's pans and percussion; [`player`]: its people;
//! - [`mod@layouts`]: the built-in layouts, which are pan files as users write them;
//! - [`read_pan()`], [`read_band()`]: reading pan and band files; [`fields`]: their keys and values with their places;
//!   `misplaced`: entries and files in a wrong place; `wrong_toml`: files that are not TOML;
//! - [`write_pan()`]: writing a pan file; [`mod@likeness`]: which layout a set of notes resembles;
//! - `costs`: what changes to a tune cost, which a band file may set;
//! - [`findings`]: the kinds of finding of this room.

pub mod band;
mod costs;
pub mod face;
pub mod fields;
pub mod findings;
pub mod geometry;
#[cfg(test)]
mod geometry_tests;
pub mod instrument;
mod kind;
pub mod kit;
pub mod layouts;
mod level;
pub mod likeness;
mod misplaced;
mod notes;
mod pieces;
mod place;
mod placing;
pub mod player;
mod read_band;
pub mod read_pan;
#[cfg(test)]
mod read_pan_tests;
mod read_player;
mod shape;
mod write_pan;
mod wrong_toml;

pub use band::Band;
pub use costs::{Cost, Costs};
pub use face::Pan;
pub use geometry::Geometry;
pub use instrument::{Instrument, Limb};
pub use kind::PanKind;
pub use layouts::{layout, layouts, read_pan};
pub use level::Level;
pub use likeness::{Likeness, likeness};
pub use notes::NoteSet;
pub use player::{BandPlayer, Piece};
pub use read_band::read_band;
pub use write_pan::write_pan;

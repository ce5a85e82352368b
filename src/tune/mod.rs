//! The tune: what the tree says, with every name looked up in the band and every length counted out.
//!
//! - [`model`]: the tune as later rooms see it.
//!
//! After this room no code asks again whether a name or a bar count is right.

pub mod model;

pub use model::{Event, Part, Player, Section, Tune};

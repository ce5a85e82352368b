//! Standard MIDI Files: a performance as a file that any player or notation program reads, and the events of such a file.
//!
//! - [`write()`]: a performance as a file;
//! - [`percussion`]: which General MIDI percussion key stands for which stroke of the engine room;
//! - [`read()`]: the events of a [`mod@file`] in absolute ticks, and its [`oddity`]s.
//!
//! Source: *Standard MIDI Files 1.0* (RP-001) and *General MIDI System Level 1* (RP-003), MIDI Manufacturers Association.

mod events;
pub mod file;
pub mod oddity;
mod pairing;
pub mod percussion;
pub mod read;
mod signature;
pub mod write;

pub use file::File;
pub use read::read;
pub use write::write;

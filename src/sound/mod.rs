//! Sound: synthesised practice tracks.
//!
//! ```text
//! performance ─ plan ─► strokes wanted ─ bank ─► samples of each ─┐
//!                    └► events ───────────────────────────────────┴─ mixer ─► stereo ─ loudness ─► wav, flac
//! ```
//!
//! - [`settings`]: who is heard, how loud, how samples are written;
//! - [`plan`]: which stroke begins at which sample, how loud, where it stands;
//! - [`bank`]: each distinct stroke synthesised once;
//! - [`partial`], [`pan_voice`], [`engine_room`]: how strokes sound;
//! - [`mixer`]: the bank's strokes added at their samples;
//! - [`loudness`], [`true_peak`]: the meter of ITU-R BS.1770 and a limiter;
//! - [`room`]: a light room;
//! - [`node`]: the pan voice as a node of `fundsp`;
//! - [`wav`], [`flac`]: files; [`marker`]: their tags and markers;
//! - [`render`]: all of it, from a performance to a track.

pub mod bank;
pub mod engine_room;
pub mod flac;
pub mod loudness;
pub mod marker;
pub mod mixer;
pub mod node;
pub mod pan_voice;
pub mod partial;
pub mod plan;
pub mod render;
pub mod room;
pub mod seed;
pub mod settings;
pub mod true_peak;
pub mod wav;

pub use marker::{Tag, tags};
pub use node::pan_voice_node;
pub use render::{Report, render_flac, render_wav};
pub use settings::{Depth, Mix, Settings};

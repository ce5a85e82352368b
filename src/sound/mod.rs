//! Sound: synthesised practice tracks.
//!
//! ```text
//! performance ─ plan ─► strokes wanted ─ bank ─► samples of each ─┐
//!                    └► events ───────────────────────────────────┴─ mixer ─► stereo ─ loudness ─► wav, flac, mp3
//! ```
//!
//! - [`settings`]: who is heard, how loud, how samples are written; `parts`: the parts of one player;
//! - [`plan`]: which stroke begins at which sample, how loud, where it stands;
//! - [`bank`]: each distinct stroke synthesised once; `store`: kept for other tracks;
//! - [`partial`], [`pan_voice`], [`engine_room`]: how strokes sound;
//! - `lift`: low pans made to be heard on small speakers, for their own players;
//! - [`mixer`]: the bank's strokes added at their samples;
//! - [`levels`], `weighting`, `gate`: how loud parts are beside each other, and how far the band stands back;
//! - `hearing`: the weighted power of a sound, sample by sample; `heard`: how loud somebody is beside the rest;
//! - `hold`: peaks of a player's own parts, held before they meet the band;
//! - [`loudness`], `true_peak`: the meter of ITU-R BS.1770 and a limiter;
//! - `room`: a light room;
//! - `node`: the pan voice as a node of `fundsp`;
//! - [`wav`], [`flac`], [`mp3`]: files; `marker`: their tags and markers;
//! - `stream`: a performance block by block; with the feature `speakers`, `speakers` plays it;
//! - `track`: the mix with its gain and limiter; `render`: all of it, from a performance to a file.

pub mod bank;
mod drums;
pub mod engine_room;
pub mod flac;
mod gate;
mod give_way;
mod glide;
mod heard;
mod hearing;
mod hold;
pub mod levels;
mod lift;
pub mod loudness;
mod marker;
mod metals;
pub mod mixer;
pub mod mp3;
mod node;
pub mod pan_voice;
pub mod partial;
mod parts;
pub mod plan;
mod render;
mod room;
pub mod settings;
#[cfg(feature = "speakers")]
pub mod speakers;
mod store;
pub mod stream;
mod track;
mod track_writer;
mod true_peak;
pub mod wav;
mod weighting;

pub use marker::{Tag, tags};
pub use node::pan_voice_node;
pub use parts::Parts;
pub use render::{Format, Report, render};
pub use settings::{Depth, Mix, Settings};
pub use store::Store;

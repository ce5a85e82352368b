//! The optimisers: what the tool decides about notes, exactly and with its reasons.
//!
//! - [`costs`]: what every change costs;
//! - [`octaves`]: the least octave moves that put a line on a pan;
//! - [`line`](mod@line): a part's strokes as they are written; [`plan`]: a whole tune, its keys, and the edits.

pub mod costs;
pub mod line;
pub mod octaves;
pub mod plan;

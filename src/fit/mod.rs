//! The optimisers: what the tool decides about notes, exactly and with its reasons.
//!
//! - [`costs`]: what every change costs;
//! - [`octaves`]: the least octave moves that put a line on a pan.

pub mod costs;
pub mod octaves;

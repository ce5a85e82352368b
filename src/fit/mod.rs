//! The optimisers: what the tool decides about notes, exactly and with its reasons.
//!
//! - [`costs`]: what every change costs;
//! - [`octaves`]: the least octave moves that put a line on a pan;
//! - [`movement`]: how long a stick takes from note to note; [`sticking`]: which stick strikes what, exactly;
//!   [`sticking_line`]: the sticks of a part; [`sticking_account`]: the ways that they go; [`turning`]: the player amid the drums turns; [`sticking_tempo`]: the
//!   highest tempo;
//! - [`line`](mod@line): a part's strokes as they are written; [`plan`]: a whole tune, its keys, and the edits.

pub mod costs;
pub mod line;
pub mod movement;
pub mod octaves;
pub mod plan;
pub mod sticking;
pub mod sticking_account;
pub mod sticking_line;
pub mod sticking_tempo;
pub mod turning;

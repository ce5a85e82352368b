//! The optimisers: what the tool decides about notes, exactly and with its reasons.
//!
//! - [`octaves`]: the least octave moves that put a line on a pan;
//! - [`movement`]: how long a stick takes from note to note; [`sticking`]: which stick strikes what, exactly;
//!   [`sticking_line`]: the strokes and the sticks of a part; [`sticking_account`]: the ways that they go; [`turning`]: the
//!   player amid the drums turns; [`sticking_tempo`]: the highest tempo, and [`sticking_stretch`] that of a bar or a section; [`sticking_report`]: all of it for a part;
//! - [`sharing`]: a part for two players; [`written`]: rows that stand in no file yet, as text;
//! - [`line`](mod@line): a part's strokes as they are written; [`plan`]: a whole tune and its keys; [`transpose`]: the tune in another key; [`edits`]: a fit
//!   as edits of the tune's text;
//! - [`voicing`]: the notes of the strums, and [`voicing_solve`], how they are found, by [`voicing_bound`], what they cost
//!   at least, and [`voicing_joint`], the search over all parts; [`harmony`]: lines under and over a part;
//! - [`settle`](mod@settle): what a tune leaves open, settled by all of these.
//!
//! What every change costs is in [`Costs`](crate::pan::Costs), since a band file may set it.

pub mod each;
pub mod edits;
pub mod hands;
pub mod harmony;
pub mod line;
pub mod movement;
#[cfg(test)]
pub mod numbers;
pub mod octaves;
pub mod plan;
pub mod settle;
pub mod sharing;
pub mod sticking;
pub mod sticking_account;
pub mod sticking_line;
pub mod sticking_report;
pub mod sticking_stretch;
pub mod sticking_tempo;
pub mod transpose;
pub mod turning;
pub mod voicing;
pub mod voicing_bound;
pub mod voicing_joint;
pub mod voicing_solve;
pub mod written;

pub use settle::{Settled, resolve, settle};

//! The optimisers: what the tool decides about notes, exactly and with its reasons.
//!
//! - [`octaves`]: the least octave moves that put a line on a pan;
//! - [`each`]: a part fitted for each of its pans separately; [`other_pans`]: which other pan could take a part;
//! - [`written`]: rows that stand in no file yet, as text;
//! - `line`: a part's strokes as they are written; [`plan`]: a whole tune in its key ([`in_key`]), and all keys compared
//!   ([`keys`]); [`transpose`]: the tune in another key; `edits`: a fit
//!   as edits of the tune's text;
//! - [`voices`]: which parts lie above which, so that moves keep them apart;
//! - `voicing`: the notes of the strums; `voicing_solve`: how they are found, with `voicing_bound` (what they cost at least) and
//!   `voicing_joint` (the search over all parts); `harmony`: lines under and over a part;
//! - [`settle`](mod@settle): what a tune leaves open, settled by all of these; `strummed`: which chords are strummed, and by whom.
//!
//! The costs of every change are in [`Costs`](crate::pan::Costs), since a band file may set them.

pub mod each;
mod edits;
mod harmony;
mod line;
pub mod octaves;
pub mod other_pans;
mod part_fit;
pub mod plan;
pub mod settle;
mod strummed;
pub mod transpose;
pub mod voices;
mod voicing;
mod voicing_bound;
mod voicing_joint;
mod voicing_problem;
mod voicing_solve;
pub mod written;

pub(crate) use line::home;

pub use plan::{KeyFit, Options, in_key, keys};
pub use settle::{Settled, resolve, settle};

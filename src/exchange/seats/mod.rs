//! Which pan each part is for. The parts of music that nobody wrote for this band are shared out over all of its pans at once: a pan for
//! each while there are pans, then the fewest missing strokes and crossed voices after the best octave moves, then whole lines,
//! what names ask for, and the registers.
//!
//! - `share_out`: all parts at once; `seat`: the result; `candidates`: the pans to choose from;
//! - `lines`: rows on pans, as `fit` would move them; `aims`: what is wanted, in which order;
//! - `spare`: rows of a few notes that were left over; `merge`: rows of one pan made into one;
//! - `shared`: what to say about pans that parts share.

mod aims;
mod candidates;
mod lines;
mod merge;
mod seat;
mod share_out;
mod shared;
mod spare;

pub use self::merge::merged;
pub use self::seat::{Seat, SharePans};
pub use self::share_out::seats;
pub use self::shared::shared;
pub use self::spare::without_spare;

#[cfg(test)]
mod tests;

//! What two sticks can do on a pan: which stick strikes what, how fast, and how a part is shared by two players.
//!
//! - [`movement`]: how long a stick takes from note to note, and how far a player reaches: the model of the hands;
//! - `turning`: how a player who stands among the drums turns;
//! - [`sticking`]: which stick strikes what, exactly; `account`: the ways that the sticks go, each
//!   with its terms (`sticking` has the weights);
//! - [`line`](mod@line): the strokes and the sticks of a part;
//! - [`tempo`]: the highest tempo of a line, and `stretch` that of a bar or a section; [`limit`]: the same in words;
//! - [`report`]: all of it for a part;
//! - [`sharing`]: a part for two players.

mod account;
pub mod limit;
pub mod line;
pub mod movement;
pub mod report;
pub mod sharing;
pub mod sticking;
mod stretch;
pub mod tempo;
mod turning;

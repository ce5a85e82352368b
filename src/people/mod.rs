//! Who plays what in a tune: each part gets a player of the band at a pan (or at percussion) of theirs.
//!
//! - [`resolve()`]: a tune with its seats;
//! - [`assign`](mod@assign): the assignment alone, without music, exact; [`problem`]: what it is given; `pairs`: choices that
//!   cost together;
//! - `aims`: what is wanted of it, in which order;
//! - `together`: which parts sound at the same moment;
//! - `seats`: from a tune to its seats, and what they leave open; `handouts`: what each player gets.

mod aims;
pub mod assign;
mod handouts;
mod pairs;
pub mod problem;
mod seats;
#[cfg(test)]
mod tests;
mod together;

pub use handouts::{Handout, handouts};
pub use seats::{Unseated, habit_broken, is_of_kind, level, resolve, unseated};

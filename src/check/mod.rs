//! Findings: what is wrong with a tune on a band's pans, where, and what to do about it.
//!
//! - [`check()`]: all families over a tune; the report;
//! - `uses`: which notes a part strikes, and where;
//! - `missing`, `two_sticks`, [`reach`], `limbs`, [`sticks`], `tuning`, [`players`], [`seats`], [`form`], `chords`, `uneven_chords`, `crossed_voices`:
//!   one file a family of findings (`swing`: what is too fast only because of the swing);
//! - [`kinds`]: every kind of finding of the program, by name.
//!
//! In: a tune and its band. Out: values; screens and JSON are made in `cli/`. What can't be understood in a file (a
//! wrong cell, an odd number of cells, an unknown section) is reported by the room that reads it: `notation/` or `tune/`, whose
//! `slips.rs` asks about odd numbers of cells.

mod chords;
#[cfg(test)]
mod chords_tests;
mod crossed_voices;
#[cfg(test)]
mod crossings_tests;
pub mod form;
pub mod kinds;
#[cfg(test)]
mod laws;
mod limbs;
#[cfg(test)]
mod mended_tests;
mod missing;
#[cfg(test)]
mod missing_tests;
pub mod players;
pub mod reach;
mod report;
pub mod seats;
#[cfg(test)]
mod sharing_tests;
pub mod sticks;
mod swing;
#[cfg(test)]
mod tests;
mod tuning;
mod two_sticks;
#[cfg(test)]
mod two_sticks_tests;
mod uneven_chords;
mod uses;

pub use report::{Options, PartSummary, Report, check};

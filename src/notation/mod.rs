//! The `.tune` notation: text in, a tree out, and back.
//!
//! - [`tree`]: what a tune file says, statement by statement, every node with its place;
//! - [`parse()`]: from text to tree, line by line (`part_line`: the line of a part; `wrapped`: rows broken by mail programs);
//!   [`merge`]: the same slip reported once;
//! - [`setting`], `bars`, [`cell`]: the values of settings, the bars of rows, the grammar of a cell;
//! - [`capitals`]: rows whose note letters are small;
//! - `wrong_cell` (its notes: [`wrong_note`]), `wrong_chord`, [`wrong_line`], `wrong_setting`: what was most likely
//!   meant where something can't be read;
//! - [`tidy()`](tidy::tidy): a tree back as text, the cells lined up;
//! - [`findings`], [`limits`]: the kinds of finding of this room, and how much of anything it takes.
//!
//! Parsing never fails: what can't be understood becomes a [`tree::Statement::Broken`] or a broken bar or cell, with a
//! finding beside it, and reading goes on at the next bar or line. The tree knows nothing of pans: whether a part or a
//! pan exists is settled in `tune/`.

mod bars;
pub mod capitals;
pub mod cell;
mod crowd;
pub mod findings;
pub mod limits;
#[cfg(test)]
mod mended_tests;
pub mod merge;
mod parse;
mod part_line;
mod reserved;
pub mod setting;
#[cfg(test)]
mod tests;
mod tidy;
#[cfg(test)]
mod tidy_tests;
pub mod tree;
mod wrapped;
mod wrong_cell;
mod wrong_chord;
pub mod wrong_line;
pub mod wrong_note;
mod wrong_setting;

pub use parse::parse;
pub use tidy::tidy;

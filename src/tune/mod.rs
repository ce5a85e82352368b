//! The tune: what the tree says, with every name looked up in the band and every length counted out.
//!
//! - [`model`]: the tune as later rooms see it;
//! - [`resolve()`]: from tree and band to tune;
//! - [`header`], `section`: settings, parts, patterns and rows as the tree has them, gathered by name;
//! - `bars`, `blocks`, `cells`, `marks`: bars, the blocks of rows that they stand in, cells, chords and dynamics counted out;
//! - [`cuts`], `slips`, `forgotten`: numbers of cells that are asked about, pickups written as whole bars or without their line;
//! - `bar_lines`, `flats`: bar lines that were forgotten; degrees that look like notes;
//! - [`library`]: the patterns of the trade that every tune may play; `patterns`: a pattern by its name;
//! - `no_part`, `strokes`, [`told`]: rows without a part; letters among percussion's strokes; which of two findings stays;
//! - `rows`, [`form`]: what each part plays, and which section comes when (`form_slips`: what was meant by a wrong form);
//! - [`swing`]: how beats are bent; `versions`: parts for which one pan has rows of its own;
//! - [`findings`]: the kinds of finding of this room.
//!
//! After this room no code asks again whether a name or a bar count is right.

mod bar_lines;
mod bar_rows;
mod bars;
#[cfg(test)]
mod beginners_tests;
mod blocks;
mod cells;
pub mod cuts;
pub mod findings;
mod flats;
mod forgotten;
pub mod form;
#[cfg(test)]
mod form_limit_tests;
mod form_slips;
pub mod header;
pub mod library;
mod long_bars;
mod marks;
#[cfg(test)]
mod mended_tests;
pub mod model;
mod no_part;
mod patterns;
mod resolve;
mod rows;
mod section;
#[cfg(test)]
mod slash_tests;
mod slips;
#[cfg(test)]
mod slips_tests;
mod strokes;
pub mod swing;
#[cfg(test)]
mod tests;
pub mod told;
mod versions;
mod written_section;

pub use header::band_path;
pub use model::{Event, Open, Part, Player, Section, Tune};
pub use resolve::resolve;

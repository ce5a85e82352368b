//! The tune: what the tree says, with every name looked up in the band and every length counted out.
//!
//! - [`model`]: the tune as later rooms see it;
//! - [`resolve()`]: from tree and band to tune;
//! - [`header`], [`section`]: settings, parts, patterns and rows as the tree has them, put together by name;
//! - [`bars`], [`blocks`], [`cells`], [`marks`]: bars, the blocks of rows that they stand in, cells, chords and dynamics counted out;
//! - [`cuts`], [`slips`], [`forgotten`]: numbers of cells that are asked about, pickups written as whole bars or without their line;
//! - [`bar_lines`], [`flats`]: bar lines that were forgotten; degrees that look like notes;
//! - [`library`]: the patterns of the trade that every tune may play; [`patterns`]: a pattern by its name;
//! - [`no_part`], [`strokes`], [`told`]: rows without a part; letters among percussion's strokes; which finding of two stays;
//! - [`rows`], [`form`]: what each part plays, and which section comes when ([`form_slips`]: what a wrong form was meant to be);
//! - [`swing`]: how beats are bent; [`versions`]: parts of which one pan has rows of its own;
//! - [`findings`]: the kinds of finding of this room.
//!
//! After this room no code asks again whether a name or a bar count is right.

pub mod bar_lines;
mod bar_rows;
pub mod bars;
#[cfg(test)]
mod beginners_tests;
pub mod blocks;
pub mod cells;
pub mod cuts;
pub mod findings;
pub mod flats;
pub mod forgotten;
pub mod form;
#[cfg(test)]
mod form_limit_tests;
pub mod form_slips;
pub mod header;
pub mod library;
mod long_bars;
pub mod marks;
#[cfg(test)]
mod mended_tests;
pub mod model;
pub mod no_part;
pub mod patterns;
pub mod resolve;
pub mod rows;
pub mod section;
#[cfg(test)]
mod slash_tests;
pub mod slips;
#[cfg(test)]
mod slips_tests;
pub mod strokes;
pub mod swing;
#[cfg(test)]
mod tests;
pub mod told;
pub mod versions;
mod written_section;

pub use header::band_path;
pub use model::{Event, Open, Part, Player, Section, Tune};
pub use resolve::resolve;

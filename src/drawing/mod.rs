//! Pictures: a pan as it hangs before the player, percussion by its strokes, a part as rows of cells; readable in grey.
//!
//! - [`ink`]: the colours, light and dark; `look`: what is drawn in which ink, and how that shows that a note is struck;
//! - `picture`: shapes and texts before they are SVG or anything else;
//! - [`face()`]: a pan, [`face_object`]: the same for a screen; [`captions`]: what has to be said about it; [`strokes()`]: percussion;
//! - `count`: how a bar is counted; `cells`: what stands in the cells of a part; [`rows`]: the rows of a player;
//!   [`comeback`]: when a section comes back; `folding`: what is shown once; `rests`: long rests; `breaking`: where lines break;
//! - `lettering`: how large names stand in cells; `unit`: what stays together on a line;
//! - [`mod@line`]: a line of bars drawn, row by row (`strip`); `section`: a section; `paper`, `pages`: what is drawn on pages;
//! - [`sheet`]: a player's parts; [`poster`]: a pan alone; [`booklet`]: all tunes of a player;
//! - `font`: the fonts of sheets;
//! - [`pdf`]: pictures as a PDF, with its fonts (`pdf_font`);
//! - [`svg`]: pictures as SVG, and the names that a script finds a note by.

mod bar_cells;
pub mod booklet;
mod breaking;
pub mod captions;
#[cfg(test)]
mod captions_tests;
mod cells;
pub mod comeback;
mod count;
pub mod face;
pub mod face_object;
mod face_options;
#[cfg(test)]
mod face_tests;
mod folding;
mod font;
pub mod ink;
#[cfg(test)]
mod kit_tests;
mod lettering;
pub mod line;
mod look;
mod pages;
mod paper;
pub mod pdf;
mod pdf_font;
mod picture;
pub mod poster;
#[cfg(test)]
mod print_tests;
mod rests;
#[cfg(test)]
mod rests_tests;
pub mod rows;
mod section;
pub mod sheet;
mod strip;
pub mod strokes;
pub mod svg;
#[cfg(test)]
mod tests;
mod unit;

pub use face::face;
pub use look::State;
pub use picture::Picture;
pub use strokes::strokes;

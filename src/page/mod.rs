//! The practice page: one HTML file that a player opens from a phone's or a laptop's storage.
//!
//! ```text
//! tune ─ performance ─► score ───┐
//! band ─ sound ───────► bank ────┼─► JSON, base64 ─┐
//! pan, part ─ drawing ► pictures ┴─ rows ──────────┴─► page.html with page.css and the scripts
//! ```
//!
//! - `score`: what is played and shown, as data; `sticks`: which stick strikes what; `bank`: the strokes; `level`: how loud;
//! - `rows`: the player's parts bar by bar; `encode`: base64, JSON, hashes; [`write`](mod@write): the file;
//! - [`index`](mod@index): the index of a pack; `about`: how large a page will be;
//! - `page.html`, `page.css` and the scripts: what runs in the browser. `data.js` tells the shape of the data, `plan.js` lays out
//!   drills, `strokes.js` reads the performance list, `clock.js` hands strokes out ahead of time, `sound.js` plays them,
//!   `view.js` lights notes and cells, `choice.js` keeps settings, `main.js` puts all together. They are ES modules for the type
//!   checker and for tests; in the page they stand in one script.
//!
//! The page asks nothing of any server: its content policy forbids every request, and allows no script and no style but its own.

mod about;
mod bank;
mod encode;
pub mod index;
#[cfg(test)]
mod kit_tests;
mod level;
mod rows;
mod score;
mod sticks;
#[cfg(test)]
mod tests;
pub mod write;

pub use about::about;
pub use index::index;
pub use write::page;

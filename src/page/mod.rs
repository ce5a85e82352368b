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
//! - `page.html`, `page.css` and the scripts: what runs in the browser, as ES modules for the type checker and for tests; in the page
//!   they stand in one script, without their comments.
//!
//! | script | what it does |
//! | --- | --- |
//! | `early.js` | before all else: says so where the script can't run |
//! | `data.js` | the shape of the data that the page is given |
//! | `plan.js`, `strokes.js` | drills as steps, and the strokes of a step |
//! | `clock.js`, `sound.js`, `player.js` | strokes handed out ahead of time, sounded, played and paused |
//! | `lights.js`, `faces.js`, `face.js`, `view.js` | what is lit at a moment, how drums lie on a screen, the drawn pan, all that moves |
//! | `choice.js`, `log.js` | what the player has chosen and practised, kept on the device |
//! | `street.js` | sections and bars to tap |
//! | `taps.js`, `hands.js` | taps on the drawn pan: heard, and compared with what plays |
//! | `main.js` | all of it put together |
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

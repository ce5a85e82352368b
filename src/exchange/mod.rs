//! Music from and for other programs: MIDI files and MusicXML.
//!
//! ```text
//! .mid ─────── midi_in ─────┐
//! .musicxml ── musicxml_in ─┴─► score ─ tune_out ─► the text of a tune
//! a tune ───── musicxml_out ──► .musicxml
//! ```
//!
//! - [`read()`]: a file of either format; [`score`]: the form between file and tune; [`lost`]: what a tune can't say;
//! - `midi_in`, `musicxml_in`: files as scores; for both, [`percussion`] (General MIDI's keys), `voices` and `rows` (notes
//!   that overlap, shared out over rows), [`quantise`] (times moved onto a grid), `again` (sections that are written out more than
//!   once), `names` (of parts and sections);
//! - `seats`: which pan of the band each part of a score is for;
//! - `tune_out`: a score as the text of a tune; [`musicxml_out`]: a tune as a score;
//! - `limits`, [`findings`]: how much is read, and the kinds of finding of this room.
//!
//! Source: *MusicXML 4.0* (W3C Music Notation Community Group), *Standard MIDI Files 1.0* (RP-001).

mod again;
pub mod findings;
mod limits;
pub mod lost;
mod midi_in;
mod musicxml_in;
pub mod musicxml_out;
mod names;
pub mod percussion;
pub mod quantise;
mod read;
mod rows;
pub mod score;
mod seats;
mod tune_out;
mod voices;

pub use read::{Music, read};
pub use score::Score;
pub use seats::{Seat, SharePans};
pub use tune_out::{Imported, Options, tune};

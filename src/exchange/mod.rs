//! Music from and for other programs: MIDI files and MusicXML.
//!
//! In:
//! - [`read()`]: a file of either format;
//! - [`score`]: music in a form between the two; [`lost`]: what can't be said;
//! - [`musicxml_in`]: MusicXML as a score, with [`xml`], [`container`] (`.mxl`), [`play_order`] (repeats);
//! - [`midi_in`]: MIDI files as scores, with [`midi_timing`] and [`quantise`] (played timing), [`percussion_in`] (channel 10);
//! - [`voices`]: notes that overlap, shared out over rows;
//! - [`again`]: sections that are written out more than once, found again;
//! - [`tune_text`]: a score as the text of a tune, with [`bars`], [`sections`], [`cells`] and [`grid`], [`names`], [`seat`] (which pan);
//! - [`limits`], [`findings`]: how much is taken, and the kinds of finding of this room.
//!
//! Out:
//! - [`timeline`]: the form on paper, with its repeats, and each part's notes through it;
//! - [`values`], [`measures`]: exact lengths as notes, dots, ties and tuplets, every measure full;
//! - [`marks_out`]: what stands over and under the notes; [`spelling`]: clefs and accidentals;
//! - [`xml_out`], [`score_out`], [`directions_out`], [`musicxml_out`]: the document; [`mxl_out`]: the document in its container.
//!
//! Source: *MusicXML 4.0* (W3C Music Notation Community Group), *Standard MIDI Files 1.0* (RP-001).

pub mod again;
pub mod bars;
pub mod cells;
pub mod container;
pub mod directions_out;
pub mod findings;
pub mod grid;
pub mod limits;
pub mod lost;
pub mod marks_out;
pub mod measures;
pub mod midi_in;
mod midi_measures;
pub mod midi_timing;
pub mod musicxml_in;
pub mod musicxml_out;
mod musicxml_part;
mod musicxml_signs;
pub mod mxl_out;
pub mod names;
pub mod percussion_in;
pub mod play_order;
pub mod quantise;
pub mod read;
pub mod score;
pub mod score_out;
pub mod seat;
pub mod sections;
pub mod spelling;
#[cfg(test)]
mod tests;
pub mod timeline;
pub mod tune_text;
pub mod values;
pub mod voices;
pub mod xml;
pub mod xml_out;

pub use read::{Music, read};
pub use score::Score;
pub use tune_text::{Imported, tune};

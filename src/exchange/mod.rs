//! Music for other programs: MusicXML.
//!
//! Out:
//! - [`timeline`]: the form on paper, with its repeats, and each part's notes through it;
//! - [`values`], [`measures`]: exact lengths as notes, dots, ties and tuplets, every measure full;
//! - [`marks_out`]: what stands over and under the notes; [`spelling`]: clefs and accidentals;
//! - [`xml_out`], [`score_out`], [`directions_out`], [`musicxml_out`]: the document; [`mxl_out`]: the document in its container.

pub mod directions_out;
pub mod marks_out;
pub mod measures;
pub mod musicxml_out;
pub mod mxl_out;
pub mod score_out;
pub mod spelling;
#[cfg(test)]
mod tests;
pub mod timeline;
pub mod values;
pub mod xml_out;

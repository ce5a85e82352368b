//! Which General MIDI percussion key stands for which stroke of the engine room.
//!
//! General MIDI knows no brake drum and tells no strokes apart, so the table is panfold's own choice: the nearest sound of
//! General MIDI's list, and a key of its own for each stroke, so that whoever reads the file can tell the strokes apart.
//! The keys' names are those of *General MIDI System Level 1* (RP-003).

use crate::notation::tree::Mark;
use crate::pan::Instrument;

/// The channel of percussion, counted from 0: channel 10 as people count (General MIDI level 1).
pub const CHANNEL: u8 = 9;

/// The General MIDI percussion key of a stroke. A mark that the instrument does not allow counts as its plain stroke.
///
/// ```
/// # use panfold::{midi::percussion::key, notation::tree::Mark, pan::Instrument};
/// assert_eq!(key(Instrument::Iron, Mark::Stroke), 56); // Cowbell
/// assert_eq!(key(Instrument::HiHat, Mark::Open), 46); // Open Hi-Hat
/// ```
pub fn key(instrument: Instrument, mark: Mark) -> u8 {
    match (instrument, mark) {
        (Instrument::Iron, Mark::Stroke) => 56,  // Cowbell: a hard, dry clank
        (Instrument::Iron, Mark::Open) => 53,    // Ride Bell: rings on
        (Instrument::Iron, Mark::Slap) => 80,    // Mute Triangle: damped iron
        (Instrument::Shaker, Mark::Open) => 69,  // Cabasa
        (Instrument::Shaker, _) => 70,           // Maracas
        (Instrument::Scraper, Mark::Open) => 74, // Long Guiro
        (Instrument::Scraper, _) => 73,          // Short Guiro
        (Instrument::Conga, Mark::Stroke) => 62, // Mute Hi Conga
        (Instrument::Conga, Mark::Open) => 63,   // Open Hi Conga
        (Instrument::Conga, Mark::Slap) => 60,   // Hi Bongo: General MIDI has no slap; this is the sharpest skin
        (Instrument::Kick, _) => 36,             // Bass Drum 1
        (Instrument::Snare, Mark::Stroke) => 38, // Acoustic Snare
        (Instrument::Snare, Mark::Open) => 40,   // Electric Snare: the louder one, for the rim stroke
        (Instrument::Snare, Mark::Slap) => 37,   // Side Stick
        (Instrument::HiHat, Mark::Open) => 46,   // Open Hi-Hat
        (Instrument::HiHat, _) => 42,            // Closed Hi Hat
        // The cowbell's own key goes to the iron, which hardly a tune is without; the agogo is a pair of bells as well.
        (Instrument::Cowbell, Mark::Open) => 68, // Low Agogo
        (Instrument::Cowbell, _) => 67,          // High Agogo
        (Instrument::Sticks, _) => 75,           // Claves
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_stroke_has_a_key_of_its_own() {
        let mut keys: Vec<u8> = Instrument::ALL
            .into_iter()
            .flat_map(|instrument| instrument.marks().iter().map(move |mark| key(instrument, *mark)))
            .collect();
        let strokes = keys.len();
        keys.sort_unstable();
        keys.dedup();
        assert_eq!(keys.len(), strokes);
        assert!(keys.iter().all(|key| (35..=81).contains(key)), "General MIDI's percussion keys are 35 to 81");
    }
}

//! Which General MIDI percussion key stands for which stroke of the engine room.
//!
//! General MIDI has no brake drum and few different strokes, so the table is panfold's own choice: the nearest sound of
//! General MIDI's list, and for each stroke of an instrument a key of its own, so that whoever reads the file can tell the
//! strokes apart. A stroke that the list lacks borrows the key of another sound (see [`is_borrowed`]). The instrument's name of its
//! track says which instrument it is; import looks there first, so that a borrowed key comes back as what it was. The keys' names are
//! those of the percussion key map of *General MIDI System Level 1* (RP-003).

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
#[expect(clippy::match_same_arms, reason = "a row for each, so that the table can be read")]
pub fn key(instrument: Instrument, mark: Mark) -> u8 {
    match (instrument, mark) {
        (Instrument::Iron, Mark::Stroke) => 56,    // Cowbell: a hard, dry clank
        (Instrument::Iron, Mark::Open) => 53,      // Ride Bell: rings on
        (Instrument::Iron, Mark::Slap) => 80,      // Mute Triangle: damped iron
        (Instrument::Shaker, Mark::Open) => 69,    // Cabasa
        (Instrument::Shaker, _) => 70,             // Maracas
        (Instrument::Scratcher, Mark::Open) => 74, // Long Guiro
        (Instrument::Scratcher, _) => 73,          // Short Guiro
        (Instrument::Conga, Mark::Stroke) => 62,   // Mute Hi Conga
        (Instrument::Conga, Mark::Open) => 63,     // Open Hi Conga
        (Instrument::Conga, Mark::Slap) => 60,     // Hi Bongo: General MIDI has no slap; this is the sharpest skin
        (Instrument::Kick, _) => 36,               // Bass Drum 1
        (Instrument::Snare, Mark::Stroke) => 38,   // Acoustic Snare
        (Instrument::Snare, Mark::Open) => 40,     // Electric Snare: the louder one, for the rim stroke
        (Instrument::Snare, Mark::Slap) => 37,     // Side Stick
        (Instrument::HiHat, Mark::Open) => 46,     // Open Hi-Hat
        (Instrument::HiHat, Mark::Slap) => 44,     // Pedal Hi-Hat
        (Instrument::HiHat, _) => 42,              // Closed Hi Hat
        // The cowbell's own key goes to the iron, which hardly a tune is without; the agogo is a pair of bells as well.
        (Instrument::Cowbell, Mark::Open) => 68,    // Low Agogo
        (Instrument::Cowbell, _) => 67,             // High Agogo
        (Instrument::Claves, _) => 75,              // Claves
        (Instrument::Tambourine, Mark::Open) => 69, // Cabasa: shaken as well, and of metal
        (Instrument::Tambourine, _) => 54,          // Tambourine
        (Instrument::Triangle, Mark::Open) => 81,   // Open Triangle
        (Instrument::Triangle, _) => 80,            // Mute Triangle
        (Instrument::Cymbal, Mark::Slap) => 55,     // Splash Cymbal: the one that is soonest over
        (Instrument::Cymbal, _) => 49,              // Crash Cymbal 1
        (Instrument::Ride, Mark::Open) => 53,       // Ride Bell
        (Instrument::Ride, _) => 51,                // Ride Cymbal 1
        (Instrument::Toms, Mark::Stroke) => 50,     // High Tom
        (Instrument::Toms, Mark::Slap) => 47,       // Low-Mid Tom
        (Instrument::Toms, Mark::Open) => 43,       // High Floor Tom
        (Instrument::Bongos, Mark::Open) => 61,     // Low Bongo
        (Instrument::Bongos, _) => 60,              // Hi Bongo
        (Instrument::Timbales, Mark::Stroke) => 65, // High Timbale
        (Instrument::Timbales, Mark::Open) => 66,   // Low Timbale
        (Instrument::Timbales, Mark::Slap) => 76,   // Hi Wood Block: as dry and bright as a struck shell
    }
}

/// Whether a stroke's key is the sound of another instrument, which has the key first: on a track that does not say which
/// instrument it is, the key is not read as this stroke.
pub fn is_borrowed(instrument: Instrument, mark: Mark) -> bool {
    matches!(
        (instrument, mark),
        (Instrument::Iron, Mark::Open | Mark::Slap)
            | (Instrument::Conga | Instrument::Cymbal | Instrument::Timbales, Mark::Slap)
            | (Instrument::Tambourine, Mark::Open)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_stroke_of_an_instrument_has_a_key_of_its_own() {
        for instrument in Instrument::ALL {
            let mut keys: Vec<u8> = instrument.marks().iter().map(|mark| key(instrument, *mark)).collect();
            keys.sort_unstable();
            keys.dedup();
            assert_eq!(keys.len(), instrument.marks().len(), "{instrument}");
            assert!(keys.iter().all(|key| (35..=81).contains(key)), "General MIDI's percussion keys are 35 to 81");
        }
    }

    #[test]
    fn a_key_stands_for_one_stroke_unless_it_is_borrowed() {
        let strokes = Instrument::ALL.into_iter().flat_map(|one| one.marks().iter().map(move |mark| (one, *mark)));
        let mut keys: Vec<u8> =
            strokes.filter(|(one, mark)| !is_borrowed(*one, *mark)).map(|(one, mark)| key(one, mark)).collect();
        let strokes = keys.len();
        keys.sort_unstable();
        keys.dedup();
        assert_eq!(keys.len(), strokes);
    }
}

//! Which stroke of the engine room a General MIDI percussion key stands for: the table of [`percussion`] read backwards, and
//! the nearest for the keys that it does not use.
//!
//! The keys' names are those of *General MIDI System Level 1* (RP-003); which instrument is nearest is panfold's own choice.

use crate::midi::percussion;
use crate::notation::tree::Mark;
use crate::pan::Instrument;

/// A stroke of the engine room.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Near {
    /// The instrument.
    pub instrument: Instrument,
    /// Its stroke.
    pub mark: Mark,
    /// Whether another sound is meant, which this stands for.
    pub is_other: bool,
}

/// The stroke that a key stands for; `None` for sounds that no instrument of the engine room comes near.
///
/// ```
/// # use panfold::{exchange::percussion_in::near, notation::tree::Mark, pan::Instrument};
/// let cowbell = near(56).unwrap();
/// assert_eq!((cowbell.instrument, cowbell.mark, cowbell.is_other), (Instrument::Iron, Mark::Stroke, false));
/// assert!(near(49).unwrap().is_other); // Crash Cymbal 1
/// ```
pub fn near(key: u8) -> Option<Near> {
    for instrument in Instrument::ALL {
        if let Some(mark) = instrument.marks().iter().find(|mark| percussion::key(instrument, **mark) == key) {
            return Some(Near { instrument, mark: *mark, is_other: false });
        }
    }
    let (instrument, mark) = match key {
        35 => (Instrument::Kick, Mark::Stroke),             // Acoustic Bass Drum
        39 | 76 | 77 => (Instrument::Sticks, Mark::Stroke), // Hand Clap, Wood Blocks
        41 | 43 | 45 | 47 | 48 | 50 | 61 | 64 => (Instrument::Conga, Mark::Open), // Toms, Low Bongo, Low Conga
        44 => (Instrument::HiHat, Mark::Stroke),            // Pedal Hi-Hat
        49 | 52 | 55 | 57 | 81 => (Instrument::Iron, Mark::Open), // Crash, Chinese, Splash; Open Triangle
        51 | 59 => (Instrument::Iron, Mark::Stroke),        // Ride Cymbals
        54 => (Instrument::Shaker, Mark::Stroke),           // Tambourine
        58 => (Instrument::Scraper, Mark::Stroke),          // Vibraslap
        65 | 66 => (Instrument::Snare, Mark::Open),         // Timbales
        _ => return None,
    };
    // The two bass drums are one instrument.
    Some(Near { instrument, mark, is_other: key != 35 })
}

/// What General MIDI calls a percussion key.
pub fn sound(key: u8) -> &'static str {
    const NAMES: [&str; 47] = [
        "Acoustic Bass Drum",
        "Bass Drum 1",
        "Side Stick",
        "Acoustic Snare",
        "Hand Clap",
        "Electric Snare",
        "Low Floor Tom",
        "Closed Hi Hat",
        "High Floor Tom",
        "Pedal Hi-Hat",
        "Low Tom",
        "Open Hi-Hat",
        "Low-Mid Tom",
        "Hi Mid Tom",
        "Crash Cymbal 1",
        "High Tom",
        "Ride Cymbal 1",
        "Chinese Cymbal",
        "Ride Bell",
        "Tambourine",
        "Splash Cymbal",
        "Cowbell",
        "Crash Cymbal 2",
        "Vibraslap",
        "Ride Cymbal 2",
        "Hi Bongo",
        "Low Bongo",
        "Mute Hi Conga",
        "Open Hi Conga",
        "Low Conga",
        "High Timbale",
        "Low Timbale",
        "High Agogo",
        "Low Agogo",
        "Cabasa",
        "Maracas",
        "Short Whistle",
        "Long Whistle",
        "Short Guiro",
        "Long Guiro",
        "Claves",
        "Hi Wood Block",
        "Low Wood Block",
        "Mute Cuica",
        "Open Cuica",
        "Mute Triangle",
        "Open Triangle",
    ];
    key.checked_sub(35).and_then(|key| NAMES.get(usize::from(key))).copied().unwrap_or("a sound beyond General MIDI")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strokes_that_are_written_come_back() {
        for instrument in Instrument::ALL {
            for mark in instrument.marks() {
                let near = near(percussion::key(instrument, *mark)).expect("a stroke");
                assert_eq!((near.instrument, near.mark, near.is_other), (instrument, *mark, false));
            }
        }
        let silent: Vec<u8> = (35..=81).filter(|key| near(*key).is_none()).collect();
        assert_eq!(
            silent.iter().map(|key| sound(*key)).collect::<Vec<_>>(),
            ["Short Whistle", "Long Whistle", "Mute Cuica", "Open Cuica"]
        );
        for key in 0..=127 {
            assert!(near(key).is_none_or(|near| near.instrument.marks().contains(&near.mark)));
        }
    }
}

//! Which stroke of the engine room a General MIDI percussion key stands for: the table of [`percussion`] read backwards, and
//! the nearest stroke for the keys that it does not use.
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
    /// Whether the key means another sound, for which this stroke stands.
    pub is_other: bool,
}

/// The stroke that a key stands for; `None` for sounds unlike any instrument of the engine room.
///
/// ```
/// # use panfold::{exchange::percussion::near, notation::tree::Mark, pan::Instrument};
/// let cowbell = near(56).unwrap();
/// assert_eq!((cowbell.instrument, cowbell.mark, cowbell.is_other), (Instrument::Iron, Mark::Stroke, false));
/// assert!(near(58).unwrap().is_other); // Vibraslap
/// ```
pub fn near(key: u8) -> Option<Near> {
    let own = |instrument| of(instrument, key).filter(|near| !percussion::is_borrowed(instrument, near.mark));
    if let Some(near) = Instrument::ALL.into_iter().find_map(own) {
        return Some(near);
    }
    let (instrument, mark) = match key {
        35 => (Instrument::Kick, Mark::Stroke),             // Acoustic Bass Drum
        39 | 76 | 77 => (Instrument::Claves, Mark::Stroke), // Hand Clap, Wood Blocks
        41 => (Instrument::Toms, Mark::Open),               // Low Floor Tom
        45 => (Instrument::Toms, Mark::Slap),               // Low Tom
        48 => (Instrument::Toms, Mark::Stroke),             // Hi Mid Tom
        52 | 55 | 57 => (Instrument::Cymbal, Mark::Stroke), // Chinese, Splash; Crash Cymbal 2
        58 => (Instrument::Scratcher, Mark::Stroke),        // Vibraslap
        59 => (Instrument::Ride, Mark::Stroke),             // Ride Cymbal 2
        64 => (Instrument::Conga, Mark::Open),              // Low Conga
        _ => return None,
    };
    // The two bass drums are one instrument, and so are two crash or two ride cymbals.
    Some(Near { instrument, mark, is_other: !matches!(key, 35 | 57 | 59) })
}

/// The same on a track that is named after an instrument, as panfold names its own: the keys of that instrument's strokes count
/// first.
pub(crate) fn near_on(named: Option<Instrument>, key: u8) -> Option<Near> {
    let own = |instrument| of(instrument, key).or_else(|| called(instrument, key));
    named.and_then(own).or_else(|| near(key))
}

/// The stroke of an instrument whose name General MIDI gives to a key, though panfold writes another key for it: a cowbell's key is
/// the iron's.
fn called(instrument: Instrument, key: u8) -> Option<Near> {
    let is_called = Instrument::from_name(sound(key)) == Some(instrument);
    is_called.then_some(Near { instrument, mark: Mark::Stroke, is_other: false })
}

/// The stroke of an instrument that is written with a key.
fn of(instrument: Instrument, key: u8) -> Option<Near> {
    let mark = instrument.marks().iter().find(|mark| percussion::key(instrument, **mark) == key)?;
    Some(Near { instrument, mark: *mark, is_other: false })
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
                let near = near_on(Some(instrument), percussion::key(instrument, *mark)).expect("a stroke");
                assert_eq!((near.instrument, near.mark, near.is_other), (instrument, *mark, false));
            }
        }
    }

    #[test]
    fn sounds_go_to_what_they_are_named_after() {
        for key in 35..=81 {
            let called = |instrument: &Instrument| {
                // A side stick is a stroke on a snare.
                let mut names = instrument.names().iter().filter(|name| **name != "sticks");
                let name = names.next_back().expect("a name").trim_end_matches('s');
                sound(key).to_lowercase().split([' ', '-']).any(|word| word.trim_end_matches('s') == name)
            };
            let expected = Instrument::ALL.into_iter().find(called).filter(|one| *one != Instrument::Cowbell);
            let found = near(key).map(|near| near.instrument);
            assert!(expected.is_none() || expected == found, "{}: {expected:?}, {found:?}", sound(key));
        }
        let by_key = |key: u8| near(key).map(|near| (near.instrument, near.mark, near.is_other));
        for (key, instrument, mark, is_other) in [
            (44, Instrument::HiHat, Mark::Slap, false),
            (49, Instrument::Cymbal, Mark::Stroke, false),
            (51, Instrument::Ride, Mark::Stroke, false),
            (53, Instrument::Ride, Mark::Open, false),
            (54, Instrument::Tambourine, Mark::Stroke, false),
            (55, Instrument::Cymbal, Mark::Stroke, true),
            (57, Instrument::Cymbal, Mark::Stroke, false),
            (43, Instrument::Toms, Mark::Open, false),
            (45, Instrument::Toms, Mark::Slap, true),
            (60, Instrument::Bongos, Mark::Stroke, false),
            (61, Instrument::Bongos, Mark::Open, false),
            (65, Instrument::Timbales, Mark::Stroke, false),
            (66, Instrument::Timbales, Mark::Open, false),
            (69, Instrument::Shaker, Mark::Open, false),
            (76, Instrument::Claves, Mark::Stroke, true),
            (80, Instrument::Triangle, Mark::Stroke, false),
            (81, Instrument::Triangle, Mark::Open, false),
        ] {
            assert_eq!(by_key(key), Some((instrument, mark, is_other)), "{}", sound(key));
        }
    }

    #[test]
    fn every_key_is_some_stroke_or_nothing() {
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

//! Which release ends which note of a track.
//!
//! Source: *Standard MIDI Files 1.0* (RP-001), which says nothing of a key that is struck again before it is released, or
//! never released. How such files are read here is common practice, no source.

use std::collections::{BTreeMap, VecDeque};

use super::file::{Ending, Event, File, Note, What};

impl File {
    /// The notes of all tracks, by tick, then track, channel and key.
    ///
    /// Within a track a release ends the note of its channel and key that has sounded longest. Where there are fewer releases
    /// than strokes, a note has no release (see [`Ending::Open`]); it does not take that of the next note of its key, which
    /// would draw out all that follow. A key that is struck twice on one tick and released once is one note.
    pub fn notes(&self) -> Vec<Note> {
        let mut notes: Vec<Note> =
            self.tracks.iter().enumerate().flat_map(|(track, events)| held(track, events)).collect();
        notes.sort_unstable();
        notes
    }
}

/// The notes of a track, in the order in which they are struck.
fn held(track: usize, events: &[Event]) -> Vec<Note> {
    let end = events.last().map_or(0, |event| event.tick);
    let mut notes: Vec<Note> = Vec::new();
    let mut keys: BTreeMap<(u8, u8), Vec<Touch>> = BTreeMap::new();
    for event in events {
        match event.what {
            What::NoteOn { channel, key, velocity } => {
                keys.entry((channel, key)).or_default().push(Touch { tick: event.tick, struck: Some(notes.len()) });
                let (tick, length) = (event.tick, end - event.tick);
                notes.push(Note { tick, track, channel, key, velocity, length, ending: Ending::Open });
            }
            What::NoteOff { channel, key, .. } => {
                keys.entry((channel, key)).or_default().push(Touch { tick: event.tick, struck: None });
            }
            _ => {}
        }
    }
    let mut doubled = vec![false; notes.len()];
    for touches in keys.values() {
        let unreleased = Unreleased::of(touches);
        end_notes(touches, &unreleased, &mut notes);
        for number in lasting(touches, &unreleased.open, &mut notes) {
            doubled[number] = true;
        }
    }
    let mut number = 0..;
    notes.retain(|_| number.next().is_none_or(|number| !doubled[number]));
    notes
}

/// A key of a channel struck, with the number of the note, or released.
struct Touch {
    tick: u64,
    struck: Option<usize>,
}

/// The notes of a key that have no release, rising.
#[derive(Default)]
struct Unreleased {
    /// Their release came right before them.
    at_once: Vec<usize>,
    /// They have none at all.
    open: Vec<usize>,
}

impl Unreleased {
    fn of(touches: &[Touch]) -> Unreleased {
        let mut walk = Walk::default();
        for touch in touches {
            walk.to(touch.tick);
            match touch.struck {
                Some(number) => walk.struck(number),
                None => walk.released(),
            }
        }
        walk.end()
    }
}

/// A walk over the strokes and releases of a key. A release is thought to end the note that was struck last before its tick, so
/// that what is left over is what was struck again. (Which of several that do have a release ends with which, is another
/// question: see [`end_notes`].)
#[derive(Default)]
struct Walk {
    now: u64,
    /// What sounds, struck before `now` and on it.
    older: Vec<usize>,
    fresh: Vec<usize>,
    /// When the key was last released that did not sound, or that only `ornaments` let sound.
    stray: Option<u64>,
    /// Notes whose key was released on their tick right before them, each but the last up to the next one's release. They take
    /// no time if the last of them is never released; else the first release is one too many.
    ornaments: Vec<usize>,
    found: Unreleased,
}

impl Walk {
    fn to(&mut self, tick: u64) {
        if tick > self.now {
            self.older.append(&mut self.fresh);
            self.now = tick;
        }
    }

    fn struck(&mut self, number: usize) {
        if self.is_silent() && self.stray == Some(self.now) {
            self.ornaments.push(number);
        } else if self.is_silent() {
            self.ornaments.clear();
        } else if !self.ornaments.is_empty() {
            // Struck again before the last of them is released.
            self.found.at_once.append(&mut self.ornaments);
            self.older.clear();
            self.fresh.clear();
        }
        self.fresh.push(number);
    }

    fn released(&mut self) {
        let was_silent = self.is_silent();
        if !was_silent && self.older.pop().is_none() {
            self.fresh.pop();
        }
        // A release that comes after all, twice or on the tick of the stroke: they are plain notes.
        let ends_ornament = self.ornaments.last().is_some_and(|_| !was_silent && self.stray != Some(self.now));
        if !ends_ornament {
            self.ornaments.clear();
        }
        self.stray = (was_silent || ends_ornament).then_some(self.now);
    }

    fn is_silent(&self) -> bool {
        self.older.is_empty() && self.fresh.is_empty()
    }

    fn end(mut self) -> Unreleased {
        if self.ornaments.is_empty() || self.is_silent() {
            self.found.open.extend(self.older.into_iter().chain(self.fresh));
        } else {
            self.found.at_once.extend(self.ornaments);
        }
        self.found
    }
}

/// Ends the notes that have a release: of those that sound, the one that has sounded longest.
fn end_notes(touches: &[Touch], unreleased: &Unreleased, notes: &mut [Note]) {
    for number in &unreleased.at_once {
        (notes[*number].length, notes[*number].ending) = (0, Ending::AtOnce);
    }
    let mut sounding: VecDeque<usize> = VecDeque::new();
    for touch in touches {
        if let Some(number) = touch.struck {
            if unreleased.at_once.binary_search(&number).is_err() && unreleased.open.binary_search(&number).is_err() {
                sounding.push_back(number);
            }
        } else if let Some(note) = sounding.pop_front().map(|number| &mut notes[number]) {
            note.length = touch.tick - note.tick;
            note.ending = if note.length > 0 { Ending::Released } else { Ending::AtOnce };
        }
    }
}

/// Lets the notes without a release last until their key is struck again. Gives back those that are struck again at once.
fn lasting(touches: &[Touch], open: &[usize], notes: &mut [Note]) -> Vec<usize> {
    let mut doubled = Vec::new();
    let struck: Vec<usize> = touches.iter().filter_map(|touch| touch.struck).collect();
    for number in open {
        let Some(next) = struck.get(struck.partition_point(|other| other <= number)) else { continue };
        let length = notes[*next].tick - notes[*number].tick;
        notes[*number].length = length;
        if length == 0 {
            doubled.push(*number);
        }
    }
    doubled
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The notes of a key, from strokes (`+`) and releases (`-`) with their ticks; the track ends at 1000.
    fn notes(touches: &str) -> Vec<(u64, u64, Ending)> {
        let event = |touch: &str| {
            let what = match touch.as_bytes()[0] {
                b'+' => What::NoteOn { channel: 0, key: 60, velocity: 64 },
                _ => What::NoteOff { channel: 0, key: 60, velocity: 64 },
            };
            Event { tick: touch[1..].parse().expect("a tick"), byte: 0, what }
        };
        let end = Event { tick: 1000, byte: 0, what: What::End };
        let events: Vec<Event> = touches.split_whitespace().map(event).chain([end]).collect();
        held(0, &events).iter().map(|note| (note.tick, note.length, note.ending)).collect()
    }

    #[test]
    fn a_note_without_a_release_lasts_to_the_next_stroke_or_the_end() {
        use Ending::{Open, Released};
        for (touches, expected) in [
            ("+0", vec![(0, 1000, Open)]),
            ("+0 -100 +400", vec![(0, 100, Released), (400, 600, Open)]),
            // What follows keeps its own releases.
            ("+0 +100 -150 +200 -250", vec![(0, 100, Open), (100, 50, Released), (200, 50, Released)]),
            ("+0 +100 +200", vec![(0, 100, Open), (100, 100, Open), (200, 800, Open)]),
            // A release that stands after the next stroke of its tick ends the one before.
            ("+0 +100 -100", vec![(0, 100, Released), (100, 900, Open)]),
            ("+0 +100 +200 -200 -300", vec![(0, 100, Open), (100, 100, Released), (200, 100, Released)]),
            // Struck twice on a tick and released once: one note.
            ("+0 +0 -100", vec![(0, 100, Released)]),
            ("+0 +0", vec![(0, 1000, Open)]),
        ] {
            assert_eq!(notes(touches), expected, "{touches}");
        }
    }

    #[test]
    fn of_notes_that_overlap_the_oldest_ends_first() {
        use Ending::{Open, Released};
        assert_eq!(notes("+0 +100 -300 -400"), [(0, 300, Released), (100, 300, Released)]);
        let expected = [(0, 100, Open), (100, 200, Released), (200, 200, Released)];
        assert_eq!(notes("+0 +100 +200 -300 -400"), expected);
    }

    #[test]
    fn a_note_that_is_released_on_its_tick_takes_no_time() {
        use Ending::{AtOnce, Released};
        for (touches, expected) in [
            ("+0 -0", vec![(0, 0, AtOnce)]),
            ("-0 +0", vec![(0, 0, AtOnce)]),
            ("-0 +0 +100 -200", vec![(0, 0, AtOnce), (100, 100, Released)]),
            ("+0 -100 +100 -100 +100 -200", vec![(0, 100, Released), (100, 0, AtOnce), (100, 100, Released)]),
            // Several in a row: each is released right before it, and so is the next.
            ("-0 +0 -100 +100 -200 +200", vec![(0, 0, AtOnce), (100, 0, AtOnce), (200, 0, AtOnce)]),
            ("-0 +0 -100 +100 +150 -200", vec![(0, 0, AtOnce), (100, 0, AtOnce), (150, 50, Released)]),
            // All but one of the releases come after their notes: the first is one too many.
            ("-0 +0 -100 +100 -200", vec![(0, 100, Released), (100, 100, Released)]),
            ("-0 +0 -100 +150 -200", vec![(0, 100, Released), (150, 50, Released)]),
            ("-0 +0 -0 +100 -200", vec![(0, 0, AtOnce), (100, 100, Released)]),
            // A release too many does not shorten the note.
            ("+0 -100 -100 +100 -200", vec![(0, 100, Released), (100, 100, Released)]),
            ("-0 +50 -100", vec![(50, 50, Released)]),
        ] {
            assert_eq!(notes(touches), expected, "{touches}");
        }
    }
}

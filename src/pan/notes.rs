//! A plain set of notes.

use crate::music::{Pitch, PitchClass};

/// The notes of a pan (or the notes that several pans share) as a set of pitches.
///
/// One bit a MIDI key: membership is one shift, and sets are compared and cut in two instructions.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub struct NoteSet(u128);

impl NoteSet {
    /// The set without notes.
    pub const EMPTY: NoteSet = NoteSet(0);

    /// Whether it has a note.
    pub fn has(self, pitch: Pitch) -> bool {
        self.0 >> pitch.key() & 1 == 1
    }

    /// Adds a note.
    pub fn insert(&mut self, pitch: Pitch) {
        self.0 |= 1 << pitch.key();
    }

    /// Removes a note.
    pub fn remove(&mut self, pitch: Pitch) {
        self.0 &= !(1 << pitch.key());
    }

    /// The notes that both have.
    pub fn and(self, other: NoteSet) -> NoteSet {
        NoteSet(self.0 & other.0)
    }

    /// The notes that either has.
    pub fn or(self, other: NoteSet) -> NoteSet {
        NoteSet(self.0 | other.0)
    }

    /// The notes that this has and the other lacks.
    pub fn without(self, other: NoteSet) -> NoteSet {
        NoteSet(self.0 & !other.0)
    }

    /// How many notes there are.
    pub fn len(self) -> usize {
        self.0.count_ones() as usize
    }

    /// Whether there are none.
    pub fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// The lowest note.
    pub fn lowest(self) -> Option<Pitch> {
        self.iter().next()
    }

    /// The highest note.
    pub fn highest(self) -> Option<Pitch> {
        self.iter().last()
    }

    /// The notes, rising.
    pub fn iter(self) -> impl DoubleEndedIterator<Item = Pitch> + Clone {
        (0..128u8).filter(move |key| self.0 >> key & 1 == 1).filter_map(Pitch::new)
    }

    /// Its notes of a pitch class, rising.
    pub fn octaves(self, class: PitchClass) -> impl DoubleEndedIterator<Item = Pitch> + Clone {
        self.iter().filter(move |pitch| pitch.class() == class)
    }

    /// The notes that are missing between the lowest and the highest, rising.
    pub fn gaps(self) -> Vec<Pitch> {
        let (Some(low), Some(high)) = (self.lowest(), self.highest()) else { return Vec::new() };
        (low.key()..high.key()).filter_map(Pitch::new).filter(|pitch| !self.has(*pitch)).collect()
    }
}

impl FromIterator<Pitch> for NoteSet {
    fn from_iter<I: IntoIterator<Item = Pitch>>(pitches: I) -> Self {
        let mut set = NoteSet::EMPTY;
        pitches.into_iter().for_each(|pitch| set.insert(pitch));
        set
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn set(text: &str) -> NoteSet {
        text.split(' ').map(|name| name.parse().expect(name)).collect()
    }

    #[test]
    fn gaps_and_octaves() {
        let pan = set("C4 D4 Eb4 C5");
        assert_eq!(pan.gaps().first().map(ToString::to_string).as_deref(), Some("C#4"));
        assert_eq!(pan.gaps().len(), 9);
        let octaves: Vec<String> = pan.octaves(PitchClass::new(0)).map(|p| p.to_string()).collect();
        assert_eq!(octaves, ["C4", "C5"]);
        assert!(NoteSet::EMPTY.gaps().is_empty());
    }
}

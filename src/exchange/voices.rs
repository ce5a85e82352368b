//! Notes that may overlap, shared out over rows with one stroke at a time.
//!
//! Notes that begin and end together are one stroke, of at most two notes: a player has two sticks. The others go to another
//! row, so that nothing is lost.

use super::limits::MAX_ROWS;
use super::score::{Manner, Note, Struck, measure_at};
use crate::music::{Length, Pitch};
use crate::notation::tree::Mark;

/// Notes that one player strikes at once.
pub const STICKS: usize = 2;

/// A note by itself, in time from the start of the file.
#[derive(Clone, Debug, PartialEq)]
pub struct Sounding {
    /// When it begins.
    pub at: Length,
    /// How long it lasts in all.
    pub length: Length,
    /// What it is.
    pub sound: Sound,
    /// How it is struck.
    pub manner: Manner,
    /// Whether it goes on from something that is not written right before it.
    pub tied: bool,
    /// Whether it goes on into something that is not written right after it.
    pub open: bool,
}

/// What a note is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Sound {
    /// A note of a pan.
    Pitch(Pitch),
    /// A stroke of percussion.
    Mark(Mark),
}

impl Sounding {
    fn end(&self) -> Length {
        self.at + self.length
    }
}

/// Notes shared out.
pub struct Shared {
    /// Rows of strokes, the one with the highest notes first; no two strokes of a row overlap.
    pub rows: Vec<Vec<Stroke>>,
    /// Notes that would need more rows than are allowed.
    pub beyond: Vec<Sounding>,
}

/// Notes that begin and end together.
#[derive(Clone, Debug)]
pub struct Stroke {
    at: Length,
    end: Length,
    struck: Struck,
    manner: Manner,
    tied: bool,
    open: bool,
}

/// Shares notes out. Cost: sorting them, and a look at each row for each stroke.
///
/// - `together`: how many notes one row may strike at once; [`STICKS`] for a player.
pub fn share(mut notes: Vec<Sounding>, together: usize) -> Shared {
    notes.retain(|note| note.length > Length::ZERO);
    // Of what begins together the longer first, then the higher.
    notes.sort_by(|a, b| {
        (a.at, b.end(), a.tied, a.open).cmp(&(b.at, a.end(), b.tied, b.open)).then(b.sound.cmp(&a.sound))
    });
    let mut shared = Shared { rows: Vec::new(), beyond: Vec::new() };
    let mut strokes: Vec<Stroke> = Vec::new();
    let mut at = 0;
    while at < notes.len() {
        let start = notes[at].at;
        let count = notes[at..].iter().take_while(|note| note.at == start).count();
        for note in &notes[at..at + count] {
            if !add(&mut strokes, note, together) {
                shared.beyond.push(note.clone());
            }
        }
        // The highest stroke goes to the first row that is free.
        strokes.sort_by_key(|stroke| std::cmp::Reverse(top(stroke)));
        for stroke in strokes.drain(..) {
            let free = shared.rows.iter().position(|row| row.last().is_none_or(|last| last.end <= start));
            match free {
                Some(row) => shared.rows[row].push(stroke),
                None if shared.rows.len() < MAX_ROWS => shared.rows.push(vec![stroke]),
                None => shared.beyond.extend(stroke.apart()),
            }
        }
        at += count;
    }
    shared
}

/// Adds a note to one of the strokes that begin with it, if one ends with it and has a stick free; else as a stroke of its own.
/// `false` when there are as many strokes as there can be rows.
fn add(strokes: &mut Vec<Stroke>, note: &Sounding, together: usize) -> bool {
    if let Sound::Pitch(pitch) = note.sound {
        let fits = |stroke: &&mut Stroke| match &stroke.struck {
            Struck::Notes(pitches) => {
                (stroke.end, stroke.tied, stroke.open) == (note.end(), note.tied, note.open)
                    && pitches.len() < together
                    && !pitches.contains(&pitch)
            }
            Struck::Mark(_) => false,
        };
        if let Some(stroke) = strokes.iter_mut().find(fits) {
            if let Struck::Notes(pitches) = &mut stroke.struck {
                pitches.push(pitch);
            }
            stroke.manner = stroke.manner.or(note.manner);
            return true;
        }
    }
    if strokes.len() >= MAX_ROWS {
        return false;
    }
    let struck = match note.sound {
        Sound::Pitch(pitch) => Struck::Notes(vec![pitch]),
        Sound::Mark(mark) => Struck::Mark(mark),
    };
    let Sounding { at, manner, tied, open, .. } = *note;
    strokes.push(Stroke { at, end: note.end(), struck, manner, tied, open });
    true
}

impl Stroke {
    /// Its notes, one by one.
    fn apart(self) -> Vec<Sounding> {
        let sounds: Vec<Sound> = match self.struck {
            Struck::Notes(pitches) => pitches.into_iter().map(Sound::Pitch).collect(),
            Struck::Mark(mark) => vec![Sound::Mark(mark)],
        };
        let Stroke { at, end, manner, tied, open, .. } = self;
        sounds.into_iter().map(|sound| Sounding { at, length: end - at, sound, manner, tied, open }).collect()
    }
}

fn top(stroke: &Stroke) -> Option<Pitch> {
    match &stroke.struck {
        Struck::Notes(pitches) => pitches.first().copied(),
        Struck::Mark(_) => None,
    }
}

impl Manner {
    /// Of two notes that are struck together, this one and a lower one.
    pub(super) fn or(self, other: Manner) -> Manner {
        Manner {
            accent: self.accent || other.accent,
            damped: self.damped || other.damped,
            rolled: self.rolled || other.rolled,
            stick: other.stick.or(self.stick),
        }
    }
}

/// Strokes cut at the bar lines. `starts`: when each measure begins, and when the last ends; anything beyond is left out.
pub fn cut(strokes: &[Stroke], starts: &[Length]) -> Vec<Note> {
    let mut notes = Vec::with_capacity(strokes.len());
    let measures = starts.len().saturating_sub(1);
    for stroke in strokes {
        let mut measure = measure_at(starts, stroke.at).saturating_sub(1);
        let mut from = stroke.at;
        while measure < measures && from < stroke.end {
            let to = stroke.end.min(starts[measure + 1]);
            // A measure without any length has nothing in it.
            if to > from {
                notes.push(Note {
                    measure,
                    start: from - starts[measure],
                    length: to - from,
                    struck: stroke.struck.clone(),
                    manner: stroke.manner,
                    tied: from > stroke.at || stroke.tied,
                    open: to < stroke.end || stroke.open,
                });
            }
            from = to;
            measure += 1;
        }
    }
    notes
}

#[cfg(test)]
mod tests {
    use super::*;

    fn note(at: i64, length: i64, key: u8) -> Sounding {
        Sounding {
            at: Length::quarters(at, 1),
            length: Length::quarters(length, 1),
            sound: Sound::Pitch(Pitch::new(key).expect("a key")),
            manner: Manner::default(),
            tied: false,
            open: false,
        }
    }

    fn rows(notes: Vec<Sounding>) -> Vec<Vec<(i64, Vec<u8>)>> {
        let strokes = |row: Vec<Stroke>| {
            let keys = |stroke: &Stroke| match &stroke.struck {
                Struck::Notes(pitches) => pitches.iter().map(|pitch| pitch.key()).collect(),
                Struck::Mark(_) => Vec::new(),
            };
            row.iter().map(|stroke| (stroke.at.ratio().to_integer(), keys(stroke))).collect()
        };
        share(notes, STICKS).rows.into_iter().map(strokes).collect()
    }

    #[test]
    fn chords_are_shared_two_notes_a_row() {
        let chord = vec![note(0, 1, 60), note(0, 1, 64), note(0, 1, 67), note(1, 1, 62)];
        assert_eq!(rows(chord), [vec![(0, vec![67, 64]), (1, vec![62])], vec![(0, vec![60])]]);
        // The same note twice needs two players.
        assert_eq!(rows(vec![note(0, 1, 60), note(0, 1, 60)]), [vec![(0, vec![60])], vec![(0, vec![60])]]);
    }

    #[test]
    fn what_overlaps_has_a_row_of_its_own() {
        let notes = vec![note(0, 4, 60), note(0, 1, 72), note(1, 1, 74), note(4, 1, 60)];
        assert_eq!(rows(notes), [vec![(0, vec![72]), (1, vec![74]), (4, vec![60])], vec![(0, vec![60])]]);
    }

    #[test]
    fn bar_lines_cut() {
        let starts = [0, 4, 8].map(|at| Length::quarters(at, 1));
        let shared = share(vec![note(2, 4, 60)], STICKS);
        let cut = cut(&shared.rows[0], &starts);
        let lengths: Vec<_> = cut.iter().map(|note| (note.measure, note.tied, note.open)).collect();
        assert_eq!(lengths, [(0, false, true), (1, true, false)]);
    }
}

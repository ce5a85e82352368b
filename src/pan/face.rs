//! A pan: its drums, and the places of the notes on them.

use std::fmt;

use super::kind::PanKind;
use super::notes::NoteSet;
use crate::music::{Cents, NoteName, Pitch};

/// One player's instrument: one or more drums with hammered notes.
#[derive(Clone, Debug, PartialEq)]
pub struct Pan {
    /// Its name in the band, or the layout's name.
    pub name: String,
    /// A line that says more, for example `Lead pan in C (low tenor, C soprano)`; may be empty.
    pub title: String,
    /// What kind of pan it is.
    pub kind: PanKind,
    /// The drums, from the player's left to right; on basses round the horseshoe from the left.
    pub drums: Vec<Drum>,
    /// How sure the layout is; a maker's own pan is sure.
    pub sureness: Sureness,
    /// Where the layout's facts come from; empty for a band's own pan.
    pub source: String,
    /// What a reader should know about the layout; may be empty.
    pub note: String,
}

/// One barrel of a pan.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drum {
    /// Its notes: ring by ring from the outer one in, clockwise as the player sees it.
    pub notes: Vec<NoteArea>,
    /// Places of notes that cannot be played: the layout has them, this pan is `without` them. They are only drawn.
    pub dead: Vec<NoteArea>,
}

/// A hammered note.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NoteArea {
    /// The name as the maker or the file writes it.
    pub name: NoteName,
    /// What it sounds, apart from mistuning.
    pub pitch: Pitch,
    /// Which ring it lies in; `None` when the file does not say.
    pub ring: Option<Ring>,
    /// Where on the ring: degrees clockwise from the place nearest to the player, 0 up to 360; `None` when the file does
    /// not say.
    pub angle: Option<f64>,
    /// How far its measured pitch is from equal temperament at the band's A4.
    pub cents: Cents,
}

/// A circle of notes on a drum's face.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Ring {
    /// Against the rim.
    Outer,
    /// Between outer and inner.
    Middle,
    /// In the centre.
    Inner,
}

impl Ring {
    /// The rings from the rim in.
    pub const ALL: [Ring; 3] = [Ring::Outer, Ring::Middle, Ring::Inner];

    /// The ring's name.
    pub fn name(self) -> &'static str {
        ["outer", "middle", "inner"][self as usize]
    }
}

impl fmt::Display for Ring {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

/// How well the sources of a layout agree, or whether something is only drawn that way.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Sure {
    /// Sources agree, or the pan's owner says so.
    #[default]
    High,
    /// Sources differ a little.
    Medium,
    /// Weak sources or memory.
    Low,
    /// Places chosen for drawing, not read from a chart.
    Schematic,
    /// Invented filler; never a fact.
    Placeholder,
}

impl Sure {
    /// The word for it in files and on screens.
    pub fn word(self) -> &'static str {
        ["high", "medium", "low", "schematic", "placeholder"][self as usize]
    }
}

/// How sure each side of a layout is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Sureness {
    /// Which notes there are.
    pub pitches: Sure,
    /// Which notes share a drum.
    pub drums: Sure,
    /// Which ring each lies in.
    pub rings: Sure,
    /// Where on the ring.
    pub angles: Sure,
}

impl Pan {
    /// All notes, drum by drum, each with the number of its drum (from 0).
    pub fn notes(&self) -> impl Iterator<Item = (usize, &NoteArea)> {
        self.drums.iter().enumerate().flat_map(|(drum, d)| d.notes.iter().map(move |note| (drum, note)))
    }

    /// The notes as a set.
    pub fn note_set(&self) -> NoteSet {
        self.notes().map(|(_, note)| note.pitch).collect()
    }

    /// The note of a pitch, with the number of its drum (from 0).
    pub fn note(&self, pitch: Pitch) -> Option<(usize, &NoteArea)> {
        self.notes().find(|(_, note)| note.pitch == pitch)
    }
}

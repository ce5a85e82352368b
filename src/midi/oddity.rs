//! What in a Standard MIDI File is not as the standard has it, and was read all the same.
//!
//! Programs write such files, and disks cut them. How they are read here is common practice, no source: *Standard MIDI Files
//! 1.0* (RP-001) says what a file is, not what to do with one that is none.

/// Something that breaks the standard's rules; told once a track, however often it is there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Oddity {
    /// What it is.
    pub odd: Odd,
    /// The track, from 0; `None` when it concerns the file.
    pub track: Option<usize>,
    /// The tick of the track at which it shows first.
    pub tick: u64,
    /// The byte of the file at which it shows first.
    pub byte: usize,
}

/// What is odd, and what was done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Odd {
    /// The header says another number of tracks than there are. All that are there are read.
    Tracks {
        /// How many it says.
        said: u16,
    },
    /// Bytes after the last track, or between two, that are no chunk: so many. They are left out.
    NoChunk {
        /// How many.
        bytes: usize,
    },
    /// The file ends before the track does, as its length has it. What is there is read.
    Cut,
    /// The length of the track is wrong; where the track really ends, its events say, or the next track.
    WrongLength,
    /// The track has no end-of-track event. It ends with its last event.
    NoEnd,
    /// There is more in the track after its end. It is left out, since no player plays it.
    AfterEnd {
        /// How many notes begin there, as far as it can be read.
        notes: usize,
    },
    /// From here on the track can't be read. The rest is left out.
    Unreadable,
    /// An event without a status byte follows a meta or system-exclusive event, after which there must be one. It is read with
    /// the status of the last channel message.
    NoStatus,
    /// A meta event of this kind whose bytes are not as the standard has them. It is left out.
    Meta(u8),
    /// A message of this status, which has no place in a file, between instruments only. It is left out.
    Misplaced(u8),
}

//! What in a Standard MIDI File breaks the standard, and was read all the same.
//!
//! Programs write such files, and damaged disks cut them. How they are read here is common practice, no source: *Standard MIDI Files
//! 1.0* (RP-001) says what a file is, not what to do with a broken one.

/// Something that breaks the standard's rules; reported once a track, however often it occurs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Oddity {
    /// What it is.
    pub odd: Odd,
    /// The track, from 0; `None` when it concerns the file.
    pub track: Option<usize>,
    /// The tick of the track at which it first occurs.
    pub tick: u64,
    /// The byte of the file at which it first occurs.
    pub byte: usize,
}

/// What is odd, and what was done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Odd {
    /// The header gives a wrong number of tracks. All that are there are read.
    Tracks {
        /// How many it says.
        said: u16,
    },
    /// Bytes after the last track, or between two, that are no chunk. They are left out.
    NoChunk {
        /// How many.
        bytes: usize,
    },
    /// The file ends before the track's length is reached. What is there is read.
    Cut,
    /// The length of the track is wrong; its events or the next track show where it really ends.
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
    /// A meta event of this kind whose bytes break the standard. It is left out.
    Meta(u8),
    /// A message of this status, which is only for cables between instruments and not for files. It is left out.
    Misplaced(u8),
}

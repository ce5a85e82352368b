//! A Standard MIDI File's header and chunks; the events of its tracks are read by `midly` (see `events`).
//!
//! Follows *Standard MIDI Files 1.0* (RP-001): formats 0, 1 and 2, header chunks longer than six bytes; unknown chunks are
//! skipped by their length. Files that break the rules are read as far as they can be understood, and what is odd about them is
//! kept (see [`Oddity`]): some programs write such files, and some files were cut off. `midly` has a reader of
//! chunks too, but it loses a track whose neighbour's length is too long, doesn't say what it skipped, and panics in a debug build on
//! a division of 128 frames; so the chunks are cut here. A file without a header is refused.

use std::fmt;

use super::events::{Stop, Walk};
use super::file::{Division, Event, File, What};
use super::oddity::{Odd, Oddity};

/// The largest file that is read, in bytes: 4 MiB. That is about an hour of ten voices that roll without a rest; a tune is a
/// hundredth of it.
pub(crate) const MAX_FILE_BYTES: usize = 4 << 20;

/// The most tracks that are read: the largest number that a header can give.
const MAX_TRACKS: usize = u16::MAX as usize;

/// A chunk's name and its length.
const CHUNK_HEAD: usize = 8;

/// The header chunk, with its name and its length.
const HEADER: usize = CHUNK_HEAD + 6;

/// Why bytes are no Standard MIDI File, and where.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ReadError {
    /// The byte of the file where that is, from 0.
    pub byte: usize,
    /// What is wrong.
    pub reason: Reason,
}

/// What is wrong with a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reason {
    /// It is larger than `MAX_FILE_BYTES`.
    TooLarge,
    /// It doesn't begin with a header chunk.
    NoHeader,
    /// It ends within the header.
    ShortHeader,
    /// The format is not 0, 1 or 2.
    Format(u16),
    /// Ticks a quarter are 0, or frames a second none of 24, 25, 29, 30.
    Division(u16),
}

impl fmt::Display for ReadError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "byte {}: ", self.byte)?;
        match self.reason {
            Reason::TooLarge => write!(f, "the file is larger than {} MiB", MAX_FILE_BYTES >> 20),
            Reason::NoHeader => f.write_str("expected a header chunk, `MThd`"),
            Reason::ShortHeader => f.write_str("expected a header of at least 6 bytes"),
            Reason::Format(format) => write!(f, "expected format 0, 1, or 2, found {format}"),
            Reason::Division(division) => write!(f, "expected ticks a quarter or a frame, found `{division:04X}`"),
        }
    }
}

impl std::error::Error for ReadError {}

/// What a Standard MIDI File says, as far as it can be understood. Cost: one walk over the bytes; memory in proportion to them.
///
/// # Errors
/// When the bytes are too many, or have no header that says what a tick is: the byte, and what is wrong there.
pub fn read(bytes: &[u8]) -> Result<File, ReadError> {
    if bytes.len() > MAX_FILE_BYTES {
        return Err(ReadError { byte: MAX_FILE_BYTES, reason: Reason::TooLarge });
    }
    let (format, division) = header(bytes)?;
    let said = word(bytes, 10);
    let mut file = File { format, division, tracks: Vec::new(), oddities: Vec::new() };
    let of_file = |odd, byte| Oddity { odd, track: None, tick: 0, byte };
    let mut at = chunk_end(bytes, 0);
    // A header whose length is wrong has its six bytes all the same.
    if at < HEADER || !is_edge(bytes, at) {
        if at != HEADER {
            file.oddities.push(of_file(Odd::WrongLength, 4));
        }
        at = HEADER;
    }
    while at < bytes.len() {
        let may_be_track = bytes[at..].starts_with(b"MTrk") && file.tracks.len() < MAX_TRACKS;
        if may_be_track && bytes.len() - at >= CHUNK_HEAD {
            at = file.track(bytes, at);
        } else if is_other_chunk(bytes, at) {
            at = chunk_end(bytes, at);
        } else {
            let reads_on = !bytes[at..].starts_with(b"MThd") && file.tracks.len() < MAX_TRACKS;
            let next = next_track(bytes, at + 1).filter(|_| reads_on).unwrap_or(bytes.len());
            file.oddities.push(of_file(Odd::NoChunk { bytes: next - at }, at));
            at = next;
        }
    }
    if file.tracks.len() != usize::from(said) {
        file.oddities.push(of_file(Odd::Tracks { said }, 10));
    }
    Ok(file)
}

impl File {
    /// Reads the track whose chunk begins at a byte; gives the byte at which to read on.
    fn track(&mut self, bytes: &[u8], at: usize) -> usize {
        let end = chunk_end(bytes, at);
        let is_right = is_edge(bytes, end);
        let limit = if is_right { end } else { bytes.len() };
        let mut walk = Walk::new(&bytes[..limit], at + CHUNK_HEAD, self.tracks.len());
        let stop = walk.run(!is_right);
        let here = walk.at;
        let (odd, next) = match stop {
            Stop::End if here == end => (None, end),
            Stop::End if is_right && !bytes[here..].starts_with(b"MTrk") => {
                (Some(Odd::AfterEnd { notes: notes_within(&bytes[..end], here) }), end)
            }
            Stop::End | Stop::NextTrack => (Some(Odd::WrongLength), here),
            Stop::Bytes => (Some(if end > bytes.len() { Odd::Cut } else { Odd::NoEnd }), limit),
            Stop::Unreadable if is_right => (Some(Odd::Unreadable), end),
            Stop::Unreadable => match next_track(bytes, here) {
                None if end > bytes.len() => (Some(Odd::Cut), bytes.len()),
                next => (Some(Odd::Unreadable), next.unwrap_or(bytes.len())),
            },
        };
        if let Some(odd) = odd {
            walk.note(odd, here);
        }
        if stop != Stop::End {
            walk.events.push(Event { tick: walk.tick, byte: here, what: What::End });
        }
        self.oddities.append(&mut walk.odd);
        self.tracks.push(walk.events);
        next
    }
}

/// How many notes begin in the bytes from here on, as far as they are events.
fn notes_within(bytes: &[u8], at: usize) -> usize {
    let mut walk = Walk::new(bytes, at, 0);
    while walk.run(false) == Stop::End {}
    walk.events.iter().filter(|event| matches!(event.what, What::NoteOn { .. })).count()
}

/// The format, and what a tick is.
fn header(bytes: &[u8]) -> Result<(u16, Division), ReadError> {
    let fail = |byte, reason| Err(ReadError { byte, reason });
    if !bytes.starts_with(b"MThd") {
        return fail(0, Reason::NoHeader);
    }
    if bytes.len() < HEADER {
        return fail(bytes.len(), Reason::ShortHeader);
    }
    let (format, division) = (word(bytes, 8), word(bytes, 12));
    if format > 2 {
        return fail(8, Reason::Format(format));
    }
    let [high, ticks] = division.to_be_bytes();
    let frames_a_second = (high as i8).unsigned_abs();
    match division {
        1..0x8000 => Ok((format, Division::Quarter(division))),
        0x8000.. if matches!(frames_a_second, 24 | 25 | 29 | 30) && ticks > 0 => {
            Ok((format, Division::Frame { frames_a_second, ticks }))
        }
        _ => fail(12, Reason::Division(division)),
    }
}

fn word(bytes: &[u8], at: usize) -> u16 {
    u16::from_be_bytes([bytes[at], bytes[at + 1]])
}

/// Where the chunk that begins at a byte ends according to its length.
fn chunk_end(bytes: &[u8], at: usize) -> usize {
    let length = u32::from(word(bytes, at + 4)) << 16 | u32::from(word(bytes, at + 6));
    (at + CHUNK_HEAD).saturating_add(length as usize)
}

/// Whether a chunk may end here: with the file, or before another chunk.
fn is_edge(bytes: &[u8], at: usize) -> bool {
    let rest = bytes.get(at..).unwrap_or(b"?");
    rest.is_empty() || rest.starts_with(b"MTrk") || is_other_chunk(bytes, at)
}

/// Whether a chunk begins here that is neither a header nor a track: with a name of four letters, and all its bytes.
fn is_other_chunk(bytes: &[u8], at: usize) -> bool {
    let Some(head) = bytes.get(at..at.saturating_add(CHUNK_HEAD)) else { return false };
    let is_named = head[..4].iter().all(|letter| letter.is_ascii_graphic() || *letter == b' ');
    is_named && !matches!(&head[..4], b"MThd" | b"MTrk") && chunk_end(bytes, at) <= bytes.len()
}

/// The first byte from here on at which a track's chunk begins.
fn next_track(bytes: &[u8], from: usize) -> Option<usize> {
    let found = bytes.get(from..)?.windows(CHUNK_HEAD).position(|head| head.starts_with(b"MTrk"))?;
    Some(from + found)
}

#[cfg(test)]
#[path = "read_tests.rs"]
mod tests;

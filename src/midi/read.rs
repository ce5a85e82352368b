//! The events of a Standard MIDI File, in absolute ticks, each with the byte where it begins.
//!
//! Follows *Standard MIDI Files 1.0* (RP-001): formats 0, 1 and 2, running status, header chunks longer than six bytes;
//! unknown chunks and unknown meta events are skipped by their length, and end up as [`What::Meta`]. A file that breaks the
//! rules is refused with the byte where it does; nothing is guessed.

use std::fmt;

use super::file::{Division, Event, File, What};
use crate::music::Key;
use crate::music::key::Mode;

/// The largest file that is read, in bytes: 16 MiB. An hour of ten voices that roll without a rest is about 4 MB.
pub(crate) const MAX_FILE_BYTES: usize = 16 << 20;

/// Why bytes are no Standard MIDI File, and where.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ReadError {
    /// The byte of the file at which it shows, from 0.
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
    /// The header is shorter than six bytes.
    ShortHeader,
    /// The format is none of 0, 1, 2.
    Format(u16),
    /// Ticks a quarter are 0, or frames a second none of 24, 25, 29, 30.
    Division(u16),
    /// It ends in the midst of something.
    Ends,
    /// A variable-length quantity has more than four bytes.
    LongQuantity,
    /// An event has no status, and there is none to carry on.
    NoStatus,
    /// A status that has no place in a file.
    Status(u8),
    /// A data byte is above 127.
    Data(u8),
    /// A tempo, meter or key whose bytes are not as the standard has them; the kind of the meta event.
    Meta(u8),
    /// A track has no end-of-track event.
    NoEnd,
    /// There are fewer tracks than the header says: how many it says.
    Tracks(u16),
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
            Reason::Ends => f.write_str("expected more, found the end"),
            Reason::LongQuantity => f.write_str("expected a quantity of at most 4 bytes"),
            Reason::NoStatus => f.write_str("expected a status byte, found data"),
            Reason::Status(status) => write!(f, "expected an event of a file, found status `{status:02X}`"),
            Reason::Data(data) => write!(f, "expected data below 128, found `{data:02X}`"),
            Reason::Meta(kind) => write!(f, "the bytes of meta event `{kind:02X}` are not as the standard has them"),
            Reason::NoEnd => f.write_str("expected the end of the track as its last event"),
            Reason::Tracks(tracks) => write!(f, "expected as many tracks as the header says, {tracks}"),
        }
    }
}

impl std::error::Error for ReadError {}

/// The events of a Standard MIDI File. Cost: one walk over the bytes; memory in proportion to them.
///
/// # Errors
/// When the bytes break the standard's rules: the byte, and what is wrong there.
pub fn read(bytes: &[u8]) -> Result<File, ReadError> {
    if bytes.len() > MAX_FILE_BYTES {
        return Err(ReadError { byte: MAX_FILE_BYTES, reason: Reason::TooLarge });
    }
    let mut file = Bytes { all: bytes, at: 0, end: bytes.len() };
    let (name, mut header) = file.chunk().map_err(|error| ReadError { byte: error.byte, reason: Reason::NoHeader })?;
    if name != *b"MThd" {
        return Err(ReadError { byte: 0, reason: Reason::NoHeader });
    }
    if header.left() < 6 {
        return header.fail(Reason::ShortHeader);
    }
    let format = header.word()?;
    if format > 2 {
        return Err(ReadError { byte: header.at - 2, reason: Reason::Format(format) });
    }
    let promised = header.word()?;
    let division = header.division()?;
    let mut tracks = Vec::new();
    while file.left() > 0 && tracks.len() < usize::from(promised) {
        let (name, chunk) = file.chunk()?;
        if name == *b"MTrk" {
            tracks.push(track(chunk)?);
        }
    }
    if tracks.len() < usize::from(promised) {
        return file.fail(Reason::Tracks(promised));
    }
    Ok(File { format, division, tracks })
}

/// The events of a track chunk.
fn track(mut chunk: Bytes<'_>) -> Result<Vec<Event>, ReadError> {
    let mut events = Vec::new();
    let mut tick = 0;
    let mut running = None;
    while chunk.left() > 0 {
        tick += u64::from(chunk.quantity()?);
        let byte = chunk.at;
        let what = chunk.event(&mut running)?;
        let last = what == What::End;
        events.push(Event { tick, byte, what });
        if last {
            return Ok(events);
        }
    }
    chunk.fail(Reason::NoEnd)
}

/// A walk over a stretch of the file.
struct Bytes<'a> {
    all: &'a [u8],
    at: usize,
    end: usize,
}

impl<'a> Bytes<'a> {
    fn left(&self) -> usize {
        self.end - self.at
    }

    fn fail<T>(&self, reason: Reason) -> Result<T, ReadError> {
        Err(ReadError { byte: self.at, reason })
    }

    fn take(&mut self, count: usize) -> Result<&'a [u8], ReadError> {
        if count > self.left() {
            return Err(ReadError { byte: self.end, reason: Reason::Ends });
        }
        self.at += count;
        Ok(&self.all[self.at - count..self.at])
    }

    fn byte(&mut self) -> Result<u8, ReadError> {
        Ok(self.take(1)?[0])
    }

    fn word(&mut self) -> Result<u16, ReadError> {
        let bytes = self.take(2)?;
        Ok(u16::from_be_bytes([bytes[0], bytes[1]]))
    }

    /// A chunk's name, and a walk over what it holds.
    fn chunk(&mut self) -> Result<([u8; 4], Bytes<'a>), ReadError> {
        let head = self.take(8)?;
        let length = u32::from_be_bytes([head[4], head[5], head[6], head[7]]) as usize;
        let start = self.at;
        self.take(length)?;
        Ok(([head[0], head[1], head[2], head[3]], Bytes { all: self.all, at: start, end: self.at }))
    }

    fn division(&mut self) -> Result<Division, ReadError> {
        let word = self.word()?;
        let [high, ticks] = word.to_be_bytes();
        let frames_a_second = (high as i8).unsigned_abs();
        match word {
            1..0x8000 => Ok(Division::Quarter(word)),
            0x8000.. if matches!(frames_a_second, 24 | 25 | 29 | 30) && ticks > 0 => {
                Ok(Division::Frame { frames_a_second, ticks })
            }
            _ => Err(ReadError { byte: self.at - 2, reason: Reason::Division(word) }),
        }
    }

    /// A variable-length quantity: seven bits a byte, the highest bit set in all but the last.
    fn quantity(&mut self) -> Result<u32, ReadError> {
        let mut value = 0;
        for _ in 0..4 {
            let byte = self.byte()?;
            value = value << 7 | u32::from(byte & 0x7F);
            if byte < 0x80 {
                return Ok(value);
            }
        }
        self.fail(Reason::LongQuantity)
    }

    fn data(&mut self) -> Result<u8, ReadError> {
        match self.byte()? {
            byte @ 0..0x80 => Ok(byte),
            byte => Err(ReadError { byte: self.at - 1, reason: Reason::Data(byte) }),
        }
    }

    fn event(&mut self, running: &mut Option<u8>) -> Result<What, ReadError> {
        let status = self.byte()?;
        match status {
            0..0x80 => {
                self.at -= 1;
                match *running {
                    Some(status) => self.channel_message(status),
                    None => self.fail(Reason::NoStatus),
                }
            }
            0x80..0xF0 => {
                *running = Some(status);
                self.channel_message(status)
            }
            0xF0 | 0xF7 => {
                *running = None;
                let length = self.quantity()? as usize;
                Ok(What::SystemExclusive { status, bytes: self.take(length)?.to_vec() })
            }
            0xFF => {
                *running = None;
                self.meta()
            }
            _ => Err(ReadError { byte: self.at - 1, reason: Reason::Status(status) }),
        }
    }

    fn channel_message(&mut self, status: u8) -> Result<What, ReadError> {
        let channel = status & 0x0F;
        let first = self.data()?;
        let what = match status >> 4 {
            0x8 => What::NoteOff { channel, key: first, velocity: self.data()? },
            0x9 => match self.data()? {
                0 => What::NoteOff { channel, key: first, velocity: 0 },
                velocity => What::NoteOn { channel, key: first, velocity },
            },
            0xC => What::Program { channel, program: first },
            0xD => What::Channel { status, data: [first, 0] },
            _ => What::Channel { status, data: [first, self.data()?] },
        };
        Ok(what)
    }

    fn meta(&mut self) -> Result<What, ReadError> {
        let start = self.at - 1;
        let kind = self.byte()?;
        let length = self.quantity()? as usize;
        let bytes = self.take(length)?;
        let bad = Err(ReadError { byte: start, reason: Reason::Meta(kind) });
        match (kind, bytes) {
            (0x01..=0x0F, _) => Ok(What::Text { kind, bytes: bytes.to_vec() }),
            (0x2F, _) => Ok(What::End),
            // A tempo of 0 would stop time.
            (0x51, [0, 0, 0]) => bad,
            (0x51, &[a, b, c]) => Ok(What::Tempo(u32::from_be_bytes([0, a, b, c]))),
            (0x58, &[count, power, clocks, thirty_seconds]) => Ok(What::Meter { count, power, clocks, thirty_seconds }),
            (0x59, &[fifths, mode @ (0 | 1)]) => {
                let mode = if mode == 0 { Mode::Major } else { Mode::Minor };
                Key::from_fifths(fifths as i8, mode).map_or(bad, |key| Ok(What::Key(key)))
            }
            (0x51 | 0x58 | 0x59, _) => bad,
            _ => Ok(What::Meta { kind, bytes: bytes.to_vec() }),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A file with one track that holds these bytes.
    fn file(track: &[u8]) -> Vec<u8> {
        let mut bytes = b"MThd\0\0\0\x06\0\0\0\x01\0\x60MTrk".to_vec();
        bytes.extend((track.len() as u32).to_be_bytes());
        bytes.extend(track);
        bytes
    }

    /// Where the track's first byte stands in [`file`].
    const TRACK: usize = 22;

    #[test]
    fn a_broken_file_is_refused_where_it_breaks() {
        let end = [0x00, 0xFF, 0x2F, 0x00];
        for (track, byte, reason) in [
            (&[0x00, 0x3C, 0x40][..], 1, Reason::NoStatus),
            (&[0x00, 0x90, 0x3C, 0x80], 3, Reason::Data(0x80)),
            (&[0x00, 0xF1, 0x00], 1, Reason::Status(0xF1)),
            (&[0x80, 0x80, 0x80, 0x80, 0x00], 4, Reason::LongQuantity),
            (&[0x00, 0xFF, 0x51, 0x02, 0x00, 0x00], 1, Reason::Meta(0x51)),
            (&[0x00, 0xFF, 0x59, 0x02, 0x08, 0x00], 1, Reason::Meta(0x59)),
            (&[0x00, 0x90, 0x3C], 3, Reason::Ends),
            // After a meta event the status must be said again.
            (&[0x00, 0x90, 0x3C, 0x40, 0x00, 0xFF, 0x01, 0x00, 0x00, 0x3C, 0x00], 9, Reason::NoStatus),
            (&[0x00, 0x90, 0x3C, 0x40], 4, Reason::NoEnd),
        ] {
            assert_eq!(read(&file(track)), Err(ReadError { byte: TRACK + byte, reason }), "{track:02X?}");
        }
        assert_eq!(read(&file(&end)).map(|file| file.tracks.len()), Ok(1));
    }

    #[test]
    fn headers() {
        let good = file(&[0x00, 0xFF, 0x2F, 0x00]);
        let with = |at: usize, byte: u8| {
            let mut bytes = good.clone();
            bytes[at] = byte;
            read(&bytes).map_err(|error| (error.byte, error.reason))
        };
        assert_eq!(with(0, b'm'), Err((0, Reason::NoHeader)));
        assert_eq!(with(9, 3), Err((8, Reason::Format(3))));
        assert_eq!(with(13, 0), Err((12, Reason::Division(0))));
        assert_eq!(with(11, 2), Err((good.len(), Reason::Tracks(2))));
        assert_eq!(read(b"").map_err(|error| error.reason), Err(Reason::NoHeader));
        // A longer header, and a chunk that nobody knows before the track.
        let longer = b"MThd\0\0\0\x08\0\0\0\x01\0\x60\0\0XFIH\0\0\0\x01\0MTrk\0\0\0\x04\0\xFF\x2F\0";
        assert_eq!(read(longer).map(|file| file.tracks.len()), Ok(1));
    }

    #[test]
    fn every_cut_and_every_changed_byte_is_answered() {
        let track = [0, 0xFF, 0x51, 3, 7, 0xA1, 0x20, 0, 0x90, 60, 64, 0x81, 0x40, 60, 0, 0, 0xFF, 0x2F, 0];
        let good = file(&track);
        for length in 0..good.len() {
            assert!(read(&good[..length]).is_err(), "cut to {length} bytes");
        }
        for at in 0..good.len() {
            for byte in 0..=255 {
                let mut bytes = good.clone();
                bytes[at] = byte;
                if let Err(error) = read(&bytes) {
                    assert!(error.byte <= bytes.len(), "{error}");
                }
            }
        }
    }
}

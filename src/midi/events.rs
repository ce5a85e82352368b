//! The events of one track, read by `midly` and put into absolute ticks.
//!
//! `midly` stops without a word at the first event that it can't read, and gives the rest of the track to an event that claims to
//! be longer. So each event is looked at once more here: what is skipped is reported (see [`Odd`]), and where only one event is
//! wrong, reading goes on after it.

use midly::{EventBytemapIter, EventIter, MetaMessage, MidiMessage, TrackEventKind};

use super::file::{Event, What};
use super::oddity::{Odd, Oddity};
use crate::music::Key;
use crate::music::key::Mode;

/// The most bytes of a variable-length quantity.
const QUANTITY_BYTES: usize = 4;

/// Where the reading of a track stops.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Stop {
    /// After its end-of-track event.
    End,
    /// At the last of its bytes.
    Bytes,
    /// Before bytes that begin like the next track.
    NextTrack,
    /// Before an event that can't be read.
    Unreadable,
}

/// A walk over the events of a track.
pub(super) struct Walk<'a> {
    /// The file up to where the track may reach.
    bytes: &'a [u8],
    /// The byte at which the next event's delta begins.
    pub at: usize,
    /// The tick of the last event.
    pub tick: u64,
    /// The events so far.
    pub events: Vec<Event>,
    /// What is odd about them; each kind once.
    pub odd: Vec<Oddity>,
    track: usize,
    unread: EventBytemapIter<'a>,
    /// The status of the last channel message.
    status: Option<u8>,
}

impl<'a> Walk<'a> {
    /// A walk that begins at a byte of a file.
    pub fn new(bytes: &'a [u8], at: usize, track: usize) -> Self {
        let (events, odd) = (Vec::new(), Vec::new());
        Walk { bytes, at, tick: 0, events, odd, track, unread: EventIter::new(&bytes[at..]).bytemapped(), status: None }
    }

    /// Notes down what is odd at the byte that was reached.
    pub fn note(&mut self, odd: Odd, byte: usize) {
        if self.odd.iter().all(|known| known.odd != odd) {
            self.odd.push(Oddity { odd, track: Some(self.track), tick: self.tick, byte });
        }
    }

    /// Walks to the end of the track. `may_run_on`: whether the track's length can't be trusted, so that the next track may begin
    /// before the bytes end.
    pub fn run(&mut self, may_run_on: bool) -> Stop {
        loop {
            if self.at == self.bytes.len() {
                return Stop::Bytes;
            }
            if may_run_on && self.bytes[self.at..].starts_with(b"MTrk") {
                return Stop::NextTrack;
            }
            match self.step() {
                Some(true) => return Stop::End,
                Some(false) => {}
                None if self.skip() => {}
                // A last delta that no event follows.
                None if quantity(&self.bytes[self.at..])
                    .is_some_and(|(_, bytes)| self.at + bytes == self.bytes.len()) =>
                {
                    return Stop::Bytes;
                }
                None => return Stop::Unreadable,
            }
        }
    }

    /// Reads an event, and returns whether it ends the track; `None` when it can't be read, and then nothing is changed.
    fn step(&mut self) -> Option<bool> {
        let is_silent = self.unread.running_status().is_none();
        *self.unread.running_status_mut() = self.status;
        let (raw, event) = self.unread.next()?.ok()?;
        let after = self.bytes.len() - self.unread.unread().len();
        let byte = after - raw.len();
        // Behind four bytes that all say that there is another, no event begins.
        if self.bytes[byte - 1] >= 0x80 || !is_whole(raw) {
            return None;
        }
        (self.at, self.tick) = (after, self.tick + u64::from(event.delta.as_int()));
        match raw[0] {
            0..0x80 if is_silent => self.note(Odd::NoStatus, byte),
            status @ 0x80..0xF0 => self.status = Some(status),
            _ => {}
        }
        match what(raw, event.kind) {
            Ok(what) => {
                let is_end = what == What::End;
                self.events.push(Event { tick: self.tick, byte, what });
                Some(is_end)
            }
            Err(odd) => {
                self.note(odd, byte);
                Some(false)
            }
        }
    }

    /// Steps over an event that is only wrong in itself; `false` when it is not known where it ends.
    fn skip(&mut self) -> bool {
        let Some(wrong) = Wrong::begins(&self.bytes[self.at..]) else { return false };
        self.tick += u64::from(wrong.delta);
        self.note(wrong.odd, self.at + wrong.delta_bytes);
        self.at += wrong.bytes;
        self.unread = EventIter::new(&self.bytes[self.at..]).bytemapped();
        true
    }
}

/// An event that `midly` refuses, but that can be stepped over.
struct Wrong {
    delta: u32,
    delta_bytes: usize,
    /// How long it is, with its delta.
    bytes: usize,
    odd: Odd,
}

impl Wrong {
    fn begins(bytes: &[u8]) -> Option<Wrong> {
        let (delta, delta_bytes) = quantity(bytes)?;
        let event = &bytes[delta_bytes..];
        let (length, odd) = match *event {
            [0xFF, kind, ref rest @ ..] => {
                let (length, bytes) = quantity(rest)?;
                (2 + bytes + length as usize, Odd::Meta(kind))
            }
            // What instruments say to each other by cable: MIDI 1.0 gives these so many bytes of data.
            [status @ (0xF6 | 0xF8..=0xFE), ..] => (1, Odd::Misplaced(status)),
            [status @ (0xF1 | 0xF3), 0..0x80, ..] => (2, Odd::Misplaced(status)),
            [status @ 0xF2, 0..0x80, 0..0x80, ..] => (3, Odd::Misplaced(status)),
            _ => return None,
        };
        (length <= event.len()).then_some(Wrong { delta, delta_bytes, bytes: delta_bytes + length, odd })
    }
}

/// Whether an event has all the bytes that it says it has.
fn is_whole(event: &[u8]) -> bool {
    let head = match event[0] {
        0xFF => 2,
        0xF0 | 0xF7 => 1,
        _ => return true,
    };
    let length = event.get(head..).and_then(quantity);
    length.is_some_and(|(length, bytes)| head + bytes + length as usize == event.len())
}

/// A variable-length quantity, and in how many bytes it is written: seven bits a byte, the highest bit set in all but the last.
fn quantity(bytes: &[u8]) -> Option<(u32, usize)> {
    let last = bytes.iter().take(QUANTITY_BYTES).position(|byte| *byte < 0x80)?;
    Some((bytes[..=last].iter().fold(0, |value, byte| value << 7 | u32::from(byte & 0x7F)), last + 1))
}

/// What an event says, or what is odd about it.
fn what(raw: &[u8], kind: TrackEventKind) -> Result<What, Odd> {
    match kind {
        TrackEventKind::Midi { channel, message } => Ok(channel_message(channel.as_int(), message)),
        TrackEventKind::SysEx(bytes) => Ok(What::SystemExclusive { status: 0xF0, bytes: bytes.to_vec() }),
        TrackEventKind::Escape(bytes) => Ok(What::SystemExclusive { status: 0xF7, bytes: bytes.to_vec() }),
        TrackEventKind::Meta(message) => meta(raw[1], message).ok_or(Odd::Meta(raw[1])),
    }
}

fn channel_message(channel: u8, message: MidiMessage) -> What {
    match message {
        MidiMessage::NoteOn { key, vel } if vel.as_int() > 0 => {
            What::NoteOn { channel, key: key.as_int(), velocity: vel.as_int() }
        }
        MidiMessage::NoteOn { key, vel } | MidiMessage::NoteOff { key, vel } => {
            What::NoteOff { channel, key: key.as_int(), velocity: vel.as_int() }
        }
        MidiMessage::ProgramChange { program } => What::Program { channel, program: program.as_int() },
        MidiMessage::PitchBend { bend } => What::Bend { channel, by: bend.as_int() },
        MidiMessage::Controller { controller, value } => {
            What::Controller { channel, controller: controller.as_int(), value: value.as_int() }
        }
        MidiMessage::Aftertouch { .. } | MidiMessage::ChannelAftertouch { .. } => What::Pressure { channel },
    }
}

/// What a meta event says; `None` when its bytes are not as the standard has them.
fn meta(kind: u8, message: MetaMessage) -> Option<What> {
    match message {
        MetaMessage::Text(bytes)
        | MetaMessage::Copyright(bytes)
        | MetaMessage::TrackName(bytes)
        | MetaMessage::InstrumentName(bytes)
        | MetaMessage::Lyric(bytes)
        | MetaMessage::Marker(bytes)
        | MetaMessage::CuePoint(bytes)
        | MetaMessage::ProgramName(bytes)
        | MetaMessage::DeviceName(bytes)
        | MetaMessage::Unknown(0x01..=0x0F, bytes) => Some(What::Text { kind, bytes: bytes.to_vec() }),
        MetaMessage::EndOfTrack => Some(What::End),
        // A tempo of 0 would stop time.
        MetaMessage::Tempo(microseconds) => Some(microseconds.as_int()).filter(|tempo| *tempo > 0).map(What::Tempo),
        MetaMessage::TimeSignature(count, power, clocks, thirty_seconds) => {
            Some(What::Meter { count, power, clocks, thirty_seconds })
        }
        MetaMessage::KeySignature(fifths, is_minor) => {
            Key::from_fifths(fifths, if is_minor { Mode::Minor } else { Mode::Major }).map(What::Key)
        }
        // Too short for what they are.
        MetaMessage::Unknown(0x51 | 0x58, _) => None,
        _ => Some(What::Meta { kind }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantities() {
        // The specification's examples, and five bytes.
        for (bytes, expected) in [
            (&[0x00][..], Some((0, 1))),
            (&[0x81, 0x00, 0x90], Some((0x80, 2))),
            (&[0xFF, 0xFF, 0xFF, 0x7F], Some((0x0FFF_FFFF, 4))),
            (&[0x81, 0x80, 0x80, 0x80, 0x00], None),
            (&[0x81], None),
            (&[], None),
        ] {
            assert_eq!(quantity(bytes), expected, "{bytes:02X?}");
        }
    }
}

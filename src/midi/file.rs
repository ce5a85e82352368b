//! What a Standard MIDI File says: events in absolute ticks, and what follows from them: notes, tempos, seconds.

use super::oddity::Oddity;
use crate::music::Key;

/// The tempo of a file that gives none: 120 quarters a minute.
pub const DEFAULT_MICROSECONDS: u32 = 500_000;

/// A Standard MIDI File.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct File {
    /// 0: one track; 1: tracks played together; 2: tracks on their own.
    pub format: u16,
    /// What a tick is.
    pub division: Division,
    /// The events of each track, in order, the end of the track as the last of them.
    pub tracks: Vec<Vec<Event>>,
    /// What breaks the standard, and was read all the same.
    pub oddities: Vec<Oddity>,
}

/// What a tick is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Division {
    /// This many ticks are a quarter note; the tempo says how long that is.
    Quarter(u16),
    /// A tick is a fraction of a frame, and a frame a fraction of a second; 29 frames stand for 29.97 (30 drop frame).
    Frame {
        /// 24, 25, 29 or 30.
        frames_a_second: u8,
        /// Ticks a frame.
        ticks: u8,
    },
}

/// An event of a track.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Event {
    /// Ticks from the start of the track.
    pub tick: u64,
    /// The byte of the file where the event begins, after its delta.
    pub byte: usize,
    /// What happens.
    pub what: What,
}

/// What happens. Channels count from 0; keys, velocities and programs from 0 to 127.
#[derive(Clone, Debug, PartialEq, Eq)]
#[expect(missing_docs, reason = "the fields are named with the standard's words")]
pub enum What {
    /// A key is struck; never with velocity 0, which is a [`What::NoteOff`].
    NoteOn { channel: u8, key: u8, velocity: u8 },
    /// A key is released.
    NoteOff { channel: u8, key: u8, velocity: u8 },
    /// A program is chosen.
    Program { channel: u8, program: u8 },
    /// The pitch wheel is moved: to 0 in its middle, to -8192 or 8191 at its ends.
    Bend { channel: u8, by: i16 },
    /// A controller, such as a pedal, is moved.
    Controller { channel: u8, controller: u8, value: u8 },
    /// The pressure on a key, or on all of a channel, changes.
    Pressure { channel: u8 },
    /// The tempo, in microseconds a quarter note.
    Tempo(u32),
    /// A time signature: upper number, lower number as a power of two, MIDI clocks a click, 32nds a 24 clocks.
    Meter { count: u8, power: u8, clocks: u8, thirty_seconds: u8 },
    /// A key signature.
    Key(Key),
    /// A text: kind 1 to 15 (2 copyright, 3 name, 4 instrument, 5 lyric, 6 marker, 7 cue), and its bytes.
    Text { kind: u8, bytes: Vec<u8> },
    /// Another meta event.
    Meta { kind: u8 },
    /// A system-exclusive packet (status `F0` or `F7`) without its status and length.
    SystemExclusive { status: u8, bytes: Vec<u8> },
    /// The end of the track.
    End,
}

/// A note: a key struck and released.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[expect(missing_docs, reason = "the fields are named with the standard's words")]
pub struct Note {
    pub tick: u64,
    pub track: usize,
    pub channel: u8,
    pub key: u8,
    pub velocity: u8,
    /// Ticks to its end.
    pub length: u64,
    /// How it ends.
    pub ending: Ending,
}

/// How a note ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Ending {
    /// Its key is released after it was struck.
    Released,
    /// Its release is on the tick of its stroke, after it or before it: an ornament that takes no time. Its length is 0.
    AtOnce,
    /// The file has no release for it. It lasts until its key is struck again, or to the end of the track.
    Open,
}

impl File {
    /// Seconds from the start to a tick, with the tempos of all tracks (of formats 0 and 1).
    ///
    /// The specification's example: 6144 ticks at 96 a quarter and 120 quarters a minute are 32 seconds.
    pub fn seconds(&self, tick: u64) -> f64 {
        let ticks_a_quarter = match self.division {
            Division::Quarter(ticks) => f64::from(ticks),
            Division::Frame { frames_a_second: 29, ticks } => return tick as f64 * 1.001 / (30.0 * f64::from(ticks)),
            Division::Frame { frames_a_second, ticks } => {
                return tick as f64 / (f64::from(frames_a_second) * f64::from(ticks));
            }
        };
        let (mut seconds, mut from, mut microseconds) = (0.0, 0, DEFAULT_MICROSECONDS);
        let lasts = |ticks: u64, microseconds: u32| ticks as f64 / ticks_a_quarter * f64::from(microseconds) / 1e6;
        for (at, tempo) in self.tempos() {
            if at >= tick {
                break;
            }
            seconds += lasts(at - from, microseconds);
            (from, microseconds) = (at, tempo);
        }
        seconds + lasts(tick - from, microseconds)
    }

    /// The tempos of all tracks, rising in time: tick and microseconds a quarter.
    pub fn tempos(&self) -> Vec<(u64, u32)> {
        let tempo = |event: &Event| match event.what {
            What::Tempo(microseconds) => Some((event.tick, microseconds)),
            _ => None,
        };
        let mut tempos: Vec<(u64, u32)> = self.tracks.iter().flatten().filter_map(tempo).collect();
        tempos.sort_by_key(|(tick, _)| *tick);
        tempos
    }

    /// The first text of a kind in a track, such as its name (3); bytes that are not UTF-8 are replaced.
    pub fn text(&self, track: usize, kind: u8) -> Option<String> {
        self.tracks.get(track)?.iter().find_map(|event| match &event.what {
            What::Text { kind: found, bytes } if *found == kind => Some(String::from_utf8_lossy(bytes).into_owned()),
            _ => None,
        })
    }
}

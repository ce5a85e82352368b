//! What is odd about a MIDI file, in words.

use crate::exchange::lost::{Lost, Weight, Where};
use crate::midi::file::File;
use crate::midi::oddity::{Odd, Oddity};
use crate::text::words;

/// Kinds of meta events in a file.
const TEMPO: u8 = 0x51;
const METER: u8 = 0x58;
const KEY: u8 = 0x59;

/// Reports what is odd. `measure`: the printed number of the measure in which a tick lies.
pub fn tell(file: &File, measure: impl Fn(u64) -> String, lost: &mut Lost) {
    for oddity in &file.oddities {
        let (weight, what) = said(oddity, file.tracks.len());
        let track = oddity.track.map(|track| track_name(file, track)).unwrap_or_default();
        let measure = oddity.track.map(|_| measure(oddity.tick)).unwrap_or_default();
        lost.tell(weight, what, Where { part: &track, measure: &measure, span: None });
    }
}

/// Why a file has no notes to read.
pub fn without_notes(file: &File) -> String {
    let broken = file.oddities.iter().find(|oddity| matches!(oddity.odd, Odd::Cut | Odd::Unreadable));
    match broken {
        Some(oddity) => format!("byte {}: the file can't be read from here on, and has no notes before", oddity.byte),
        None => "it has no notes".to_owned(),
    }
}

/// What a track is called.
pub fn track_name(file: &File, track: usize) -> String {
    file.text(track, 3).unwrap_or_else(|| format!("track {}", track + 1))
}

/// How much an oddity matters, what it is, and what was done about it.
fn said(oddity: &Oddity, tracks: usize) -> (Weight, String) {
    let is_broken = match oddity.odd {
        Odd::Tracks { said } => usize::from(said) > tracks,
        Odd::AfterEnd { notes } => notes > 0,
        Odd::Cut | Odd::Unreadable | Odd::Meta(TEMPO | METER) => true,
        _ => false,
    };
    (if is_broken { Weight::Broken } else { Weight::Odd }, what(oddity.odd, tracks))
}

fn what(odd: Odd, tracks: usize) -> String {
    let what = match odd {
        Odd::Tracks { said } => {
            let promised = words::count(usize::from(said), "track");
            let so = if usize::from(said) > tracks { "look whether a part is missing" } else { "all of them are read" };
            return format!("the file says that it has {promised}, and has {tracks}: {so}");
        }
        Odd::NoChunk { bytes } => return format!("bytes that belong to no track are left out: {bytes}"),
        Odd::AfterEnd { notes: 0 } => "what stands after the end of a track is left out",
        Odd::AfterEnd { notes } => return format!("notes after the end of a track are left out: {notes}"),
        Odd::Cut => "the file breaks off here; what came after is missing: get it again",
        Odd::Unreadable => {
            "the track is damaged here; the rest of it is left out: get the file again, or write it again"
        }
        Odd::Meta(TEMPO) => "a tempo can't be read and is left out",
        Odd::Meta(METER) => "a meter can't be read and is left out",
        Odd::Meta(KEY) => "a key can't be read and is left out",
        Odd::Meta(_) => "an entry that holds no notes can't be read and is left out",
        Odd::WrongLength => "a length in the file is wrong; all that is there is read",
        Odd::NoEnd => "the end of a track is not marked; it ends with its last event",
        Odd::NoStatus => {
            "an event does not say what it is, as it must after a text or a tempo; it is read as the same kind as the one before"
        }
        Odd::Misplaced(_) => "a message that belongs on a cable, not in a file, is left out",
    };
    what.to_owned()
}

//! What is odd about a MIDI file, in words.

use crate::exchange::lost::{Lost, Weight, Where};
use crate::midi::file::File;
use crate::midi::oddity::{Odd, Oddity};
use crate::text::words;

/// Tells what is odd. `measure`: the printed number of the measure in which a tick lies.
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

/// How much it matters, what it is, and what was done.
fn said(oddity: &Oddity, tracks: usize) -> (Weight, String) {
    let what = match oddity.odd {
        Odd::Tracks { said } => return number_of_tracks(usize::from(said), tracks),
        Odd::NoChunk { bytes } => {
            return (Weight::Odd, format!("{} that belong to no track are left out", words::count(bytes, "byte")));
        }
        Odd::Cut => {
            return (Weight::Broken, "the file breaks off here; what came after is missing: get it again".to_owned());
        }
        Odd::Unreadable => {
            let what = "the track is damaged here; the rest of it is left out: get the file again, or write it again";
            return (Weight::Broken, what.to_owned());
        }
        Odd::Meta(kind @ (0x51 | 0x58)) => {
            let what = if kind == 0x51 { "tempo" } else { "meter" };
            return (Weight::Broken, format!("a {what} can't be read and is left out"));
        }
        Odd::Meta(0x59) => "a key can't be read and is left out",
        Odd::Meta(_) => "an entry that holds no notes can't be read and is left out",
        Odd::WrongLength => "the file gives a wrong length for a track; the track is read to its real end",
        Odd::NoEnd => "the end of a track is not marked; it ends with its last event",
        Odd::AfterEnd => "what stands after the end of a track is left out",
        Odd::NoStatus => {
            "an event does not say what it is, as it must after a text or a tempo; it is read as the same kind as the one before"
        }
        Odd::Misplaced(_) => "a message that instruments send each other, and no file holds, is left out",
    };
    (Weight::Odd, what.to_owned())
}

/// Fewer tracks than there should be are music that may be missing.
fn number_of_tracks(said: usize, tracks: usize) -> (Weight, String) {
    let has = format!("the file says that it has {}, and has {tracks}", words::count(said, "track"));
    if said > tracks {
        (Weight::Broken, format!("{has}: look whether a part is missing"))
    } else {
        (Weight::Odd, format!("{has}; all of them are read"))
    }
}

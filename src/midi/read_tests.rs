//! Files that break the standard in one way each, written by hand after *Standard MIDI Files 1.0* (RP-001). What is made of them is
//! common practice, no source.

use super::*;

/// A header that says so many tracks.
fn header(tracks: u8) -> Vec<u8> {
    [&b"MThd\0\0\0\x06\0\x01\0"[..], &[tracks], &[0, 0x60]].concat()
}

/// A track chunk that says this length.
fn chunk(length: usize, events: &[u8]) -> Vec<u8> {
    [&b"MTrk"[..], &(length as u32).to_be_bytes(), events].concat()
}

/// A file with one track that holds these bytes.
fn file(track: &[u8]) -> Vec<u8> {
    [header(1), chunk(track.len(), track)].concat()
}

/// Where the track's first byte stands in [`file`].
const TRACK: usize = 22;

/// Middle C for a quarter, by running status.
const NOTE: [u8; 7] = [0x00, 0x90, 0x3C, 0x40, 0x60, 0x3C, 0x00];

const END: [u8; 4] = [0x00, 0xFF, 0x2F, 0x00];

/// What is odd, its track, its tick, its byte.
fn odd(bytes: &[u8]) -> Vec<(Odd, Option<usize>, u64, usize)> {
    let file = read(bytes).expect("a header");
    file.oddities.iter().map(|oddity| (oddity.odd, oddity.track, oddity.tick, oddity.byte)).collect()
}

/// The notes: track, tick, key, length.
fn notes(bytes: &[u8]) -> Vec<(usize, u64, u8, u64)> {
    let notes = read(bytes).expect("a header").notes();
    notes.into_iter().map(|note| (note.track, note.tick, note.key, note.length)).collect()
}

const ONE: [(usize, u64, u8, u64); 1] = [(0, 0, 0x3C, 96)];

#[test]
fn what_the_standard_has_is_not_odd() {
    assert_eq!(odd(&file(&[&NOTE[..], &END].concat())), []);
    // A longer header, and a chunk that nobody knows before the track and after it.
    let longer =
        b"MThd\0\0\0\x08\0\0\0\x01\0\x60\0\0XFIH\0\0\0\x01\0MTrk\0\0\0\x0B\0\x90\x3C\x40\x60\x3C\0\0\xFF\x2F\0XFKM\0\0\0\0";
    assert_eq!((odd(longer), notes(longer)), (vec![], ONE.to_vec()));
}

#[test]
fn an_event_that_is_wrong_in_itself_is_stepped_over() {
    for (events, expected, byte) in [
        // A tempo, a meter and a key that are too short; a tempo of 0; eight sharps; a time of day that is none.
        (&[0x00, 0xFF, 0x51, 0x02, 0x07, 0xA1][..], Odd::Meta(0x51), 1),
        (&[0x00, 0xFF, 0x58, 0x02, 0x04, 0x02], Odd::Meta(0x58), 1),
        (&[0x00, 0xFF, 0x59, 0x01, 0x00], Odd::Meta(0x59), 1),
        (&[0x00, 0xFF, 0x51, 0x03, 0x00, 0x00, 0x00], Odd::Meta(0x51), 1),
        (&[0x00, 0xFF, 0x59, 0x02, 0x08, 0x00], Odd::Meta(0x59), 1),
        (&[0x00, 0xFF, 0x54, 0x05, 0x19, 0x00, 0x00, 0x00, 0x00], Odd::Meta(0x54), 1),
        // What instruments send each other: a clock, a song position.
        (&[0x00, 0xF8], Odd::Misplaced(0xF8), 1),
        (&[0x00, 0xF2, 0x00, 0x00], Odd::Misplaced(0xF2), 1),
    ] {
        let bytes = file(&[events, &NOTE, &END].concat());
        assert_eq!(odd(&bytes), [(expected, Some(0), 0, TRACK + byte)], "{events:02X?}");
        assert_eq!(notes(&bytes), ONE, "{events:02X?}");
    }
}

#[test]
fn a_status_is_carried_over_a_meta_event() {
    // The release has no status of its own, behind a text.
    let track = [&[0x00, 0x90, 0x3C, 0x40, 0x00, 0xFF, 0x01, 0x00, 0x60, 0x3C, 0x00][..], &END].concat();
    assert_eq!(odd(&file(&track)), [(Odd::NoStatus, Some(0), 96, TRACK + 9)]);
    assert_eq!(notes(&file(&track)), ONE);
    // Behind a system-exclusive message too.
    let track = [&[0x00, 0x90, 0x3C, 0x40, 0x00, 0xF0, 0x01, 0xF7, 0x60, 0x3C, 0x00][..], &END].concat();
    assert_eq!((odd(&file(&track)).len(), notes(&file(&track))), (1, ONE.to_vec()));
}

#[test]
fn what_can_not_be_read_ends_its_track() {
    for events in [
        // Data above 127; four bytes of delta and a fifth.
        &[0x00, 0x90, 0x3C, 0x80][..],
        &[0x81, 0x80, 0x80, 0x80, 0x00, 0x90, 0x3C, 0x40],
        // A text that is longer than its track, of a length in one byte and in five.
        &[0x00, 0xFF, 0x01, 0x7F, 0x41],
        &[0x00, 0xFF, 0x01, 0x80, 0x80, 0x80, 0x80, 0x00],
    ] {
        let track = [events, &NOTE, &END].concat();
        assert_eq!(odd(&file(&track)), [(Odd::Unreadable, Some(0), 0, TRACK)], "{events:02X?}");
        // What came before stays, and what follows in other tracks.
        let before = [&NOTE[..], events, &NOTE, &END].concat();
        let two = [header(2), chunk(before.len(), &before), chunk(11, &[&NOTE[..], &END].concat())].concat();
        assert_eq!(notes(&two)[..], [(0, 0, 0x3C, 96), (1, 0, 0x3C, 96)], "{events:02X?}");
        assert_eq!(odd(&two), [(Odd::Unreadable, Some(0), 96, TRACK + NOTE.len())], "{events:02X?}");
    }
    // Data where no status was ever said.
    assert_eq!(odd(&file(&[&NOTE[2..], &END].concat())), [(Odd::Unreadable, Some(0), 0, TRACK)]);
}

#[test]
fn a_track_ends_where_its_events_end() {
    let whole = [&NOTE[..], &END].concat();
    // No end: behind the last event, and behind a delta that no event follows.
    assert_eq!(odd(&file(&NOTE)), [(Odd::NoEnd, Some(0), 96, TRACK + 7)]);
    assert_eq!(odd(&file(&[&NOTE[..], &[0x00]].concat())), [(Odd::NoEnd, Some(0), 96, TRACK + 7)]);
    assert_eq!(notes(&file(&NOTE)), ONE);
    let ends = read(&file(&NOTE)).expect("a header").tracks[0].last().map(|event| (event.tick, event.what.clone()));
    assert_eq!(ends, Some((96, What::End)));
    // A note behind the end, another end and a note, a text, and nothing that can be read.
    let text = [0x00, 0xFF, 0x01, 0x01, b'a'];
    for (behind, count) in [(&NOTE[..], 1), (&[&END[..], &NOTE].concat(), 1), (&text, 0), (&[0x00], 0), (&[0xFF; 5], 0)]
    {
        let track = file(&[&whole[..], behind].concat());
        let expected = (Odd::AfterEnd { notes: count }, Some(0), 96, TRACK + 11);
        assert_eq!((odd(&track), notes(&track)), (vec![expected], ONE.to_vec()), "{behind:02X?}");
    }
}

#[test]
fn a_wrong_length_loses_no_track() {
    let whole = [&NOTE[..], &END].concat();
    let both = [(0, 0, 0x3C, 96), (1, 0, 0x3C, 96)];
    let wrong = (Odd::WrongLength, Some(0), 96, TRACK + 11);
    // None at all, as a program leaves it that did not come to its end; too short; too long, into the next track and over it.
    for length in [0, 5, 12, 13, 30, 100, u32::MAX as usize] {
        let bytes = [header(2), chunk(length, &whole), chunk(whole.len(), &whole)].concat();
        assert_eq!((odd(&bytes), notes(&bytes)), (vec![wrong], both.to_vec()), "{length}");
    }
    // Of the last track, too long and too short.
    for length in [0, 3, 12, 1000] {
        let bytes = [header(1), chunk(length, &whole)].concat();
        assert_eq!((odd(&bytes), notes(&bytes)), (vec![wrong], ONE.to_vec()), "{length}");
    }
    // Without an end besides: the next track begins where no event does.
    let bytes = [header(2), chunk(500, &NOTE), chunk(whole.len(), &whole)].concat();
    assert_eq!((odd(&bytes), notes(&bytes)), (vec![(Odd::WrongLength, Some(0), 96, TRACK + 7)], both.to_vec()));
    // Of the header.
    for length in [0, 5, 7, 200] {
        let mut bytes = file(&whole);
        bytes[7] = length;
        assert_eq!((odd(&bytes), notes(&bytes)), (vec![(Odd::WrongLength, None, 0, 4)], ONE.to_vec()), "{length}");
    }
}

#[test]
fn tracks_are_counted() {
    let whole = chunk(11, &[&NOTE[..], &END].concat());
    for (said, there) in [(2, 1), (5, 3), (1, 2), (0, 1)] {
        let bytes = [header(said), whole.repeat(there)].concat();
        let expected = (Odd::Tracks { said: u16::from(said) }, None, 0, 10);
        assert_eq!((odd(&bytes), notes(&bytes).len()), (vec![expected], there), "{said} said, {there} there");
    }
}

#[test]
fn bytes_that_are_no_chunk_are_left_out() {
    let whole = chunk(11, &[&NOTE[..], &END].concat());
    let at = 14 + whole.len();
    for junk in [&b"\0\0\0\0\0\0\0\0\0\0"[..], b"\x1A", b"MTr", b"a good tune", b"\xFF\x2F\0"] {
        let no_chunk = (Odd::NoChunk { bytes: junk.len() }, None, 0, at);
        let behind = [&header(1)[..], &whole, junk].concat();
        assert_eq!((odd(&behind), notes(&behind)), (vec![no_chunk], ONE.to_vec()), "{junk:02X?}");
        let between = [&header(2)[..], &whole, junk, &whole].concat();
        assert_eq!((odd(&between), notes(&between).len()), (vec![no_chunk], 2), "{junk:02X?}");
    }
    let cut = [&header(1)[..], &whole, b"MTrk\0\0\0"].concat();
    assert_eq!(odd(&cut), [(Odd::NoChunk { bytes: 7 }, None, 0, at)]);
    // A file behind the file is another one.
    let again = [header(1), whole.clone(), header(1), whole].concat();
    assert_eq!(odd(&again), [(Odd::NoChunk { bytes: 33 }, None, 0, at)]);
}

#[test]
fn headers() {
    let good = file(&END);
    let with = |at: usize, byte: u8| {
        let mut bytes = good.clone();
        bytes[at] = byte;
        read(&bytes).map_err(|error| (error.byte, error.reason))
    };
    assert_eq!(with(0, b'm'), Err((0, Reason::NoHeader)));
    assert_eq!(with(9, 3), Err((8, Reason::Format(3))));
    assert_eq!(with(13, 0), Err((12, Reason::Division(0))));
    // No frames a second; and 128, which is no number of them.
    assert_eq!(with(12, 0xFF), Err((12, Reason::Division(0xFF60))));
    assert_eq!(with(12, 0x80), Err((12, Reason::Division(0x8060))));
    assert_eq!(read(b"").map_err(|error| error.reason), Err(Reason::NoHeader));
    assert_eq!(read(&good[..13]).map_err(|error| error.reason), Err(Reason::ShortHeader));
    assert_eq!(read(&good[..14]).map(|file| file.tracks.len()), Ok(0));
}

#[test]
fn every_cut_is_told_and_keeps_what_is_there() {
    let tempo = [0x00, 0xFF, 0x51, 0x03, 0x07, 0xA1, 0x20];
    let good = file(&[&tempo[..], &NOTE, &[0x81, 0x40, 0x3E, 0x40, 0x60, 0x3E, 0x00], &END].concat());
    let all = read(&good).expect("a file").tracks[0].clone();
    for length in HEADER..good.len() {
        let file = read(&good[..length]).expect("a header");
        assert!(!file.oddities.is_empty(), "cut to {length} bytes");
        let Some(track) = file.tracks.first() else { continue };
        assert_eq!(file.oddities[0].odd, Odd::Cut, "cut to {length} bytes");
        assert_eq!(track[..track.len() - 1], all[..track.len() - 1], "cut to {length} bytes");
        // No event is lost that is there to its last byte.
        let kept = all.windows(2).filter(|pair| pair[1].byte < length).count();
        assert!(track.len() > kept, "cut to {length} bytes: {track:?}");
    }
}

#[test]
fn every_changed_byte_is_answered() {
    let track = [0, 0xFF, 0x51, 3, 7, 0xA1, 0x20, 0, 0x90, 60, 64, 0x81, 0x40, 60, 0, 0, 0xFF, 0x2F, 0];
    let good = file(&track);
    for at in 0..good.len() {
        for byte in 0..=255 {
            let mut bytes = good.clone();
            bytes[at] = byte;
            match read(&bytes) {
                Ok(file) => {
                    let ends = |events: &Vec<Event>| events.last().is_some_and(|event| event.what == What::End);
                    assert!(file.tracks.iter().all(ends), "{bytes:02X?}");
                    assert!(file.oddities.iter().all(|oddity| oddity.byte <= bytes.len()), "{bytes:02X?}");
                }
                Err(error) => assert!(error.byte <= bytes.len(), "{error}"),
            }
        }
    }
}

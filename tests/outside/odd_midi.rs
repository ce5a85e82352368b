//! MIDI files as programs write them that don't keep to the standard, and what is left of files that were cut: what tune each
//! becomes, and what is told. The bytes are written by hand after *Standard MIDI Files 1.0* (RP-001); what is made of what it
//! forbids is common practice, no source.

use panfold::exchange::{self, lost::Lost};

use crate::kit::{ONE_LEAD, playable, read};

/// A header of format 1 with 96 ticks a quarter.
fn header(tracks: u8) -> Vec<u8> {
    [&b"MThd\0\0\0\x06\0\x01\0"[..], &[tracks], &[0, 0x60]].concat()
}

/// A track chunk, with its length.
fn chunk(events: &[u8]) -> Vec<u8> {
    [&b"MTrk"[..], &(events.len() as u32).to_be_bytes(), events].concat()
}

const END: [u8; 4] = [0, 0xFF, 0x2F, 0];

/// 120 quarters a minute.
const TEMPO: [u8; 7] = [0, 0xFF, 0x51, 3, 7, 0xA1, 0x20];

/// A track's name.
fn name(name: &str) -> Vec<u8> {
    [&[0, 0xFF, 3, name.len() as u8][..], name.as_bytes()].concat()
}

/// Quarters of these keys.
fn quarters(keys: &[u8]) -> Vec<u8> {
    keys.iter().flat_map(|key| [0, 0x90, *key, 64, 0x60, 0x80, *key, 0]).collect()
}

/// The rows of the tune that a file becomes, which must be one without mistakes, and what is told.
fn became(bytes: Vec<u8>) -> (Vec<String>, Vec<(bool, String)>) {
    let mut music = exchange::read("a.mid", bytes, None).expect("music");
    let imported = exchange::tune(&music.score, None, "Odd", &Default::default(), &mut music.lost).expect("a tune");
    let (_, findings) = read(&imported.text);
    assert!(findings.is_empty(), "{findings:?}");
    playable(ONE_LEAD, &imported.text);
    let rows = imported.text.lines().filter(|line| line.contains(" | ")).map(|row| row.trim().to_owned());
    (rows.collect(), told(&music.lost))
}

/// What is told of what is odd: whether it is a warning, and what.
fn told(lost: &Lost) -> Vec<(bool, String)> {
    let odd = lost.findings("a.mid", None).into_iter().filter(|finding| finding.kind.name == "odd-midi-file");
    odd.map(|finding| (finding.severity == panfold::text::Severity::Warning, finding.message)).collect()
}

fn advice(message: &str) -> Vec<(bool, String)> {
    vec![(false, format!("`a.mid`{message}"))]
}

fn warning(message: &str) -> Vec<(bool, String)> {
    vec![(true, format!("`a.mid`{message}"))]
}

/// A lead of two bars (C5 D5 E5 F5, G5 F5 E5 D5), with a tempo.
fn lead() -> Vec<u8> {
    [TEMPO.to_vec(), name("Lead"), quarters(&[72, 74, 76, 77, 79, 77, 76, 74])].concat()
}

const LEAD: &str = "lead | C5 D5 E5 F5 | G5 F5 E5 D5 |";

/// The same alone: the name of a file's only track is the tune's.
const ALONE: &str = "channel-1 | C5 D5 E5 F5 | G5 F5 E5 D5 |";

const BASS: &str = "bass | C4 C4 C4 C4 | %           |";

#[test]
fn a_track_without_an_end() {
    let file = [header(1), chunk(&lead())].concat();
    let what = ", part `Lead`, measure 2: the end of a track is not marked; it ends with its last event";
    assert_eq!(became(file), (vec![ALONE.to_owned()], advice(what)));
}

#[test]
fn fewer_tracks_than_the_header_says() {
    let file = [header(3), chunk(&[&lead()[..], &END].concat())].concat();
    let what = ": the file says that it has 3 tracks, and has 1: look whether a part is missing";
    assert_eq!(became(file), (vec![ALONE.to_owned()], warning(what)));
}

#[test]
fn more_tracks_than_the_header_says() {
    let bass = [name("Bass"), quarters(&[60; 8])].concat();
    let file = [header(1), chunk(&[&lead()[..], &END].concat()), chunk(&[&bass[..], &END].concat())].concat();
    let (rows, told) = became(file);
    assert_eq!(rows, [LEAD, BASS]);
    assert_eq!(told, advice(": the file says that it has 1 track, and has 2: all of them are read"));
}

#[test]
fn a_status_that_is_carried_over_a_lyric() {
    // C5 with its status, and a word; its release and D5 without.
    let words = [0, 0x90, 72, 64, 0, 0xFF, 5, 2, b'l', b'a', 0x60, 72, 0, 0, 74, 64, 0x60, 74, 0];
    let file = [header(1), chunk(&[&TEMPO[..], &name("Lead"), &words, &quarters(&[76, 77]), &END].concat())].concat();
    let (rows, told) = became(file);
    assert_eq!(rows, ["words     | la          |", "channel-1 | C5 D5 E5 F5 |"]);
    let what = ", part `Lead`, measure 1: an event does not say what it is, as it must after a text or a tempo; it is read as the \
                same kind as the one before";
    assert_eq!(told, advice(what));
}

#[test]
fn bytes_behind_the_last_track() {
    let file = [header(1), chunk(&[&lead()[..], &END].concat()), vec![0; 12]].concat();
    assert_eq!(became(file), (vec![ALONE.to_owned()], advice(": bytes that belong to no track are left out: 12")));
}

#[test]
fn notes_behind_the_end_of_a_track() {
    let file = [header(1), chunk(&[&lead()[..], &END, &quarters(&[72, 72]), &END].concat())].concat();
    let what = ", part `Lead`, measure 2: notes after the end of a track are left out: 2";
    assert_eq!(became(file), (vec![ALONE.to_owned()], warning(what)));
}

#[test]
fn a_length_that_is_too_long() {
    let lead = [&lead()[..], &END].concat();
    let bass = chunk(&[&name("Bass")[..], &quarters(&[60; 8]), &END].concat());
    let what = ", part `Lead`, measure 2: a length in the file is wrong; all that is there is read";
    for more in [1, 40, 1_000_000] {
        let mut first = chunk(&lead);
        first[4..8].copy_from_slice(&(lead.len() as u32 + more).to_be_bytes());
        let (rows, told) = became([&header(2)[..], &first, &bass].concat());
        assert_eq!(rows, [LEAD, BASS], "{more}");
        assert_eq!(told, advice(what), "{more}");
    }
}

#[test]
fn a_file_that_was_cut_off() {
    let whole =
        [header(2), chunk(&[&lead()[..], &END].concat()), chunk(&[&name("Bass")[..], &quarters(&[60; 8])].concat())];
    let bytes = whole.concat();
    // In the midst of the bass, after five notes of it.
    let cut = bytes[..bytes.len() - 3 * 8].to_vec();
    let (rows, told) = became(cut);
    assert_eq!(rows, [LEAD, "bass | C4 C4 C4 C4 | C4 .  .  .  |"]);
    let what = ", part `Bass`, measure 2: the file breaks off here; what came after is missing: get it again";
    assert_eq!(told, warning(what));
}

#[test]
fn a_track_that_is_damaged_in_the_middle() {
    // Data above 127 where the fifth note should be; another track behind it.
    let broken =
        [TEMPO.to_vec(), name("Lead"), quarters(&[72, 74, 76, 77]), vec![0, 0x90, 0xF7, 64], lead(), END.to_vec()];
    let bass = [name("Bass"), quarters(&[60; 8]), END.to_vec()].concat();
    let (rows, told) = became([header(2), chunk(&broken.concat()), chunk(&bass)].concat());
    assert_eq!(rows, ["lead | C5 D5 E5 F5 | . |", "bass | C4 C4 C4 C4 | % |"]);
    let what = ", part `Lead`, measure 2: the track is damaged here; the rest of it is left out: get the file again, or write it again";
    assert_eq!(told, warning(what));
}

#[test]
fn a_tempo_that_is_none() {
    for tempo in [&[0, 0xFF, 0x51, 3, 0, 0, 0][..], &[0, 0xFF, 0x51, 1, 7]] {
        let file = [header(1), chunk(&[tempo, &lead()[..], &END].concat())].concat();
        let what = ", part `Lead`, measure 1: a tempo can't be read and is left out";
        assert_eq!(became(file), (vec![ALONE.to_owned()], warning(what)), "{tempo:02X?}");
    }
}

#[test]
fn a_message_between_instruments() {
    // A clock (F8) before the first note.
    let file = [header(1), chunk(&[&[0, 0xF8][..], &lead(), &END].concat())].concat();
    let what = ", part `Lead`, measure 1: a message that belongs on a cable, not in a file, is left out";
    assert_eq!(became(file), (vec![ALONE.to_owned()], advice(what)));
}

#[test]
fn a_file_without_a_note_that_can_be_read_is_refused() {
    let refused = |bytes: Vec<u8>| exchange::read("a.mid", bytes, None).expect_err("no notes").message;
    let broken = [header(1), chunk(&[&[0, 60, 64][..], &END].concat())].concat();
    assert_eq!(refused(broken), "`a.mid`: byte 22: the file can't be read from here on, and has no notes before");
    assert_eq!(refused([header(1), chunk(&END)].concat()), "`a.mid`: it has no notes");
    assert_eq!(refused(header(1)), "`a.mid`: it has no notes");
}

//! Recognising what panfold wrote: such a file can be made again from its tune, so it may be replaced without a question.
//!
//! A file that is written in one piece carries a seal: a line of text with a checksum of all the rest, at a place where its
//! format has room for one. Whoever changes the file breaks the seal. A sound file is written while it is rendered and has no seal;
//! the name of the program that wrote it is at its beginning, where programs that change sound put their own.

use std::fs::File;
use std::io::{self, Read, Seek, SeekFrom};
use std::path::Path;

use sha2::{Digest, Sha256};

/// What a seal begins with; the checksum follows.
const SEAL: &[u8] = b"written by panfold, seal ";

/// The digits of a checksum, four bits each: enough that no file is sealed by chance. Nobody is prevented from sealing a file of their
/// own.
const DIGITS: usize = 16;

/// How much of a sound file is searched for the name of its program: titles, markers and all else before the sound are a few
/// kilobytes.
const OPENING: u64 = 64 << 10;

/// The largest file that is searched for a seal; what panfold seals is smaller.
const LARGEST: u64 = 64 << 20;

/// A finished file with its seal: MIDI, MusicXML plain or contained, HTML, SVG, PDF, manual pages. Other files are left as they are.
pub(super) fn sealed(mut bytes: Vec<u8>) -> Vec<u8> {
    let Some((at, before, after)) = room(&bytes) else { return bytes };
    let seal = [before, SEAL, digits(&[&bytes]).as_bytes(), after].concat();
    if bytes.starts_with(b"MThd") && !grown(&mut bytes, seal.len()) {
        return bytes;
    }
    if bytes.starts_with(b"PK") {
        let length = (SEAL.len() + DIGITS) as u16;
        bytes.truncate(at);
        bytes.extend(length.to_le_bytes());
        bytes.extend(&seal[2..]);
        return bytes;
    }
    bytes.splice(at..at, seal);
    bytes
}

/// Where a format has room for a seal, and what must come before and after it.
fn room(bytes: &[u8]) -> Option<(usize, &'static [u8], &'static [u8])> {
    let last = |what: &[u8]| bytes.windows(what.len()).rposition(|window| window == what);
    match bytes {
        // Before the end of the first track, whose delta stands before the text then.
        [b'M', b'T', b'h', b'd', ..] => Some((first_track(bytes)?.1 - 3, &TEXT, &[0])),
        [b'%', b'P', b'D', b'F', ..] => Some((last(b"startxref")?, b"%", b"\n")),
        // The comment of the whole, whose length ends the record.
        [b'P', b'K', ..] if bytes.ends_with(&[0, 0]) => Some((bytes.len() - 2, &[0, 0], b"")),
        // A manual page, whose comments begin so.
        [b'.', ..] => Some((bytes.len(), b".\\\" ", b"\n")),
        // Before the outermost element ends.
        [b'<', ..] => Some((last(b"</")?, b"<!-- ", b" -->\n")),
        _ => None,
    }
}

/// The head of a text event (Standard MIDI Files 1.0).
const TEXT: [u8; 3] = [0xFF, 0x01, (SEAL.len() + DIGITS) as u8];

/// Where a MIDI file has the length of its first track, and where that track ends.
fn first_track(bytes: &[u8]) -> Option<(usize, usize)> {
    let at = 14;
    let length = u32::from_be_bytes(bytes.get(at + 4..at + 8)?.try_into().ok()?);
    let end = at + 8 + length as usize;
    let ends_so = bytes.get(at..at + 4)? == b"MTrk" && bytes.get(at + 8..end)?.ends_with(&[0xFF, 0x2F, 0x00]);
    ends_so.then_some((at + 4, end))
}

/// Adds to the length that a MIDI file gives for its first track.
fn grown(bytes: &mut [u8], by: usize) -> bool {
    let Some((at, end)) = first_track(bytes) else { return false };
    let length = (end - at - 4 + by) as u32;
    bytes[at..at + 4].copy_from_slice(&length.to_be_bytes());
    true
}

fn digits(parts: &[&[u8]]) -> String {
    let mut sum = Sha256::new();
    parts.iter().for_each(|part| sum.update(part));
    sum.finalize().iter().map(|byte| format!("{byte:02x}")).collect::<String>()[..DIGITS].to_owned()
}

/// Whether panfold wrote a file and nobody has changed it since, as far as that can be seen.
///
/// # Errors
/// The system's, when it can't be read.
pub(super) fn is_made(path: &Path) -> io::Result<bool> {
    let mut file = File::open(path)?;
    let mut opening = Vec::new();
    (&file).take(OPENING).read_to_end(&mut opening)?;
    if is_sound(&opening) {
        let says = |what: &[u8]| opening.windows(what.len()).any(|window| window == what);
        return Ok(says(b"ISFT\x08\0\0\0panfold\0")
            || says(b"\x07\0\0\0panfold")
            || says(b"TSSE\0\0\0\x08\0\0\x03panfold"));
    }
    if file.metadata()?.len() > LARGEST {
        return Ok(false);
    }
    file.seek(SeekFrom::Start(0))?;
    let mut bytes = Vec::new();
    file.take(LARGEST).read_to_end(&mut bytes)?;
    Ok(bare(&bytes).is_some_and(|bare| sealed(bare) == bytes))
}

fn is_sound(bytes: &[u8]) -> bool {
    [&b"RIFF"[..], b"fLaC", b"ID3"].iter().any(|head| bytes.starts_with(head))
}

/// A sealed file without its seal.
fn bare(bytes: &[u8]) -> Option<Vec<u8>> {
    let at = bytes.windows(SEAL.len()).rposition(|window| window == SEAL)?;
    let end = at + SEAL.len() + DIGITS;
    let (before, after): (usize, usize) = match bytes {
        [b'M', b'T', b'h', b'd', ..] => (TEXT.len(), 1),
        [b'%', ..] => (1, 1),
        [b'P', b'K', ..] => (2, 0),
        [b'.', ..] => (4, 1),
        _ => (5, 5),
    };
    let mut bare = [bytes.get(..at.checked_sub(before)?)?, bytes.get(end + after..)?].concat();
    match bytes {
        [b'M', ..] => {
            let length = u32::from_be_bytes(bare.get(18..22)?.try_into().ok()?);
            let shorter = length.checked_sub((end + after - at + before) as u32)?;
            bare[18..22].copy_from_slice(&shorter.to_be_bytes());
        }
        [b'P', ..] => bare.extend([0, 0]),
        _ => {}
    }
    Some(bare)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_seal_is_found_again_and_breaks_with_any_change() {
        let midi = b"MThd\0\0\0\x06\0\x01\0\x01\x03\xC0MTrk\0\0\0\x04\0\xFF\x2F\0";
        let zip = [&b"PK\x05\x06"[..], &[0; 18]].concat();
        for bytes in
            [&midi[..], b"%PDF-1.7\nxref\ntrailer\nstartxref\n9\n%%EOF", &zip, b"<svg></svg>\n", b".TH panfold 1\n"]
        {
            let sealed = sealed(bytes.to_vec());
            assert_eq!(bare(&sealed).as_deref(), Some(bytes));
            let mut folder = tempfile::NamedTempFile::new().expect("a file");
            std::io::Write::write_all(&mut folder, &sealed).expect("written");
            assert!(is_made(folder.path()).expect("read"));
            for at in 0..sealed.len() {
                let mut changed = sealed.clone();
                changed[at] ^= 1;
                std::fs::write(folder.path(), &changed).expect("written");
                assert!(!is_made(folder.path()).expect("read"), "byte {at} of {}", sealed.len());
            }
        }
    }

    #[test]
    fn what_has_no_room_is_left_alone() {
        for bytes in
            [&b""[..], b"text", b"MThd", b"MThd\0\0\0\x06\0\x01\0\x01\x03\xC0MTrk\0\0\xFF\xFF\0\xFF\x2F\0", b"PK"]
        {
            assert_eq!(sealed(bytes.to_vec()), bytes);
        }
    }
}

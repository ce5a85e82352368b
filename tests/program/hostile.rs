//! Files that were made to do harm, or that broke on the way: each is refused with the byte or the line. A file that
//! would take for ever never ends this test: how quickly files are refused is measured, not tested.

use std::fs;
use std::io::Write;

use super::import::musicxml;
use super::{listing, run, says};

/// Asks for the import of a file; nothing may be written.
fn refused(name: &str, bytes: &[u8], expected: &str) {
    let folder = tempfile::tempdir().expect("a folder");
    fs::write(folder.path().join(name), bytes).expect("a file");
    let done = run(&folder, &format!("import {name} -o out.tune"));
    let told = done.err.chars().take(2000).collect::<String>();
    assert_eq!(done.code, Some(2), "{name} ({expected}): {told}");
    assert!(says(&told, expected), "{name}: expected `{expected}`, found {told}");
    assert_eq!(listing(folder.path()), [name]);
}

/// A file with these tracks.
fn midi(format: u16, tracks: u16, division: u16, chunks: &[Vec<u8>]) -> Vec<u8> {
    let mut bytes = b"MThd\0\0\0\x06".to_vec();
    for word in [format, tracks, division] {
        bytes.extend(word.to_be_bytes());
    }
    for chunk in chunks {
        bytes.extend(b"MTrk");
        bytes.extend((chunk.len() as u32).to_be_bytes());
        bytes.extend(chunk);
    }
    bytes
}

const END: [u8; 4] = [0, 0xFF, 0x2F, 0];

/// A track of these events and its end.
fn track(events: &[u8]) -> Vec<u8> {
    [events, &END].concat()
}

#[test]
fn midi_files() {
    let note = [0, 0x90, 60, 64, 0x60, 60, 0];
    let good = midi(0, 1, 96, &[track(&note)]);
    // Cut off before there is a note, and lengths that lie.
    refused(
        "cut.mid",
        &good[..good.len() - 8],
        "byte 22: the file can't be read from here on, and has no notes before",
    );
    refused("header.mid", b"MThd\0\0\0\x06\0\0", "byte 10: expected a header of at least 6 bytes");
    for (name, events) in [
        ("text.mid", &[0, 0xFF, 1, 0xFF, 0xFF, 0xFF, 0x7F, b'a'][..]),
        ("quantity.mid", &[0xFF, 0xFF, 0xFF, 0xFF, 0x7F]),
        ("data.mid", &[0, 0x90, 60, 0xF1]),
        ("status.mid", &[0, 60, 64]),
    ] {
        refused(name, &midi(0, 1, 96, &[track(events)]), "byte 22: the file can't be read from here on");
    }
    // What the standard has, and a tune has not.
    refused("film.mid", &midi(0, 1, 0xE250, &[track(&note)]), "byte 12: the file counts time in film frames");
    refused("division.mid", &midi(0, 1, 0, &[track(&note)]), "byte 12: expected ticks a quarter");
    refused("two.mid", &midi(2, 1, 96, &[track(&note)]), "byte 8: format 2");
    refused("three.mid", &midi(3, 1, 96, &[track(&note)]), "byte 8: expected format 0, 1, or 2");
    // Too much of something.
    refused("tracks.mid", &midi(1, u16::MAX, 96, &vec![track(&[]); usize::from(u16::MAX)]), "it has no notes");
    refused("parts.mid", &midi(1, 300, 96, &vec![track(&note); 300]), "300 parts of 1 measures");
    let long = [0xFF, 0xFF, 0xFF, 0x7F, 0xFF, 1, 0].repeat(100_000);
    refused("deltas.mid", &midi(0, 1, 96, &[track(&[&long[..], &note].concat())]), "after 1000000 quarter notes");
    refused(
        "measures.mid",
        &midi(
            0,
            1,
            960,
            &[track(
                &[&[0, 0xFF, 0x58, 4, 1, 5, 24, 8, 0, 0x90, 60, 64][..], &[0xBF, 0xFF, 0xFF, 0x7F, 60, 0]].concat(),
            )],
        ),
        "more than 20000 measures",
    );
    refused("large.mid", &[&good[..], &vec![0; 5 << 20]].concat(), "the file is larger than 4 MiB");
    refused("silent.mid", &midi(0, 1, 96, &[track(&[])]), "it has no notes");
    refused("other.mid", b"RIFF\0\0\0\0RMID", "neither a MIDI file nor MusicXML");
}

#[test]
fn more_notes_at_once_than_anyone_plays() {
    // A hundred thousand notes of one key that all sound together are no reason to hang.
    let mut events = [0, 0x90, 60, 64].repeat(100_000);
    events.extend([1, 60, 0].repeat(100_000));
    let folder = tempfile::tempdir().expect("a folder");
    fs::write(folder.path().join("many.mid"), midi(0, 1, 96, &[track(&events)])).expect("a file");
    let done = run(&folder, "import many.mid -o many.tune");
    assert!(matches!(done.code, Some(0 | 2)), "{}", done.err);
    assert!(
        says(&done.err, "more voices at once than panfold can take"),
        "{}",
        done.err.chars().take(500).collect::<String>()
    );
}

const NOTE: &str = "<note><pitch><step>C</step><octave>5</octave></pitch><duration>1</duration></note>";

fn measure(inner: &str) -> String {
    musicxml(&format!("<measure number=\"1\">{inner}</measure>"))
}

#[test]
fn xml_texts() {
    let good = measure(NOTE);
    let with = |doctype: &str| good.replacen("<!DOCTYPE score-partwise PUBLIC", doctype, 1);
    refused("cut.xml", &good.as_bytes()[..good.len() - 30], "can't be read as XML");
    let external = with("<!DOCTYPE a [<!ENTITY b SYSTEM \"file:///etc/hostname\">]><!DOCTYPE score-partwise PUBLIC");
    refused("external.xml", external.as_bytes(), "declares entities");
    let mut laughs = "<!DOCTYPE a [<!ENTITY l0 \"ha\">".to_owned();
    for level in 1..10 {
        laughs += &format!("<!ENTITY l{level} \"{}\">", format!("&l{};", level - 1).repeat(10));
    }
    refused("laughs.xml", format!("<?xml version=\"1.0\"?>\n{laughs}]><a>&l9;</a>").as_bytes(), "laughs.xml, line 2");
    refused("deep.xml", "<a>".repeat(200_000).as_bytes(), "more than 64 elements within each other");
    refused("page.xml", b"<html><body/></html>", "no MusicXML score: its outermost element is `html`");
    refused("empty.xml", b"<score-partwise/>", "has no measure");
    refused("silent.xml", measure("").as_bytes(), "has no notes");
    refused("quote.xml", b"<score-partwise version=\"4", "can't be read as XML");
    refused("utf16.xml", b"\xFE\xFF\0<\0a\0", "begins as UTF-16, but is not");
    refused("latin.xml", b"<a>\xE9</a>", "is not plain text");
    for (inner, expected) in [
        ("<attributes><divisions>0</divisions></attributes>", "expected 1 to 1000000 divisions"),
        (
            "<attributes><divisions>99999999999999999999</divisions></attributes>",
            "expected a whole number in `divisions`",
        ),
        ("<backup><duration>1</duration></backup>", "goes back beyond the start of its measure"),
        ("<forward><duration>-1</duration></forward>", "a duration is below 0"),
        ("<forward><duration>1e300</duration></forward>", "expected a whole number in `duration`"),
        ("<forward><duration>NaN</duration></forward>", "expected a whole number in `duration`"),
        ("<forward><duration>999999999</duration></forward>", "this measure is too long"),
        (
            "<note><pitch><step>H</step><octave>4</octave></pitch><duration>1</duration></note>",
            "expected a `step` from A to G",
        ),
        ("<note><duration>1</duration></note>", "neither a pitch nor a rest"),
        ("<note><rest/></note>", "a `note` has no duration"),
    ] {
        refused("wrong.xml", measure(&format!("\n\n{inner}{NOTE}")).as_bytes(), expected);
        refused("wrong.xml", measure(&format!("\n\n{inner}{NOTE}")).as_bytes(), "wrong.xml, line 9");
    }
    // Quarters cut in ever other pieces have no common one.
    let primes = [999_983, 999_979, 999_961];
    let cut = |prime: &i32| {
        format!("<attributes><divisions>{prime}</divisions></attributes><forward><duration>1</duration></forward>")
    };
    refused(
        "primes.xml",
        measure(&(primes.iter().map(cut).collect::<String>() + NOTE)).as_bytes(),
        "have no common value",
    );
    let again = "<barline><repeat direction=\"backward\" times=\"1000\"/></barline>";
    let bars = format!("<measure>{NOTE}{again}</measure>").repeat(100);
    refused("repeats.xml", musicxml(&bars).as_bytes(), "played out have more than 20000 measures");
    let bars = format!("<measure>{NOTE}</measure>").repeat(20_001);
    refused("measures.xml", musicxml(&bars).as_bytes(), "more than panfold can take");
    let parts = good.replace("</part>\n", &format!("</part>\n{}", "<part><measure/></part>".repeat(300)));
    refused("parts.xml", parts.as_bytes(), "more than panfold can take");
    refused("large.xml", &[b"<a>".as_slice(), &vec![b' '; 33 << 20]].concat(), "is larger than 32 MiB");
}

/// A zip of these files.
fn container(files: &[(&str, &[u8])]) -> Vec<u8> {
    let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    for (name, bytes) in files {
        zip.start_file(*name, zip::write::SimpleFileOptions::default()).expect("an entry");
        zip.write_all(bytes).expect("written");
    }
    zip.finish().expect("a zip").into_inner()
}

const INDEX: &str = "<container><rootfiles><rootfile full-path=\"score.xml\"/></rootfiles></container>";

#[test]
fn containers() {
    let index = ("META-INF/container.xml", INDEX.as_bytes());
    let score = measure(NOTE);
    let good = container(&[index, ("score.xml", score.as_bytes())]);
    let folder = tempfile::tempdir().expect("a folder");
    fs::write(folder.path().join("good.mxl"), &good).expect("a file");
    assert_eq!(run(&folder, "import good.mxl -o good.tune").code, Some(0));
    refused("cut.mxl", &good[..good.len() / 2], "can't be read as one");
    refused("empty.mxl", &container(&[index]), "names `score.xml` as its score, and does not hold it");
    refused("none.mxl", &container(&[("readme.txt", b"hello")]), "holds no MusicXML score");
    refused("index.mxl", &container(&[("META-INF/container.xml", b"<container/>")]), "holds no MusicXML score");
    refused(
        "entity.mxl",
        &container(&[("META-INF/container.xml", b"<!DOCTYPE a [<!ENTITY b 'c'>]><a/>")]),
        "declares entities",
    );
    // A hundred kilobytes that unpack to a hundred megabytes.
    let bomb = container(&[index, ("score.xml", &vec![b' '; 100 << 20])]);
    assert!(bomb.len() < 1 << 20);
    refused("bomb.mxl", &bomb, "unpacks to more than 32 MiB");
    refused(
        "bomb-index.mxl",
        &container(&[("META-INF/container.xml", &vec![b' '; 40 << 20])]),
        "unpacks to more than 32 MiB",
    );
    let names: Vec<String> = (0..10_001).map(|number| format!("f{number}")).collect();
    let files: Vec<(&str, &[u8])> = names.iter().map(|name| (name.as_str(), &b""[..])).collect();
    refused("files.mxl", &container(&files), "holds more than 10000 files");
    // Every byte of the packed score may be wrong.
    let data = good.windows(9).position(|bytes| bytes == b"score.xml").expect("the name") + 40;
    let mut flipped = good.clone();
    flipped[data] ^= 0xFF;
    refused("flipped.mxl", &flipped, "flipped.mxl");
    refused("inner.mxl", &container(&[index, ("score.xml", b"<a><b></a>")]), "can't be read as XML");
}

//! The encoder at its edges, and the tags as another reader takes them (the crate `id3` reads what it wrote; `tests/outside` has other
//! readers).

use std::io::Cursor;

use super::*;
use crate::kit::Numbers;

/// A file of sound, handed over in blocks of these sizes in turn.
fn encoded(sides: &[Vec<f32>; 2], rate: u32, mono: bool, blocks: &[usize]) -> Vec<u8> {
    let mut encoder = Encoder::new(rate, mono).expect("a rate of MP3");
    let mut at = 0;
    for block in blocks.iter().cycle() {
        let end = (at + block).min(sides[0].len());
        encoder.take(&sides[0][at..end], &sides[1][at..end]).expect("it takes all");
        at = end;
        if at == sides[0].len() {
            break;
        }
    }
    encoder.finish()
}

/// How many samples a file has for players, and how many come before them, as its first frame says.
fn said(file: &[u8], rate: u32) -> (u64, usize) {
    let at = file.windows(4).position(|bytes| bytes == b"Info").expect("a first frame that says it");
    let number = |at: usize| u64::from(u32::from_be_bytes(file[at..at + 4].try_into().expect("four bytes")));
    let beside = number(at + 140) & 0xff_ffff;
    let of_frame = if rate < 32_000 { 576 } else { 1152 };
    let late = beside >> 12;
    // A decoder is late by 529 samples besides; the first frame has one frame of silence.
    (number(at + 8) * of_frame - late - (beside & 0xfff), (late + 529 + of_frame) as usize)
}

#[test]
fn every_length_of_every_sound_comes_back_at_its_place() {
    let mut numbers = Numbers(7);
    for rate in RATES {
        for mono in [true, false] {
            for frames in [0, 1, 2, 575, 576, 577, 1151, 1152, 1153, 3000] {
                let quiet = |numbers: &mut Numbers| 0.25 * (numbers.below(2001) as f32 / 1000.0 - 1.0);
                let sounds: [[Vec<f32>; 2]; 4] = [
                    [vec![0.0; frames], vec![0.0; frames]],
                    [vec![1.0; frames], vec![-1.0; frames]],
                    [(); 2].map(|()| (0..frames).map(|n| if n / 50 % 2 == 0 { 1.0 } else { -1.0 }).collect()),
                    [(); 2].map(|()| (0..frames).map(|_| quiet(&mut numbers)).collect()),
                ];
                for sides in sounds {
                    let file = encoded(&sides, rate, mono, &[8192]);
                    assert_eq!(file, encoded(&sides, rate, mono, &[1, 37, 1000]), "the blocks change the bytes");
                    let (length, late) = said(&file, rate);
                    assert_eq!(length, frames as u64, "at {rate}");
                    let mut heard = [Vec::new(), Vec::new()];
                    decoded(&file, &mut |left, right| {
                        heard[0].extend_from_slice(left);
                        heard[1].extend_from_slice(right);
                    });
                    assert!(heard[0].len() >= late + frames && heard[0].len() == heard[1].len(), "at {rate}");
                    assert!(heard.iter().flatten().all(|sample| sample.is_finite() && sample.abs() < 4.0));
                    assert!(!mono || heard[0] == heard[1]);
                }
            }
        }
    }
}

#[test]
fn a_stroke_comes_out_where_it_went_in() {
    for rate in RATES {
        for mono in [true, false] {
            let frames = rate as usize;
            let stroke =
                |n: usize| if n < 4000 { 0.0 } else { (-((n - 4000) as f32) / 4000.0).exp() * (n as f32 * 0.1).sin() };
            let side: Vec<f32> = (0..frames).map(stroke).collect();
            let file = encoded(&[side.clone(), side.clone()], rate, mono, &[8192]);
            assert!(file.len() as u64 <= bytes(frames as u64, rate, mono) * 11 / 10, "{} bytes at {rate}", file.len());
            let (_, late) = said(&file, rate);
            let mut heard = Vec::new();
            decoded(&file, &mut |left, _| heard.extend_from_slice(left));
            let off: f32 = heard[late..].iter().zip(&side).map(|(heard, side)| (heard - side).powi(2)).sum();
            let all: f32 = side.iter().map(|side| side * side).sum();
            assert!(off < all / 100.0, "{} dB at {rate}", 10.0 * (all / off).log10());
        }
    }
}

#[test]
fn other_rates_are_refused() {
    for rate in [8000, 22_051, 96_000, 192_000] {
        let error = Encoder::new(rate, true).err().expect("no rate of MP3");
        assert_eq!(error.to_string(), format!("MP3 has no {rate} samples a second"));
    }
}

#[test]
fn tags_and_chapters_are_read_as_they_were_meant() {
    let tag = |name: &str, text: &str| (name.to_owned(), text.to_owned());
    let all = [
        tag("TITLE", "Grün & \"so\": 海"),
        tag("ARTIST", "A; B"),
        tag("ALBUM", "T"),
        tag("BPM", "92.6"),
        tag("PART", "lead"),
        tag("DRILL", "x"),
    ];
    for count in [0, 1, 3, 400] {
        let markers: Vec<Marker> = (0..count)
            .map(|number| Marker { frame: 44_100 * number + 22_050, name: format!("verse {number}") })
            .collect();
        let bytes = tags(&all, &markers, 44_100 * 500, 44_100).expect("tags");
        assert_eq!(bytes, tags(&all, &markers, 44_100 * 500, 44_100).expect("tags"));
        let read = Id3::read_from2(Cursor::new(&bytes)).expect("a tag");
        assert_eq!(read.version(), Version::Id3v24);
        assert_eq!((read.title(), read.artist(), read.album()), (Some("Grün & \"so\": 海"), Some("A; B"), Some("T")));
        let text = |id: &str| read.get(id).and_then(|frame| frame.content().text().map(str::to_owned));
        assert_eq!((text("TBPM").as_deref(), text("TSSE").as_deref()), (Some("93"), Some("panfold")));
        assert_eq!(read.comments().next().map(|comment| comment.text.as_str()), Some("PART=lead; DRILL=x"));
        let chapters: Vec<&Chapter> = read.chapters().collect();
        let named = markers.len().min(CHAPTERS);
        assert_eq!(chapters.len(), named);
        for (number, chapter) in chapters.iter().enumerate() {
            let start = 1000 * number as u32 + 500;
            let end = if number + 1 == named { 500_000 } else { start + 1000 };
            assert_eq!((chapter.start_time, chapter.end_time), (start, end), "{number} of {count}");
            assert_eq!(chapter.frames[0].content().text(), Some(format!("verse {number}").as_str()));
        }
        let listed: Vec<String> = read.tables_of_contents().flat_map(|table| table.elements.clone()).collect();
        let expected: Vec<String> = chapters.iter().map(|chapter| chapter.element_id.clone()).collect();
        assert_eq!(listed, expected);
    }
}

//! MP3 files, for phones: a tenth of the bytes, and played by everything. Encoded by the crate `rusty_mp3`, tagged by `id3`.
//!
//! A file begins with its tags (ID3v2.4), the sections as chapters among them. Then comes a frame without sound that says by how many
//! samples the encoder is late and how many it added at the end, as is usual: players leave these out, and give as many samples as
//! there were. Frames borrow room from those before them, so a file is held until all of it is encoded: a megabyte for each minute.

use std::io;

use id3::frame::{Chapter, Comment, Content, TableOfContents};
use id3::{Encoder as TagEncoder, Frame, Tag as Id3, TagLike, Version};
use rusty_mp3::{Error, Mp3Decoder, Mp3Encoder, Mp3EncoderConfig};

use super::marker::{Marker, Tag};

/// The sample rates of MP3 within [`super::settings::RATES`] (ISO/IEC 11172-3, 2.4.2.3, and 13818-3, 2.4.2.3).
pub const RATES: [u32; 5] = [22_050, 24_000, 32_000, 44_100, 48_000];

/// Bits a second of a file with one channel, and with two, chosen by measuring tracks of the demo (the encoder's noise against the sound,
/// in all and from 5 to 10 kHz, in dB):
///
/// | channels | kbit/s | lead of a march | congas | shaker |
/// | --- | --- | --- | --- | --- |
/// | **1** | **64** | 38, 11 | 41, 9 | 23, 7 |
/// | 1 | 80 | 41, 14 | 44, 12 | 25, 10 |
/// | **2** | **128** | 38, 11 | 41, 9 | 23, 8 |
/// | 2 | 160 | 41, 14 | 44, 12 | 25, 10 |
///
/// One channel is encoded 190 times as fast as it plays, two 100 times.
const BITS: [u32; 2] = [64_000, 128_000];

/// How far below the ceiling peaks are kept before they are encoded, in dB: most tracks of the demo come out of the decoder higher than
/// they went in, but by less than this.
pub(super) const HEADROOM: f64 = 0.3;

/// How many bytes are decoded at a time.
const BLOCK: usize = 1 << 14;

/// The most chapters that a table of contents can name: their number has one byte (ID3v2 Chapter Frame Addendum 1.0, 3.2).
const CHAPTERS: usize = 255;

/// Encodes a track.
pub(super) struct Encoder {
    encoder: Mp3Encoder,
    rate: u32,
    mono: bool,
    /// A block, left and right in turn.
    block: Vec<f32>,
}

impl Encoder {
    /// Begins a track; of one channel, it is the left one that is encoded.
    ///
    /// # Errors
    /// When the rate is none of [`RATES`].
    pub fn new(rate: u32, mono: bool) -> io::Result<Encoder> {
        if !RATES.contains(&rate) {
            let message = format!("MP3 has no {rate} samples a second");
            return Err(io::Error::new(io::ErrorKind::InvalidInput, message));
        }
        let bitrate_kbps = BITS[usize::from(!mono)] / 1000;
        let mut encoder = Mp3Encoder::new(Mp3EncoderConfig { bitrate_kbps, ..Mp3EncoderConfig::default() });
        // A track without a sample is a file all the same.
        encoder.push_pcm_f32(&[], channels(mono), rate).map_err(failed)?;
        Ok(Encoder { encoder, rate, mono, block: Vec::new() })
    }

    /// Takes a block of left and right samples.
    ///
    /// # Errors
    /// None that is known: the encoder refuses nothing but a rate, when it begins.
    pub fn take(&mut self, left: &[f32], right: &[f32]) -> io::Result<()> {
        if self.mono {
            return self.encoder.push_pcm_f32(left, 1, self.rate).map_err(failed);
        }
        self.block.clear();
        self.block.extend(left.iter().zip(right).flat_map(|(left, right)| [*left, *right]));
        self.encoder.push_pcm_f32(&self.block, 2, self.rate).map_err(failed)
    }

    /// Ends the track; gives all of its frames.
    pub fn finish(mut self) -> Vec<u8> {
        self.encoder.finish();
        let mut bytes = Vec::new();
        while let Ok(frame) = self.encoder.next_packet() {
            bytes.extend(frame);
        }
        bytes
    }
}

fn channels(mono: bool) -> u16 {
    if mono { 1 } else { 2 }
}

fn failed(error: Error) -> io::Error {
    io::Error::other(error.to_string())
}

/// What comes of frames when they are played, block by block, left and right; one channel is heard from both sides. The samples that
/// players leave out at the beginning and at the end are among them: all but silent.
pub(super) fn decoded(frames: &[u8], sink: &mut dyn FnMut(&[f32], &[f32])) {
    let mut decoder = Mp3Decoder::new();
    let (mut left, mut right) = (Vec::new(), Vec::new());
    for bytes in frames.chunks(BLOCK) {
        decoder.push(bytes);
        while let Ok(block) = decoder.next_frame() {
            let sides = usize::from(block.channels);
            left.clear();
            right.clear();
            left.extend(block.samples.iter().step_by(sides));
            right.extend(block.samples.iter().skip(sides - 1).step_by(sides));
            sink(&left, &right);
        }
    }
}

/// How many bytes the sound of a track takes, tags left out.
///
/// - `frames`: samples of each channel.
pub fn bytes(frames: u64, rate: u32, mono: bool) -> u64 {
    // The frame without sound, and one more for what the encoder is late.
    let beside = 2 * 1152;
    (frames + beside) * u64::from(BITS[usize::from(!mono)]) / 8 / u64::from(rate)
}

/// The tags of a file: title, artist, album and tempo have frames of their own, the rest is the comment; markers are chapters.
///
/// - `frames`: samples of each channel, where the last chapter ends.
///
/// # Errors
/// When a text is too long for the format.
pub(super) fn tags(tags: &[Tag], markers: &[Marker], frames: u64, rate: u32) -> io::Result<Vec<u8>> {
    let mut id3 = Id3::with_version(Version::Id3v24);
    // What encoded the file: panfold knows its own files by it (`door/made.rs`).
    id3.set_text("TSSE", "panfold");
    let named = [("TITLE", "TIT2"), ("ARTIST", "TPE1"), ("ALBUM", "TALB"), ("BPM", "TBPM")];
    for (name, id) in named {
        if let Some((_, text)) = tags.iter().find(|(tag, _)| tag == name) {
            // A tempo is a whole number there (ID3v2.4 Native Frames, 4.2.3).
            let whole = text.parse().map(|number: f64| format!("{number:.0}"));
            id3.set_text(id, if name == "BPM" { whole.unwrap_or_else(|_| text.clone()) } else { text.clone() });
        }
    }
    let rest = tags.iter().filter(|(tag, _)| named.iter().all(|(name, _)| tag != name));
    let rest: Vec<String> = rest.map(|(name, text)| format!("{name}={text}")).collect();
    if !rest.is_empty() {
        let comment = Comment { lang: "eng".to_owned(), description: String::new(), text: rest.join("; ") };
        id3.add_frame(Frame::with_content("COMM", Content::Comment(comment)));
    }
    add_chapters(&mut id3, &markers[..markers.len().min(CHAPTERS)], frames, rate);
    let mut bytes = Vec::new();
    TagEncoder::new().version(Version::Id3v24).encode(&id3, &mut bytes).map_err(io::Error::other)?;
    Ok(bytes)
}

/// A chapter from each marker to the next, and the table that names them in their order.
fn add_chapters(id3: &mut Id3, markers: &[Marker], frames: u64, rate: u32) {
    let thousandths = |frame: u64| u32::try_from(frame * 1000 / u64::from(rate)).unwrap_or(u32::MAX);
    let name = |number: usize| format!("section-{}", number + 1);
    let ends = markers.iter().skip(1).map(|marker| marker.frame).chain([frames]);
    for ((number, marker), end) in markers.iter().enumerate().zip(ends) {
        let chapter = Chapter {
            element_id: name(number),
            start_time: thousandths(marker.frame),
            end_time: thousandths(end),
            // Only times are said, no places in the file.
            start_offset: u32::MAX,
            end_offset: u32::MAX,
            frames: vec![Frame::text("TIT2", &marker.name)],
        };
        id3.add_frame(Frame::with_content("CHAP", Content::Chapter(chapter)));
    }
    if !markers.is_empty() {
        let table = TableOfContents {
            element_id: "sections".to_owned(),
            top_level: true,
            ordered: true,
            elements: (0..markers.len()).map(name).collect(),
            frames: Vec::new(),
        };
        id3.add_frame(Frame::with_content("CTOC", Content::TableOfContents(table)));
    }
}

#[cfg(test)]
#[path = "mp3_tests.rs"]
mod tests;

//! WAV (RIFF) files: the header, and samples as bytes.
//!
//! The length is known before the first sample is written, so that nothing has to be put right afterwards and a track
//! can go down a pipe.

use std::io::{self, Write};

use super::marker::{Marker, Tag};
use super::settings::Depth;
use super::track_writer::TrackWriter;

/// The format code of whole-number samples.
const PCM: u16 = 1;

/// The format code of floating point samples.
const FLOAT: u16 = 3;

/// The header of a WAV file: 44 bytes for whole numbers; floating point has a `fact` chunk besides. `about` are chunks
/// that stand before the samples, see [`about`].
///
/// # Errors
/// When the file would be longer than 4 GiB, which its length field can't hold.
pub fn header(rate: u32, channels: u16, depth: Depth, frames: u64, about: &[u8]) -> io::Result<Vec<u8>> {
    let block = channels * depth.bytes();
    let data = frames * u64::from(block);
    let float = depth == Depth::Float;
    let before = if float { 50 } else { 36 };
    let too_long = |_| io::Error::new(io::ErrorKind::InvalidInput, "a WAV file holds at most 4 GiB");
    let riff = u32::try_from(before + about.len() as u64 + data + data % 2).map_err(too_long)?;
    let mut bytes = Vec::with_capacity(58);
    bytes.extend(b"RIFF");
    bytes.extend(riff.to_le_bytes());
    bytes.extend(b"WAVEfmt ");
    bytes.extend(if float { 18u32 } else { 16 }.to_le_bytes());
    bytes.extend(if float { FLOAT } else { PCM }.to_le_bytes());
    bytes.extend(channels.to_le_bytes());
    bytes.extend(rate.to_le_bytes());
    bytes.extend((rate * u32::from(block)).to_le_bytes());
    bytes.extend(block.to_le_bytes());
    bytes.extend((8 * depth.bytes()).to_le_bytes());
    if float {
        bytes.extend(0u16.to_le_bytes());
        bytes.extend(b"fact");
        bytes.extend(4u32.to_le_bytes());
        bytes.extend((frames as u32).to_le_bytes());
    }
    bytes.extend(about);
    bytes.extend(b"data");
    bytes.extend((data as u32).to_le_bytes());
    Ok(bytes)
}

/// The chunks that say what a track is: `LIST INFO` with title, artist, and the rest as a comment; `cue ` and `LIST adtl`
/// with the markers (Multimedia Programming Interface and Data Specifications 1.0, IBM and Microsoft, 1991).
pub fn about(tags: &[Tag], markers: &[Marker]) -> Vec<u8> {
    let mut bytes = Vec::new();
    if !tags.is_empty() {
        let named = |name: &str| tags.iter().find(|(tag, _)| tag == name).map(|(_, text)| text.clone());
        let rest: Vec<String> = tags
            .iter()
            .filter(|(name, _)| !matches!(name.as_str(), "TITLE" | "ARTIST"))
            .map(|(name, text)| format!("{name}={text}"))
            .collect();
        let mut info = b"INFO".to_vec();
        for (id, text) in [(b"INAM", named("TITLE")), (b"IART", named("ARTIST")), (b"ICMT", Some(rest.join("; ")))] {
            if let Some(text) = text.filter(|text| !text.is_empty()) {
                info.extend(chunk(id, &[text.as_bytes(), &[0]].concat()));
            }
        }
        info.extend(chunk(b"ISFT", b"panfold\0"));
        bytes.extend(chunk(b"LIST", &info));
    }
    if !markers.is_empty() {
        let mut cues = (markers.len() as u32).to_le_bytes().to_vec();
        let mut labels = b"adtl".to_vec();
        for (number, marker) in (1u32..).zip(markers) {
            let at = u32::try_from(marker.frame).unwrap_or(u32::MAX).to_le_bytes();
            cues.extend(number.to_le_bytes());
            cues.extend(at);
            cues.extend(b"data");
            cues.extend([0; 8]);
            cues.extend(at);
            let label = [&number.to_le_bytes()[..], marker.name.as_bytes(), &[0]].concat();
            labels.extend(chunk(b"labl", &label));
        }
        bytes.extend(chunk(b"cue ", &cues));
        bytes.extend(chunk(b"LIST", &labels));
    }
    bytes
}

/// A chunk: its name, its length, its bytes, and a pad byte when they are odd in number.
fn chunk(id: &[u8; 4], bytes: &[u8]) -> Vec<u8> {
    let mut chunk = id.to_vec();
    chunk.extend((bytes.len() as u32).to_le_bytes());
    chunk.extend(bytes);
    chunk.resize(chunk.len().next_multiple_of(2), 0);
    chunk
}

/// Writes stereo samples as a WAV file.
#[derive(Debug)]
pub struct Writer<W: Write> {
    out: W,
    depth: Depth,
    bytes: Vec<u8>,
}

impl<W: Write> Writer<W> {
    /// Writes the header of a stereo file of `frames` samples.
    ///
    /// # Errors
    /// When `out` fails, or the file would be longer than 4 GiB.
    pub fn new(mut out: W, rate: u32, depth: Depth, frames: u64, about: &[u8]) -> io::Result<Self> {
        out.write_all(&header(rate, 2, depth, frames, about)?)?;
        Ok(Writer { out, depth, bytes: Vec::new() })
    }
}

impl<W: Write> TrackWriter for Writer<W> {
    // Samples beyond -1 to 1 are cut off there in whole-number files.
    fn write(&mut self, left: &[f32], right: &[f32]) -> io::Result<()> {
        self.bytes.resize(2 * left.len() * usize::from(self.depth.bytes()), 0);
        match self.depth {
            Depth::Bits16 => fill(&mut self.bytes, left, right, |l, r| {
                (u32::from(in_16_bits(l)) | u32::from(in_16_bits(r)) << 16).to_le_bytes()
            }),
            Depth::Bits24 => fill(&mut self.bytes, left, right, |l, r| {
                let [a, b, c, _] = whole(l, 8_388_607.0).to_le_bytes();
                let [d, e, f, _] = whole(r, 8_388_607.0).to_le_bytes();
                [a, b, c, d, e, f]
            }),
            Depth::Float => fill(&mut self.bytes, left, right, |l, r| {
                (u64::from(l.to_bits()) | u64::from(r.to_bits()) << 32).to_le_bytes()
            }),
        }
        self.out.write_all(&self.bytes)
    }

    fn finish(mut self) -> io::Result<()> {
        // Stereo samples have an even number of bytes, so no pad byte is ever due.
        self.out.flush()
    }
}

/// Fills bytes with pairs of samples.
fn fill<const N: usize>(bytes: &mut [u8], left: &[f32], right: &[f32], pair: impl Fn(f32, f32) -> [u8; N]) {
    for ((bytes, left), right) in bytes.chunks_exact_mut(N).zip(left).zip(right) {
        bytes.copy_from_slice(&pair(*left, *right));
    }
}

/// A sample as a whole number of 16 bits, as [`whole`] gives it; numbers so small have room in single precision, where 1.5 · 2^23 does
/// the same.
fn in_16_bits(sample: f32) -> u16 {
    const SHIFT: f32 = 12_582_912.0;
    ((sample * 32_767.0).clamp(-32_767.0, 32_767.0) + SHIFT).to_bits() as u16
}

/// A sample as a whole number, `full` for 1: rounded to the nearest, cut off at -1 and 1.
///
/// Adding 1.5 · 2^52 leaves the rounded number in the low bits of a double, which is several times as fast as asking for
/// rounding where the processor's oldest instructions must do.
pub(super) fn whole(sample: f32, full: f32) -> i32 {
    const SHIFT: f64 = 6_755_399_441_055_744.0;
    let held = f64::from(sample * full).clamp(f64::from(-full), f64::from(full));
    (held + SHIFT).to_bits() as i32
}

//! FLAC files: the same samples as a WAV file in about a third of the bytes, with tags.
//!
//! Frames are encoded by the crate `flacenc`, several side by side, and written in order. The length is known before the
//! first sample, so nothing is put right afterwards. The checksum of the samples (MD5) is left at zero, which the format
//! (RFC 9639, section 8.2) allows and takes for unknown.

use std::io::{self, Write};

use flacenc::bitsink::ByteSink;
use flacenc::component::{BitRepr, StreamInfo};
use flacenc::config;
use flacenc::error::{Verified, Verify};
use flacenc::source::{Fill, FrameBuf};
use rayon::prelude::*;

use super::marker::Tag;
use super::settings::Depth;
use super::track_writer::TrackWriter;
use super::wav::whole;

/// Samples of a frame: the format's usual 4096.
const FRAME: usize = 4096;

/// How many frames are encoded side by side.
const SIDE_BY_SIDE: usize = 32;

/// The shortest frame that the encoder takes; a last frame is filled up with silence to this length.
const SHORTEST: usize = 32;

/// The longest file: 36 bits of samples in the header.
const MOST_FRAMES: u64 = 1 << 36;

/// Writes stereo samples as a FLAC file.
pub struct Writer<W: Write> {
    out: W,
    config: Verified<config::Encoder>,
    info: StreamInfo,
    full: f32,
    /// Samples that wait to be encoded, left and right in turn.
    waiting: Vec<i32>,
    frame: usize,
}

impl<W: Write> Writer<W> {
    /// Writes the head of a stereo file of `frames` samples. FLAC has no floating point: such samples are written in 24
    /// bits.
    ///
    /// # Errors
    /// When `out` fails, or the file would hold more than 2^36 samples.
    pub fn new(mut out: W, rate: u32, depth: Depth, frames: u64, tags: &[Tag]) -> io::Result<Self> {
        let bits = if depth == Depth::Bits16 { 16 } else { 24 };
        if frames >= MOST_FRAMES {
            return Err(io::Error::new(io::ErrorKind::InvalidInput, "a FLAC file holds at most 2^36 samples"));
        }
        out.write_all(&head(rate, 2, bits, frames + filling(frames), tags))?;
        let info = StreamInfo::new(rate as usize, 2, usize::from(bits)).map_err(failed)?;
        let config = settings().into_verified().map_err(|(_, error)| failed(error))?;
        let full = if bits == 16 { 32_767.0 } else { 8_388_607.0 };
        Ok(Writer { out, config, info, full, waiting: Vec::new(), frame: 0 })
    }

    /// Encodes the first `count` numbers that wait.
    fn encode(&mut self, count: usize) -> io::Result<()> {
        let frames = side_by_side(&self.config, &self.info, &self.waiting[..count], self.frame);
        self.frame += frames.len();
        for bytes in frames {
            self.out.write_all(&bytes?)?;
        }
        self.waiting.drain(..count);
        Ok(())
    }
}

impl<W: Write> TrackWriter for Writer<W> {
    fn write(&mut self, left: &[f32], right: &[f32]) -> io::Result<()> {
        let full = self.full;
        let pairs = left.iter().zip(right);
        self.waiting.extend(pairs.flat_map(|(left, right)| [whole(*left, full), whole(*right, full)]));
        let full_frames = self.waiting.len() / (2 * FRAME);
        if full_frames >= SIDE_BY_SIDE {
            self.encode(full_frames * 2 * FRAME)?;
        }
        Ok(())
    }

    fn finish(mut self) -> io::Result<()> {
        let filling = filling(self.waiting.len() as u64 / 2) as usize;
        self.waiting.resize(self.waiting.len() + 2 * filling, 0);
        self.encode(self.waiting.len())?;
        self.out.flush()
    }
}

/// A file of one channel in 16 bits, as small as the encoder can make it: for sound that is kept within something else.
///
/// - `samples`: whole numbers within 16 bits. The fewer bits they use, the smaller is the file.
///
/// # Errors
/// When the encoder refuses.
pub fn mono(mut samples: Vec<i32>, rate: u32) -> io::Result<Vec<u8>> {
    let filling = filling(samples.len() as u64) as usize;
    samples.resize(samples.len() + filling, 0);
    let info = StreamInfo::new(rate as usize, 1, 16).map_err(failed)?;
    let mut smallest = settings();
    smallest.subframe_coding.use_lpc = true;
    let config = smallest.into_verified().map_err(|(_, error)| failed(error))?;
    let frames = side_by_side(&config, &info, &samples, 0);
    let mut bytes = head(rate, 1, 16, samples.len() as u64, &[]);
    for frame in frames {
        bytes.extend(frame?);
    }
    Ok(bytes)
}

/// Frames that follow each other, from that of number `first` on, encoded side by side.
fn side_by_side(
    config: &Verified<config::Encoder>,
    info: &StreamInfo,
    samples: &[i32],
    first: usize,
) -> Vec<EncodedFrame> {
    let frames = samples.par_chunks(info.channels() * FRAME).enumerate();
    frames.map(|(number, samples)| encoded(config, info, samples, first + number)).collect()
}

/// The bytes of a frame, or why it can't be encoded.
type EncodedFrame = io::Result<Vec<u8>>;

/// The bytes of one frame.
fn encoded(config: &Verified<config::Encoder>, info: &StreamInfo, samples: &[i32], number: usize) -> EncodedFrame {
    let channels = info.channels();
    let mut buffer = FrameBuf::with_size(channels, samples.len() / channels).map_err(failed)?;
    buffer.fill_interleaved(samples).map_err(failed)?;
    let frame = flacenc::encode_fixed_size_frame(config, &buffer, number, info).map_err(failed)?;
    let mut sink = ByteSink::new();
    frame.write(&mut sink).map_err(failed)?;
    Ok(sink.as_slice().to_vec())
}

/// What the encoder says, as a failure to write.
fn failed(error: impl std::fmt::Display) -> io::Error {
    io::Error::other(error.to_string())
}

/// The encoder's settings, chosen by measuring 182 s of a band of twelve parts on one core (Zen 4; WAV: 32.2 MB):
///
/// | settings | × real time | MB |
/// | --- | --- | --- |
/// | the crate's own | 127 | 8.80 |
/// | linear prediction of order 10 only | 162 | 8.95 |
/// | of order 8, middle and side only | 190 | 9.04 |
/// | **fixed predictors only** | 582 | 9.16 |
/// | fixed predictors, middle and side only | 565 | 9.24 |
///
/// Files 4 % longer for more than four times the speed: encoding is what most of the time goes to.
fn settings() -> config::Encoder {
    let mut settings = config::Encoder::default();
    settings.block_size = FRAME;
    settings.multithread = false;
    settings.subframe_coding.use_lpc = false;
    settings
}

/// By how many silent samples a track is longer, so that its last frame is long enough.
fn filling(frames: u64) -> u64 {
    match frames % FRAME as u64 {
        0 => 0,
        rest => (SHORTEST as u64).saturating_sub(rest),
    }
}

/// The file's head (RFC 9639, sections 6 and 8): `fLaC`, the stream's facts, the tags.
fn head(rate: u32, channels: u64, bits: u16, frames: u64, tags: &[Tag]) -> Vec<u8> {
    let mut bytes = b"fLaC".to_vec();
    bytes.extend([0, 0, 0, 34]);
    bytes.extend((FRAME as u16).to_be_bytes());
    bytes.extend((FRAME as u16).to_be_bytes());
    // The sizes of the shortest and longest frame are not known: zero.
    bytes.extend([0; 6]);
    // 20 bits of rate, 3 of channels - 1, 5 of bits - 1, 36 of length.
    let facts = u64::from(rate) << 44 | (channels - 1) << 41 | u64::from(bits - 1) << 36 | frames;
    bytes.extend(facts.to_be_bytes());
    bytes.extend([0; 16]);
    let comment = comment(tags);
    bytes.push(0x80 | 4);
    bytes.extend(&(comment.len() as u32).to_be_bytes()[1..]);
    bytes.extend(comment);
    bytes
}

/// The tags as a Vorbis comment: lengths in little-endian, unlike the rest of the file.
fn comment(tags: &[Tag]) -> Vec<u8> {
    let text = |text: &str| [&(text.len() as u32).to_le_bytes()[..], text.as_bytes()].concat();
    let mut bytes = text("panfold");
    bytes.extend((tags.len() as u32).to_le_bytes());
    for (name, value) in tags {
        bytes.extend(text(&format!("{name}={value}")));
    }
    bytes
}

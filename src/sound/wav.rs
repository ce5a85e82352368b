//! WAV (RIFF) files: the header, and samples as bytes.
//!
//! The length is known before the first sample is written, so that nothing has to be put right afterwards and a track
//! can go down a pipe.

use std::io::{self, Write};

use super::settings::Depth;

/// The format code of whole-number samples.
const PCM: u16 = 1;

/// The format code of floating point samples.
const FLOAT: u16 = 3;

/// The header of a WAV file: 44 bytes for whole numbers; floating point has a `fact` chunk besides.
///
/// # Errors
/// When the file would be longer than 4 GiB, which its length field can't hold.
pub fn header(rate: u32, channels: u16, depth: Depth, frames: u64) -> io::Result<Vec<u8>> {
    let block = channels * depth.bytes();
    let data = frames * u64::from(block);
    let float = depth == Depth::Float;
    let before = if float { 50 } else { 36 };
    let too_long = |_| io::Error::new(io::ErrorKind::InvalidInput, "a WAV file holds at most 4 GiB");
    let riff = u32::try_from(before + data + data % 2).map_err(too_long)?;
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
    bytes.extend(b"data");
    bytes.extend((data as u32).to_le_bytes());
    Ok(bytes)
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
    pub fn new(mut out: W, rate: u32, depth: Depth, frames: u64) -> io::Result<Self> {
        out.write_all(&header(rate, 2, depth, frames)?)?;
        Ok(Writer { out, depth, bytes: Vec::new() })
    }

    /// Writes a block; samples beyond -1 to 1 are cut off there in whole-number files.
    ///
    /// # Errors
    /// When `out` fails.
    pub fn write(&mut self, left: &[f32], right: &[f32]) -> io::Result<()> {
        self.bytes.clear();
        let pairs = left.iter().zip(right);
        match self.depth {
            Depth::Bits16 => pairs.for_each(|(l, r)| {
                let [a, b] = whole(*l, 32_767.0).to_le_bytes()[..2] else { unreachable!("four bytes") };
                let [c, d] = whole(*r, 32_767.0).to_le_bytes()[..2] else { unreachable!("four bytes") };
                self.bytes.extend([a, b, c, d]);
            }),
            Depth::Bits24 => pairs.for_each(|(l, r)| {
                self.bytes.extend(&whole(*l, 8_388_607.0).to_le_bytes()[..3]);
                self.bytes.extend(&whole(*r, 8_388_607.0).to_le_bytes()[..3]);
            }),
            Depth::Float => pairs.for_each(|(l, r)| {
                self.bytes.extend(l.to_le_bytes());
                self.bytes.extend(r.to_le_bytes());
            }),
        }
        self.out.write_all(&self.bytes)
    }

    /// Ends the file.
    ///
    /// # Errors
    /// When `out` fails.
    pub fn finish(mut self) -> io::Result<()> {
        // Stereo samples have an even number of bytes, so no pad byte is ever due.
        self.out.flush()
    }
}

/// A sample as a whole number.
pub(super) fn whole(sample: f32, full: f32) -> i32 {
    (sample * full).round_ties_even().clamp(-full - 1.0, full) as i32
}

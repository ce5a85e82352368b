//! MP3 files, for players and phones that take nothing else. Encoded by LAME (feature `mp3`).

use std::io::{self, Write};

use mp3lame_encoder::{Bitrate, Builder, DualPcm, Encoder, FlushNoGap, Id3Tag, Quality};

use super::marker::Tag;
use super::track_writer::TrackWriter;

/// The bit rate: 192 kbit/s, at which trained listeners seldom hear a difference from the original (common practice, no
/// source).
const RATE: Bitrate = Bitrate::Kbps192;

/// Writes stereo samples as an MP3 file.
pub struct Writer<W: Write> {
    out: W,
    encoder: Encoder,
    bytes: Vec<u8>,
}

impl<W: Write> Writer<W> {
    /// Begins a stereo file with its tags (ID3); title and artist have their fields, the rest is the comment.
    ///
    /// # Errors
    /// When LAME does not take the rate: it takes 8,000 to 48,000 samples a second.
    pub fn new(out: W, rate: u32, tags: &[Tag]) -> io::Result<Self> {
        let named = |name: &str| tags.iter().find(|(tag, _)| tag == name).map_or("", |(_, text)| text.as_str());
        let rest = tags.iter().filter(|(name, _)| !matches!(name.as_str(), "TITLE" | "ARTIST"));
        let comment: Vec<String> = rest.map(|(name, text)| format!("{name}={text}")).collect();
        let comment = comment.join("; ");
        let mut builder = Builder::new().ok_or_else(|| io::Error::other("LAME could not be started"))?;
        builder.set_num_channels(2).map_err(failed)?;
        builder.set_sample_rate(rate).map_err(failed)?;
        builder.set_brate(RATE).map_err(failed)?;
        builder.set_quality(Quality::NearBest).map_err(failed)?;
        builder.set_to_write_vbr_tag(false).map_err(failed)?;
        let id3 = Id3Tag {
            title: named("TITLE").as_bytes(),
            artist: named("ARTIST").as_bytes(),
            comment: comment.as_bytes(),
            album: &[],
            album_art: &[],
            year: &[],
        };
        builder.set_id3_tag(id3).map_err(|error| io::Error::other(format!("{error:?}")))?;
        let encoder = builder.build().map_err(failed)?;
        Ok(Writer { out, encoder, bytes: Vec::new() })
    }

    fn send(&mut self) -> io::Result<()> {
        self.out.write_all(&self.bytes)?;
        self.bytes.clear();
        Ok(())
    }
}

fn failed(error: impl std::fmt::Display) -> io::Error {
    io::Error::other(error.to_string())
}

impl<W: Write> TrackWriter for Writer<W> {
    fn write(&mut self, left: &[f32], right: &[f32]) -> io::Result<()> {
        self.bytes.reserve(mp3lame_encoder::max_required_buffer_size(left.len()));
        self.encoder.encode_to_vec(DualPcm { left, right }, &mut self.bytes).map_err(failed)?;
        self.send()
    }

    fn finish(mut self) -> io::Result<()> {
        // LAME asks for room for at least 7200 bytes when it empties itself.
        self.bytes.reserve(7200);
        self.encoder.flush_to_vec::<FlushNoGap>(&mut self.bytes).map_err(failed)?;
        self.send()?;
        self.out.flush()
    }
}

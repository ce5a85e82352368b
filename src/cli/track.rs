//! Sound files: their formats, and a performance written as one.

use std::path::Path;

use clap::ValueEnum;

use super::choice::wrong;
use crate::door::files;
use crate::music::count;
use crate::pan::Band;
use crate::performance::Performance;
use crate::sound::Tag;
use crate::sound::{self, Report, Settings, mp3};
use crate::text::{Finding, words};

/// How sound is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// Small, for phones: about a megabyte a minute, less in mono
    Mp3,
    /// Without any loss, in about a third of the space of WAV
    Flac,
    /// The samples as they are
    Wav,
}

impl Format {
    /// What the file's name ends in.
    pub fn ending(self) -> &'static str {
        match self {
            Format::Wav => "wav",
            Format::Flac => "flac",
            Format::Mp3 => "mp3",
        }
    }

    /// The format that a file's name asks for.
    ///
    /// # Errors
    /// A finding when it ends in none.
    pub fn of(path: &Path) -> Result<Format, Box<Finding>> {
        let ending = path.extension().and_then(|ending| ending.to_str()).unwrap_or_default().to_lowercase();
        Format::value_variants().iter().copied().find(|format| format.ending() == ending).ok_or_else(|| {
            let message =
                format!("sound is written as MP3, FLAC or WAV, and `{}` ends in none of them", path.display());
            Box::new(wrong(message).help("let the name end in `.mp3`, `.flac` or `.wav`"))
        })
    }
}

/// Whether a format takes what was asked for the samples.
///
/// # Errors
/// A finding when it does not.
pub fn may(format: Format, rate: Option<u32>, has_bits: bool) -> Result<(), Box<Finding>> {
    if format != Format::Mp3 {
        return Ok(());
    }
    if let Some(rate) = rate.filter(|rate| !mp3::RATES.contains(rate)) {
        let rates = mp3::RATES.map(|rate| format!("`{rate}`"));
        let message = format!("an MP3 file can't have {rate} samples a second");
        let help = format!("give {} to `--rate`, or let the name end in `.flac` or `.wav`", words::or(&rates));
        return Err(Box::new(wrong(message).help(help)));
    }
    if has_bits {
        let finding = wrong("`--bits` is for FLAC and WAV: an MP3 file has no samples");
        return Err(Box::new(finding.help("leave `--bits` out, or let the name end in `.flac` or `.wav`")));
    }
    Ok(())
}

/// Writes a performance as a sound file, whole or not at all.
///
/// # Errors
/// A finding when it can't be written.
pub fn write(
    path: &Path,
    format: Format,
    performance: &Performance,
    band: &Band,
    settings: &Settings,
    tags: &[Tag],
) -> Result<Report, Box<Finding>> {
    let format = match format {
        Format::Wav => sound::Format::Wav,
        Format::Flac => sound::Format::Flac,
        Format::Mp3 => sound::Format::Mp3,
    };
    files::write(path, |out| sound::render(format, performance, band, settings, tags, out))
}

/// A length of time as people say it: `3 min 5 s`.
pub fn minutes(seconds: f64) -> String {
    let whole = count(seconds.round()) as u64;
    match (whole / 60, whole % 60) {
        (0, s) => format!("{s} s"),
        (m, s) => format!("{m} min {s} s"),
    }
}

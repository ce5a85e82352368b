//! Sound files: their formats, and a performance written as one.

use std::path::Path;

use clap::ValueEnum;

use super::choice::wrong;
use crate::door::files;
use crate::music::count;
use crate::pan::Band;
use crate::performance::Performance;
use crate::sound::Tag;
use crate::sound::{self, Report, Settings};
use crate::text::Finding;

/// How sound is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// The largest files: plays everywhere
    Wav,
    /// The same sound in about a third of the space, with title and part: plays on phones and computers
    Flac,
    /// Smaller still, with some loss: for players that take nothing else
    #[cfg(feature = "mp3")]
    Mp3,
}

impl Format {
    /// What the file's name ends in.
    pub fn ending(self) -> &'static str {
        match self {
            Format::Wav => "wav",
            Format::Flac => "flac",
            #[cfg(feature = "mp3")]
            Format::Mp3 => "mp3",
        }
    }

    /// The format that a file's name asks for.
    ///
    /// # Errors
    /// A finding when it ends in neither.
    pub fn of(path: &Path) -> Result<Format, Box<Finding>> {
        let ending = path.extension().and_then(|ending| ending.to_str()).unwrap_or_default().to_lowercase();
        Format::value_variants().iter().copied().find(|format| format.ending() == ending).ok_or_else(|| {
            if ending == "mp3" {
                let finding = wrong("this panfold was built without MP3");
                return Box::new(finding.help("let the name end in `.flac`, or build panfold with `--features mp3`"));
            }
            let message = format!("sound is written as WAV or FLAC, and `{}` ends in neither", path.display());
            Box::new(wrong(message).help("let the name end in `.wav` or `.flac`"))
        })
    }
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
        #[cfg(feature = "mp3")]
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

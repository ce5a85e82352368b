//! A file of either format, MIDI or MusicXML, as a score.

use std::sync::Arc;

use super::findings;
use super::lost;
use super::quantise;
use super::score::Score;
use crate::exchange::midi_in;
use crate::exchange::musicxml_in;
use crate::exchange::musicxml_in::container;
use crate::text::{Finding, Source};

/// Music as read.
#[derive(Debug)]
pub struct Music {
    /// The music.
    pub score: Score,
    /// What a tune can't say about it.
    pub lost: lost::Lost,
    /// The text of the file, if it is one.
    pub source: Option<Arc<Source>>,
}

/// Reads a file of either format; its first bytes show which one it is. `name` is what messages call it; `grid` is the grid that
/// all times are moved onto, if one is asked for.
///
/// # Errors
/// When it is neither, is broken, or goes beyond a limit.
pub fn read(name: &str, bytes: Vec<u8>, grid: Option<&quantise::Grid>) -> Result<Music, Box<Finding>> {
    if midi_in::is_midi(&bytes) {
        let (score, lost) = midi_in::read(name, &bytes, grid)?;
        return Ok(Music { score, lost, source: None });
    }
    if bytes.is_empty() {
        let finding = Finding::error(&findings::WRONG_MUSIC_FILE, format!("`{name}` is empty"));
        return Err(Box::new(finding.help("get or write the file again")));
    }
    if !container::is_zip(&bytes) && !looks_like_text(&bytes) {
        let message = format!("`{name}` is neither a MIDI file nor MusicXML");
        let help = "MIDI files begin with `MThd`, MusicXML with `<`, its container as a zip";
        return Err(Box::new(Finding::error(&findings::WRONG_MUSIC_FILE, message).help(help)));
    }
    musicxml_in::read(name, bytes, grid).map(|read| Music {
        score: read.score,
        lost: read.lost,
        source: Some(read.source),
    })
}

/// Whether bytes begin as an XML text may: with a mark of its encoding, or with `<` after white space.
fn looks_like_text(bytes: &[u8]) -> bool {
    let marked = [&[0xEF, 0xBB, 0xBF][..], &[0xFE, 0xFF], &[0xFF, 0xFE]].iter().any(|mark| bytes.starts_with(mark));
    marked || bytes.iter().find(|byte| !byte.is_ascii_whitespace()) == Some(&b'<')
}

//! How large a pack will be, and whether there is room for it.

use std::path::Path;

use super::make::{AT_SLOW, FULL};
use super::wanted::Wanted;
use crate::cli::track::Format;
use crate::door::files;
use crate::door::kinds::UNWRITABLE;
use crate::music::count;
use crate::page;
use crate::page::index::size;
use crate::performance::{Options, perform};
use crate::sound::mp3;
use crate::text::Finding;
use crate::tune::Tune;

/// How long a track rings after its last bar, in seconds.
const RINGS: f64 = 2.0;

/// Bytes of a second of sound: of WAV exactly, of FLAC what the demo's tracks take.
const OF_WAV: f64 = 4.0 * 44_100.0;
const OF_FLAC: f64 = 75_000.0;

/// Bytes of a sheet: most of it is the font's letters.
const OF_SHEET: u64 = 30_000;

/// About how many bytes a pack takes while it is made.
pub fn about(tune: &Tune, wanted: &Wanted) -> u64 {
    let played = [FULL, AT_SLOW].map(|tempo| perform(tune, &Options { tempo, count_in: true, ..Options::default() }));
    let settings = wanted.settings();
    let track = |seconds: f64| {
        let of = |a_second: f64| count((seconds + RINGS) * a_second) as u64;
        match wanted.format {
            None => 0,
            Some(Format::Mp3) => mp3::bytes(of(f64::from(settings.rate)), settings.rate, wanted.mono),
            Some(Format::Flac) => of(OF_FLAC),
            Some(Format::Wav) => of(OF_WAV),
        }
    };
    let [full, slow] = played.each_ref().map(|performance| track(performance.seconds()));
    let mut bytes = if wanted.everybody { full } else { 0 };
    for folder in &wanted.folders {
        let papers = folder.pans.len().max(1) as u64;
        bytes += full + slow + papers * (page::about(&played[0], &folder.handout.parts) + OF_SHEET);
    }
    bytes
}

/// Whether the disk of a folder has room for so many bytes; where the system does not say, it is tried.
///
/// # Errors
/// A finding when it has not.
pub fn has_room(folder: &Path, bytes: u64) -> Result<(), Box<Finding>> {
    let Some(free) = files::free(folder).filter(|free| *free < bytes) else { return Ok(()) };
    let message =
        format!("the pack takes about {}, and the disk of `{}` has {} left", size(bytes), folder.display(), size(free));
    let finding = Finding::error(&UNWRITABLE, message);
    Err(Box::new(
        finding.help("make room, choose another disk with `-o`, or pack less: `--part PART`, `--format none`"),
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn more_than_the_disk_has_left_is_refused_before_anything_is_made() {
        let folder = tempfile::tempdir().expect("a folder");
        let inner = folder.path().join("not/there/yet");
        has_room(&inner, 1).expect("a byte has room");
        let finding = has_room(&inner, u64::MAX).expect_err("no disk is so large");
        assert!(finding.message.contains("the pack takes about") && finding.message.contains("left"), "{finding}");
        assert!(!folder.path().join("not").exists());
    }
}

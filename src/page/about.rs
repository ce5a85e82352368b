//! About how large a page will be, before it is made: what the strokes of its bank take, and what its list of strokes takes.

use std::collections::BTreeSet;

use crate::performance::Performance;
use crate::sound::bank::{ForceLevel, Struck};

/// Bytes of what every page has: script, style and pictures.
const FIXED: u64 = 75_000;

/// Bytes of a stroke of the bank, and of a stroke that is played: what the demo's pages take, base64 and three tempos of rolls and all.
const OF_SOUND: u64 = 6_600;
const OF_STROKE: u64 = 24;

/// About how many bytes a page takes for a player of some parts, from what the band plays.
pub fn about(performance: &Performance, parts: &[usize]) -> u64 {
    let (mut own, mut band): (BTreeSet<(u16, Struck, ForceLevel)>, BTreeSet<(u16, Struck)>) = Default::default();
    for stroke in &performance.strokes {
        let struck = Struck::from(stroke.sound);
        let part = performance.voices[usize::from(stroke.voice)].part;
        if part.is_some_and(|part| parts.contains(&part)) {
            own.insert((stroke.voice, struck, ForceLevel::of(stroke.force)));
        } else {
            band.insert((stroke.voice, struck));
        }
    }
    // The player's own strokes have two variants each.
    let sounds = 2 * own.len() + band.len();
    FIXED + sounds as u64 * OF_SOUND + performance.strokes.len() as u64 * OF_STROKE
}

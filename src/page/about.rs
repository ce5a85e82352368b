//! About how large a page will be, before it is made: what the strokes of its bank take, and what its list of strokes takes.

use std::collections::{BTreeMap, BTreeSet};

use crate::performance::Performance;
use crate::sound::bank::{ForceLevel, Struck};

/// Bytes of what every page has: script, style and pictures.
const FIXED: u64 = 105_000;

/// Bytes of a stroke of the bank, the player's own and the band's, and of a stroke that is played once or in a roll, whose three tempos
/// stand in the page: what the demo's pages take, each within a seventh.
const OF_OWN: u64 = 10_800;
const OF_BAND: u64 = 4_100;
const OF_STROKE: u64 = 40;
const OF_ROLLED: u64 = 135;

/// About how many bytes a page takes for a player of some parts, from what the band plays.
pub fn about(performance: &Performance, parts: &[usize]) -> u64 {
    let (mut own, mut band) = (BTreeMap::new(), BTreeSet::new());
    for stroke in &performance.strokes {
        let struck = Struck::from(stroke.sound);
        let part = performance.voices[usize::from(stroke.voice)].part;
        if part.is_some_and(|part| parts.contains(&part)) {
            *own.entry((stroke.voice, struck, ForceLevel::of(stroke.force))).or_insert(0) += 1;
        } else {
            band.insert((stroke.voice, struck));
        }
    }
    let rolled = performance.strokes.iter().filter(|stroke| stroke.roll.is_some()).count() as u64;
    let plain = performance.strokes.len() as u64 - rolled;
    // The player's own strokes have three variants each, if they are struck so often.
    let own: u64 = own.into_values().map(|struck: u64| struck.min(3)).sum();
    FIXED + own * OF_OWN + band.len() as u64 * OF_BAND + plain * OF_STROKE + rolled * OF_ROLLED
}

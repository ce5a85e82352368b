//! What has to be said about the drawing of a pan.

use super::face_options::{Options, absent, off};
use crate::pan::Pan;
use crate::pan::face::Sure;
use crate::pan::geometry::{Geometry, Outline};

/// What has to be said about the drawing of a pan: how sure its places are, and what its marks mean.
pub fn captions(pan: &Pan, options: &Options) -> Vec<String> {
    let geometry = Geometry::of(pan);
    let absent = !absent(pan, options).is_empty();
    let sure = pan.sureness;
    let weak = |sure: Sure| matches!(sure, Sure::Low | Sure::Schematic);
    let mut out = Vec::new();
    let tiled = geometry.drums.iter().any(|drum| matches!(drum.outline, Outline::Rows { .. }));
    if sure.pitches == Sure::Placeholder {
        out.push("the notes are a reconstruction: go by your own pan".to_owned());
    }
    if sure.drums == Sure::Placeholder {
        out.push("sketch only: your pan may have its notes on other drums".to_owned());
    } else if sure.drums == Sure::Low {
        out.push("not sure which notes share a drum: go by your own pan".to_owned());
    }
    if tiled {
        out.push(
            "where the notes lie is not known: they are drawn in rising rows, the lowest nearest to you".to_owned(),
        );
    } else if [sure.rings, sure.angles].contains(&Sure::Placeholder) {
        out.push("sketch only: your pan may have its notes in other places".to_owned());
    } else if weak(sure.angles) || weak(sure.rings) {
        out.push("sketch only: your pan may differ; go by your own pan".to_owned());
    }
    if !tiled && !geometry.is_told() {
        out.push("under the drums: notes whose place is not known".to_owned());
    }
    let dead = pan.drums.iter().any(|drum| !drum.dead.is_empty());
    if dead || absent {
        out.push("crossed out: not on this pan".to_owned());
    }
    if !options.struck.is_empty() {
        out.push("dark rim and number: how often a note is struck, the wider the more often".to_owned());
    }
    if pan.notes().any(|(_, note)| off(note.cents, options.tolerance)) {
        out.push("arrow and number: how many cents it is out of tune".to_owned());
    }
    out
}

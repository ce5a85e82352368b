//! Which built-in layout a set of notes resembles, and which of its notes are unlikely on their kind of pan.

use super::face::{Pan, Ring};
use super::kind::PanKind;
use super::layouts::layouts;
use super::notes::NoteSet;
use crate::music::Pitch;

/// How far beyond the usual layouts of its kind a note may lie before it is taken for a typing mistake: a fourth. Makers go a tone or
/// two further than the layouts; a slip by an octave goes twelve semitones. Our own setting; no source gives one.
pub const BEYOND: i32 = 5;

/// The most that a set may differ from a layout, in missing and in extra notes, and still look like it: a third of the
/// layout's notes. Our own setting.
const ALIKE: usize = 3;

/// A layout that a set of notes resembles.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Likeness {
    /// The layout.
    pub layout: &'static Pan,
    /// Its notes that the set does not have.
    pub lacking: NoteSet,
    /// The set's notes that it does not have.
    pub more: NoteSet,
}

/// The layout of the kind that differs least from a set; when none of the kind is similar, one of another kind. A layout is similar
/// if it differs by at most a third of its notes. Of equals the first.
pub fn likeness(set: NoteSet, kind: PanKind) -> Option<Likeness> {
    let compare = |layout: &'static Pan| {
        let other = layout.note_set();
        Likeness { layout, lacking: other.without(set), more: set.without(other) }
    };
    let differs = |likeness: &Likeness| likeness.lacking.len() + likeness.more.len();
    let alike = |like: &Likeness| ALIKE * differs(like) <= like.layout.note_set().len();
    let nearest = layouts().iter().map(compare).filter(alike);
    nearest.min_by_key(|like| (like.layout.kind != kind, differs(like)))
}

/// The notes that lie far beyond every layout of a kind, and by how many semitones (negative: below).
pub fn unlikely(set: NoteSet, kind: PanKind) -> Vec<(Pitch, i32)> {
    let usual = layouts().iter().filter(|pan| pan.kind == kind).map(Pan::note_set).fold(NoteSet::EMPTY, NoteSet::or);
    let (Some(low), Some(high)) = (usual.lowest(), usual.highest()) else { return Vec::new() };
    let beyond = |pitch: Pitch| match (low.semitones_to(pitch).min(0), high.semitones_to(pitch).max(0)) {
        (0, above) => above,
        (below, _) => below,
    };
    set.iter().map(|pitch| (pitch, beyond(pitch))).filter(|(_, by)| by.abs() > BEYOND).collect()
}

/// Places the notes of a pan whose file gives no places, as on the layout of its kind that has most of them on the same drum (drums of
/// a pair may be the other way round). Returns the layout, and how many notes found a place. `None`, and nothing is changed, when fewer
/// than two thirds find one: then the pan is laid out in a way of its own. The two thirds are our own setting. Rows of tiles would
/// lay the neighbours of a scale side by side, and the stick model would find everything easy.
pub fn placed_as(pan: &mut Pan) -> Option<(&'static Pan, usize)> {
    let count = pan.notes().count();
    let same_kind = layouts().iter().filter(|layout| layout.kind == pan.kind && layout.drums.len() == pan.drums.len());
    let ways = same_kind.flat_map(|layout| {
        let order: Vec<usize> = (0..layout.drums.len()).collect();
        let turned: Vec<usize> = order.iter().rev().copied().collect();
        let turned = (order.len() == 2).then_some(turned);
        [Some(order), turned].into_iter().flatten().map(move |order| (layout, order))
    });
    let found = |(layout, order): &(&'static Pan, Vec<usize>)| {
        let on = |(drum, note): &(usize, &super::face::NoteArea)| place_on(layout, order[*drum], note.pitch).is_some();
        pan.notes().filter(on).count()
    };
    // Of equals the first.
    let best = ways.map(|way| (found(&way), way)).min_by_key(|(found, _)| std::cmp::Reverse(*found));
    let (found, (layout, order)) = best.filter(|(found, _)| 3 * found >= 2 * count)?;
    for (drum, order) in pan.drums.iter_mut().zip(order) {
        for note in &mut drum.notes {
            if let Some((ring, angle)) = place_on(layout, order, note.pitch) {
                (note.ring, note.angle) = (Some(ring), Some(angle));
            }
        }
        // As they are read: ring by ring, clockwise.
        drum.notes.sort_by(|a, b| {
            let at =
                |note: &super::face::NoteArea| (note.ring.map_or(3, |ring| ring as usize), note.angle.unwrap_or(0.0));
            at(a).partial_cmp(&at(b)).unwrap_or(std::cmp::Ordering::Equal)
        });
    }
    Some((layout, found))
}

/// Where a layout has a note on one of its drums.
fn place_on(layout: &Pan, drum: usize, pitch: Pitch) -> Option<(Ring, f64)> {
    let note = layout.drums[drum].notes.iter().find(|note| note.pitch == pitch)?;
    note.ring.zip(note.angle)
}

/// What a set looks like, in words: `looks like a double second without its low G (G3)`.
pub fn said(like: &Likeness) -> String {
    // As it is spoken; the ping-pong keeps its hyphen.
    let title = match like.layout.kind {
        PanKind::PingPong => "ping-pong".to_owned(),
        kind => kind.name().replace('-', " "),
    };
    let layouts = layouts().iter().filter(|pan| pan.kind == like.layout.kind).count();
    let which = if layouts > 1 { format!(" ({})", like.layout.name) } else { String::new() };
    let mut text = format!("looks like a {title}{which}");
    let whole = like.layout.note_set();
    let lacking: Vec<String> = like.lacking.iter().map(|note| called(note, whole)).collect();
    let more: Vec<String> = like.more.iter().map(|note| note.to_string()).collect();
    if !lacking.is_empty() {
        text.push_str(&format!(" without its {}", crate::text::words::and(&lacking)));
    }
    if !more.is_empty() {
        let and = if lacking.is_empty() { "" } else { "," };
        text.push_str(&format!("{and} with {} more", crate::text::words::and(&more)));
    }
    text
}

/// `low G (G3)`, `high G (G5)`, or the plain name where a layout has the note once or it is neither.
fn called(note: Pitch, whole: NoteSet) -> String {
    let octaves: Vec<Pitch> = whole.octaves(note.class()).collect();
    let word = match octaves.as_slice() {
        [low, .., _] if *low == note => "low",
        [_, .., high] if *high == note => "high",
        _ => return note.to_string(),
    };
    format!("{word} {} ({note})", note.class())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pan::layout;

    #[test]
    fn a_pan_with_a_note_less_is_known() {
        let mut set = layout("double-second").expect("a layout").note_set();
        set.remove("G3".parse().expect("a note"));
        let like = likeness(set, PanKind::DoubleSecond).expect("it is near");
        assert_eq!(said(&like), "looks like a double second without its low G (G3)");
        set.insert("C6".parse().expect("a note"));
        let like = likeness(set, PanKind::DoubleSecond).expect("it is near");
        assert_eq!(said(&like), "looks like a double second without its low G (G3), with C6 more");
    }

    #[test]
    fn every_layout_is_like_itself() {
        for pan in layouts() {
            let like = likeness(pan.note_set(), pan.kind).expect("itself");
            assert_eq!((&like.layout.name, like.lacking.len(), like.more.len()), (&pan.name, 0, 0));
            assert!(unlikely(pan.note_set(), pan.kind).is_empty());
        }
        assert_eq!(likeness(NoteSet::EMPTY, PanKind::Lead), None);
    }

    #[test]
    fn a_slip_by_an_octave_is_unlikely() {
        let set = ["C3", "D4", "F#6", "B6", "C7"].map(|name| name.parse().expect("a note"));
        let set: NoteSet = set.into_iter().collect();
        let names: Vec<(String, i32)> =
            unlikely(set, PanKind::Lead).into_iter().map(|(note, by)| (note.to_string(), by)).collect();
        assert_eq!(names, [("C3".to_owned(), -12), ("C7".to_owned(), 6)]);
    }

    #[test]
    fn a_pan_without_places_takes_those_of_its_layout() {
        for layout in layouts() {
            let mut plain = layout.clone();
            for note in plain.drums.iter_mut().flat_map(|drum| &mut drum.notes) {
                (note.ring, note.angle) = (None, None);
            }
            let (like, found) = placed_as(&mut plain).expect("its own");
            assert_eq!((like.name.as_str(), found), (layout.name.as_str(), layout.notes().count()));
            for (drum, note) in layout.notes() {
                let (at, area) = plain.note(note.pitch).expect("the note");
                assert_eq!((at, area.ring, area.angle), (drum, note.ring, note.angle));
            }
            // A pair the other way round keeps its drums; a pan of its own kind of order keeps its notes as they are.
            if let [left, right] = layout.drums.as_slice() {
                let mut mirrored = Pan { drums: vec![right.clone(), left.clone()], ..layout.clone() };
                assert_eq!(placed_as(&mut mirrored).map(|(_, found)| found), Some(found));
                let mut mixed = layout.clone();
                let mut all: Vec<_> = mixed.drums.iter().flat_map(|drum| drum.notes.clone()).collect();
                all.sort_by_key(|note| note.pitch);
                let upper = all.split_off(all.len() / 2);
                (mixed.drums[0].notes, mixed.drums[1].notes) = (all, upper);
                let before = mixed.clone();
                assert_eq!(placed_as(&mut mixed), None);
                assert_eq!(mixed, before);
            }
        }
    }
}

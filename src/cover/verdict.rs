//! A sentence on a part and a pan, as a leader would read it aloud.

use std::cmp::Ordering;

use super::extra::Extra;
use super::share::{Cover, Share, percent};
use crate::pan::NoteSet;
use crate::text::words;

/// A pan that plays the part now.
#[derive(Clone, Copy, Debug)]
pub struct Now<'a> {
    /// Its name.
    pub name: &'a str,
    /// What it plays of the part.
    pub share: Share,
    /// Whether it is the pan that is asked about.
    pub itself: bool,
}

/// The most extra notes that a sentence names; if there are more, the table has them.
const NAMED: usize = 4;

/// What a pan is good for: how much of the part, with what change, and beside the pans that play it now.
///
/// - `octaves`: by how many octaves the part lies higher than on its own kind of pan.
///
/// The sentence is in lower case and has no full stop.
pub fn verdict(cover: &Cover, extra: &Extra, octaves: i32, now: &[Now]) -> String {
    if cover.strokes == 0 {
        return "never plays".to_owned();
    }
    let mut said = vec![own(cover)];
    if octaves != 0 {
        let direction = if octaves < 0 { "lower" } else { "higher" };
        let far = words::count(octaves.unsigned_abs() as usize, "octave");
        said.push(format!("it would lie {far} {direction} than on its own kind of pan"));
    }
    said.extend(asked_for(cover, extra));
    said.extend(key(cover));
    said.push(beside(cover, now));
    said.join("; ")
}

fn own(cover: &Cover) -> String {
    let part = |strokes| percent(strokes, cover.strokes);
    if cover.is_whole() {
        return "complete as written".to_owned();
    }
    let (written, near) = (part(cover.share.as_written), part(cover.share.with_moves));
    let moves = match cover.moved {
        0 => "once notes that the tune leaves open change their octave".to_owned(),
        1 => "once 1 note moves by octaves".to_owned(),
        n => format!("once {n} notes move by octaves"),
    };
    let written_text = if written == 0 { "nothing".to_owned() } else { format!("only {written} %") };
    match (cover.is_in_reach(), cover.is_whole_with_moves()) {
        (true, true) => format!("{written} % as written, complete {moves}"),
        (false, true) => format!("{written_text} as written, but complete {moves}"),
        (true, false) if written == near => format!("{written} %, and octave moves don't help"),
        (true, false) => format!("{written} % as written, {near} % {moves}"),
        (false, false) if written == near => {
            format!("hardly fits this pan: {written} %, and octave moves don't help")
        }
        (false, false) => format!("hardly fits this pan: {written_text} as written, {near} % {moves}"),
    }
}

/// Which extra notes would be enough, if they are few.
fn asked_for(cover: &Cover, extra: &Extra) -> Option<String> {
    if cover.is_whole() || !cover.is_in_reach() {
        return None;
    }
    let few = |set: NoteSet| (1..=NAMED).contains(&set.len());
    let written = few(extra.as_written).then(|| format!("if it also had {}", notes(extra.as_written)));
    let fewer = extra.with_moves.len() < extra.as_written.len();
    let moved =
        (few(extra.with_moves) && fewer).then(|| format!("by octave moves if it also had {}", notes(extra.with_moves)));
    match (written, moved) {
        (Some(written), Some(moved)) => Some(format!("complete {moved}, or {written}")),
        (Some(one), None) | (None, Some(one)) => Some(format!("complete {one}")),
        (None, None) => None,
    }
}

fn key(cover: &Cover) -> Option<String> {
    let better = cover.better?;
    let share = better.share;
    // A little more of what is hardly there would send a leader astray.
    if 2 * share.as_written < cover.strokes && share.with_moves == cover.share.with_moves {
        return None;
    }
    let direction = if better.semitones < 0 { "lower" } else { "higher" };
    let far = words::count(better.semitones.unsigned_abs() as usize, "semitone");
    let (written, near) = (percent(share.as_written, cover.strokes), percent(share.with_moves, cover.strokes));
    let what = match (written, near) {
        (100, _) => "complete as written".to_owned(),
        (written, 100) => format!("{written} % as written and complete with octave moves"),
        (written, near) if written == near => format!("{written} %"),
        (written, near) => format!("{written} % as written and {near} % with octave moves"),
    };
    Some(format!("in {} ({far} {direction}) {what}", better.key))
}

/// The comparison with the pans that play it now, best first.
fn beside(cover: &Cover, now: &[Now]) -> String {
    let others = now.iter().filter(|now| !now.itself);
    let Some(best) = others.max_by_key(|now| rank(now.share)) else {
        return if now.is_empty() { "nobody plays it now" } else { "it has this part now" }.to_owned();
    };
    let there = percent(best.share.as_written, cover.strokes);
    let name = best.name;
    match rank(cover.share).cmp(&rank(best.share)) {
        Ordering::Greater => format!("better than `{name}`, which has this part now ({there} %)"),
        Ordering::Equal => format!("as good as `{name}`, which has this part now"),
        Ordering::Less => format!("`{name}` has this part now and covers more of it ({there} %)"),
    }
}

fn rank(share: Share) -> (u64, u64) {
    (share.as_written, share.with_moves)
}

/// `an F#4`, `an F#4 and a C5`.
pub fn notes(set: NoteSet) -> String {
    let one = |name: String| {
        let article = if name.starts_with(['A', 'E', 'F']) { "an" } else { "a" };
        format!("{article} {name}")
    };
    let notes: Vec<String> = set.iter().map(|note| one(note.to_string())).collect();
    words::and(&notes)
}

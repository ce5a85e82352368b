//! Rows of a few notes that are left over when the chords of a voice are shared out two notes a row: the third note of a chord is
//! nobody's part. With `--keep-all` such rows are parts that take what the others leave, never a lead, and keep their names.

use crate::exchange::lost::{Lost, Weight, Where};
use crate::exchange::score::{Note, On, Part, Score, Struck};
use crate::exchange::voices::STICKS;

/// A row is spare if it has at most this share of the strokes of the largest row of its part, in per cent; or at most this many strokes, if
/// each is the rest of a chord. Our own settings.
const FEW_PER_CENT: usize = 5;
const FEW: usize = 4;

/// Whether a row of a score is one of a few notes beside a larger one of the same part of the file. What panfold wrote itself has none.
pub fn is_spare(score: &Score, part: usize) -> bool {
    let own = &score.parts[part];
    let largest = family(score, part).map(|other| strokes(&score.parts[other])).max().unwrap_or(0);
    if score.ours || strokes(own) * 2 >= largest {
        return false;
    }
    let few = strokes(own) <= largest * FEW_PER_CENT / 100;
    few || strokes(own) <= FEW && own.notes.iter().all(|note| is_of_chord(score, part, note))
}

/// Whether a note begins and ends together with a stroke of another row of its part.
fn is_of_chord(score: &Score, part: usize, note: &Note) -> bool {
    let falls_together = |other: &Note| (other.start, other.length) == (note.start, note.length);
    family(score, part).any(|other| score.parts[other].of_measure(note.measure).iter().any(falls_together))
}

/// The other rows on pans of the same part of the file.
fn family(score: &Score, part: usize) -> impl Iterator<Item = usize> + '_ {
    let own = &score.parts[part];
    let is_kin = move |other: &Part| other.from == own.from && other.name == own.name && other.on == own.on;
    let is_on_pans = own.on == On::Pan;
    (0..score.parts.len()).filter(move |other| is_on_pans && *other != part && is_kin(&score.parts[*other]))
}

fn strokes(part: &Part) -> usize {
    part.notes.iter().filter(|note| !note.tied).count()
}

/// The score without its spare rows: their notes go where a stick is free in another row of the same part of the file; notes that are
/// left out are reported. `None` when it has none.
pub fn without_spare(score: &Score, lost: &mut Lost) -> Option<Score> {
    let spare: Vec<usize> = (0..score.parts.len()).filter(|part| is_spare(score, *part)).collect();
    if spare.is_empty() {
        return None;
    }
    let mut without = score.clone();
    for part in &spare {
        let kin: Vec<usize> = family(score, *part).filter(|other| !spare.contains(other)).collect();
        let own = &score.parts[*part];
        for note in own.notes.iter().filter(|note| !note.tied) {
            let joins = kin.iter().any(|other| join(&mut without.parts[*other].notes, note));
            let (weight, what) = if joins {
                (Weight::Otherwise, "a note that overlaps others goes to a stick that is free")
            } else {
                (
                    Weight::Heard,
                    "a note for which no stick is free is left out; `--keep-all` keeps it, in a row of its own",
                )
            };
            let measure = (note.measure + 1).to_string();
            lost.tell(weight, what, Where { part: &own.name, measure: &measure, span: None });
        }
    }
    without.parts = all_but(without.parts, |part| spare.contains(&part));
    Some(without)
}

/// All of a list but those whose numbers are gone.
pub(super) fn all_but<T>(all: Vec<T>, is_gone: impl Fn(usize) -> bool) -> Vec<T> {
    all.into_iter().enumerate().filter(|(number, _)| !is_gone(*number)).map(|(_, one)| one).collect()
}

/// Adds a stroke to a row where it falls together with one of a single note, or where the row rests.
fn join(row: &mut Vec<Note>, note: &Note) -> bool {
    let Struck::Notes(own) = &note.struck else { return false };
    if note.open {
        return false;
    }
    let from = row.partition_point(|other| (other.measure, other.end()) <= (note.measure, note.start));
    let Some(there) = row.get_mut(from).filter(|there| (there.measure, there.start) < (note.measure, note.end()))
    else {
        row.insert(from, note.clone());
        return true;
    };
    let is_alike = (there.start, there.length, there.tied, there.open) == (note.start, note.length, false, false);
    match &mut there.struck {
        Struck::Notes(pitches) if is_alike && pitches.len() + own.len() <= STICKS && pitches[0] != own[0] => {
            pitches.extend(own);
            pitches.sort_by_key(|pitch| std::cmp::Reverse(*pitch));
            true
        }
        _ => false,
    }
}

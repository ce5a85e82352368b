//! Which parts lie above which, and between which of their notes a stroke lies as it is written, so that octave moves keep voices apart.
//!
//! Parts are fitted from the highest to the lowest. Parts that change pans, and what `cover` asks, leave voices out.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use super::line::Line;
use super::octaves::Octave;
use super::part_fit::PartFit;
use crate::music::{Length, Pitch};
use crate::tune::Tune;
use crate::tune::model::{Event, Open, Player, Row, Struck};

/// The parts on pans that have written notes, the highest first by the mean of their notes; of equals the one with the smaller number.
/// Versions of a part for a single pan are not among them.
pub fn from_high_to_low<N: Copy + Into<Open>>(tune: &Tune<N>) -> Vec<usize> {
    let mut means: Vec<(usize, f64)> = (0..tune.parts.len())
        .filter(|part| {
            let is_on_pans = matches!(tune.parts[*part].player, Player::Pans { .. });
            is_on_pans && tune.parts[*part].version.is_none()
        })
        .filter_map(|part| Some((part, mean(tune, part)?)))
        .collect();
    means.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    means.into_iter().map(|(part, _)| part).collect()
}

fn mean<N: Copy + Into<Open>>(tune: &Tune<N>, part: usize) -> Option<f64> {
    let rows = tune.sections.iter().filter_map(|section| section.rows[part].as_ref());
    let tops = rows.filter(|row| row.doubles.is_none()).flat_map(|row| &row.events).filter_map(top);
    let (sum, count) = tops.fold((0.0, 0u32), |(sum, count), top| (sum + f64::from(top.key()), count + 1));
    (count > 0).then(|| sum / f64::from(count))
}

/// The highest note of a stroke, if all of its notes are written with their octaves.
fn top<N: Copy + Into<Open>>(event: &Event<N>) -> Option<Pitch> {
    let Struck::Notes(notes) = &event.struck else { return None };
    let pitches: Option<Vec<Pitch>> = notes
        .iter()
        .map(|note| match note.pitch.into() {
            Open::Pitch(pitch) => Some(pitch),
            Open::Tone { .. } | Open::Strum | Open::Harmony { .. } => None,
        })
        .collect();
    pitches?.into_iter().max()
}

/// The highest note of a row that sounds at a moment, counted from the section's start, if it is written with its octave.
pub fn sounding<N: Copy + Into<Open>>(row: &Row<N>, moment: Length) -> Option<Pitch> {
    stroke_at(row, moment).and_then(|number| top(&row.events[number]))
}

/// The number of the stroke of a row that sounds at a moment.
fn stroke_at<N>(row: &Row<N>, moment: Length) -> Option<usize> {
    let number = row.events.partition_point(|event| event.start <= moment).checked_sub(1)?;
    let event = &row.events[number];
    (moment < event.start + event.length).then_some(number)
}

/// A part's row as other parts meet it.
struct Voice<'a, N> {
    row: &'a Row<N>,
    /// Where the strokes of the row go, if the part is fitted already, and the row's section.
    fitted: Option<&'a PartFit>,
    section: usize,
}

impl<N: Copy + Into<Open>> Voice<'_, N> {
    /// The top notes of the stroke that sounds at a moment: as written, and where it goes in the key that is written.
    fn at(&self, moment: Length) -> Option<(Pitch, Pitch)> {
        let number = stroke_at(self.row, moment)?;
        let written = top(&self.row.events[number])?;
        let Some(fitted) = self.fitted else { return Some((written, written)) };
        let Some((stroke, _)) = fitted.line.events.get(&(self.section, number)) else {
            return Some((written, written));
        };
        // A stroke that the pans lack is not heard.
        let (octaves, _) = fitted.moved[*stroke]?;
        Some((written, written.up(12 * octaves)?))
    }
}

/// Gives each stroke of a part's line the notes between which it lies: the lowest that higher parts sound at its moments, and the
/// highest that lower parts sound, each unless it is crossed already as written. `fitted`: the parts whose octaves are found.
pub(super) fn set_between<N: Copy + Into<Open>>(
    tune: &Tune<N>,
    part: usize,
    line: &mut Line,
    order: &[usize],
    fitted: &BTreeMap<usize, PartFit>,
) {
    let Some(own_rank) = order.iter().position(|of| *of == part) else { return };
    // Sorted, so that equal inputs meet in one order.
    let mut events: Vec<((usize, usize), usize)> =
        line.events.iter().map(|(event, (stroke, _))| (*event, *stroke)).collect();
    events.sort_unstable();
    for (section, rows) in tune.sections.iter().enumerate().map(|(number, section)| (number, &section.rows)) {
        let Some(own) = rows[part].as_ref() else { continue };
        let voices: Vec<(bool, Voice<N>)> = order
            .iter()
            .enumerate()
            .filter_map(|(rank, other)| {
                let row = rows[*other].as_ref().filter(|row| *other != part && row.doubles.is_none())?;
                Some((rank < own_rank, Voice { row, fitted: fitted.get(other), section }))
            })
            .collect();
        let from = events.partition_point(|((of, _), _)| *of < section);
        for ((_, number), stroke) in events[from..].iter().take_while(|((of, _), _)| *of == section) {
            let written = &mut line.strokes[*stroke].written;
            if written.octaves.0 != Octave::Moves {
                continue;
            }
            for (is_higher, voice) in &voices {
                let Some((as_written, goes)) = voice.at(own.events[*number].start) else { continue };
                if *is_higher && written.top <= as_written {
                    written.under = Some(written.under.map_or(goes, |under| under.min(goes)));
                } else if !*is_higher && written.top >= as_written {
                    written.over = Some(written.over.map_or(goes, |over| over.max(goes)));
                }
            }
        }
    }
}

/// The order in which parts are fitted: from high to low, then those without a place in that order.
pub(super) fn in_turn(order: &[usize], parts: impl Iterator<Item = usize>) -> Vec<usize> {
    let mut turn: Vec<usize> = parts.collect();
    turn.sort_by_key(|part| {
        let rank = order.iter().position(|of| of == part);
        (Reverse(rank.is_some()), rank, *part)
    });
    turn
}

#[cfg(test)]
mod tests {
    use crate::fit::plan::{self, Options};
    use crate::kit;

    const BAND: &str = "name = \"B\"\n[[pan]]\nname = \"Top\"\nkind = \"double-tenor\"\nnotes = \"C4 C6 D4 D6\"\n\
                        [[pan]]\nname = \"Low\"\nlayout = \"triple-cello\"\n";

    /// How the strokes of the first part move.
    fn moved(rows: &str) -> Vec<i32> {
        let text = format!("meter 4/4\npart high on double-tenor\npart low on triple-cello\nsection a\n{rows}");
        let tune = kit::open(BAND, &text);
        let fitted = plan::fit(&tune, &Options::default());
        fitted[0].moved.iter().map(|moved| moved.expect("on the pan").0).collect()
    }

    #[test]
    fn a_part_moves_where_it_crosses_no_other() {
        assert_eq!(moved(" high | C5 - - - |\n low  | D3 - - - |\n"), [-1], "of equals the lower octave");
        assert_eq!(moved(" high | C5 - - - |\n low  | E4 - - - |\n"), [1], "down would cross the lower part");
        assert_eq!(moved(" high | C5 - - - |\n low  | E4 . . . | \n"), [1]);
        assert_eq!(moved(" high | . C5 - - |\n low  | E4 . . . |\n"), [-1], "it does not sound any more");
        assert_eq!(
            moved(" high | C5 - - - | C5 - - - |\n low  | D3 - - - | E4 - - - |\n"),
            [1, 1],
            "a line stays together"
        );
    }
}

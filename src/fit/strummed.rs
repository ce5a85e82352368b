//! The chords that are strummed in a section: when each begins, who strums it, and how low the leads are meanwhile.

use std::collections::BTreeMap;

use super::voicing::Moment;
use crate::music::{Chord, Length, Pitch};
use crate::pan::PanKind;
use crate::tune::model::{Event, Open, Player, Section, Struck, Tune};

/// The chords that some parts strum in a section, and with which strokes.
pub(super) struct Strummed {
    /// The chords that any of the parts strums, and when each begins; a chord that is written twice in a row is one chord.
    pub chords: Vec<(Length, Moment)>,
    /// For each part, its strokes that strum.
    pub strokes: Vec<Vec<Stroke>>,
}

/// A stroke that strums.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Stroke {
    /// The number of the event in its row.
    pub event: usize,
    /// The number of the chord that it falls on.
    pub chord: usize,
}

impl Strummed {
    /// What these parts strum in a section.
    ///
    /// - `lowest`: the lowest note of a lead's stroke, by the numbers of the part and of the event in its row, if it strikes any.
    pub fn of(
        open: &Tune<Open>,
        section: &Section<Open>,
        parts: &[usize],
        lowest: impl Fn(usize, usize) -> Option<Pitch>,
    ) -> Strummed {
        let runs = Runs::of(section);
        let mut strokes: Vec<Vec<Stroke>> = parts.iter().map(|part| runs.strokes(*part)).collect();
        let mut moments: BTreeMap<usize, Moment> = BTreeMap::new();
        for (slot, strokes) in strokes.iter().enumerate() {
            for stroke in strokes {
                let moment = moments.entry(stroke.chord).or_insert_with(|| Moment {
                    chord: runs.all[stroke.chord].1,
                    lead: None,
                    plays: vec![false; parts.len()],
                    gaps: vec![None; parts.len()],
                });
                let is_first = !std::mem::replace(&mut moment.plays[slot], true);
                if is_first {
                    moment.gaps[slot] = gap(section, parts[slot], stroke.event);
                }
            }
        }
        for part in (0..open.parts.len()).filter(|part| leads(open, *part) && !parts.contains(part)) {
            for (event, stroke) in section.rows[part].iter().flat_map(|row| row.events.iter().enumerate()) {
                let moment = runs.at(stroke.start).and_then(|run| moments.get_mut(&run));
                if let (Some(lowest), Some(moment)) = (lowest(part, event), moment) {
                    moment.lead = Some(moment.lead.map_or(lowest, |lead| lead.min(lowest)));
                }
            }
        }
        // What nobody strums is no moment: so strokes get the numbers of moments instead of those of runs.
        let order: Vec<usize> = moments.keys().copied().collect();
        for stroke in strokes.iter_mut().flatten() {
            stroke.chord = order.binary_search(&stroke.chord).expect("every stroke's chord is a moment");
        }
        let chords = moments.into_iter().map(|(run, moment)| (runs.all[run].0, moment)).collect();
        Strummed { chords, strokes }
    }
}

/// The chords of a section as they last: a chord that is written again right after itself goes on.
struct Runs<'a> {
    section: &'a Section<Open>,
    /// When each begins, and what it is.
    all: Vec<(Length, Chord)>,
    /// For each chord as it is written, the number of its run; `None` for `N.C.`.
    of_written: Vec<Option<usize>>,
}

impl<'a> Runs<'a> {
    fn of(section: &'a Section<Open>) -> Runs<'a> {
        let mut all: Vec<(Length, Chord)> = Vec::new();
        let mut of_written: Vec<Option<usize>> = Vec::with_capacity(section.chords.len());
        for written in &section.chords {
            let before = of_written.last().copied().flatten();
            of_written.push(written.chord.map(|chord| match before {
                Some(run) if all[run].1 == chord => run,
                _ => {
                    all.push((written.start, chord));
                    all.len() - 1
                }
            }));
        }
        Runs { section, all, of_written }
    }

    /// The number of the run at a time, if there is a chord then.
    fn at(&self, time: Length) -> Option<usize> {
        let after = self.section.chords.partition_point(|chord| chord.start <= time);
        after.checked_sub(1).and_then(|written| self.of_written[written])
    }

    /// A part's strokes that strum a chord, with the numbers of their runs.
    fn strokes(&self, part: usize) -> Vec<Stroke> {
        let events = self.section.rows[part].iter().flat_map(|row| row.events.iter().enumerate());
        let strums = events.filter(|(_, event)| is_strum(event));
        strums.filter_map(|(number, event)| Some(Stroke { event: number, chord: self.at(event.start)? })).collect()
    }
}

/// How long after the stroke before it a part's stroke comes, in microseconds; `None` for the first of its row.
fn gap(section: &Section<Open>, part: usize, event: usize) -> Option<i64> {
    let events = &section.rows[part].as_ref()?.events;
    let gap = events[event].start - events[event.checked_sub(1)?].start;
    Some((section.tempo.seconds(gap, section.meter) * 1e6) as i64)
}

/// Whether a part plays on a lead.
pub(super) fn leads(open: &Tune<Open>, part: usize) -> bool {
    matches!(open.parts[part].player, Player::Pans { kind: PanKind::Lead, .. })
}

/// Whether a part strums in a section; not one that doubles another.
pub(super) fn strums(section: &Section<Open>, part: usize) -> bool {
    section.rows[part].as_ref().is_some_and(|row| row.doubles.is_none() && row.events.iter().any(is_strum))
}

fn is_strum(event: &Event<Open>) -> bool {
    matches!(&event.struck, Struck::Notes(notes) if notes.iter().any(|note| note.pitch == Open::Strum))
}

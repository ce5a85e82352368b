//! The rows of a score as lines that `fit` can move: what each of them loses on each pan, and where two of them would cross.

use rayon::prelude::*;

use crate::exchange::score::{Note, Part, Score, Struck};
use crate::fit::home;
use crate::fit::octaves::{Terms, Written, by_stroke, fit};
use crate::music::{Length, Pitch};
use crate::pan::{Costs, NoteSet, PanKind};

/// A row of a score as a line.
pub struct Line {
    /// Its strokes, in the order of the measures as written.
    strokes: Vec<Written>,
    /// How often each is played.
    times: Vec<u64>,
    /// When each of them sounds: the measure, from when to when in it, and the stroke's number.
    sounding: Vec<(usize, Length, Length, usize)>,
}

/// A line on a pan.
#[derive(Clone, Debug, Default)]
pub struct Placed {
    /// For each stroke its top note as it would be played; `None` where the pan has no octave of it.
    tops: Vec<Option<Pitch>>,
    /// Strokes that are missing, with the form played out.
    pub missing: u64,
    /// At how many places neighbours move apart by an octave or more, or a direction is lost.
    pub torn: u64,
    /// How far it lies from where the pan's notes lie, in semitones, with an octave more for each note that moves: the mean of all
    /// strokes.
    pub away: u64,
}

/// How often each written measure is played.
pub fn times(score: &Score) -> Vec<u64> {
    let mut times = vec![0; score.measures.len()];
    score.order.iter().for_each(|measure| times[*measure] += 1);
    times
}

impl Line {
    /// The line of a part; `times`: how often each measure is played.
    pub fn of(part: &Part, score: &Score, times: &[u64]) -> Line {
        let mut line = Line { strokes: Vec::new(), times: Vec::new(), sounding: Vec::new() };
        let mut last: Option<&Note> = None;
        for note in &part.notes {
            let Struck::Notes(pitches) = &note.struck else { continue };
            let (Some(top), Some(low)) = (pitches.iter().max(), pitches.iter().min()) else { continue };
            if !note.tied || line.strokes.is_empty() {
                let beat = score.measures[note.measure].meter.beat();
                let is_near = |last: &Note| {
                    let from = if last.measure == note.measure { last.end() } else { Length::ZERO };
                    let goes_on = last.measure + 1 >= note.measure;
                    goes_on && note.start - from < beat
                };
                let after_rest = !last.is_some_and(is_near);
                let low = (low != top).then_some(*low);
                line.strokes.push(Written { low, after_rest, ..Written::note(*top) });
                line.times.push(times[note.measure]);
            }
            line.sounding.push((note.measure, note.start, note.end(), line.strokes.len() - 1));
            last = Some(note);
        }
        line
    }

    /// The line on the notes of a pan, after the octave moves that cost the least.
    fn on(&self, set: NoteSet, kind: PanKind, costs: &Costs) -> Placed {
        let fitted = fit(&self.strokes, set, costs);
        let each = by_stroke(&self.strokes, &fitted.moved, costs);
        let is_torn = |terms: &&Terms| terms.breaks + terms.breaks_at_rests + terms.turns > 0;
        let mut placed = Placed { torn: each.iter().filter(is_torn).count() as u64, ..Placed::default() };
        let home = home(set, kind).map_or(0, |home| u64::from(home.key()));
        let (mut away, mut count) = (0, 0);
        for ((stroke, moved), times) in self.strokes.iter().zip(&fitted.moved).zip(&self.times) {
            let top = moved.and_then(|(octaves, _)| stroke.top.up(12 * octaves));
            placed.tops.push(top);
            match (top, moved) {
                (Some(top), Some((octaves, _))) => {
                    away += u64::from(top.key()).abs_diff(home) + 12 * u64::from(octaves.unsigned_abs());
                    count += 1;
                }
                _ => placed.missing += times,
            }
        }
        placed.away = away / count.max(1);
        placed
    }
}

/// Each line on each of some pans: by line, then by pan. Pans of the same kind with the same notes are looked at once.
pub fn on_pans(lines: &[Line], pans: &[(NoteSet, PanKind)], costs: &Costs) -> Vec<Vec<Placed>> {
    let mut different: Vec<(NoteSet, PanKind)> = Vec::new();
    let which: Vec<usize> = pans
        .iter()
        .map(|pan| {
            different.iter().position(|other| other == pan).unwrap_or_else(|| {
                different.push(*pan);
                different.len() - 1
            })
        })
        .collect();
    let placed = |line: &Line| {
        let each: Vec<Placed> = different.iter().map(|(set, kind)| line.on(*set, *kind, costs)).collect();
        which.iter().map(|number| each[*number].clone()).collect()
    };
    lines.par_iter().map(placed).collect()
}

/// The moments at which two lines sound together and do not cross as they are written: the numbers of their strokes, and how often.
pub struct Moments(Vec<(usize, usize, u64)>);

impl Moments {
    /// Of a higher and a lower line. Cost: linear in their strokes.
    pub fn of(high: &Line, low: &Line) -> Moments {
        let (mut i, mut j) = (0, 0);
        let mut moments = Vec::new();
        while let (Some(x), Some(y)) = (high.sounding.get(i), low.sounding.get(j)) {
            let meet = x.0 == y.0 && x.1 < y.2 && y.1 < x.2;
            if meet && high.strokes[x.3].top >= low.strokes[y.3].top {
                moments.push((x.3, y.3, high.times[x.3].min(low.times[y.3])));
            }
            if (x.0, x.2) <= (y.0, y.2) { i += 1 } else { j += 1 }
        }
        Moments(moments)
    }

    /// At how many of them the lines cross where they are placed.
    pub fn crossed(&self, high: &Placed, low: &Placed) -> u64 {
        let crossed = |(x, y, _): &&(usize, usize, u64)| match (high.tops[*x], low.tops[*y]) {
            (Some(high), Some(low)) => low > high,
            _ => false,
        };
        self.0.iter().filter(crossed).map(|(.., times)| times).sum()
    }
}

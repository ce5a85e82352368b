//! The strokes of a part on one pan, with their times, as the sticks need them; and the sticks of a whole part.

use super::movement::Hands;
use super::sticking::{Stick, Stroke, solve};
use crate::music::Length;
use crate::tune::model::{Event, Row, Section, Struck};
use crate::tune::swing::Swing;
use crate::tune::{Tune, model};

/// The share of a rolled note that keeps the sticks busy: a roll may be cut short by half for the way to the next note
/// (common practice, no source).
const ROLL_HELD: f64 = 0.5;

/// The time between sections that don't follow each other, in seconds: enough for any way.
const APART: f64 = 60.0;

/// A stroke's place in a tune: the section's number and the number of the event in the part's row.
pub type EventPlace = (usize, usize);

/// A part's line on one pan.
#[derive(Clone, Debug, Default)]
pub struct Line {
    /// The strokes that the pan's player can strike.
    pub strokes: Vec<Stroke>,
    /// Where each is written.
    pub places: Vec<EventPlace>,
}

/// The line of a part on a pan, at the tempo written: the sections in the order in which they are first played, each once;
/// between two that don't follow each other in the form the sticks have all the time they want. The step from the end of a section back
/// to its beginning is not looked at.
///
/// Left out is what can't be struck at all, which is reported elsewhere: notes that the pan lacks, and strokes of more than two.
pub fn line(tune: &Tune, part: usize, hands: &Hands) -> Line {
    line_of(tune, part, hands, |section| tune.sections[section].rows[part].as_ref())
}

/// The same for rows that stand for those of the part, by the section's number.
pub fn line_of<'a>(tune: &Tune, part: usize, hands: &Hands, row: impl Fn(usize) -> Option<&'a Row>) -> Line {
    let mut line = Line::default();
    let mut begin = 0.0;
    for (number, follows) in tune.first_played() {
        if !follows {
            begin += APART;
        }
        let section = &tune.sections[number];
        if let Some(row) = row(number) {
            let clock = Clock::new(tune, section, begin);
            // A roll that goes on from the section before.
            if row.carry.rolled
                && let Some(last) = line.strokes.last_mut()
                && let Some(until) = &mut last.rolled_until
            {
                *until = (*until).max(clock.at(row.carry.length.fraction(1, 2), true));
            }
            for (event_number, event) in row.events.iter().enumerate() {
                let rolled = event.rolled || (!event.damped && tune.rolls(part, event.length, section.meter));
                if let Some(stroke) = stroke(event, hands, &clock, rolled) {
                    line.strokes.push(stroke);
                    line.places.push((number, event_number));
                }
            }
        }
        begin += section.tempo.seconds(section.length, section.meter);
    }
    line
}

fn stroke(event: &Event, hands: &Hands, clock: &Clock, rolled: bool) -> Option<Stroke> {
    let Struck::Notes(notes) = &event.struck else { return None };
    let at = clock.at(event.start, event.straight);
    let place = |note: &model::Note| hands.place(note.pitch);
    let (note, second) = match notes.as_slice() {
        [note] => (place(note)?, None),
        [note, second] => (place(note)?, Some(place(second)?)),
        _ => return None,
    };
    let rolled_until = rolled.then(|| {
        let end = clock.at(event.start + event.length, event.straight);
        at + ((end - at) as f64 * ROLL_HELD) as i64
    });
    Some(Stroke { at, note, second: second.filter(|second| *second != note), rolled_until, stick: event.stick })
}

/// From a section's time to microseconds.
struct Clock<'a> {
    section: &'a Section,
    swing: Option<Swing>,
    /// When the section begins, in seconds.
    begin: f64,
}

impl<'a> Clock<'a> {
    fn new(tune: &Tune, section: &'a Section, begin: f64) -> Self {
        let first = if section.bars() == 0 { section.meter.bar() } else { section.bar_length(0) };
        Clock { section, swing: Swing::new(tune.swing, section.meter, first), begin }
    }

    fn at(&self, time: Length, straight: bool) -> i64 {
        let time = match &self.swing {
            Some(swing) if !straight => swing.bend(time),
            _ => time,
        };
        ((self.begin + self.section.tempo.seconds(time, self.section.meter)) * 1e6).round() as i64
    }
}

/// For each stroke of a row the stick of its first note as written (of two notes the other stick strikes the other; of a roll it
/// begins).
///
/// `None`: a stroke whose sticks are not chosen: percussion, a note that the pan lacks, or more than two notes.
pub type RowSticks = Vec<Option<Stick>>;

/// The sticks of a part on one of the band's pans (by number), by section: an entry for each event of the part's row there.
pub fn sticks(tune: &Tune, part: usize, pan: usize) -> Vec<RowSticks> {
    let events = |section: &Section| section.rows[part].as_ref().map_or(0, |row| row.events.len());
    let mut sticks: Vec<RowSticks> = tune.sections.iter().map(|section| vec![None; events(section)]).collect();
    let hands = Hands::new(&tune.band.pans[pan].pan, crate::people::level(tune, part, pan).0);
    let line = line(tune, part, &hands);
    for ((section, event), stick) in line.places.iter().zip(solve(&hands, &line.strokes).sticks) {
        sticks[*section][*event] = Some(stick);
    }
    sticks
}

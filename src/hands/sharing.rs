//! A part that is too busy for one player, shared out between two: the usual ways, and the tempo that each makes possible.

use std::cmp::Reverse;

use super::line::line_of;
use super::movement::{COMFORTABLE, Hands};
use super::tempo::{Share, limit};
use crate::music::Length;
use crate::pan::Pan;
use crate::tune::Tune;
use crate::tune::model::{Carry, Event, Row, Section, Struck};

/// A way to share a part (all common practice, no source).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Split {
    /// Of notes struck together one player takes the lowest, the other the rest; the other takes single notes too.
    Notes,
    /// Hocket: one takes the odd beats of each bar, the other the even ones.
    Beats,
    /// Each takes every other stroke.
    Strokes,
}

impl Split {
    /// All of them, the easiest to keep up first.
    pub const ALL: [Split; 3] = [Split::Notes, Split::Beats, Split::Strokes];

    /// In words, for screens.
    pub fn what(self) -> &'static str {
        match self {
            Split::Notes => "upper and lower notes",
            Split::Beats => "beat by beat",
            Split::Strokes => "every other stroke",
        }
    }

    /// The name in JSON and on the command line.
    pub fn name(self) -> &'static str {
        match self {
            Split::Notes => "notes",
            Split::Beats => "beats",
            Split::Strokes => "strokes",
        }
    }
}

/// The rows of a player, by the section's number.
pub type Rows = Vec<Option<Row>>;

/// A part shared out.
#[derive(Clone, Debug)]
pub struct Shared {
    /// How.
    pub split: Split,
    /// What the two players play.
    pub rows: [Rows; 2],
    /// The highest share of the tempo at which both can play; `None`: at none.
    pub limit: Option<Share>,
}

/// A part shared out in every way that gives both players something to do: first those that are comfortable at the tempo
/// written, the easiest to keep up first; then the others, the fastest first. Both play on this pan.
pub fn share(tune: &Tune, part: usize, pan: &Pan, hands: &Hands) -> Vec<Shared> {
    let amid = pan.kind.is_bass();
    let mut all: Vec<Shared> = Split::ALL
        .into_iter()
        .filter_map(|split| {
            let rows = split_part(tune, part, split);
            let lines =
                rows.each_ref().map(|rows| line_of(tune, part, hands, |section| rows[section].as_ref()).strokes);
            if lines.iter().any(Vec::is_empty) {
                return None;
            }
            let [first, second] = lines.map(|line| limit(hands, &line, amid));
            Some(Shared { split, rows, limit: first.zip(second).map(|(a, b)| a.min(b)) })
        })
        .collect();
    let enough = |shared: &Shared| shared.limit.is_some_and(|limit| f64::from(limit) * COMFORTABLE >= 1000.0);
    // The sort is stable: what is comfortable at the tempo written stays in the order of ease.
    all.sort_by_key(|shared| (!enough(shared), if enough(shared) { None } else { Some(Reverse(shared.limit)) }));
    all
}

/// The rows of both players.
pub(crate) fn split_part(tune: &Tune, part: usize, split: Split) -> [Rows; 2] {
    [0, 1].map(|player| {
        let rows = tune.sections.iter().map(|section| {
            let row = section.rows[part].as_ref()?;
            let events = row.events.iter().enumerate();
            let events = events.filter_map(|(number, event)| taken(section, split, player, number, event)).collect();
            // What goes on from the section before goes on for whoever struck it; for the other it has nothing to hold.
            let carry = Carry { length: if player == 0 { row.carry.length } else { Length::ZERO }, ..row.carry };
            Some(Row { carry, events, ..*row })
        });
        rows.collect()
    })
}

/// What a player takes of a stroke.
fn taken(section: &Section, split: Split, player: usize, number: usize, event: &Event) -> Option<Event> {
    // Sticks that were written for one player are not for two.
    let unstuck = || Event { stick: None, ..event.clone() };
    let own = match split {
        Split::Strokes => number % 2 == player,
        Split::Beats => {
            let within = event.start - section.bar_starts[event.bar as usize];
            within.per(section.meter.beat()).to_integer() % 2 == player as i64
        }
        Split::Notes => {
            let Struck::Notes(notes) = &event.struck else { return None };
            if notes.len() < 2 {
                return (player == 0).then(unstuck);
            }
            let low = notes.iter().map(|note| note.pitch).min()?;
            let notes = notes.iter().copied().filter(|note| (note.pitch == low) == (player == 1)).collect();
            return Some(Event { struck: Struck::Notes(notes), ..unstuck() });
        }
    };
    own.then(unstuck)
}

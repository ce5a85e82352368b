//! The lines of a tune: for each part the strokes that are written for it, in the order in which they are first played.

use std::collections::{BTreeMap, BTreeSet};

use super::octaves::Written;
use crate::pan::NoteSet;
use crate::text::Span;
use crate::tune::Tune;
use crate::tune::model::{Event, Player, Struck};

/// A stroke where it is written. Bars that are played again (`%`, a section played twice) are written once, so they move
/// alike.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Placed {
    /// The stroke.
    pub written: Written,
    /// Where its top note is written, and its low note.
    pub spans: (Span, Option<Span>),
    /// The notes that all pans have that play this place, those of parts that double it too.
    pub set: NoteSet,
    /// The numbers of the section, and of the bar in it from 0.
    pub place: (usize, u32),
}

/// The line of each part on pans, by the part's number. Strokes of more than two notes are left out: no octave helps them.
pub fn lines(tune: &Tune) -> BTreeMap<usize, Vec<Placed>> {
    let sets = sets(tune);
    let order = first_played(tune);
    let mut lines = BTreeMap::new();
    for (number, part) in tune.parts.iter().enumerate() {
        if !matches!(&part.player, Player::Pans { pans, .. } if !pans.is_empty()) {
            continue;
        }
        lines.insert(number, line(tune, number, &order, &sets));
    }
    lines
}

/// The sections in the order in which they are first played; those that never are come last.
fn first_played(tune: &Tune) -> Vec<usize> {
    let mut order: Vec<usize> = Vec::new();
    for section in tune.form.iter().map(|step| step.section).chain(0..tune.sections.len()) {
        if !order.contains(&section) {
            order.push(section);
        }
    }
    order
}

/// For each place where a note is written, the notes that all pans have that play it.
fn sets(tune: &Tune) -> BTreeMap<Span, NoteSet> {
    let mut sets: BTreeMap<Span, NoteSet> = BTreeMap::new();
    for (number, part) in tune.parts.iter().enumerate() {
        let Player::Pans { pans, .. } = &part.player else { continue };
        let own = pans.iter().map(|pan| tune.band.pans[*pan].pan.note_set()).reduce(NoteSet::and);
        let Some(own) = own else { continue };
        let rows = tune.sections.iter().filter_map(|section| section.rows[number].as_ref());
        for event in rows.flat_map(|row| &row.events) {
            if let Struck::Notes(notes) = &event.struck {
                for note in notes {
                    sets.entry(note.span).and_modify(|set| *set = set.and(own)).or_insert(own);
                }
            }
        }
    }
    sets
}

fn line(tune: &Tune, part: usize, order: &[usize], sets: &BTreeMap<Span, NoteSet>) -> Vec<Placed> {
    let mut line = Vec::new();
    let mut seen = BTreeSet::new();
    for section in order {
        let of = &tune.sections[*section];
        let Some(row) = &of.rows[part] else { continue };
        let mut last: Option<&Event> = None;
        for event in &row.events {
            let rest = last.is_none_or(|last| event.start - (last.start + last.length) >= of.meter.beat());
            last = Some(event);
            let Struck::Notes(notes) = &event.struck else { continue };
            let own = seen.insert(event.span) && is_written_for(tune, part, event.span);
            let mut notes: Vec<_> = notes.iter().collect();
            notes.sort_by_key(|note| std::cmp::Reverse(note.pitch));
            let (top, low) = match notes.as_slice() {
                [top] => (top, None),
                [top, low] => (top, Some(low)),
                _ => continue,
            };
            if !own {
                continue;
            }
            let set_of = |span: Span| sets.get(&span).copied().unwrap_or(NoteSet::EMPTY);
            let set = low.map_or(set_of(top.span), |low| set_of(top.span).and(set_of(low.span)));
            line.push(Placed {
                written: Written { top: top.pitch, low: low.map(|low| low.pitch), after_rest: rest },
                spans: (top.span, low.map(|low| low.span)),
                set,
                place: (*section, event.bar),
            });
        }
    }
    line
}

/// Whether a place lies in a row of the part itself, and not in one that it doubles or in a pattern.
fn is_written_for(tune: &Tune, part: usize, span: Span) -> bool {
    let source = &tune.source;
    let text = source.slice(source.line_span(source.line_of(span.start)));
    let name = text.trim_start().split(|c: char| c.is_whitespace() || c == '|').next();
    name == Some(tune.parts[part].name.as_str())
}

//! Bars of cells counted out: strokes with exact starts and lengths, holds put together over bar lines.

use super::model::{Carry, ChordAt, Event, Note, Open, Struck, entry_at};
use crate::music::{Chord, Key, Length, Meter};
use crate::notation::tree::{Bar, BarContent, Cell, Mark, Notes, Slot, Slots, Strike, Written};
use crate::text::Span;

/// Something that is wrong with a bar or a cell; the caller knows the part and the section and makes the finding.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Trouble {
    /// `%` without a bar before it.
    NothingToRepeat(Span),
    /// `-` or `~` where nothing sounds.
    NothingToHold(Span),
    /// A percussion stroke in a pan's row.
    MarkOnPan(Mark, Span),
    /// A note in a percussion row.
    NoteOnPercussion(Span),
    /// A stroke that the instrument does not have.
    MarkNotAllowed(Mark, Span),
    /// Two percussion strokes at once.
    MarksTogether(Span),
    /// A degree, or a strum, where there is no chord.
    NoChord(Span),
}

impl Trouble {
    /// Where it is.
    pub fn span(mut self) -> Span {
        *self.span_mut()
    }

    /// Where it is, so that it can be changed.
    pub fn span_mut(&mut self) -> &mut Span {
        match self {
            Trouble::NothingToRepeat(span)
            | Trouble::NothingToHold(span)
            | Trouble::MarkOnPan(_, span)
            | Trouble::NoteOnPercussion(span)
            | Trouble::MarkNotAllowed(_, span)
            | Trouble::MarksTogether(span)
            | Trouble::NoChord(span) => span,
        }
    }
}

/// What kind of strokes a row may hold.
#[derive(Clone, Copy, Debug)]
pub enum Allowed<'a> {
    /// Notes of a pan.
    Notes {
        /// Whether `x` and `X` stand for a strum.
        strum: bool,
        /// Whether they are a bass's: its `1` and `8` are what a slash chord names for the bass.
        bass: bool,
    },
    /// These percussion strokes.
    Marks(&'a [Mark]),
}

/// What degrees and strums are counted from.
#[derive(Clone, Copy, Debug)]
pub struct Harmony<'a> {
    /// The section's chords.
    pub chords: &'a [ChordAt],
    /// The section's key.
    pub key: Key,
    /// Whether strokes that need a chord rest at `N.C.`, as in patterns; else that is a mistake.
    pub rests: bool,
}

impl Harmony<'_> {
    fn at(self, time: Length) -> Option<Chord> {
        entry_at(self.chords, time).and_then(|at| at.chord)
    }

    /// Whether a stroke that asks for a chord is silent here.
    fn is_silent(self, time: Length) -> bool {
        self.rests && entry_at(self.chords, time).is_some_and(|at| at.chord.is_none())
    }
}

/// A row being counted out.
pub struct Counter<'a> {
    allowed: Allowed<'a>,
    harmony: Harmony<'a>,
    meter: Meter,
    /// The strokes so far.
    pub events: Vec<Event<Open>>,
    /// What sounds on from the section before, if the row begins with a hold.
    pub carry: Carry,
    /// What was wrong.
    pub trouble: Vec<Trouble>,
    state: State,
}

/// Whether a hold has something to hold.
#[derive(Clone, Copy, PartialEq, Eq)]
enum State {
    /// At the row's very start: a hold continues from the section before.
    Start,
    Sounding,
    Silent,
    /// What was struck is not played, and its holds rest too: a pattern wants a chord, the stroke comes before a pickup, or
    /// it is a mistake that has been reported.
    Resting,
}

/// Where a slot lies.
struct Place {
    start: Length,
    end: Length,
    bar: u32,
    straight: bool,
    span: Span,
}

impl<'a> Counter<'a> {
    /// A counter for a row of a section in `meter`; `row` is the row's place.
    pub fn new(allowed: Allowed<'a>, harmony: Harmony<'a>, meter: Meter, row: Span) -> Self {
        let carry = Carry { length: Length::ZERO, rolled: false, span: row };
        Counter { allowed, harmony, meter, events: Vec::new(), carry, trouble: Vec::new(), state: State::Start }
    }

    /// Counts out `bars` over the section's bars; bars beyond the section's are left out.
    pub fn bars<'b>(&mut self, bars: impl Iterator<Item = &'b Bar<Cell>>, starts: &[Length], end: Length) {
        self.bars_from(0, bars, starts, end);
    }

    /// Plays a pattern again and again over the section's bars. A first bar that is a pickup has the last beats of the
    /// pattern's last bar, and the pattern begins with the first full bar.
    pub fn pattern(&mut self, bars: &[Bar<Cell>], starts: &[Length], end: Length) {
        let Some(first) = starts.first() else { return };
        let missing = self.meter.bar() - (starts.get(1).copied().unwrap_or(end) - *first);
        let is_pickup = missing > Length::ZERO;
        if is_pickup {
            let written = bars.iter().rev().find(|bar| !matches!(bar.content, BarContent::Again));
            let cells = match written.map(|bar| &bar.content) {
                Some(BarContent::Cells(cells)) => cells.as_slice(),
                _ => &[],
            };
            self.bar(cells, 0, Length::ZERO - missing, self.meter.bar());
        }
        self.bars_from(usize::from(is_pickup), bars.iter().cycle(), starts, end);
    }

    fn bars_from<'b>(
        &mut self,
        first: usize,
        bars: impl Iterator<Item = &'b Bar<Cell>>,
        starts: &[Length],
        end: Length,
    ) {
        let mut before: Option<&[Cell]> = None;
        for (number, bar) in (first..starts.len()).zip(bars) {
            let start = starts[number];
            let length = starts.get(number + 1).copied().unwrap_or(end) - start;
            let cells: Option<&[Cell]> = match &bar.content {
                BarContent::Cells(cells) => Some(cells),
                BarContent::Again => {
                    if before.is_none() {
                        self.trouble.push(Trouble::NothingToRepeat(bar.span));
                    }
                    before
                }
                BarContent::Broken => None,
            };
            match cells {
                Some(cells) => self.bar(cells, number as u32, start, length),
                None => self.state = State::Resting,
            }
            // After a broken bar a `%` has nothing to say, but it is not a second mistake either.
            before = cells.or(Some(&[]));
        }
    }

    /// Gives every stroke one place: patterns of the library have none in the tune's text.
    pub fn put_at(&mut self, place: Span) {
        self.carry.span = place;
        for event in &mut self.events {
            event.span = place;
            if let Struck::Notes(notes) = &mut event.struck {
                notes.iter_mut().for_each(|note| note.span = place);
            }
        }
        self.trouble.iter_mut().for_each(|trouble| *trouble.span_mut() = place);
    }

    fn bar(&mut self, cells: &[Cell], bar: u32, start: Length, length: Length) {
        if cells.is_empty() {
            self.state = State::Resting;
            return;
        }
        let cell_length = length.fraction(1, cells.len());
        let straight = self.is_straight(cell_length);
        let mut at = start;
        for (i, cell) in cells.iter().enumerate() {
            let next = start + cell_length * (i as i64 + 1);
            match &cell.slots {
                Slots::One(slot) => self.slot(slot, Place { start: at, end: next, bar, straight, span: cell.span }),
                Slots::Many(slots) => {
                    let length = cell_length.fraction(1, slots.len());
                    let straight = straight || self.is_straight(length);
                    for (j, slot) in slots.iter().enumerate() {
                        let (start, end) = (at + length * j as i64, at + length * (j as i64 + 1));
                        self.slot(&slot.value, Place { start, end, bar, straight, span: slot.span });
                    }
                }
            }
            at = next;
        }
    }

    /// Whether a cell cuts the beat in thirds, sixths and so on.
    fn is_straight(&self, cell: Length) -> bool {
        cell.per(self.meter.beat()).denom() % 3 == 0
    }

    fn slot(&mut self, slot: &Slot, place: Place) {
        match slot {
            // The beats of a pattern that a pickup leaves out.
            _ if place.start < Length::ZERO => self.state = State::Resting,
            Slot::Rest => self.state = State::Silent,
            Slot::Broken => self.state = State::Resting,
            Slot::Hold => self.hold(false, &place),
            Slot::Roll => self.hold(true, &place),
            Slot::Strike(strike) => self.strike(strike, place),
        }
    }

    /// A length is counted anew from the note's start at every hold: adding the holds up would let the denominators of
    /// bars with odd numbers of cells grow beyond any limit.
    fn hold(&mut self, rolled: bool, place: &Place) {
        match self.state {
            State::Start => {
                if self.carry.length.is_zero() {
                    self.carry.span = place.span;
                }
                self.carry.length = place.end;
                self.carry.rolled |= rolled;
            }
            State::Sounding => {
                let event = self.events.last_mut().expect("something sounds, so there is a stroke");
                event.length = place.end - event.start;
                event.rolled |= rolled;
            }
            State::Resting => {}
            State::Silent => self.trouble.push(Trouble::NothingToHold(place.span)),
        }
    }

    fn strike(&mut self, strike: &Strike, place: Place) {
        let Some(struck) = self.struck(&strike.notes, place.span, place.start) else {
            self.state = State::Resting;
            return;
        };
        self.state = State::Sounding;
        self.events.push(Event {
            start: place.start,
            length: place.end - place.start,
            struck,
            accent: strike.accent,
            damped: strike.damped,
            stick: strike.stick,
            rolled: false,
            straight: place.straight,
            bar: place.bar,
            span: place.span,
        });
    }

    fn struck(&mut self, notes: &Notes, span: Span, time: Length) -> Option<Struck<Open>> {
        match (notes, self.allowed) {
            (Notes::One(written), _) => self.one(*written, span, time),
            (Notes::Together(all), Allowed::Notes { .. }) => {
                let mut pitches = Vec::with_capacity(all.len());
                for written in all {
                    if let Written::Mark(mark) = written.value {
                        self.trouble.push(Trouble::MarkOnPan(mark, written.span));
                        return None;
                    }
                    match self.one(written.value, written.span, time)? {
                        Struck::Notes(notes) => pitches.extend(notes),
                        Struck::Mark(_) => return None,
                    }
                }
                Some(Struck::Notes(pitches))
            }
            (Notes::Together(all), Allowed::Marks(_)) => {
                for written in all {
                    if !matches!(written.value, Written::Mark(_)) {
                        self.trouble.push(Trouble::NoteOnPercussion(written.span));
                        return None;
                    }
                }
                self.trouble.push(Trouble::MarksTogether(span));
                None
            }
        }
    }

    fn one(&mut self, written: Written, span: Span, time: Length) -> Option<Struck<Open>> {
        let note = |pitch: Open| Some(Struck::Notes(vec![Note { pitch, span }]));
        let trouble = match (written, self.allowed) {
            (Written::Note(name), Allowed::Notes { .. }) => {
                // The grammar takes no name outside MIDI's keys, so a missing pitch can't come from a file.
                return name.pitch().and_then(|pitch| note(Open::Pitch(pitch)));
            }
            (Written::Tone(tone), Allowed::Notes { .. }) => return note(Open::Tone { tone, degree: None }),
            (Written::Degree(degree), Allowed::Notes { bass, .. }) => match self.harmony.at(time) {
                Some(chord) => {
                    let slash = chord.bass.filter(|_| bass && degree.is_root());
                    let tone = slash.unwrap_or_else(|| degree.tone(chord, self.harmony.key));
                    return note(Open::Tone { tone, degree: Some(degree) });
                }
                None if self.harmony.is_silent(time) => return None,
                None => Trouble::NoChord(span),
            },
            (Written::Mark(Mark::Stroke), Allowed::Notes { strum: true, .. }) if !self.harmony.chords.is_empty() => {
                match self.harmony.at(time) {
                    Some(_) => return note(Open::Strum),
                    None if self.harmony.is_silent(time) => return None,
                    None => Trouble::NoChord(span),
                }
            }
            (Written::Mark(mark), Allowed::Marks(marks)) if marks.contains(&mark) => return Some(Struck::Mark(mark)),
            (Written::Mark(mark), Allowed::Marks(_)) => Trouble::MarkNotAllowed(mark, span),
            (Written::Mark(mark), Allowed::Notes { .. }) => Trouble::MarkOnPan(mark, span),
            (_, Allowed::Marks(_)) => Trouble::NoteOnPercussion(span),
        };
        self.trouble.push(trouble);
        None
    }
}

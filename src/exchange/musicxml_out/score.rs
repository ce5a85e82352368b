//! The parts of a score as MusicXML elements: the score's head, the measures, the notes.

use super::directions;
use super::marks::Placed;
use super::measures::{Measure, Piece};
use super::paper::{Paper, SOFTWARE};
use super::spelling::{Accidentals, Clef};
use super::timeline::{Held, Stretch};
use super::values::Value;
use super::xml::Xml;
use crate::midi::percussion;
use crate::midi::write::STEEL_DRUMS;
use crate::music::key::Mode;
use crate::music::{Key, Length, Meter, NoteName};
use crate::notation::tree::{Mark, Stick};
use crate::tune::Tune;
use crate::tune::model::{Part, Player, Struck};

/// A part that is written.
pub struct PartOut<'a> {
    /// The part of the tune.
    pub part: &'a Part,
    /// Its id in the document.
    pub id: String,
    /// Its notes through the form.
    pub notes: Vec<Held<'a>>,
    /// Its clef.
    pub clef: Clef,
}

impl PartOut<'_> {
    /// The id of the instrument on which a stroke is played.
    fn instrument(&self, mark: Option<Mark>) -> String {
        match mark {
            Some(mark) => format!("{}-{}", self.id, mark.to_char()),
            None => format!("{}-pan", self.id),
        }
    }
}

/// The title, who made it, and the list of parts with their instruments.
pub fn head(xml: &mut Xml, tune: &Tune, parts: &[PartOut]) {
    xml.within("work", &[], |xml| xml.text("work-title", &tune.title));
    xml.within("identification", &[], |xml| {
        if let Some(by) = &tune.by {
            xml.text_with("creator", &[("type", "composer")], by);
        }
        xml.within("encoding", &[], |xml| {
            xml.text("software", SOFTWARE);
            xml.empty("supports", &[("element", "accidental"), ("type", "yes")]);
            xml.empty("supports", &[("element", "beam"), ("type", "no")]);
            xml.empty("supports", &[("element", "stem"), ("type", "no")]);
        });
    });
    xml.within("part-list", &[], |xml| {
        for part in parts {
            xml.within("score-part", &[("id", &part.id)], |xml| score_part(xml, part));
        }
    });
}

/// A pan is General MIDI's steel drums; every stroke of an instrument of the engine room is a sound of its own.
fn score_part(xml: &mut Xml, part: &PartOut) {
    xml.text("part-name", &part.part.name);
    match &part.part.player {
        Player::Pans { kind, .. } => {
            let id = part.instrument(None);
            xml.within("score-instrument", &[("id", &id)], |xml| {
                xml.text("instrument-name", kind);
                xml.text("instrument-sound", "metal.steel-drums");
            });
            xml.within("midi-instrument", &[("id", &id)], |xml| xml.text("midi-program", STEEL_DRUMS + 1));
        }
        Player::Percussion { instrument, .. } => {
            for mark in instrument.marks() {
                xml.within("score-instrument", &[("id", &part.instrument(Some(*mark)))], |xml| {
                    xml.text("instrument-name", format!("{instrument} {}", mark.to_char()));
                });
            }
            for mark in instrument.marks() {
                xml.within("midi-instrument", &[("id", &part.instrument(Some(*mark)))], |xml| {
                    xml.text("midi-channel", percussion::CHANNEL + 1);
                    xml.text("midi-unpitched", percussion::key(*instrument, *mark) + 1);
                });
            }
        }
    }
}

/// Writes a part's measures one after another.
pub struct PartWriter<'x, 'a> {
    xml: &'x mut Xml,
    part: &'a PartOut<'a>,
    paper: &'a Paper<'a>,
    divisions: &'a [i64],
    number: usize,
    others: usize,
    /// Whether keys are written: everywhere but in percussion, unless no other part has them.
    shows_keys: bool,
}

impl<'x, 'a> PartWriter<'x, 'a> {
    /// A writer at the part's beginning; `divisions` are those of a quarter note, measure by measure.
    /// `shows_keys`: whether this part has the keys though it is percussion, since no other has them.
    pub fn new(
        xml: &'x mut Xml,
        part: &'a PartOut<'a>,
        paper: &'a Paper<'a>,
        divisions: &'a [i64],
        shows_keys: bool,
    ) -> Self {
        let shows_keys = shows_keys || part.clef != Clef::Percussion;
        PartWriter { xml, part, paper, divisions, number: 0, others: 0, shows_keys }
    }

    /// Writes a measure.
    pub fn measure(&mut self, index: usize, pieces: &[Piece], marks: &[Placed]) {
        let measure = &self.paper.measures[index];
        let number = self.measure_number(measure, index);
        let implicit: &[(&str, &str)] = if measure.whole { &[] } else { &[("implicit", "yes")] };
        self.xml.open("measure", &[&[("number", number.as_str())], implicit].concat());
        self.attributes(index);
        let stretch = &self.paper.stretches[measure.stretch];
        if measure.bar == 0 && stretch.times > 1 {
            self.xml.within("barline", &[("location", "left")], |xml| {
                xml.text("bar-style", "heavy-light");
                xml.empty("repeat", &[("direction", "forward")]);
            });
        }
        let mut accidentals = Accidentals::new(stretch.section.key);
        let mut marks = marks.iter().peekable();
        for piece in pieces {
            let end = piece.start + piece.length;
            while let Some(placed) = marks.next_if(|placed| placed.at < end) {
                let offset = self.duration(index, placed.at - piece.start);
                directions::write(self.xml, placed.mark, offset);
            }
            self.piece(index, piece, &mut accidentals);
        }
        for placed in marks {
            directions::write(self.xml, placed.mark, 0);
        }
        self.right_bar_line(index, stretch);
        self.xml.close("measure");
    }

    /// Whole measures are counted from 1. A pickup that opens the score is 0, as usual, and others that are not whole have
    /// numbers that count nothing.
    fn measure_number(&mut self, measure: &Measure, index: usize) -> String {
        if measure.whole {
            self.number += 1;
            return self.number.to_string();
        }
        if index == 0 {
            return "0".to_owned();
        }
        self.others += 1;
        format!("X{}", self.others)
    }

    /// Everything that has changed since the measure before: divisions, key, meter; at the beginning the clef too.
    fn attributes(&mut self, index: usize) {
        let settings = |index: usize| {
            let section = self.paper.stretches[self.paper.measures[index].stretch].section;
            (self.divisions[index], section.key, section.meter)
        };
        let (divisions, key, meter) = settings(index);
        let before = index.checked_sub(1).map(settings);
        let new_divisions = before.is_none_or(|before| before.0 != divisions);
        let new_key = self.shows_keys && before.is_none_or(|before| before.1 != key);
        let new_meter = before.is_none_or(|before| before.2 != meter);
        if !(new_divisions || new_key || new_meter) {
            return;
        }
        let clef = before.is_none().then_some(self.part.clef);
        self.xml.within("attributes", &[], |xml| {
            if new_divisions {
                xml.text("divisions", divisions);
            }
            if new_key {
                write_key(xml, key);
            }
            if new_meter {
                write_meter(xml, meter);
            }
            if let Some((sign, line)) = clef.map(Clef::sign) {
                xml.within("clef", &[], |xml| {
                    xml.text("sign", sign);
                    if let Some(line) = line {
                        xml.text("line", line);
                    }
                });
            }
        });
    }

    fn right_bar_line(&mut self, index: usize, stretch: &Stretch) {
        let measure = &self.paper.measures[index];
        if measure.bar + 1 < stretch.section.bars() {
            return;
        }
        let last = index + 1 == self.paper.measures.len();
        let style = if last || stretch.times > 1 { "light-heavy" } else { "light-light" };
        self.xml.within("barline", &[("location", "right")], |xml| {
            xml.text("bar-style", style);
            if stretch.times > 1 {
                xml.empty("repeat", &[("direction", "backward"), ("times", &stretch.times.to_string())]);
            }
        });
    }

    fn duration(&self, index: usize, length: Length) -> i64 {
        (length.ratio() * self.divisions[index]).to_integer()
    }

    fn piece(&mut self, index: usize, piece: &Piece, accidentals: &mut Accidentals) {
        let duration = self.duration(index, piece.length);
        let part = self.part;
        let Some(held) = piece.note.map(|note| &part.notes[note]) else {
            let measure = &self.paper.measures[index];
            let whole: &[(&str, &str)] =
                if measure.whole && piece.length == measure.length { &[("measure", "yes")] } else { &[] };
            self.xml.within("note", &[], |xml| {
                xml.empty("rest", whole);
                xml.text("duration", duration);
                how_written(xml, piece, None);
                notations(xml, piece, None);
            });
            return;
        };
        match &held.event.struck {
            Struck::Mark(mark) => {
                let instrument = part.instrument(Some(*mark));
                self.xml.within("note", &[], |xml| {
                    xml.within("unpitched", &[], |xml| {
                        let (step, octave) = place_of(*mark);
                        xml.text("display-step", step);
                        xml.text("display-octave", octave);
                    });
                    body(xml, piece, duration, &instrument, None);
                    if *mark == Mark::Slap {
                        xml.text("notehead", "x");
                    }
                    notations(xml, piece, Some((held, 0)));
                });
            }
            Struck::Notes(notes) => {
                let instrument = part.instrument(None);
                for (number, note) in notes.iter().enumerate() {
                    let name = held.key.spell(note.pitch);
                    // A tied note shows no accidental again.
                    let accidental = if piece.goes_on { None } else { accidentals.before(name) };
                    self.xml.within("note", &[], |xml| {
                        if number > 0 {
                            xml.empty("chord", &[]);
                        }
                        pitch(xml, name);
                        body(xml, piece, duration, &instrument, accidental);
                        notations(xml, piece, Some((held, number)));
                    });
                }
            }
        }
    }
}

/// What all notes have after their pitch, in the standard's order.
fn body(xml: &mut Xml, piece: &Piece, duration: i64, instrument: &str, accidental: Option<&str>) {
    xml.text("duration", duration);
    for (tied, kind) in [(piece.goes_on, "stop"), (piece.holds, "start")] {
        if tied {
            xml.empty("tie", &[("type", kind)]);
        }
    }
    xml.empty("instrument", &[("id", instrument)]);
    how_written(xml, piece, accidental);
}

/// The note value, with the accidental and the tuplet that belong to it.
fn how_written(xml: &mut Xml, piece: &Piece, accidental: Option<&str>) {
    if let Some(value) = piece.value {
        xml.text("type", value.name());
        for _ in 0..value.dots {
            xml.empty("dot", &[]);
        }
    }
    if let Some(accidental) = accidental {
        xml.text("accidental", accidental);
    }
    if let Some((tuplet, edges)) = piece.tuplet {
        xml.within("time-modification", &[], |xml| {
            xml.text("actual-notes", tuplet.actual);
            xml.text("normal-notes", tuplet.normal);
            // Which notes are counted must be said where it is not this note.
            let counted = Value::of(edges.group.fraction(1, tuplet.normal.unsigned_abs() as usize));
            if let Some(counted) = counted.filter(|counted| Some(*counted) != piece.value) {
                xml.text("normal-type", counted.name());
                for _ in 0..counted.dots {
                    xml.empty("normal-dot", &[]);
                }
            }
        });
    }
}

/// Ties, tuplets, rolls, sticks, accents, damping; `held`: the note, and its number in its stroke.
///
/// The bracket of a tuplet, the roll and the accent of a stroke of several notes are written with the first of them.
fn notations(xml: &mut Xml, piece: &Piece, held: Option<(&Held, usize)>) {
    let first = held.is_none_or(|(_, number)| number == 0);
    let edges = piece.tuplet.filter(|_| first).map(|(_, edges)| edges);
    let (opens, closes) = edges.map_or((false, false), |edges| (edges.opens, edges.closes));
    let rolled = held.is_some_and(|(held, _)| first && held.rolled);
    let struck = |held: &Held| first && !piece.goes_on && (held.event.accent || held.event.damped);
    let articulated = held.filter(|(held, _)| struck(held)).map(|(held, _)| held.event);
    let stick = held.filter(|_| !piece.goes_on).and_then(|(held, number)| stick(held, number));
    let tied = held.is_some() && (piece.goes_on || piece.holds);
    if !(tied || opens || closes || rolled || stick.is_some() || articulated.is_some()) {
        return;
    }
    xml.within("notations", &[], |xml| {
        if held.is_some() {
            for (tied, kind) in [(piece.goes_on, "stop"), (piece.holds, "start")] {
                if tied {
                    xml.empty("tied", &[("type", kind)]);
                }
            }
        }
        if opens {
            xml.empty("tuplet", &[("type", "start"), ("bracket", "yes"), ("number", "1")]);
        }
        if closes {
            xml.empty("tuplet", &[("type", "stop"), ("number", "1")]);
        }
        if rolled {
            xml.within("ornaments", &[], |xml| xml.text_with("tremolo", &[("type", "single")], 3));
        }
        if let Some(stick) = stick {
            let letter = stick.to_char();
            xml.within("technical", &[], |xml| xml.text("other-technical", letter));
        }
        if let Some(event) = articulated {
            xml.within("articulations", &[], |xml| {
                for (is, name) in [(event.accent, "accent"), (event.damped, "staccato")] {
                    if is {
                        xml.empty(name, &[]);
                    }
                }
            });
        }
    });
}

/// The stick that is written for a note of a stroke: for its first; of two notes the other has the other stick.
fn stick(held: &Held, number: usize) -> Option<Stick> {
    let stick = held.event.stick?;
    match (&held.event.struck, number) {
        (Struck::Notes(notes), 0) if notes.len() <= 2 => Some(stick),
        (Struck::Notes(notes), 1) if notes.len() == 2 => Some(stick.other()),
        _ => None,
    }
}

fn pitch(xml: &mut Xml, name: NoteName) {
    xml.within("pitch", &[], |xml| {
        xml.text("step", name.tone.letter.to_char());
        if name.tone.alter != 0 {
            xml.text("alter", name.tone.alter);
        }
        xml.text("octave", name.octave);
    });
}

/// Where a percussion stroke lies on the staff, as if in the treble clef: the plain one in its third space, the open one
/// below, the slap above, so that they differ at a glance. Our own setting.
fn place_of(mark: Mark) -> (char, i8) {
    match mark {
        Mark::Stroke => ('C', 5),
        Mark::Open => ('A', 4),
        Mark::Slap => ('E', 5),
    }
}

fn write_key(xml: &mut Xml, key: Key) {
    xml.within("key", &[], |xml| {
        xml.text("fifths", key.fifths());
        xml.text("mode", if key.mode() == Mode::Minor { "minor" } else { "major" });
    });
}

fn write_meter(xml: &mut Xml, meter: Meter) {
    xml.within("time", &[], |xml| {
        xml.text("beats", meter.count());
        xml.text("beat-type", meter.unit());
    });
}

//! Stretches of performances cut out and joined: what drills are made of.

use super::stroke::{BarAt, Performance, SectionAt, Sound, Stroke, TempoMap, Voice, VoicePlayer};
use crate::music::{Key, Length, Meter, Moment, Tempo};
use crate::pan::Instrument;

/// Who is heard in a stretch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Heard {
    /// Everybody.
    All,
    /// Only this voice, by its number.
    Voice(usize),
    /// Only the claves, on every beat.
    Claves,
}

/// Performances being joined. All must have the same voices.
pub struct Joined {
    out: Performance,
    claves: u16,
    end: Moment,
    is_new: bool,
}

impl Joined {
    /// An empty performance with the title and voices of `like`, and a voice for the claves that count.
    pub fn new(like: &Performance, tempo: Tempo, meter: Meter) -> Self {
        let mut voices = like.voices.clone();
        let player = VoicePlayer::Percussion(Instrument::Claves);
        voices.push(Voice { name: "count-in".to_owned(), player, part: None });
        let claves = u16::try_from(voices.len() - 1).unwrap_or(u16::MAX);
        let out = Performance {
            title: like.title.clone(),
            by: like.by.clone(),
            voices,
            strokes: Vec::new(),
            tempo: TempoMap::new(tempo, meter),
            meters: vec![(Moment::START, meter)],
            keys: vec![(Moment::START, like.keys.first().map_or_else(Key::default, |(_, key)| *key))],
            bars: Vec::new(),
            sections: Vec::new(),
            chords: Vec::new(),
            words: Vec::new(),
            begin: Moment::START,
            end: Moment::START,
        };
        Joined { out, claves, end: Moment::START, is_new: true }
    }

    /// When the next stretch will begin.
    pub fn end(&self) -> Moment {
        self.end
    }

    /// From musical time to seconds, as far as it is known.
    pub fn tempo(&self) -> &TempoMap {
        &self.out.tempo
    }

    /// Claves count for a while, before the first stretch.
    pub fn count_in(&mut self, length: Length, meter: Meter) {
        self.click(self.end, self.end + length, meter, 0);
        self.end = self.end + length;
        self.out.begin = self.end;
    }

    fn click(&mut self, from: Moment, to: Moment, meter: Meter, bar: u32) {
        self.out.strokes.extend(super::perform::clicks(from, to - from, meter, self.claves, bar));
    }

    /// Adds what `of` plays between two moments; `name` says what it is.
    ///
    /// Notes that go on into the stretch are struck anew at its start, those that go on beyond it end with it.
    pub fn add(&mut self, of: &Performance, from: Moment, to: Moment, heard: Heard, name: &str) {
        let at = self.end;
        let moved = |moment: Moment| at + (moment - from);
        let meter = in_force(&of.meters, from).copied().unwrap_or_default();
        let first_bar = self.bars(of, from, to, at);
        self.tempos(of, from, to, at);
        let inside = |moment: &Moment| *moment > from && *moment < to;
        push_change(&mut self.out.meters, at, meter, self.is_new);
        for (moment, meter) in of.meters.iter().filter(|(moment, _)| inside(moment)) {
            push_change(&mut self.out.meters, moved(*moment), *meter, false);
        }
        if let Some(key) = in_force(&of.keys, from) {
            push_change(&mut self.out.keys, at, *key, self.is_new);
        }
        for (moment, key) in of.keys.iter().filter(|(moment, _)| inside(moment)) {
            push_change(&mut self.out.keys, moved(*moment), *key, false);
        }
        let chord = in_force(&of.chords, from).cloned().unwrap_or_default();
        let sounding = self.out.chords.last().is_some_and(|(_, name)| !name.is_empty());
        if !chord.is_empty() || sounding {
            self.out.chords.push((at, chord));
        }
        self.out.chords.extend(of.chords.iter().filter(|(m, _)| inside(m)).map(|(m, text)| (moved(*m), text.clone())));
        let words = of.words.iter().filter(|(m, _)| *m >= from && *m < to);
        self.out.words.extend(words.map(|(m, text)| (moved(*m), text.clone())));
        let section = of.sections.iter().rev().find(|section| section.at <= from);
        self.out.sections.push(SectionAt {
            at,
            section: section.map_or(0, |section| section.section),
            name: name.to_owned(),
            pass: 1,
            of: 1,
        });
        match heard {
            Heard::Claves => self.click(at, moved(to), meter, first_bar),
            Heard::All | Heard::Voice(_) => self.strokes(of, from, to, heard, first_bar),
        }
        self.end = moved(to);
        self.is_new = false;
    }

    fn strokes(&mut self, of: &Performance, from: Moment, to: Moment, heard: Heard, first_bar: u32) {
        let at = self.end;
        let old_first = of.bars.iter().position(|bar| bar.at + bar.length > from).unwrap_or(0) as u32;
        let is_heard = |stroke: &Stroke| match heard {
            Heard::Voice(voice) => usize::from(stroke.voice) == voice,
            Heard::All | Heard::Claves => true,
        };
        // The strokes are sorted by their start, so those that may sound into the stretch are all before its end.
        let until = of.strokes.partition_point(|stroke| stroke.at < to);
        for stroke in of.strokes[..until].iter().filter(|stroke| is_heard(stroke)) {
            let goes_on = stroke.at < from
                && stroke.at + stroke.length > from
                && stroke.roll.is_none()
                && !stroke.damped
                && matches!(stroke.sound, Sound::Note(_));
            if stroke.at < from && !goes_on {
                continue;
            }
            let start = stroke.at.max(from);
            let end = (stroke.at + stroke.length).min(to);
            let bar = first_bar + stroke.bar.saturating_sub(old_first);
            self.out.strokes.push(Stroke { at: at + (start - from), length: end - start, bar, ..*stroke });
        }
    }

    /// Takes the bars over; gives the number of the first.
    fn bars(&mut self, of: &Performance, from: Moment, to: Moment, at: Moment) -> u32 {
        let first = self.out.bars.len() as u32;
        let inside = of.bars.iter().filter(|bar| bar.at + bar.length > from && bar.at < to);
        self.out.bars.extend(inside.map(|bar| {
            let (start, end) = (bar.at.max(from), (bar.at + bar.length).min(to));
            BarAt { at: at + (start - from), length: end - start, ..*bar }
        }));
        first
    }

    fn tempos(&mut self, of: &Performance, from: Moment, to: Moment, at: Moment) {
        let meter_at = |moment: Moment| in_force(&of.meters, moment).copied().unwrap_or_default();
        self.out.tempo.change(at, of.tempo.at(from).tempo, meter_at(from));
        let changes = of.tempo.changes().iter().filter(|change| change.at > from && change.at < to);
        for change in changes {
            self.out.tempo.change(at + (change.at - from), change.tempo, meter_at(change.at));
        }
    }

    /// The whole, with its strokes in order.
    pub fn finish(mut self) -> Performance {
        self.out.strokes.sort_by_key(|stroke| (stroke.at, stroke.voice, stroke.sound));
        self.out.end = self.end;
        self.out
    }
}

/// What holds at a moment, of a list of changes.
fn in_force<T>(list: &[(Moment, T)], at: Moment) -> Option<&T> {
    let after = list.partition_point(|(moment, _)| *moment <= at);
    list[..after].last().map(|(_, value)| value)
}

/// Adds a change if it is one; the very first replaces what stands at the start.
fn push_change<T: PartialEq>(list: &mut Vec<(Moment, T)>, at: Moment, value: T, first: bool) {
    if first {
        list.clear();
        list.push((Moment::START, value));
    } else if list.last().is_none_or(|(_, last)| *last != value) {
        list.push((at, value));
    }
}

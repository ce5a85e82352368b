//! One part of a MusicXML score, measure by measure: notes in time, and what else is written beside them.

use std::collections::{BTreeMap, BTreeSet, VecDeque};
use std::sync::Arc;

use num_rational::Ratio;
use roxmltree::Node;

use super::elements::{PartInfo, child, child_text, refuse, span};
use super::play_order::Signs;
use crate::exchange::findings::{TOO_MUCH_MUSIC, WRONG_MUSIC_FILE};
use crate::exchange::limits::{FINEST, MAX_QUARTERS};
use crate::exchange::lost::{Lost, Weight, Where};
use crate::exchange::musicxml_out::values::Value;
use crate::exchange::score::{Loudness, Manner, On};
use crate::exchange::voices::{Sound, Sounding};
use crate::music::count;
use crate::music::key::Mode;
use crate::music::{Chord, Key, Length, Letter, Meter, Pitch};
use crate::text::{Finding, Source};

/// The longest duration of one note in divisions, and the most divisions of a quarter: far above the standard's 16,383.
const MAX_NUMBER: i64 = 1_000_000_000;

/// What a measure of a part says beside its notes.
#[derive(Clone, Debug, Default)]
pub struct Head {
    /// How long the part is in this measure, including rests.
    pub length: Length,
    /// When its last note ends.
    pub sounds: Length,
    /// A new meter.
    pub meter: Option<Meter>,
    /// A new key.
    pub key: Option<Key>,
    /// A new tempo, in quarter notes a minute.
    pub tempo: Option<Ratio<i64>>,
    /// A rehearsal mark.
    pub mark: Option<String>,
    /// Chords.
    pub chords: Vec<(Length, Option<Chord>)>,
    /// Dynamics.
    pub dynamics: Vec<(Length, Loudness)>,
    /// Words above or below the music.
    pub cues: Vec<String>,
    /// What is sung.
    pub lyrics: String,
}

/// A part as read.
#[derive(Clone, Debug, Default)]
pub struct ReadPart {
    /// For each measure, what it says beside its notes.
    pub heads: Vec<Head>,
    /// What each measure says about the order of playing.
    pub signs: Vec<Signs>,
    /// The first part of a beat to the second, if the music is swung.
    pub swing: Option<(u8, u8)>,
    notes: Vec<Raw>,
}

/// A note as written.
#[derive(Clone, Copy, Debug)]
struct Raw {
    measure: usize,
    start: Length,
    length: Length,
    sound: Sound,
    on: On,
    manner: Manner,
    /// Staff and voice.
    voice: u32,
    tie_stops: bool,
    tie_starts: bool,
}

/// A voice: what it is played on, and its staff and number.
pub type Voice = (On, u32);

impl ReadPart {
    /// The notes of each voice with their ties put together, by what they are played on and the voice. `starts`: when each
    /// measure begins.
    pub fn notes(mut self, starts: &[Length]) -> BTreeMap<Voice, Vec<Sounding>> {
        self.notes.sort_by_key(|raw| (raw.measure, raw.start));
        let mut voices: BTreeMap<Voice, Vec<Sounding>> = BTreeMap::new();
        // Where each pitch waits to go on: the voice and the number of its note there.
        let mut waiting: BTreeMap<Sound, VecDeque<(Voice, usize)>> = BTreeMap::new();
        for raw in self.notes {
            let at = starts[raw.measure] + raw.start;
            let queue = waiting.entry(raw.sound).or_default();
            if raw.tie_stops {
                let ends_here = |place: &(Voice, usize)| {
                    let note = &voices[&place.0][place.1];
                    note.at + note.length == at
                };
                if let Some(found) = queue.iter().position(ends_here) {
                    let place = queue[found];
                    let note = &mut voices.get_mut(&place.0).expect("a voice that was begun")[place.1];
                    // Counted from the start, so that fractions do not grow.
                    note.length = at + raw.length - note.at;
                    note.open = raw.tie_starts;
                    if !raw.tie_starts {
                        queue.remove(found);
                    }
                    continue;
                }
            }
            let key = (raw.on, raw.voice);
            let notes = voices.entry(key).or_default();
            let Raw { length, sound, manner, .. } = raw;
            if raw.tie_starts {
                queue.push_back((key, notes.len()));
                // A tie that nothing takes up is forgotten after a while.
                if queue.len() > 64 {
                    queue.pop_front();
                }
            }
            notes.push(Sounding { at, length, sound, manner, tied: raw.tie_stops, open: raw.tie_starts });
        }
        voices
    }
}

/// Reads a part.
pub struct PartReader<'a> {
    pub(super) source: &'a Arc<Source>,
    pub(super) info: &'a PartInfo,
    pub(super) lost: &'a mut Lost,
    pub(super) part: ReadPart,
    divisions: i64,
    transpose: i32,
    /// The number of the measure, and what is printed over it.
    pub(super) number: usize,
    pub(super) printed: String,
    pub(super) now: Length,
    /// Rounded times of this measure, as the file counts them and as they are meant.
    rounded: Rounded,
    longest: Length,
    sounds: Length,
    /// Where strokes of this part alone are louder.
    pub(super) accents: BTreeSet<Length>,
    last_start: Length,
    /// How the last note is struck.
    last_manner: Option<Manner>,
    pub(super) head: Head,
    pub(super) signs: Signs,
}

impl<'a> PartReader<'a> {
    /// A reader for a part.
    pub fn new(source: &'a Arc<Source>, info: &'a PartInfo, lost: &'a mut Lost) -> Self {
        PartReader {
            source,
            info,
            lost,
            part: ReadPart::default(),
            divisions: 1,
            transpose: 0,
            number: 0,
            printed: String::new(),
            now: Length::ZERO,
            rounded: Rounded::default(),
            longest: Length::ZERO,
            sounds: Length::ZERO,
            accents: BTreeSet::new(),
            last_start: Length::ZERO,
            last_manner: None,
            head: Head::default(),
            signs: Signs::default(),
        }
    }

    /// The part that these measures make up.
    ///
    /// # Errors
    /// When a number can't be read, or is far too large.
    pub fn read(mut self, measures: &[Node]) -> Result<ReadPart, Box<Finding>> {
        for (number, measure) in measures.iter().enumerate() {
            self.number = number;
            self.printed = measure.attribute("number").map_or_else(|| (number + 1).to_string(), str::to_owned);
            (self.now, self.longest, self.last_start, self.sounds) = Default::default();
            self.rounded = Rounded::default();
            self.accents.clear();
            (self.head, self.signs) = (Head::default(), Signs::default());
            for node in measure.children().filter(Node::is_element) {
                self.element(node)?;
            }
            (self.head.length, self.head.sounds) = (self.longest, self.sounds);
            self.accent();
            self.without_times();
            self.part.heads.push(std::mem::take(&mut self.head));
            self.part.signs.push(std::mem::take(&mut self.signs));
        }
        Ok(self.part)
    }

    fn element(&mut self, node: Node) -> Result<(), Box<Finding>> {
        match node.tag_name().name() {
            "attributes" => self.attributes(node)?,
            "note" => self.note(node)?,
            "backup" => {
                let back = self.duration(node)?;
                let to = self.rounded.counted(self.now) - back;
                if to < Length::ZERO {
                    let message = "a `backup` goes back beyond the start of its measure".to_owned();
                    return Err(refuse(self.source, node, &WRONG_MUSIC_FILE, message));
                }
                self.move_to(node, self.rounded.meant(to))?;
            }
            "forward" => {
                let forward = self.duration(node)?;
                let to = self.rounded.counted(self.now) + forward;
                self.move_to(node, self.rounded.meant(to))?;
            }
            "harmony" => self.harmony(node)?,
            "direction" => self.direction(node)?,
            "sound" => self.sound(node)?,
            "barline" => self.barline(node),
            "figured-bass" => self.tell(Weight::Slight, "figured bass is left out", node),
            // Looks, and what only programs use.
            "print" | "grouping" | "link" | "bookmark" | "listening" => {}
            other => self.tell(Weight::Slight, format!("`{other}` is left out"), node),
        }
        Ok(())
    }

    /// The signs of the measure that a bar line ends: a bar line at the left ends the measure before, which the first does not have.
    pub(super) fn signs_that_end(&mut self, line: Node) -> Option<&mut Signs> {
        if line.attribute("location") == Some("left") { self.part.signs.last_mut() } else { Some(&mut self.signs) }
    }

    /// Notes down what is lost here.
    pub(super) fn tell(&mut self, weight: Weight, what: impl Into<String>, node: Node) {
        let at = Where { part: &self.info.name, measure: &self.printed, span: span(node) };
        self.lost.tell(weight, what, at);
    }

    fn move_to(&mut self, node: Node, to: Length) -> Result<(), Box<Finding>> {
        let ratio = to.ratio();
        if ratio > Ratio::from_integer(MAX_QUARTERS) || *ratio.denom() > FINEST {
            let message = "this measure is too long, or its notes have no common value".to_owned();
            return Err(refuse(self.source, node, &TOO_MUCH_MUSIC, message));
        }
        self.now = to;
        self.longest = self.longest.max(to);
        Ok(())
    }

    /// The whole number that a child element holds.
    fn number(&self, node: Node, name: &str) -> Result<Option<i64>, Box<Finding>> {
        let Some(found) = child(node, name) else { return Ok(None) };
        let text = found.text().unwrap_or("").trim();
        // Durations are written as decimals by some programs.
        let whole =
            text.parse::<f64>().ok().filter(|number| number.abs() <= MAX_NUMBER as f64 && number.fract() == 0.0);
        match whole {
            Some(number) => Ok(Some(number as i64)),
            None => {
                let message = format!("expected a whole number in `{name}`, found `{}`", shortened(text));
                Err(refuse(self.source, found, &WRONG_MUSIC_FILE, message))
            }
        }
    }

    /// A time in divisions, as a length.
    pub(super) fn divided(&self, divisions: i64) -> Length {
        Length::quarters(divisions, self.divisions)
    }

    /// An `offset` child: how far from here something takes place.
    pub(super) fn place(&self, node: Node) -> Result<Length, Box<Finding>> {
        let offset = self.number(node, "offset")?.unwrap_or(0);
        Ok((self.now + self.divided(offset)).max(Length::ZERO))
    }

    fn duration(&self, node: Node) -> Result<Length, Box<Finding>> {
        match self.number(node, "duration")? {
            Some(duration) if duration >= 0 => Ok(self.divided(duration)),
            Some(_) => Err(refuse(self.source, node, &WRONG_MUSIC_FILE, "a duration is below 0".to_owned())),
            None => {
                let message = format!("a `{}` has no duration", node.tag_name().name());
                Err(refuse(self.source, node, &WRONG_MUSIC_FILE, message))
            }
        }
    }

    fn attributes(&mut self, node: Node) -> Result<(), Box<Finding>> {
        if let Some(divisions) = self.number(node, "divisions")? {
            if !(1..=FINEST).contains(&divisions) {
                let message = format!("expected 1 to {FINEST} divisions of a quarter note, found {divisions}");
                return Err(refuse(self.source, node, &WRONG_MUSIC_FILE, message));
            }
            self.divisions = divisions;
        }
        for element in node.children().filter(Node::is_element) {
            match element.tag_name().name() {
                "key" => self.key(element)?,
                "time" => self.time(element),
                "transpose" => {
                    let semitones = self.number(element, "chromatic")?.unwrap_or(0);
                    let octaves = self.number(element, "octave-change")?.unwrap_or(0);
                    self.transpose = (semitones + 12 * octaves).clamp(-128, 128) as i32;
                }
                "measure-style"
                    if child(element, "measure-repeat").is_some() || child(element, "beat-repeat").is_some() =>
                {
                    self.tell(Weight::Heard, "a sign that repeats measures or beats is left out", element);
                }
                _ => {}
            }
        }
        Ok(())
    }

    fn key(&mut self, node: Node) -> Result<(), Box<Finding>> {
        let Some(fifths) = self.number(node, "fifths")? else {
            self.tell(Weight::Slight, "a key without sharps or flats in the usual order is left out", node);
            return Ok(());
        };
        let mode = if child_text(node, "mode") == Some("minor") { Mode::Minor } else { Mode::Major };
        let modal = child_text(node, "mode").filter(|mode| !matches!(*mode, "major" | "minor" | "none" | ""));
        if let Some(modal) = modal {
            let what = format!("the mode `{}` is written as the major key of its sharps or flats", shortened(modal));
            self.tell(Weight::Slight, what, node);
        }
        match i8::try_from(fifths).ok().and_then(|fifths| Key::from_fifths(fifths, mode)) {
            // A transposing part has its own key; what it sounds in is meant.
            Some(key) => {
                self.head.key = self.head.key.or(Some(if self.transpose == 0 { key } else { key.up(self.transpose) }))
            }
            None => self.tell(Weight::Slight, "a key of more than seven sharps or flats is left out", node),
        }
        Ok(())
    }

    fn time(&mut self, node: Node) {
        let texts = |name: &str| {
            node.children()
                .filter(|child| child.has_tag_name(name))
                .filter_map(|child| child.text())
                .collect::<Vec<_>>()
        };
        let (beats, types) = (texts("beats"), texts("beat-type"));
        let sum = |text: &&str| {
            text.split('+').map(|part| part.trim().parse::<u8>().ok()).try_fold(0u8, |all, n| all.checked_add(n?))
        };
        // Several fractions add up in the finest of their units, such as 3/8 + 2/4.
        let unit = types.iter().filter_map(|unit| unit.trim().parse::<u8>().ok()).max();
        let count = unit.and_then(|unit| {
            beats
                .iter()
                .zip(&types)
                .map(|(beats, of)| {
                    let of: u8 = of.trim().parse().ok().filter(|of| *of > 0)?;
                    sum(beats)?.checked_mul(unit / of)
                })
                .try_fold(0u8, |all, n| all.checked_add(n?))
        });
        match count.zip(unit).and_then(|(count, unit)| Meter::new(count, unit)) {
            Some(meter) => self.head.meter = Some(meter),
            None => self.tell(Weight::Slight, "a meter that the notation does not have is left out", node),
        }
    }

    fn note(&mut self, node: Node) -> Result<(), Box<Finding>> {
        let has = |name: &str| child(node, name).is_some();
        if has("grace") {
            self.tell(Weight::Heard, "a grace note is left out", node);
            return Ok(());
        }
        let counted = self.duration(node)?;
        let length = self.tuplet(node, counted);
        let start = if has("chord") { self.last_start } else { self.now };
        self.last_start = start;
        if !has("chord") {
            if length != counted {
                self.rounded.note(self.rounded.counted(start) + counted, start + length);
            }
            self.move_to(node, start + length)?;
        }
        if has("cue") {
            self.tell(Weight::Slight, "a cue note is left out", node);
        } else if !has("rest") {
            self.struck(node, start, length)?;
        }
        Ok(())
    }

    /// The length that a note is meant to have: for a tuplet that the file's divisions can't express exactly, the one that its note
    /// value and its time modification give.
    fn tuplet(&self, node: Node, counted: Length) -> Length {
        let meant = || {
            let modification = child(node, "time-modification")?;
            let number = |name| child_text(modification, name)?.parse::<i64>().ok().filter(|n| (1..=64).contains(n));
            let value = Value::named(child_text(node, "type")?)?.length().ratio();
            let dots = node.children().filter(|child| child.has_tag_name("dot")).count().min(4) as u32;
            let dotted = Ratio::new(2i64.pow(dots + 1) - 1, 2i64.pow(dots));
            Some(value * dotted * Ratio::new(number("normal-notes")?, number("actual-notes")?))
        };
        let Some(meant) = meant() else { return counted };
        let off = meant - counted.ratio();
        let one = Ratio::new(1, self.divisions);
        if off < one && off > -one { Length::quarters(*meant.numer(), *meant.denom()) } else { counted }
    }

    /// Makes strokes louder where a sign for this part alone says so.
    fn accent(&mut self) {
        let PartReader { part, accents, number, .. } = self;
        let here = part.notes.iter_mut().rev().take_while(|raw| raw.measure == *number);
        here.filter(|raw| accents.contains(&raw.start)).for_each(|raw| raw.manner.accent = true);
    }

    fn struck(&mut self, node: Node, start: Length, length: Length) -> Result<(), Box<Finding>> {
        let Some((sound, on)) = self.sounds(node)? else { return Ok(()) };
        self.sounds = self.sounds.max(start + length);
        let voice = |name: &str, otherwise: u32| {
            child_text(node, name).map_or(otherwise, |text| text.parse().unwrap_or(0)) % 1000
        };
        let tie = |kind: &str| {
            let ties = node.children().filter(|child| child.has_tag_name("tie"));
            ties.filter(|tie| tie.attribute("type") == Some(kind)).count() > 0
        };
        let own = self.manner(node);
        // A sign at the first note of a chord is for all of it.
        let first = self.last_manner.filter(|_| child(node, "chord").is_some()).unwrap_or_default();
        let manner = Manner {
            accent: own.accent || first.accent,
            damped: own.damped || first.damped,
            rolled: own.rolled || first.rolled,
            stick: own.stick,
        };
        self.last_manner = Some(manner);
        self.lyrics(node);
        self.part.notes.push(Raw {
            measure: self.number,
            start,
            length,
            sound,
            on,
            manner,
            voice: voice("staff", 1) * 1000 + voice("voice", 1),
            tie_stops: tie("stop"),
            tie_starts: tie("start"),
        });
        Ok(())
    }

    /// What a note sounds, and on what.
    fn sounds(&mut self, node: Node) -> Result<Option<(Sound, On)>, Box<Finding>> {
        if let Some(pitch) = child(node, "pitch") {
            let written = self.pitch(pitch)?;
            let Some(sounding) = written.and_then(|pitch| pitch.up(self.transpose)) else {
                self.tell(Weight::Heard, "a note beyond MIDI's keys is left out", node);
                return Ok(None);
            };
            if self.info.is_percussion {
                return Ok(self.percussion(node, Some(sounding.key())));
            }
            return Ok(Some((Sound::Pitch(sounding), On::Pan)));
        }
        if child(node, "unpitched").is_some() {
            return Ok(self.percussion(node, None));
        }
        let message = "a note has neither a pitch nor a rest".to_owned();
        Err(refuse(self.source, node, &WRONG_MUSIC_FILE, message))
    }

    fn pitch(&self, node: Node) -> Result<Option<Pitch>, Box<Finding>> {
        let step = child_text(node, "step").and_then(|step| step.chars().next()).and_then(Letter::from_char);
        let Some(step) = step else {
            return Err(refuse(self.source, node, &WRONG_MUSIC_FILE, "expected a `step` from A to G".to_owned()));
        };
        let alter = child_text(node, "alter").map_or(Ok(0.0), str::parse::<f64>);
        let octave = self.number(node, "octave")?;
        let (Ok(alter), Some(octave)) = (alter, octave) else {
            return Err(refuse(
                self.source,
                node,
                &WRONG_MUSIC_FILE,
                "a pitch has a wrong `alter` or no `octave`".to_owned(),
            ));
        };
        let key = (octave + 1) as f64 * 12.0 + f64::from(step.semitones()) + alter.round();
        Ok((0.0..=127.0).contains(&key).then(|| Pitch::new(count(key) as u8)).flatten())
    }
}

/// The effect of rounded durations in a measure: a file that can't express a third of a beat counts 43, 43 and 42 divisions.
#[derive(Clone, Debug, Default)]
struct Rounded {
    /// For the end of every rounded note, as the file counts it, the end that is meant.
    meant: BTreeMap<Length, Length>,
    /// The other way round.
    counted: BTreeMap<Length, Length>,
}

impl Rounded {
    fn note(&mut self, counted: Length, meant: Length) {
        self.meant.insert(counted, meant);
        self.counted.insert(meant, counted);
    }

    /// A time as it is meant: as far after the rounded time before it as the file counts.
    fn meant(&self, counted: Length) -> Length {
        Rounded::other(&self.meant, counted)
    }

    /// A time as the file counts it.
    fn counted(&self, meant: Length) -> Length {
        Rounded::other(&self.counted, meant)
    }

    fn other(times: &BTreeMap<Length, Length>, at: Length) -> Length {
        times.range(..=at).next_back().map_or(at, |(own, other)| *other + (at - *own))
    }
}

/// A text from a file, short enough for a message.
pub fn shortened(text: &str) -> String {
    let short: String = text.chars().take(40).collect();
    if short.len() < text.len() { format!("{short}…") } else { short }
}

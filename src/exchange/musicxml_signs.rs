//! What stands beside and above the notes of MusicXML: articulations, words, chords, dynamics, tempo, repeats.

use num_rational::Ratio;
use roxmltree::Node;

use super::lost::Weight;
use super::musicxml_in::{child, child_text};
use super::musicxml_part::{PartReader, shortened};
use super::percussion_in;
use super::play_order::Jump;
use super::score::{Loudness, Manner, On};
use super::voices::Sound;
use crate::music::chord::{self, ChordKind};
use crate::music::force::Dynamic;
use crate::music::pitch::Tone;
use crate::music::{Chord, Length, Letter};
use crate::notation::tree::Mark;
use crate::pan::Instrument;
use crate::text::Finding;

/// The most endings that a repeat may have, and the most times that it may be played.
const MAX_TIMES: u32 = 1000;

impl PartReader<'_> {
    /// The stroke of the engine room that an unpitched note stands for. `key`: its General MIDI key, if that is known.
    pub(super) fn percussion(&mut self, node: Node, key: Option<u8>) -> Option<(Sound, On)> {
        let id = child(node, "instrument").and_then(|node| node.attribute("id"));
        let own = match id {
            Some(id) => self.info.unpitched.get(id),
            None if self.info.unpitched.len() == 1 => self.info.unpitched.values().next(),
            None => None,
        };
        let names = id
            .and_then(|id| self.info.instruments.get(id))
            .map(String::as_str)
            .into_iter()
            .chain([self.info.name.as_str()]);
        let named =
            names.flat_map(|name| std::iter::once(name).chain(name.split_whitespace())).find_map(Instrument::from_name);
        if let Some(key) = own.copied().or(key).filter(|_| named.is_none() || own.is_some()) {
            let Some(near) = percussion_in::near(key) else {
                let what =
                    format!("the engine room has nothing like {}; the stroke is left out", percussion_in::sound(key));
                self.tell(Weight::Heard, what, node);
                return None;
            };
            if near.is_other {
                let what = format!("{} is written for the {}", percussion_in::sound(key), near.instrument);
                self.tell(Weight::Otherwise, what, node);
            }
            return Some((Sound::Mark(near.mark), On::Percussion(near.instrument)));
        }
        let instrument = named.unwrap_or_else(|| {
            self.tell(Weight::Otherwise, "percussion whose instrument is not known is written for the sticks", node);
            Instrument::Sticks
        });
        Some((Sound::Mark(Mark::Stroke), On::Percussion(instrument)))
    }

    /// How a note is struck.
    pub(super) fn manner(&mut self, node: Node) -> Manner {
        let mut manner = Manner::default();
        let notations = node.children().filter(|child| child.has_tag_name("notations"));
        for sign in notations.flat_map(|notations| notations.children()).filter(Node::is_element) {
            match sign.tag_name().name() {
                "tied" | "tuplet" => {}
                "articulations" => {
                    for one in sign.children().filter(Node::is_element) {
                        match one.tag_name().name() {
                            "accent" | "strong-accent" => manner.accent = true,
                            "staccato" | "staccatissimo" | "spiccato" => manner.damped = true,
                            other => self.tell(Weight::Slight, format!("`{other}` is left out"), one),
                        }
                    }
                }
                "ornaments" => {
                    for one in sign.children().filter(Node::is_element) {
                        match one.tag_name().name() {
                            "tremolo" if !matches!(one.attribute("type"), Some("start" | "stop")) => {
                                manner.rolled = true
                            }
                            "accidental-mark" => {}
                            other => self.tell(Weight::Heard, format!("the ornament `{other}` is left out"), one),
                        }
                    }
                }
                "technical" => {
                    for one in sign.children().filter(Node::is_element) {
                        self.tell(Weight::Slight, format!("`{}` is left out", one.tag_name().name()), one);
                    }
                }
                other => self.tell(Weight::Slight, format!("`{other}` is left out"), sign),
            }
        }
        manner
    }

    /// The first verse under a note.
    pub(super) fn lyrics(&mut self, node: Node) {
        let mut lyrics = node.children().filter(|child| child.has_tag_name("lyric"));
        let Some(first) = lyrics.next() else { return };
        for other in lyrics {
            self.tell(Weight::Slight, "a further verse is left out", other);
        }
        for text in first.children().filter(|child| child.has_tag_name("text")).filter_map(|text| text.text()) {
            self.head.lyrics.push_str(text);
        }
        let ends = !matches!(child_text(first, "syllabic"), Some("begin" | "middle"));
        self.head.lyrics.push(if ends { ' ' } else { '-' });
    }

    /// A chord symbol.
    pub(super) fn harmony(&mut self, node: Node) -> Result<(), Box<Finding>> {
        let at = self.place(node)?;
        let kind = child(node, "kind");
        let kind_name = kind.and_then(|kind| kind.text()).map_or("", str::trim);
        if kind_name == "none" {
            self.head.chords.push((at, None));
            return Ok(());
        }
        let tone = |name: &str, step: &str, alter: &str| {
            let node = child(node, name)?;
            let letter = Letter::from_char(child_text(node, step)?.chars().next()?)?;
            let alter = child_text(node, alter).map_or(Some(0.0), |alter| alter.parse::<f64>().ok())?;
            (alter.abs() <= 2.0).then(|| Tone::new(letter, alter.round() as i8))
        };
        let root = tone("root", "root-step", "root-alter");
        let Some((root, kind)) = root.zip(chord_kind(node, kind_name)) else {
            let shown = kind.and_then(|kind| kind.attribute("text")).unwrap_or(kind_name);
            let what = format!("a chord symbol that is not known (`{}`) is left out", shortened(shown));
            self.tell(Weight::Slight, what, node);
            return Ok(());
        };
        let bass = tone("bass", "bass-step", "bass-alter");
        self.head.chords.push((at, Some(Chord { root, kind, bass })));
        Ok(())
    }

    /// Words, dynamics, tempo, and signs above or below the music.
    pub(super) fn direction(&mut self, node: Node) -> Result<(), Box<Finding>> {
        let at = self.place(node)?;
        let kinds = node.children().filter(|child| child.has_tag_name("direction-type"));
        for sign in kinds.flat_map(|kind| kind.children()).filter(Node::is_element) {
            match sign.tag_name().name() {
                "rehearsal" => self.mark(sign, at),
                "words" => self.words(sign),
                "dynamics" => self.dynamics(sign, at),
                "wedge" => match sign.attribute("type") {
                    Some("crescendo") => self.head.dynamics.push((at, Loudness::Growing)),
                    Some("diminuendo") => self.head.dynamics.push((at, Loudness::Falling)),
                    _ => {}
                },
                "metronome" => self.metronome(sign),
                "segno" => self.signs.segno = true,
                "coda" => self.signs.coda = true,
                // An octave line is for the eye: pitches are those that sound. The rest is layout or for other instruments.
                "octave-shift" | "bracket" | "dashes" | "image" => {}
                other => self.tell(Weight::Slight, format!("`{other}` is left out"), sign),
            }
        }
        match child(node, "sound") {
            Some(sound) => self.sound(sound),
            None => Ok(()),
        }
    }

    fn mark(&mut self, sign: Node, at: Length) {
        let text = sign.text().map_or("", str::trim);
        if text.is_empty() {
            return;
        }
        if !at.is_zero() || self.head.mark.is_some() {
            self.tell(Weight::Slight, "a rehearsal mark within a measure begins its section with the measure", sign);
        }
        self.head.mark.get_or_insert_with(|| text.to_owned());
    }

    fn words(&mut self, sign: Node) {
        let text = sign.text().map_or("", str::trim);
        let plain: String = text.to_lowercase().chars().filter(|c| c.is_alphanumeric() || *c == ' ').collect();
        let plain = plain.trim();
        if plain == "fine" {
            self.signs.fine = true;
        } else if plain.starts_with("dc") || plain.starts_with("da capo") {
            self.signs.jump = Some(Jump::Start);
        } else if plain.starts_with("ds") || plain.starts_with("dal segno") {
            self.signs.jump = Some(Jump::Segno);
        } else if plain == "to coda" {
            self.signs.to_coda = true;
        } else if !text.is_empty() {
            self.head.cues.push(text.to_owned());
        }
    }

    fn dynamics(&mut self, sign: Node, at: Length) {
        for one in sign.children().filter(Node::is_element) {
            let name = one.tag_name().name();
            let mark = match name {
                "ppp" | "pppp" | "ppppp" | "pppppp" => Some(Dynamic::PP),
                "fff" | "ffff" | "fffff" | "ffffff" => Some(Dynamic::FF),
                _ => Dynamic::from_word(name),
            };
            match mark {
                Some(mark) => self.head.dynamics.push((at, Loudness::Mark(mark))),
                None => self.tell(Weight::Slight, format!("the dynamic mark `{name}` is left out"), one),
            }
        }
    }

    /// A tempo as a note value and a number: `♩. = 60`.
    fn metronome(&mut self, sign: Node) {
        let units: Vec<&str> =
            sign.children().filter(|child| child.has_tag_name("beat-unit")).filter_map(|unit| unit.text()).collect();
        let dots = sign.children().filter(|child| child.has_tag_name("beat-unit-dot")).count();
        let number = child_text(sign, "per-minute").and_then(|text| text.parse::<f64>().ok());
        let quarters = match units[..] {
            ["whole"] => Some((4, 1)),
            ["half"] => Some((2, 1)),
            ["quarter"] => Some((1, 1)),
            ["eighth"] => Some((1, 2)),
            ["16th"] => Some((1, 4)),
            _ => None,
        };
        let dotted = match dots {
            0 => Ratio::new(1, 1),
            1 => Ratio::new(3, 2),
            _ => Ratio::new(7, 4),
        };
        match (quarters, number.and_then(thousandths)) {
            (Some((above, below)), Some(number)) => self.tempo(number * Ratio::new(above, below) * dotted, sign),
            _ => self.tell(Weight::Slight, "a tempo that is no note value and number is left out", sign),
        }
    }

    /// A tempo in quarter notes a minute. A tune changes its tempo at bar lines.
    fn tempo(&mut self, quarters: Ratio<i64>, node: Node) {
        if quarters < Ratio::new(1, 2) || quarters > Ratio::from_integer(4000) {
            self.tell(Weight::Heard, "a tempo out of all bounds is left out", node);
            return;
        }
        if !self.now.is_zero() {
            self.tell(Weight::Slight, "a change of tempo within a measure is written at its start", node);
        }
        self.head.tempo = Some(quarters);
    }

    /// What only sounds: tempo, and jumps.
    pub(super) fn sound(&mut self, node: Node) -> Result<(), Box<Finding>> {
        if let Some(tempo) = node.attribute("tempo") {
            match tempo.trim().parse::<f64>().ok().and_then(thousandths) {
                Some(tempo) => self.tempo(tempo, node),
                None => self.tell(Weight::Slight, "a tempo that is no number is left out", node),
            }
        }
        if node.attribute("dacapo").is_some() {
            self.signs.jump = Some(Jump::Start);
        }
        if node.attribute("dalsegno").is_some() {
            self.signs.jump = Some(Jump::Segno);
        }
        self.signs.segno |= node.attribute("segno").is_some();
        self.signs.coda |= node.attribute("coda").is_some();
        self.signs.to_coda |= node.attribute("tocoda").is_some();
        self.signs.fine |= node.attribute("fine").is_some();
        Ok(())
    }

    /// Repeats and endings.
    pub(super) fn barline(&mut self, node: Node) {
        if let Some(ending) = child(node, "ending") {
            match ending.attribute("type") {
                Some("start") => {
                    let numbers = ending.attribute("number").unwrap_or("1");
                    let numbers = numbers.split(|c: char| !c.is_ascii_digit()).filter_map(|number| number.parse().ok());
                    self.signs.ending = numbers.filter(|number| (1..=MAX_TIMES).contains(number)).take(64).collect();
                    if self.signs.ending.is_empty() {
                        self.signs.ending.push(1);
                    }
                }
                Some("stop" | "discontinue") => self.signs.ending_stops = true,
                _ => {}
            }
        }
        if let Some(repeat) = child(node, "repeat") {
            match repeat.attribute("direction") {
                Some("forward") => self.signs.repeat_from = true,
                Some("backward") => {
                    let times = repeat.attribute("times").and_then(|times| times.parse().ok());
                    self.signs.repeat_to = Some(times.filter(|times| (1..=MAX_TIMES).contains(times)));
                }
                _ => {}
            }
        }
        if child(node, "segno").is_some() {
            self.signs.segno = true;
        }
        if child(node, "coda").is_some() {
            self.signs.coda = true;
        }
    }
}

/// A decimal number as a fraction of thousandths.
fn thousandths(number: f64) -> Option<Ratio<i64>> {
    (number.abs() < 1e6).then(|| Ratio::new((number * 1000.0).round() as i64, 1000))
}

/// The kind of a chord by MusicXML's name for it and its degrees; without degrees if these are not known.
fn chord_kind(node: Node, name: &str) -> Option<&'static ChordKind> {
    let degrees = node.children().filter(|child| child.has_tag_name("degree"));
    let mut written: Vec<(u8, i8, &str)> = degrees
        .filter_map(|degree| {
            let value = child_text(degree, "degree-value")?.parse().ok()?;
            let alter = child_text(degree, "degree-alter").map_or(Some(0.0), |alter| alter.parse::<f64>().ok())?;
            Some((value, alter as i8, child_text(degree, "degree-type")?))
        })
        .collect();
    written.sort_unstable();
    let same = |kind: &&ChordKind| kind.musicxml == name && sorted(kind.degrees) == written;
    chord::KINDS.iter().find(same)
}

fn sorted(degrees: &[(u8, i8, &'static str)]) -> Vec<(u8, i8, &'static str)> {
    let mut degrees = degrees.to_vec();
    degrees.sort_unstable();
    degrees
}

//! Everything beside and above the notes of MusicXML: articulations, words, chords, dynamics, tempo, repeats.

use std::collections::{BTreeMap, BTreeSet};

use num_rational::Ratio;
use roxmltree::Node;

use super::elements::{child, child_text};
use super::part::{PartReader, shortened};
use super::play_order::Jump;
use crate::exchange::lost::Weight;
use crate::exchange::percussion;
use crate::exchange::score::{Loudness, Manner, On};
use crate::exchange::voices::Sound;
use crate::music::chord::{self, ChordKind, DegreeType};
use crate::music::force::Dynamic;
use crate::music::pitch::Tone;
use crate::music::{Chord, Length, Letter};
use crate::notation::setting::MAX_SWING;
use crate::notation::tree::{Mark, Stick};
use crate::pan::Instrument;
use crate::text::Finding;

/// The most endings that a repeat may have, and the most times that it may be played.
const MAX_TIMES: u32 = 1000;

impl PartReader<'_> {
    /// The stroke of the engine room that an unpitched note stands for. `key`: its General MIDI key, if that is known.
    pub(super) fn percussion(&mut self, node: Node, key: Option<u8>) -> Option<(Sound, On)> {
        let id = child(node, "instrument").and_then(|node| node.attribute("id"));
        if let Some((instrument, mark)) = id.and_then(|id| stroke_named(self.info.instruments.get(id)?)) {
            return Some((Sound::Mark(mark), On::Percussion(instrument)));
        }
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
            let Some(near) = percussion::near_on(named, key) else {
                let what =
                    format!("the engine room has nothing like {}; the stroke is left out", percussion::sound(key));
                self.tell(Weight::Heard, what, node);
                return None;
            };
            if near.is_other {
                let what = format!("{} is written for the {}", percussion::sound(key), near.instrument);
                self.tell(Weight::Otherwise, what, node);
            }
            return Some((Sound::Mark(near.mark), On::Percussion(near.instrument)));
        }
        let instrument = named.unwrap_or_else(|| {
            self.tell(Weight::Otherwise, "percussion whose instrument is not known is written for the claves", node);
            Instrument::Claves
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
                        let stick = one.text().and_then(|text| match text.trim() {
                            "L" => Some(Stick::L),
                            "R" => Some(Stick::R),
                            _ => None,
                        });
                        if stick.is_some() && one.has_tag_name("other-technical") {
                            manner.stick = stick;
                            continue;
                        }
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
        let written = degrees(node);
        let same = |kind: &&ChordKind| kind.musicxml == kind_name && sorted(kind.degrees) == written;
        let known = chord::KINDS.iter().find(same);
        let found = root.zip(known.or_else(|| nearest(kind_name, &written)));
        let shown = shortened(kind.and_then(|kind| kind.attribute("text")).unwrap_or(kind_name));
        let Some((root, kind)) = found else {
            // What held before is over.
            self.head.chords.push((at, None));
            let what = format!(
                "chords like `C{shown}` are not known, and none that is lies within; `N.C.`, no chord, is written"
            );
            self.tell(Weight::Otherwise, what, node);
            return Ok(());
        };
        if known.is_none() {
            let suffix = kind.suffixes[0];
            let what = format!(
                "chords like `C{shown}` are not known; the nearest whose notes are all in it is written, `C{suffix}`"
            );
            self.tell(Weight::Otherwise, what, node);
        }
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
        let sounds = sign.ancestors().nth(2).is_some_and(|direction| child(direction, "sound").is_some());
        let swing = text.strip_prefix("swing ").filter(|_| sounds || !self.info.ours).and_then(swing_in_words);
        if swing.is_some() {
            return self.swing(swing, sign);
        }
        if self.info.ours {
            // Its words are cues and lyrics, whatever they say.
            return self.head.cues.push(text.to_owned());
        }
        let plain: String = text.to_lowercase().chars().filter(|c| c.is_alphanumeric() || *c == ' ').collect();
        let plain = plain.trim();
        // Two letters after other words are an abbreviation only with their dots.
        let lower = text.to_lowercase();
        let is_dotted = ["d.c", "d. c", "d.s", "d. s"].iter().any(|abbreviation| lower.contains(abbreviation));
        match asked(plain, is_dotted) {
            Asked::Fine => self.signs.fine = true,
            Asked::ToCoda => self.signs.to_coda = true,
            Asked::Jump(jump, cue) => {
                self.signs.jump = Some(jump);
                self.head.cues.extend((!cue.is_empty()).then(|| text.to_owned()));
            }
            Asked::Unclear => {
                let what = format!("`{}` may ask to go back; it is taken as words", shortened(text));
                self.tell(Weight::Heard, what, sign);
                self.head.cues.push(text.to_owned());
            }
            Asked::Nothing => self.head.cues.extend((!text.is_empty()).then(|| text.to_owned())),
        }
    }

    /// Leaves out a cue that only says how often the repeat that ends here is played.
    pub(super) fn without_times(&mut self) {
        // Twice is what any repeat means; only more is written.
        if let Some(Some(times)) = self.signs.repeat_to.filter(|times| times.is_some_and(|times| times > 2)) {
            let said = format!("{times} times");
            if let Some(last) = self.head.cues.iter().rposition(|cue| *cue == said) {
                self.head.cues.remove(last);
            }
        }
    }

    /// A swing; `None` where beats are straight again. A tune has one for all of it.
    fn swing(&mut self, swing: Option<(u8, u8)>, node: Node) {
        let is_first = self.number == 0 && self.now.is_zero();
        if is_first && swing.is_some() {
            self.part.swing = swing;
        } else if swing != self.part.swing {
            self.tell(Weight::Heard, "a change of swing is left out; a tune has one swing", node);
        }
    }

    /// What a `swing` element says, when it swings the halves of the meter's beat; eighths where it does not say what.
    fn swing_element(&mut self, node: Node) {
        if child(node, "straight").is_some() {
            return self.swing(None, node);
        }
        let part = |name: &str| child_text(node, name).and_then(|part| part.parse::<u8>().ok());
        let ratio = part("first").zip(part("second")).and_then(|(first, second)| swing_of(first, second));
        let beat = match child_text(node, "swing-type").unwrap_or("eighth") {
            "eighth" => Some(Length::quarters(1, 1)),
            "16th" => Some(Length::quarters(1, 2)),
            _ => None,
        };
        // Later in the music the meter may be another, and the words alone count.
        let fits = self.number > 0 || beat == Some(self.head.meter.unwrap_or_default().beat());
        if ratio.is_some() && fits {
            self.swing(ratio, node);
        } else {
            self.tell(Weight::Heard, "a swing that a tune can't say is left out", node);
        }
    }

    fn dynamics(&mut self, sign: Node, at: Length) {
        for one in sign.children().filter(Node::is_element) {
            let name = one.tag_name().name();
            // One stroke louder, and what follows it.
            let (is_accent, name_after) = match name {
                "sf" | "sfz" | "sffz" | "fz" | "rf" | "rfz" => (true, None),
                "sfp" => (true, Some("p")),
                "sfpp" => (true, Some("pp")),
                _ => (false, Some(name)),
            };
            if is_accent {
                self.accents.insert(at);
            }
            let Some(name) = name_after else { continue };
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
        match (quarters, number.and_then(millionths)) {
            (Some((above, below)), Some(number)) => self.tempo(number * Ratio::new(above, below) * dotted, sign),
            _ => self.tell(Weight::Slight, "a tempo without a note value and a number is left out", sign),
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

    /// What is not printed but only sounds: tempo, and jumps.
    pub(super) fn sound(&mut self, node: Node) -> Result<(), Box<Finding>> {
        if let Some(tempo) = node.attribute("tempo") {
            match tempo.trim().parse::<f64>().ok().and_then(millionths) {
                Some(tempo) => self.tempo(tempo, node),
                None => self.tell(Weight::Slight, "a tempo that is not a number is left out", node),
            }
        }
        if let Some(swing) = child(node, "swing") {
            self.swing_element(swing);
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
                Some("stop" | "discontinue") => {
                    if let Some(signs) = self.signs_that_end(node) {
                        signs.ending_stops = true;
                    }
                }
                _ => {}
            }
        }
        if let Some(repeat) = child(node, "repeat") {
            match repeat.attribute("direction") {
                Some("forward") => self.signs.repeat_from = true,
                Some("backward") => {
                    let times = repeat.attribute("times").and_then(|times| times.parse().ok());
                    let times = times.filter(|times| (1..=MAX_TIMES).contains(times));
                    if let Some(signs) = self.signs_that_end(node) {
                        signs.repeat_to = Some(times);
                    }
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

/// What words above the music ask for.
#[derive(Clone, Debug, PartialEq, Eq)]
enum Asked {
    Fine,
    ToCoda,
    /// To go back, and the words before that.
    Jump(Jump, String),
    /// Words that name a jump, but go on in another way.
    Unclear,
    Nothing,
}

/// What some words ask for, in lower case and without signs: `da capo`, `D.C. al fine`, `Menuetto da capo`, `M.D.C.`. `is_dotted`:
/// whether an abbreviation has its dots.
fn asked(plain: &str, is_dotted: bool) -> Asked {
    // Letters that stand apart are those of an abbreviation: `D. C.`.
    let mut words: Vec<String> = Vec::new();
    for word in plain.split_whitespace() {
        match words.last_mut().filter(|last| word.len() == 1 && matches!(last.as_str(), "m" | "d" | "md")) {
            Some(last) => last.push_str(word),
            None => words.push(word.to_owned()),
        }
    }
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    match words[..] {
        ["fine"] => return Asked::Fine,
        ["to", "coda"] => return Asked::ToCoda,
        _ => {}
    }
    let jump = (0..words.len()).find_map(|at| match words[at..] {
        ["da", "capo", ..] => Some((at, at + 2, Jump::Start)),
        ["dc" | "mdc" | "dacapo", ..] => Some((at, at + 1, Jump::Start)),
        ["dal", "segno", ..] => Some((at, at + 2, Jump::Segno)),
        ["ds", ..] => Some((at, at + 1, Jump::Segno)),
        _ => None,
    });
    match jump {
        None => Asked::Nothing,
        Some((from, to, _))
            if from > 0 && words[from..to].iter().any(|word| matches!(*word, "dc" | "ds")) && !is_dotted =>
        {
            Asked::Unclear
        }
        Some((from, to, jump)) if to == words.len() || from == 0 || matches!(words[to], "al" | "e" | "senza") => {
            Asked::Jump(jump, words[..from].join(" "))
        }
        Some(_) => Asked::Unclear,
    }
}

/// The stroke that a name such as `conga o` says: an instrument and the letter of one of its strokes.
fn stroke_named(name: &str) -> Option<(Instrument, Mark)> {
    let (instrument, letter) = name.rsplit_once(' ')?;
    let instrument = Instrument::from_name(instrument)?;
    let mark = instrument.marks().iter().copied().find(|mark| letter.chars().eq([mark.to_char()]))?;
    Some((instrument, mark))
}

/// A decimal number as a fraction of millionths.
fn millionths(number: f64) -> Option<Ratio<i64>> {
    (number.abs() < 1e6).then(|| Ratio::new((number * 1e6).round() as i64, 1_000_000))
}

/// `2:1`.
fn swing_in_words(text: &str) -> Option<(u8, u8)> {
    let (first, second) = text.split_once(':')?;
    swing_of(first.parse().ok()?, second.parse().ok()?)
}

/// A swing within what the notation takes.
fn swing_of(first: u8, second: u8) -> Option<(u8, u8)> {
    let taken = 1..=MAX_SWING;
    (taken.contains(&first) && taken.contains(&second)).then_some((first, second))
}

/// The degrees of a chord symbol, in order.
fn degrees<'a>(node: Node<'a, '_>) -> Vec<(u8, i8, &'a str)> {
    let degrees = node.children().filter(|child| child.has_tag_name("degree"));
    let mut written: Vec<(u8, i8, &str)> = degrees
        .filter_map(|degree| {
            let value = child_text(degree, "degree-value")?.parse().ok()?;
            let alter = child_text(degree, "degree-alter").map_or(Some(0.0), |alter| alter.parse::<f64>().ok())?;
            Some((value, alter as i8, child_text(degree, "degree-type")?))
        })
        .collect();
    written.sort_unstable();
    written
}

/// The kind of chord with the most notes that all lie in an unknown chord; of equals, the first in the table.
fn nearest(kind: &str, degrees: &[(u8, i8, &str)]) -> Option<&'static ChordKind> {
    let plain = chord::KINDS.iter().find(|own| own.musicxml == kind && own.degrees.is_empty())?;
    let mut steps: BTreeMap<u8, u8> = plain.tones.iter().map(|tone| (degree_of(*tone), *tone)).collect();
    for (value, alter, how) in degrees {
        let own = steps.get(value).copied();
        // An added degree is counted from a dominant chord, an altered one from the chord itself (MusicXML 4.0, `degree-alter`).
        let from = if *how == "add" { of_dominant(*value) } else { own };
        match (*how, from.and_then(|tone| tone.checked_add_signed(*alter))) {
            ("subtract", _) => drop(steps.remove(value)),
            ("add" | "alter", Some(tone)) => drop(steps.insert(*value, tone)),
            _ => {}
        }
    }
    let classes: BTreeSet<u8> = steps.values().map(|tone| tone % 12).collect();
    let within = |own: &&ChordKind| own.tones.iter().all(|tone| classes.contains(&(tone % 12)));
    chord::KINDS.iter().filter(within).rev().max_by_key(|own| own.tones.len())
}

/// Which degree a tone some semitones above the root is, in the chords that MusicXML names.
fn degree_of(tone: u8) -> u8 {
    match tone {
        0 => 1,
        2 => 2,
        3 | 4 => 3,
        5 => 4,
        6..=8 => 5,
        9 => 6,
        10 | 11 => 7,
        13..=15 => 9,
        16..=18 => 11,
        _ => 13,
    }
}

/// Semitones above the root of a degree of a dominant chord.
fn of_dominant(degree: u8) -> Option<u8> {
    let within = [0, 2, 4, 5, 7, 9, 10].get(usize::from(degree.checked_sub(1)? % 7)).copied()?;
    Some(within + 12 * ((degree - 1) / 7))
}

fn sorted(degrees: &[(u8, i8, DegreeType)]) -> Vec<(u8, i8, &'static str)> {
    let mut degrees: Vec<_> = degrees.iter().map(|(value, alter, kind)| (*value, *alter, kind.musicxml())).collect();
    degrees.sort_unstable();
    degrees
}

//! What a page plays and shows, as data: times in microseconds at the written tempo, worked out here from exact musical time.
//!
//! The page's script multiplies these times by one factor for the tempo and adds where a stretch begins; it works out no music.
//! Rolls are the one thing that is played differently when the tempo is slower (more strokes in the same note), so their strokes
//! are given for several tempos ([`READINGS`]).

use serde::Serialize;

use super::bank::{Bank, counted};
use super::sticks::Sticks;
use crate::music::{Meter, Moment, Pitch};
use crate::notation::tree::Stick;
use crate::pan::Instrument;
use crate::performance::phrases::phrases;
use crate::performance::stroke::VoicePlayer;
use crate::performance::{Options, Performance, Sound, Stroke, TempoChoice, perform};
use crate::sound::plan;
use crate::tune::Tune;

/// The tempos, in percent, for which rolls are played out. The page plays those of the nearest tempo.
pub const READINGS: [f64; 3] = [100.0, 60.0, 36.0];

/// What a page plays and shows.
#[derive(Debug, Serialize)]
pub struct Score {
    /// When the last bar ends.
    pub end: i64,
    /// All strokes that are not part of a roll, rising in time: four numbers each. The time from the stroke before; the number
    /// of the stroke in the bank; how loud, in thousandths; how long it is held before it is damped, 0 when it rings.
    pub strokes: Vec<i64>,
    /// The strokes of rolls, for several tempos.
    pub rolls: Vec<Reading>,
    /// The bars as played.
    pub bars: Vec<Bar>,
    /// Whether the tune begins with a pickup: its bar is bar 0, in the tune and in its section.
    pub pickup: bool,
    /// The clicks that count a bar of a kind; [`Bar::clicks`] and [`Bar::count`] are numbers in this list.
    pub clicks: Vec<Clicks>,
    /// The sections as played.
    pub sections: Vec<Section>,
    /// What the player strikes: for each part a list, rising in time.
    pub onsets: Vec<Vec<Onset>>,
    /// Chord names: when, and which; an empty name is no chord.
    pub chords: Vec<(i64, String)>,
    /// Cues and words that are sung.
    pub words: Vec<(i64, String)>,
    /// The voice that keeps time while the player answers, if the band has one.
    pub keeper: Option<u16>,
}

/// The strokes of rolls at a tempo.
#[derive(Debug, Serialize)]
pub struct Reading {
    /// The tempo in percent.
    pub percent: f64,
    /// As in [`Score::strokes`].
    pub strokes: Vec<i64>,
}

/// A bar as played.
#[derive(Debug, Serialize)]
pub struct Bar {
    /// When it begins.
    pub at: i64,
    /// When it ends.
    pub end: i64,
    /// The number of the section in the tune.
    pub section: u32,
    /// The number of the bar in the section, from 0.
    pub bar: u32,
    /// The clicks of its beats.
    pub clicks: usize,
    /// The clicks of a count-in before it.
    pub count: usize,
    /// The number of the bar after the last of the phrase that begins here.
    pub phrase: usize,
    /// Whether the time-keeper strikes in it.
    pub kept: bool,
    /// Strokes (by their number in [`Score::strokes`]) that sound on into it, and are struck anew when a stretch begins here.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub into: Vec<usize>,
}

/// Clicks of a stretch of time: when each comes, and whether it is accented; and how long the stretch is.
#[derive(Debug, PartialEq, Eq, Serialize)]
pub struct Clicks {
    /// How long all of it is.
    pub length: i64,
    /// The clicks.
    pub at: Vec<(i64, bool)>,
}

/// A section as played.
#[derive(Debug, Serialize)]
pub struct Section {
    /// Its name, and which time of how many it is played in a row.
    pub name: String,
    /// Its number in the tune.
    pub section: usize,
    /// Its first bar, and the one after its last.
    pub first: usize,
    /// The bar after its last.
    pub last: usize,
    /// Beats a minute, as written.
    pub tempo: f64,
}

/// Something that the player strikes: a note, two at once, a roll, or a stroke on percussion.
#[derive(Debug, PartialEq, Eq, Serialize)]
pub struct Onset {
    /// When.
    pub at: i64,
    /// For how long it is meant to sound.
    pub length: i64,
    /// Whether it is rolled.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub rolled: bool,
    /// What is struck: MIDI keys of notes, or letters of percussion strokes.
    pub struck: Vec<String>,
    /// The sticks that strike, `L` or `R`, in the order of `struck`; empty where it is not known.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub sticks: Vec<String>,
}

/// The performances of a tune at all [`READINGS`], as one who plays these parts hears them.
pub fn performances(tune: &Tune, own: &[usize]) -> Vec<Performance> {
    let at = |percent: f64| {
        let tempo = if percent == 100.0 { TempoChoice::AsWritten } else { TempoChoice::Percent(percent) };
        perform(tune, &Options { tempo, parts: Some(tune.heard(own)), ..Options::default() })
    };
    READINGS.into_iter().map(at).collect()
}

/// Microseconds at the written tempo.
pub fn micros(performance: &Performance, at: Moment) -> i64 {
    (performance.tempo.seconds(at) * 1e6).round() as i64
}

impl Score {
    /// The score of what a player plays.
    ///
    /// - `played`: the tune at all [`READINGS`]; `own`: the player's voices; `bank`: holds their strokes; `sticks`: the player's;
    ///   `pickup`: whether the tune begins with one.
    pub fn new(played: &[Performance], own: &[u16], bank: &Bank, sticks: &Sticks, pickup: bool) -> Score {
        let written = &played[0];
        let micros = |at: Moment| micros(written, at);
        let named = |list: &[(Moment, String)]| list.iter().map(|(at, text)| (micros(*at), text.clone())).collect();
        let rolls = READINGS.iter().zip(played).map(|(percent, performance)| Reading {
            percent: *percent,
            strokes: strokes(written, performance.strokes.iter().filter(|stroke| stroke.roll.is_some()), bank),
        });
        let mut clicks = Vec::new();
        let keeper = keeper(written, own);
        Score {
            end: micros(written.end),
            strokes: strokes(written, plain(written), bank),
            rolls: rolls.collect(),
            bars: bars(written, own, keeper, &mut clicks),
            pickup,
            clicks,
            sections: sections(written),
            onsets: own.iter().map(|voice| onsets(written, *voice, sticks)).collect(),
            chords: named(&written.chords),
            words: named(&written.words),
            keeper,
        }
    }
}

fn plain(performance: &Performance) -> impl Iterator<Item = &Stroke> {
    performance.strokes.iter().filter(|stroke| stroke.roll.is_none())
}

fn strokes<'a>(written: &Performance, strokes: impl Iterator<Item = &'a Stroke>, bank: &Bank) -> Vec<i64> {
    let mut before = 0;
    let mut out = Vec::new();
    for (stroke, count) in counted(strokes) {
        let at = micros(written, stroke.at);
        let held = if stroke.damped { (written.tempo.lasts(stroke.at, stroke.length) * 1e6).round() as i64 } else { 0 };
        let loud = (plan::loudness(stroke.force) * 1000.0).round() as i64;
        out.extend([at - before, i64::from(bank.of(stroke, count)), loud, held.max(i64::from(stroke.damped))]);
        before = at;
    }
    out
}

/// The iron, unless the player plays it.
fn keeper(performance: &Performance, own: &[u16]) -> Option<u16> {
    let iron = VoicePlayer::Percussion(Instrument::Iron);
    let voice = performance.voices.iter().position(|voice| voice.player == iron)?;
    u16::try_from(voice).ok().filter(|voice| !own.contains(voice))
}

fn sections(performance: &Performance) -> Vec<Section> {
    let first = |at: Moment| performance.bars.partition_point(|bar| bar.at < at);
    let starts = performance.sections.iter().map(|section| section.at).skip(1).chain([performance.end]);
    let all = performance.sections.iter().zip(starts);
    let section = |(section, end): (&crate::performance::stroke::SectionAt, Moment)| Section {
        name: if section.of > 1 {
            format!("{} {} of {}", section.name, section.pass, section.of)
        } else {
            section.name.clone()
        },
        section: section.section,
        first: first(section.at),
        last: first(end),
        tempo: performance.tempo.at(section.at).tempo.beats_a_minute(),
    };
    all.map(section).filter(|section| section.first < section.last).collect()
}

fn bars(performance: &Performance, own: &[u16], keeper: Option<u16>, clicks: &mut Vec<Clicks>) -> Vec<Bar> {
    let count = performance.bars.len();
    let kept = kept(performance, keeper);
    let mut sounding = sounding(performance);
    let mut number = |found: Clicks| match clicks.iter().position(|clicks| *clicks == found) {
        Some(number) => number,
        None => {
            clicks.push(found);
            clicks.len() - 1
        }
    };
    let bar = |(i, bar): (usize, &crate::performance::stroke::BarAt)| {
        let meter = meter_at(performance, bar.at);
        let full = if bar.length < meter.bar() { meter.bar() + (meter.bar() - bar.length) } else { meter.bar() };
        // Only the first phrase from here on is wanted, and none is longer than its limit.
        let until = (i + crate::performance::phrases::MAX_BARS + 1).min(count);
        Bar {
            at: micros(performance, bar.at),
            end: micros(performance, bar.at + bar.length),
            section: bar.section,
            bar: bar.bar,
            clicks: number(beats(performance, bar.at, bar.length, meter)),
            count: number(beats(performance, bar.at, full, meter)),
            phrase: phrases(performance, own, i, until)[0].1,
            kept: kept[i],
            into: std::mem::take(&mut sounding[i]),
        }
    };
    performance.bars.iter().enumerate().map(bar).collect()
}

/// For each bar, whether the time-keeper strikes in it.
fn kept(performance: &Performance, keeper: Option<u16>) -> Vec<bool> {
    let mut kept = vec![false; performance.bars.len()];
    for stroke in performance.strokes.iter().filter(|stroke| Some(stroke.voice) == keeper) {
        kept[stroke.bar as usize] = true;
    }
    kept
}

/// For each bar, the plain strokes on pans, by their number, that sound on over its beginning.
fn sounding(performance: &Performance) -> Vec<Vec<usize>> {
    let mut into = vec![Vec::new(); performance.bars.len()];
    for (number, stroke) in plain(performance).enumerate() {
        if stroke.damped || !matches!(stroke.sound, Sound::Note(_)) {
            continue;
        }
        let first = performance.bars.partition_point(|bar| bar.at <= stroke.at);
        let over = performance.bars[first..].iter().take_while(|bar| bar.at < stroke.at + stroke.length).count();
        into[first..first + over].iter_mut().for_each(|into: &mut Vec<usize>| into.push(number));
    }
    into
}

fn meter_at(performance: &Performance, at: Moment) -> Meter {
    let after = performance.meters.partition_point(|(moment, _)| *moment <= at);
    performance.meters[..after].last().map_or_else(Meter::default, |(_, meter)| *meter)
}

/// The beats of a stretch in the tempo and meter of a moment; the first of a bar accented.
fn beats(performance: &Performance, at: Moment, length: crate::music::Length, meter: Meter) -> Clicks {
    let quarters = performance.tempo.at(at).quarters_a_minute;
    let micros = |length: crate::music::Length| {
        (length.as_f64() * 6e7 * *quarters.denom() as f64 / *quarters.numer() as f64).round() as i64
    };
    let count = length.per(meter.beat()).ceil().to_integer();
    let beat = |n: i64| (micros(meter.beat() * n), n % i64::from(meter.beats()) == 0);
    Clicks { length: micros(length), at: (0..count).map(beat).collect() }
}

/// The letter of the stick that a stroke is for; of a roll, the one that begins it.
fn letter(chosen: &[(Pitch, Stick)], stroke: &Stroke) -> Option<String> {
    let (_, stick) = chosen.iter().find(|(pitch, _)| Sound::Note(*pitch) == stroke.sound)?;
    Some(stick.to_char().to_string())
}

/// What the player strikes with one voice; the strokes of a roll are one, and so are two notes at once.
fn onsets(performance: &Performance, own: u16, sticks: &Sticks) -> Vec<Onset> {
    let mut onsets: Vec<Onset> = Vec::new();
    let mut chosen: &[(Pitch, Stick)] = &[];
    let mut last: Option<&Stroke> = None;
    for stroke in performance.strokes.iter().filter(|stroke| stroke.voice == own) {
        let struck = match stroke.sound {
            Sound::Note(pitch) => pitch.key().to_string(),
            Sound::Mark(mark) => mark.to_char().to_string(),
        };
        let goes_on = stroke.roll.is_some_and(|number| number > 0);
        let together = last.is_some_and(|last| last.at == stroke.at);
        let at = micros(performance, stroke.at);
        let end = micros(performance, stroke.at + stroke.length);
        match onsets.last_mut().filter(|_| goes_on || together) {
            Some(onset) => {
                onset.length = onset.length.max(end - onset.at);
                if !onset.struck.contains(&struck) {
                    onset.struck.push(struck);
                    onset.sticks.extend(letter(chosen, stroke));
                }
            }
            None => {
                chosen = sticks.get(&stroke.at).map_or(&[], Vec::as_slice);
                onsets.push(Onset {
                    at,
                    length: end - at,
                    rolled: stroke.roll.is_some(),
                    struck: vec![struck],
                    sticks: letter(chosen, stroke).into_iter().collect(),
                });
            }
        }
        last = Some(stroke);
    }
    onsets
}

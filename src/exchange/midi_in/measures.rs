//! The measures of a MIDI file: from its time signatures, with keys, tempos, markers, and lyrics where they fall.

use num_rational::Ratio;

use super::timing::Timing;
use crate::exchange::limits::MAX_MEASURES;
use crate::exchange::lost::{Lost, Weight, Where};
use crate::exchange::score::Measure;
use crate::midi::file::{DEFAULT_MICROSECONDS, Event, File, What};
use crate::music::{Key, Length, Meter};

/// From this many measures for each change of tempo on, the changes are real; more frequent ones are a player's freedom.
const MEASURES_A_TEMPO: usize = 4;

/// As many changes of tempo as this are always real.
const SOME_CHANGES: usize = 8;

/// The measures up to `end`; `None` when there are more than [`MAX_MEASURES`].
pub fn measures(file: &File, timing: &Timing, end: Length, lost: &mut Lost) -> Option<Vec<Measure>> {
    // A tune has one row of words: those of the first track that has any.
    let sings = file.tracks.iter().position(|events| events.iter().any(|event| is_lyric(&event.what)));
    let tracks = file.tracks.iter().enumerate();
    let of_all = tracks.flat_map(|(track, events)| {
        events.iter().filter(move |event| is_of_all(&event.what) && (!is_lyric(&event.what) || sings == Some(track)))
    });
    let mut events: Vec<&Event> = of_all.collect();
    let others = file.tracks.iter().enumerate().filter(|(track, _)| sings.is_some_and(|sings| *track > sings));
    if others.flat_map(|(_, events)| events).any(|event| is_lyric(&event.what)) {
        let at = Where { part: "", measure: "", span: None };
        lost.tell(Weight::Slight, "the words of one track are taken; those of others are left out", at);
    }
    events.sort_by_key(|event| event.tick);
    let placed: Vec<(Length, &What)> = events.iter().map(|event| (timing.at(event.tick), &event.what)).collect();
    let meters = meters(&placed, lost);
    let mut measures: Vec<Measure> = Vec::new();
    let mut starts: Vec<Length> = Vec::new();
    let (mut at, mut next, mut meter) = (Length::ZERO, 0, Meter::default());
    while at < end {
        while let Some((_, new)) = meters.get(next).filter(|(place, _)| *place <= at) {
            meter = *new;
            next += 1;
        }
        if measures.len() >= MAX_MEASURES {
            return None;
        }
        let full = at + meter.bar();
        let to = meters.get(next).map_or(full, |(place, _)| full.min(*place));
        starts.push(at);
        measures.push(Measure::new(to - at, meter, Key::default()));
        at = to;
    }
    // A first bar with a shorter meter of its own is how files write a pickup.
    if let [first, second, ..] = &mut measures[..]
        && first.meter.bar() < second.meter.bar()
        && first.length == first.meter.bar()
    {
        first.meter = second.meter;
    }
    fill(&mut measures, &starts, &placed, lost);
    tempos(&mut measures, lost);
    Some(measures)
}

/// Whether an event concerns all parts.
fn is_of_all(what: &What) -> bool {
    matches!(what, What::Tempo(_) | What::Meter { .. } | What::Key(_) | What::Text { kind: 5 | 6, .. })
}

fn is_lyric(what: &What) -> bool {
    matches!(what, What::Text { kind: 5, .. })
}

fn meters(placed: &[(Length, &What)], lost: &mut Lost) -> Vec<(Length, Meter)> {
    let mut meters: Vec<(Length, Meter)> = Vec::new();
    for (at, what) in placed {
        let What::Meter { count, power, .. } = what else { continue };
        let meter = 1u8.checked_shl(u32::from(*power)).and_then(|unit| Meter::new(*count, unit));
        let Some(meter) = meter else {
            let at = Where { part: "", measure: "", span: None };
            lost.tell(Weight::Slight, "a meter that the notation does not have is left out", at);
            continue;
        };
        match meters.last_mut() {
            Some(last) if last.0 == *at => last.1 = meter,
            Some(last) if last.1 == meter => {}
            _ => meters.push((*at, meter)),
        }
    }
    meters
}

/// Puts keys, tempos, markers and lyrics into the measures that they fall in.
fn fill(measures: &mut [Measure], starts: &[Length], placed: &[(Length, &What)], lost: &mut Lost) {
    let default = quarters_a_minute(DEFAULT_MICROSECONDS);
    let (mut key, mut tempo, mut next) = (Key::default(), default, 0);
    let has_tempo = placed.iter().any(|(_, what)| matches!(what, What::Tempo(_)));
    for number in 0..measures.len() {
        let end = starts.get(number + 1).copied();
        let printed = (number + 1).to_string();
        let here = Where { part: "", measure: &printed, span: None };
        while let Some((at, what)) = placed.get(next).filter(|(at, _)| end.is_none_or(|end| *at < end)) {
            next += 1;
            let within = *at > starts[number];
            match what {
                What::Tempo(microseconds) => {
                    tempo = quarters_a_minute(*microseconds);
                    if within {
                        lost.tell(
                            Weight::Slight,
                            "a change of tempo within a measure is written at the next bar line",
                            here,
                        );
                        continue;
                    }
                    measures[number].tempo = Some(tempo);
                }
                What::Key(new) => {
                    key = *new;
                    if !within {
                        measures[number].key = key;
                    }
                }
                What::Text { kind: 6, bytes } => {
                    if within {
                        lost.tell(
                            Weight::Slight,
                            "a marker within a measure begins its section with the measure",
                            here,
                        );
                    }
                    measures[number].mark = Some(String::from_utf8_lossy(bytes).into_owned());
                }
                What::Text { bytes, .. } => {
                    let text = String::from_utf8_lossy(bytes);
                    let words = &mut measures[number].words;
                    if !words.is_empty() && !words.ends_with('-') {
                        words.push(' ');
                    }
                    words.push_str(text.trim());
                }
                _ => {}
            }
        }
        if number + 1 < measures.len() {
            measures[number + 1].key = key;
            measures[number + 1].tempo = has_tempo.then_some(tempo);
        }
        if number == 0 && measures[0].tempo.is_none() {
            measures[0].tempo = has_tempo.then_some(default);
        }
    }
}

/// Quarter notes a minute to a thousandth, as tempos are written.
fn quarters_a_minute(microseconds: u32) -> Ratio<i64> {
    let exact = Ratio::new(60_000_000_000, i64::from(microseconds.max(1)));
    Ratio::new(exact.round().to_integer(), 1000)
}

/// A tempo that changes with nearly every measure is a player's freedom and not part of the tune: the one that lasts longest
/// stays.
fn tempos(measures: &mut [Measure], lost: &mut Lost) {
    let changes = measures.windows(2).filter(|pair| pair[0].tempo != pair[1].tempo).count();
    if changes <= SOME_CHANGES || changes * MEASURES_A_TEMPO <= measures.len() {
        return;
    }
    let mut lasts: std::collections::BTreeMap<Option<Ratio<i64>>, usize> = std::collections::BTreeMap::new();
    for measure in measures.iter() {
        *lasts.entry(measure.tempo).or_default() += 1;
    }
    let longest = lasts.into_iter().max_by_key(|(_, count)| *count).and_then(|(tempo, _)| tempo);
    for measure in measures.iter_mut() {
        measure.tempo = longest;
    }
    let what = format!("the tempo changes {changes} times; only the one that lasts longest is written");
    lost.tell(Weight::Heard, what, Where { part: "", measure: "", span: None });
}

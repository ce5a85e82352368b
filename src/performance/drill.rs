//! Drills: plans for practising a stretch of a tune by ear, each played out as one performance.

use super::cut::{Heard, Joined};
use super::perform::{Options, TempoChoice, perform};
use super::phrases::phrases;
use super::stroke::{Performance, VoicePlayer};
use crate::music::count;
use crate::music::{Length, Meter, Moment};
use crate::pan::Instrument;
use crate::tune::Tune;

/// How a stretch is practised.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Kind {
    /// The stretch, so many times without a gap.
    Loop {
        /// How often.
        times: u32,
    },
    /// The stretch again and again, from a slow tempo to a faster one in steps.
    Ladder {
        /// Percent of the tempo to begin with.
        from: f64,
        /// Percent of the tempo to end with.
        to: f64,
        /// Percent that each step adds.
        step: f64,
    },
    /// A phrase, then the same length left free for the player to answer, while the iron (or claves) keeps time.
    Echo {
        /// How many bars a phrase has; `None`: as the line breathes.
        bars: Option<usize>,
    },
    /// The first bars, then the first and the next, and so on until the whole stretch is learnt.
    Chain {
        /// How many bars each link adds.
        by: usize,
    },
}

/// What is practised, and how.
#[derive(Clone, Debug, PartialEq)]
pub struct Request {
    /// The number of the part.
    pub part: usize,
    /// How it is practised.
    pub kind: Kind,
    /// The number of the section, played once; `None`: the whole form.
    pub section: Option<usize>,
    /// The first and the last bar of the section or form, counted from 1, a pickup too; `None`: all of it.
    pub bars: Option<(usize, usize)>,
    /// How fast; a ladder's percents are of this.
    pub tempo: TempoChoice,
}

/// One step of a drill.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// When it begins, in seconds from the start of the track.
    pub seconds: f64,
    /// What it is: `bars 1 to 4 at 70 %`, `your answer`.
    pub what: String,
    /// Percent of the tempo.
    pub percent: f64,
}

/// A drill played out.
#[derive(Clone, Debug)]
pub struct Drill {
    /// Everything that is struck; its sections are the steps.
    pub performance: Performance,
    /// The steps in order.
    pub steps: Vec<Step>,
}

/// The longest drill in seconds: 4 hours.
pub const MAX_SECONDS: f64 = 4.0 * 3600.0;

/// A ladder where nothing else is asked for, in percent: from 60 to 100 by 5.
pub const LADDER: (f64, f64, f64) = (60.0, 100.0, 5.0);

/// The most steps that a drill may have: 10,000.
pub const MAX_STEPS: u32 = 10_000;

/// Why there is no drill.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refused {
    /// The stretch has no bar, or ends beyond the section or form, which has so many bars.
    NoSuchBars(usize),
    /// It would last longer than [`MAX_SECONDS`].
    TooLong,
    /// A ladder that leads nowhere: its step is not above zero, or it ends below its start.
    NoLadder,
}

impl std::fmt::Display for Refused {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Refused::NoSuchBars(bars) => write!(f, "there are only {bars} bars"),
            Refused::TooLong => write!(f, "the drill would last longer than {} hours", MAX_SECONDS / 3600.0),
            Refused::NoLadder => f.write_str("a ladder climbs: it ends at a faster tempo than it begins with"),
        }
    }
}

impl std::error::Error for Refused {}

/// A piece of a drill: bars of the stretch at a tempo.
struct Piece {
    first: usize,
    /// The number after the last.
    last: usize,
    percent: f64,
    heard: Heard,
    what: String,
}

/// A drill over a stretch of a tune, counted in.
///
/// # Errors
/// When the bars are not there, the ladder leads nowhere, or it would last too long.
pub fn drill(tune: &Tune, request: &Request) -> Result<Drill, Refused> {
    let whole = at_percent(tune, request, 100.0);
    let bars = whole.bars.len();
    let (first, last) = match request.bars {
        None => (0, bars),
        Some((first, last)) => (first.wrapping_sub(1), last),
    };
    if first >= last || last > bars {
        return Err(Refused::NoSuchBars(bars));
    }
    // The number of the first bar: a pickup is bar 0.
    let opens = whole.bars.first().map_or(1, |bar| tune.sections[bar.section as usize].number_of(0));
    let pieces = pieces(&whole, request, (first, last), opens)?;
    let length = |piece: &Piece| {
        let (from, to) = span(&whole, piece);
        whole.tempo.lasts(from, to - from) * 100.0 / piece.percent
    };
    if pieces.iter().map(length).sum::<f64>() > MAX_SECONDS {
        return Err(Refused::TooLong);
    }
    Ok(join(tune, request, &whole, &pieces))
}

fn at_percent(tune: &Tune, request: &Request, percent: f64) -> Performance {
    let scaled = |base: f64| TempoChoice::Percent(base * percent / 100.0);
    let tempo = match request.tempo {
        TempoChoice::AsWritten if percent == 100.0 => TempoChoice::AsWritten,
        TempoChoice::AsWritten => scaled(100.0),
        TempoChoice::Percent(base) => scaled(base),
        TempoChoice::Bpm(tempo) => TempoChoice::Bpm(tempo.at_percent(percent)),
    };
    perform(
        tune,
        &Options { parts: Some(tune.heard(&[request.part])), section: request.section, tempo, count_in: false },
    )
}

/// When a piece begins and ends in a performance of the tune; musical time is the same at every tempo.
fn span(whole: &Performance, piece: &Piece) -> (Moment, Moment) {
    let last = &whole.bars[piece.last - 1];
    (whole.bars[piece.first].at, last.at + last.length)
}

/// The pieces of a drill.
///
/// - `first`, `last`: the first bar, from 0, and the bar after the last; `opens`: the number of the first bar of all.
fn pieces(
    whole: &Performance,
    request: &Request,
    (first, last): (usize, usize),
    opens: usize,
) -> Result<Vec<Piece>, Refused> {
    let all = |percent: f64, what: String| Piece { first, last, percent, heard: Heard::All, what };
    Ok(match request.kind {
        Kind::Loop { times } if times > MAX_STEPS => return Err(Refused::TooLong),
        Kind::Loop { times } => {
            (1..=times.max(1)).map(|time| all(100.0, format!("round {time} of {}", times.max(1)))).collect()
        }
        Kind::Ladder { from, to, step } => {
            let named = |percent: f64| format!("at {} %", (percent * 10.0).round() / 10.0);
            ladder(from, to, step)?.into_iter().map(|percent| all(percent, named(percent))).collect()
        }
        Kind::Chain { by } => {
            let by = by.max(1);
            let ends = (first + by..last).step_by(by).chain([last]);
            let link = |end: usize| Piece {
                first,
                last: end,
                percent: 100.0,
                heard: Heard::All,
                what: named(first, end, opens),
            };
            ends.map(link).collect()
        }
        Kind::Echo { bars } => echo(whole, request.part, (first, last), bars, opens),
    })
}

/// The tempos of a ladder in percent, from the first to the last.
///
/// # Errors
/// When it leads nowhere, or has too many steps.
pub fn ladder(from: f64, to: f64, step: f64) -> Result<Vec<f64>, Refused> {
    if step <= 0.0 || to < from || from <= 0.0 {
        return Err(Refused::NoLadder);
    }
    // Whole numbers of steps, so that no rounding is lost on the way; the last step is the end itself.
    let steps = count(((to - from) / step).ceil()) as u32;
    if steps > MAX_STEPS {
        return Err(Refused::TooLong);
    }
    Ok((0..=steps).map(|i| if i == steps { to } else { from + step * f64::from(i) }).collect())
}

fn echo(
    whole: &Performance,
    part: usize,
    (first, last): (usize, usize),
    bars: Option<usize>,
    opens: usize,
) -> Vec<Piece> {
    let phrases = match bars {
        Some(bars) => (first..last).step_by(bars.max(1)).map(|bar| (bar, (bar + bars.max(1)).min(last))).collect(),
        None => phrases(whole, &[part as u16], first, last),
    };
    let iron = VoicePlayer::Percussion(Instrument::Iron);
    let iron = whole.voices.iter().position(|voice| voice.player == iron && voice.part != Some(part));
    let plays = |voice: usize, (first, last): (usize, usize)| {
        let (from, to) = (whole.bars[first].at, whole.bars[last - 1].at + whole.bars[last - 1].length);
        whole.strokes.iter().any(|stroke| usize::from(stroke.voice) == voice && stroke.at >= from && stroke.at < to)
    };
    let answer = |phrase| match iron.filter(|iron| plays(*iron, phrase)) {
        Some(iron) => Heard::Voice(iron),
        None => Heard::Claves,
    };
    let pair = |phrase: (usize, usize)| {
        let (first, last) = phrase;
        let piece = |heard, what| Piece { first, last, percent: 100.0, heard, what };
        [piece(Heard::All, named(first, last, opens)), piece(answer(phrase), "your answer".to_owned())]
    };
    phrases.into_iter().flat_map(pair).collect()
}

/// `bar 5`, `bars 5 to 8`.
///
/// - `opens`: the number of the first bar of all, 1, or 0 for a pickup.
fn named(first: usize, last: usize, opens: usize) -> String {
    let (from, to) = (first + opens, last - 1 + opens);
    if from == to { format!("bar {from}") } else { format!("bars {from} to {to}") }
}

fn join(tune: &Tune, request: &Request, whole: &Performance, pieces: &[Piece]) -> Drill {
    let mut at_tempo: Vec<(f64, Performance)> = Vec::new();
    let start = whole.bars[pieces[0].first].at;
    let meter = meter_at(whole, start);
    let mut joined: Option<Joined> = None;
    let mut steps = Vec::new();
    for piece in pieces {
        if at_tempo.iter().all(|(percent, _)| *percent != piece.percent) {
            // Rolls have more strokes when the tempo is slower, so every tempo is played out anew; one is kept at a time.
            at_tempo = vec![(piece.percent, at_percent(tune, request, piece.percent))];
        }
        let played = &at_tempo[0].1;
        let (from, to) = span(whole, piece);
        let joined = joined.get_or_insert_with(|| {
            let mut joined = Joined::new(whole, played.tempo.at(from).tempo, meter);
            joined.count_in(count_in_length(whole, start, meter), meter);
            joined
        });
        let at = joined.end();
        joined.add(played, from, to, piece.heard, &piece.what);
        steps.push(Step { seconds: joined.tempo().seconds(at), what: piece.what.clone(), percent: piece.percent });
    }
    let performance = joined.map_or_else(|| whole.clone(), Joined::finish);
    Drill { performance, steps }
}

fn meter_at(whole: &Performance, at: Moment) -> Meter {
    let after = whole.meters.partition_point(|(moment, _)| *moment <= at);
    whole.meters[..after].last().map_or_else(Meter::default, |(_, meter)| *meter)
}

/// A bar, and before a pickup what it leaves of its own bar.
fn count_in_length(whole: &Performance, start: Moment, meter: Meter) -> Length {
    let first = whole.bars.iter().find(|bar| bar.at == start).map_or(meter.bar(), |bar| bar.length);
    if first < meter.bar() { meter.bar() + (meter.bar() - first) } else { meter.bar() }
}

#[cfg(test)]
#[path = "drill_tests.rs"]
mod tests;

//! The form played out: every stroke of every part at its exact moment.

use super::dynamics::Dynamics;
use super::landmarks::Landmarks;
use super::pass::{Pass, passes};
use super::roll;
use super::stroke::{Performance, Sound, Stroke, TempoMap, Voice, VoicePlayer};
use crate::music::{Force, Length, Meter, Moment, Seed, Tempo};
use crate::notation::tree::Mark;
use crate::pan::Instrument;
use crate::tune::Tune;
use crate::tune::model::{Event, Part, Player, Struck};

/// How much louder an accented stroke is, in steps of the scale from `pp` to `ff`: one and a half (common practice, no
/// source; one step is hard to tell from an uneven hand).
pub const ACCENT_STEPS: f32 = 1.5;

/// The share of its length that a damped note sounds: half (common practice for short notes, no source).
const DAMPED: (usize, usize) = (1, 2);

/// What is played of a tune, and how.
#[derive(Clone, Debug, Default)]
#[non_exhaustive]
pub struct Options {
    /// The numbers of the parts that are played; `None`: all but those that stand for another one on one pan alone.
    pub parts: Option<Vec<usize>>,
    /// The number of the section that is played, once; `None`: the whole form.
    pub section: Option<usize>,
    /// How fast.
    pub tempo: TempoChoice,
    /// Whether claves count in.
    pub count_in: bool,
}

/// How fast a tune is played.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum TempoChoice {
    /// As written.
    #[default]
    AsWritten,
    /// At so many percent of what is written.
    Percent(f64),
    /// The opening at this tempo, sections with a tempo of their own in proportion.
    Bpm(Tempo),
}

/// A tune played out.
///
/// Every moment is counted from the start in exact fractions; nothing is summed from rounded pieces. Cost: linear in the
/// strokes, plus sorting them.
pub fn perform(tune: &Tune, options: &Options) -> Performance {
    let passes = passes(tune, options.section, options.count_in);
    let timing = Timing::new(tune, &passes, options);
    let chosen: Vec<usize> = match &options.parts {
        Some(parts) => parts.iter().copied().filter(|part| *part < tune.parts.len()).collect(),
        None => tune.heard(&[]),
    };
    let mut voices: Vec<Voice> = chosen.iter().map(|part| voice(*part, &tune.parts[*part])).collect();
    let mut strokes = Vec::new();
    for (number, part) in (0u16..).zip(&chosen) {
        let notes = notes(tune, *part, &passes, &timing);
        let player = &tune.parts[*part].player;
        for note in notes {
            strike(&note, number, player, &timing, &mut strokes);
        }
    }
    if options.count_in && !passes.is_empty() {
        let number = u16::try_from(voices.len()).unwrap_or(u16::MAX);
        voices.push(Voice {
            name: "count-in".to_owned(),
            player: VoicePlayer::Percussion(Instrument::Claves),
            part: None,
        });
        count_in(tune, &passes, &timing, number, &mut strokes);
    }
    strokes.sort_by_key(|stroke| (stroke.at, stroke.voice, stroke.sound));
    let Landmarks { meters, keys, bars, sections, chords, words } = Landmarks::new(tune, &passes);
    Performance {
        title: tune.title.clone(),
        by: tune.by.clone(),
        voices,
        strokes,
        tempo: timing.tempo,
        meters,
        keys,
        bars,
        sections,
        chords,
        words,
        begin: timing.begin,
        end: timing.end,
    }
}

/// Tempo and loudness of the moments.
struct Timing {
    tempo: TempoMap,
    dynamics: Dynamics,
    begin: Moment,
    end: Moment,
}

impl Timing {
    fn new(tune: &Tune, passes: &[Pass], options: &Options) -> Timing {
        let opening = passes.first().map_or((tune.tempo, tune.meter), |pass| (pass.section.tempo, pass.section.meter));
        let percent = match options.tempo {
            TempoChoice::AsWritten => 100.0,
            TempoChoice::Percent(percent) => percent,
            TempoChoice::Bpm(tempo) => tempo.beats_a_minute() / opening.0.beats_a_minute() * 100.0,
        };
        let chosen = |tempo: Tempo| if percent == 100.0 { tempo } else { tempo.at_percent(percent) };
        let mut tempo = TempoMap::new(chosen(opening.0), opening.1);
        for pass in passes {
            tempo.change(pass.at, chosen(pass.section.tempo), pass.section.meter);
        }
        let begin = passes.first().map_or(Moment::START, |pass| pass.at);
        let end = passes.last().map_or(begin, |pass| pass.at + pass.section.length);
        Timing { tempo, dynamics: dynamics(tune, passes, options, end), begin, end }
    }
}

/// The dynamics of what is played; a section alone begins as loud as it would in its place in the form.
fn dynamics(tune: &Tune, passes: &[Pass], options: &Options, end: Moment) -> Dynamics {
    let played =
        passes.iter().flat_map(|pass| pass.section.dynamics.iter().map(|mark| (pass.at + mark.start, mark.change)));
    let before = options.section.into_iter().flat_map(|section| {
        let steps = tune.passes().take_while(move |(number, ..)| *number != section);
        steps.flat_map(|(number, ..)| &tune.sections[number].dynamics).map(|mark| (Moment::START, mark.change))
    });
    let marks: Vec<_> = before.chain(played).collect();
    Dynamics::new(&marks, end)
}

fn voice(number: usize, part: &Part) -> Voice {
    let player = match &part.player {
        Player::Pans { kind, pans } => VoicePlayer::Pan { kind: *kind, pan: pans.first().copied() },
        Player::Percussion { instrument, .. } => VoicePlayer::Percussion(*instrument),
    };
    Voice { name: part.name.clone(), player, part: Some(number) }
}

/// A note from its stroke to its end, over bar lines and sections.
struct Held<'a> {
    event: &'a Event,
    at: Moment,
    end: Moment,
    rolled: bool,
    meter: Meter,
    bar: u32,
}

/// A part's notes through the form, with what goes on from section to section put together.
fn notes<'a>(tune: &'a Tune, part: usize, passes: &[Pass<'a>], timing: &Timing) -> Vec<Held<'a>> {
    let mut notes: Vec<Held> = Vec::new();
    for pass in passes {
        let Some(row) = pass.section.rows[part].as_ref() else { continue };
        if !row.carry.length.is_zero()
            && pass.at > timing.begin
            && let Some(last) = notes.last_mut().filter(|last| last.end == pass.at)
        {
            last.end = pass.moment(row.carry.length, false);
            last.rolled |= row.carry.rolled;
        }
        for event in &row.events {
            notes.push(Held {
                event,
                at: pass.moment(event.start, event.straight),
                end: pass.moment(event.start + event.length, event.straight),
                rolled: event.rolled,
                meter: pass.section.meter,
                bar: pass.first_bar + event.bar,
            });
        }
    }
    let automatic = |note: &Held| {
        !note.event.damped
            && matches!(note.event.struck, Struck::Notes(_))
            && tune.rolls(part, note.end - note.at, note.meter)
    };
    for note in &mut notes {
        note.rolled |= automatic(note);
    }
    notes
}

/// The strokes of one note.
fn strike(note: &Held, voice: u16, player: &Player, timing: &Timing, strokes: &mut Vec<Stroke>) {
    let accent = if note.event.accent { ACCENT_STEPS } else { 0.0 };
    let stroke = |at: Moment, length: Length, sound: Sound, steps: f32, roll: Option<u16>| Stroke {
        at,
        length,
        voice,
        sound,
        force: force(timing, at, steps),
        damped: note.event.damped,
        roll,
        bar: note.bar,
        span: note.event.span,
    };
    let sounds: Vec<Sound> = match &note.event.struck {
        Struck::Notes(notes) => notes.iter().map(|note| Sound::Note(note.pitch)).collect(),
        Struck::Mark(mark) => vec![Sound::Mark(*mark)],
    };
    let length = note.end - note.at;
    if !note.rolled {
        let length = if note.event.damped { length.fraction(DAMPED.0, DAMPED.1) } else { length };
        strokes.extend(sounds.iter().map(|sound| stroke(note.at, length, *sound, accent, None)));
        return;
    }
    // Two notes take the two sticks in turn: left, right, left …
    let seconds = timing.tempo.lasts(note.at, length);
    let pitch = match sounds[0] {
        Sound::Note(pitch) => Some(pitch),
        Sound::Mark(_) => None,
    };
    let count = roll::strokes(seconds, roll::rate_of(player, pitch, force(timing, note.at, accent))).max(sounds.len());
    let each = length.fraction(1, count);
    let mut seed = Seed::of(&[u64::from(voice), note.at.since_start().as_f64().to_bits()]);
    for i in 0..count {
        let (at, sound) = (note.at + length.fraction(i, count), sounds[i % sounds.len()]);
        let off = roll::off(i, each, &mut seed);
        let steps = if i < sounds.len() { accent } else { off.steps - roll::SOFTER_STEPS };
        let number = u16::try_from(i).unwrap_or(u16::MAX);
        strokes.push(stroke(at + off.late, each, sound, steps, Some(number)));
    }
}

fn force(timing: &Timing, at: Moment, steps: f32) -> Force {
    let force = timing.dynamics.force(at);
    if steps == 0.0 { force } else { force.steps(steps) }
}

/// A click of the claves on every beat before the tune begins; the first of a bar accented.
fn count_in(tune: &Tune, passes: &[Pass], timing: &Timing, voice: u16, strokes: &mut Vec<Stroke>) {
    let meter = passes.first().map_or(tune.meter, |pass| pass.section.meter);
    strokes.extend(clicks(Moment::START, timing.begin.since_start(), meter, voice, 0));
}

/// A click of the claves on every beat for a while; the first of each bar of the meter accented. `bar`: the bar that they stand in.
pub(super) fn clicks(from: Moment, length: Length, meter: Meter, voice: u16, bar: u32) -> impl Iterator<Item = Stroke> {
    let beats = length.per(meter.beat()).ceil().to_integer();
    (0..beats).map(move |beat| {
        let accent = if beat % i64::from(meter.beats()) == 0 { ACCENT_STEPS } else { 0.0 };
        Stroke {
            at: from + meter.beat() * beat,
            length: meter.beat(),
            voice,
            sound: Sound::Mark(Mark::Stroke),
            force: super::dynamics::OPENING.force().steps(accent),
            damped: false,
            roll: None,
            bar,
            span: Default::default(),
        }
    })
}

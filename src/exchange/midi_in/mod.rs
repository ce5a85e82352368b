//! Standard MIDI Files as scores: formats 0 and 1, tracks and channels as parts, channel 10 as the engine room.
//!
//! Source: *Standard MIDI Files 1.0* (RP-001). A file says in ticks when keys go down and up. The ticks of written music are taken
//! as exact fractions; the ticks of played music are moved onto plain cells or onto a grid, and what that moved is reported. Repeats
//! are not looked for, since the files hold them played out: only markers cut them into sections.
//!
//! - `measures`: from the time signatures; `timing`, `scatter`: ticks as musical time; `odd`: what breaks the standard.

mod measures;
mod odd;
mod scatter;
mod timing;

use std::collections::{BTreeMap, BTreeSet};

use self::measures::measures;
use self::timing::Timing;
use crate::exchange::findings::{TOO_MUCH_MUSIC, WRONG_MUSIC_FILE};
use crate::exchange::limits::{MAX_MEASURES, MAX_NOTES, MAX_PART_MEASURES, MAX_PARTS, MAX_QUARTERS};
use crate::exchange::lost::{Lost, Weight, Where};
use crate::exchange::percussion::{near_on, sound};
use crate::exchange::quantise::Grid;
use crate::exchange::rows::Rows;
use crate::exchange::score::{Manner, Measure, On, Part, Score, measure_at};
use crate::exchange::voices::{STICKS, Sound, Sounding};
use crate::midi::file::{Division, Ending, Event, File, Note, What};
use crate::midi::{self, percussion};
use crate::music::{Length, Pitch};
use crate::pan::Instrument;
use crate::text::Finding;

/// How late the last note's release may be: half a quarter.
const LATE_RELEASE: (i64, i64) = (1, 2);

/// Whether bytes begin as a Standard MIDI File does.
pub(crate) fn is_midi(bytes: &[u8]) -> bool {
    bytes.starts_with(b"MThd")
}

/// Reads a Standard MIDI File. `name` is what messages call it; `grid` is the grid that played timing is moved onto, if one is
/// asked for.
///
/// # Errors
/// When the bytes have no header of a MIDI file or no notes; when the file counts time in film frames, or goes beyond a limit.
pub fn read(name: &str, bytes: &[u8], grid: Option<&Grid>) -> Result<(Score, Lost), Box<Finding>> {
    let refuse =
        |kind, message: String, help: &str| Box::new(Finding::error(kind, format!("`{name}`: {message}")).help(help));
    let file = midi::read(bytes).map_err(|error| {
        let (kind, help) = match error.reason {
            midi::read::Reason::TooLarge => (&TOO_MUCH_MUSIC, "is this the file that you meant?"),
            _ => (&WRONG_MUSIC_FILE, "this is no MIDI file, or a damaged one: ask for it again, or save it anew"),
        };
        refuse(kind, error.to_string(), help)
    })?;
    let Division::Quarter(ticks) = file.division else {
        let message = "byte 12: the file counts time in film frames, not in beats".to_owned();
        return Err(refuse(
            &WRONG_MUSIC_FILE,
            message,
            "save it again with time in beats (ticks for each quarter note)",
        ));
    };
    if file.format == 2 {
        let message = "byte 8: format 2 holds tunes of their own that are not played together".to_owned();
        return Err(refuse(&WRONG_MUSIC_FILE, message, "have each of them written as format 0 or 1"));
    }
    let latest = file.tracks.iter().flatten().max_by_key(|event| event.tick);
    if let Some(event) = latest.filter(|event| event.tick / u64::from(ticks) >= MAX_QUARTERS as u64) {
        let message = format!("byte {}: an event after {MAX_QUARTERS} quarter notes", event.byte);
        return Err(refuse(&TOO_MUCH_MUSIC, message, "a length in the file is wrong"));
    }
    let mut lost = Lost::default();
    let all = file.notes();
    if all.len() > MAX_NOTES {
        let message = format!("{} notes, more than the {MAX_NOTES} that panfold can take", all.len());
        return Err(refuse(&TOO_MUCH_MUSIC, message, "is this the file that you meant?"));
    }
    let ornamented = with_lengths(&all);
    let is_grace = |note: &Note| note.ending == Ending::AtOnce && ornamented.contains(&(note.track, note.channel));
    let (graces, notes): (Vec<Note>, Vec<Note>) = all.into_iter().partition(is_grace);
    if notes.is_empty() {
        return Err(refuse(&WRONG_MUSIC_FILE, odd::without_notes(&file), "is this the file that you meant?"));
    }
    let timing = Timing::of(&notes, ticks, grid);
    let mut placed = timing.places(&notes);
    let end = placed.iter().map(|(at, length)| *at + *length).max().unwrap_or(Length::ZERO);
    let Some(mut measures) = measures(&file, &timing, end, &mut lost) else {
        let byte = latest.map_or(0, |event| event.byte);
        let message = format!("byte {byte}: more than {MAX_MEASURES} measures");
        return Err(refuse(&TOO_MUCH_MUSIC, message, "a length in the file is wrong"));
    };
    without_a_tail(&mut measures, &mut placed, |note| timing.written_end(note, &notes[note]).is_none());
    let mut score = Score { title: title(&file), order: (0..measures.len()).collect(), measures, ..Score::default() };
    let starts = score.starts();
    odd::tell(&file, |tick| measure_at(&starts, timing.at(tick)).min(starts.len() - 1).to_string(), &mut lost);
    timing.tell(&notes, &placed, &starts, &mut lost);
    let names = names(&file, graces.iter().chain(&notes));
    let mut tell = |note: &Note, weight, what| {
        let measure = measure_at(&starts, timing.at(note.tick)).to_string();
        lost.tell(weight, what, Where { part: &names[&(note.track, note.channel)], measure: &measure, span: None });
    };
    graces.iter().for_each(|note| tell(note, Weight::Heard, "a grace note is left out"));
    // Strokes of percussion need no end.
    for note in notes.iter().filter(|note| note.ending == Ending::Open && note.channel != percussion::CHANNEL) {
        let what =
            "a note has no end in the file; it sounds until its pitch is struck again, or to the end of its track";
        tell(note, Weight::Otherwise, what);
    }
    let voices = voices(&file, &names, &notes, &placed, &starts, &mut lost);
    let rows = Rows { starts: &starts, together: STICKS };
    for ((track, channel, on), notes) in voices {
        let name = part_name(&file, track, channel, on);
        let part = Part { name, from: track + 1, on, kind: None, notes: Vec::new() };
        rows.add(&mut score, &part, &part.name, notes, &mut lost);
    }
    if score.parts.len() > MAX_PARTS || score.parts.len() * score.measures.len() > MAX_PART_MEASURES {
        let message =
            format!("{} parts of {} measures, more than panfold can take", score.parts.len(), score.measures.len());
        return Err(refuse(&TOO_MUCH_MUSIC, message, "is this the file that you meant?"));
    }
    left_out(&file, &mut lost);
    Ok((score, lost))
}

/// The tracks and channels in which a note without any length is a grace note: those for pans in which other notes have a
/// length. (Common practice, no source: a stroke of percussion needs no length, and some files give no note a length.)
fn with_lengths(notes: &[Note]) -> BTreeSet<(usize, u8)> {
    let long = notes.iter().filter(|note| note.channel != percussion::CHANNEL && note.ending != Ending::AtOnce);
    long.map(|note| (note.track, note.channel)).collect()
}

/// The names of the tracks and channels that have notes, each worked out once, however many notes there are.
fn names<'a>(file: &File, notes: impl Iterator<Item = &'a Note>) -> BTreeMap<(usize, u8), String> {
    let places: BTreeSet<(usize, u8)> = notes.map(|note| (note.track, note.channel)).collect();
    places.into_iter().map(|(track, channel)| ((track, channel), part_name(file, track, channel, On::Pan))).collect()
}

/// Removes a last measure in which nothing begins, and into which notes only ring a little because a finger was late.
fn without_a_tail(measures: &mut Vec<Measure>, placed: &mut [(Length, Length)], is_played: impl Fn(usize) -> bool) {
    let Some(last) = measures.len().checked_sub(1).filter(|last| *last > 0) else { return };
    let bar_line = measures[..last].iter().fold(Length::ZERO, |at, measure| at + measure.length);
    let says_more = measures[last].mark.is_some() || !measures[last].words.is_empty();
    let latest = bar_line + Length::quarters(LATE_RELEASE.0, LATE_RELEASE.1);
    let late = |(number, (at, length)): (usize, &(Length, Length))| {
        *at + *length <= bar_line || *at < bar_line && *at + *length <= latest && is_played(number)
    };
    if says_more || !placed.iter().enumerate().all(late) {
        return;
    }
    for (at, length) in placed.iter_mut().filter(|(at, length)| *at + *length > bar_line) {
        *length = bar_line - *at;
    }
    measures.truncate(last);
}

/// The notes of each track and channel; those of the percussion channel by instrument.
fn voices(
    file: &File,
    names: &BTreeMap<(usize, u8), String>,
    notes: &[Note],
    placed: &[(Length, Length)],
    starts: &[Length],
    lost: &mut Lost,
) -> BTreeMap<(usize, u8, On), Vec<Sounding>> {
    let mut voices: BTreeMap<(usize, u8, On), Vec<Sounding>> = BTreeMap::new();
    let mut uneven: BTreeMap<(usize, u8), (u8, u8)> = BTreeMap::new();
    // An instrument's name stands in a meta event 4, or is that of the track.
    let named = |track, kind| file.text(track, kind).and_then(|name| Instrument::from_name(name.trim()));
    let called = |track| named(track, 4).or_else(|| named(track, 3));
    let instruments: Vec<Option<Instrument>> = (0..file.tracks.len()).map(called).collect();
    for (note, (at, length)) in notes.iter().zip(placed) {
        let (sound_of, on) = if note.channel == percussion::CHANNEL {
            let measure = measure_at(starts, *at).to_string();
            let here = Where { part: &names[&(note.track, note.channel)], measure: &measure, span: None };
            let Some(near) = near_on(instruments[note.track], note.key) else {
                let what = format!("the engine room has nothing like {}; the stroke is left out", sound(note.key));
                lost.tell(Weight::Heard, what, here);
                continue;
            };
            if near.is_other {
                lost.tell(
                    Weight::Otherwise,
                    format!("{} is written for the {}", sound(note.key), near.instrument),
                    here,
                );
            }
            (Sound::Mark(near.mark), On::Percussion(near.instrument))
        } else {
            (Sound::Pitch(Pitch::new(note.key).expect("a data byte is at most 127")), On::Pan)
        };
        let force = uneven.entry((note.track, note.channel)).or_insert((note.velocity, note.velocity));
        *force = (force.0.min(note.velocity), force.1.max(note.velocity));
        let sounding =
            Sounding { at: *at, length: *length, sound: sound_of, manner: Manner::default(), tied: false, open: false };
        voices.entry((note.track, note.channel, on)).or_default().push(sounding);
    }
    for ((track, channel), _) in uneven.into_iter().filter(|(_, (low, high))| low != high) {
        let what = "how hard each note is struck is left out";
        lost.tell(Weight::Slight, what, Where { part: &names[&(track, channel)], measure: "", span: None });
    }
    voices
}

/// The name of a part: that of its track, with the channel where a track has several.
fn part_name(file: &File, track: usize, channel: u8, on: On) -> String {
    if let On::Percussion(instrument) = on {
        return instrument.name().to_owned();
    }
    let name =
        file.text(track, 3).filter(|_| file.tracks.len() > 1).or_else(|| file.text(track, 4)).unwrap_or_default();
    let channels = channels(&file.tracks[track]);
    match (name.trim(), channels.count_ones()) {
        ("", 0 | 1) if file.tracks.len() > 1 => String::new(),
        ("", _) => format!("channel {}", channel + 1),
        (name, 0 | 1) => name.to_owned(),
        (name, _) => format!("{name} {}", channel + 1),
    }
}

/// The channels on which a track strikes notes, a bit each.
fn channels(events: &[Event]) -> u16 {
    events.iter().fold(0, |all, event| match event.what {
        What::NoteOn { channel, .. } => all | 1 << channel,
        _ => all,
    })
}

/// The name of the first track, where it names the piece: in format 0, and where that track has no notes.
fn title(file: &File) -> Option<String> {
    let alone = file.tracks.len() == 1 || channels(file.tracks.first()?) == 0;
    file.text(0, 3).filter(|name| alone && !name.trim().is_empty())
}

/// Reports what else a file holds.
fn left_out(file: &File, lost: &mut Lost) {
    for (track, events) in file.tracks.iter().enumerate() {
        let name = odd::track_name(file, track);
        let at = Where { part: &name, measure: "", span: None };
        for event in events {
            match &event.what {
                // A wheel that comes back to its middle bends nothing.
                What::Bend { by: 0, .. } => {}
                What::Bend { .. } => lost.tell(Weight::Heard, "a pitch bend is left out", at),
                What::Controller { .. } => {
                    lost.tell(Weight::Slight, "a controller, such as a pedal or a volume, is left out", at);
                }
                What::Pressure { .. } => lost.tell(Weight::Slight, "a change of pressure is left out", at),
                What::SystemExclusive { .. } => lost.tell(Weight::Slight, "a system-exclusive message is left out", at),
                What::Text { kind: 1 | 2 | 7, .. } => lost.tell(Weight::Slight, "a text is left out", at),
                _ => {}
            }
        }
    }
}

//! A performance as a Standard MIDI File, format 1: a first track with the tempo map, then a track a voice.
//!
//! The first track holds the title, tempos, meters, keys, a marker where each section begins, and the words as lyrics.
//! Pans play General MIDI's Steel Drums, each on a channel of its own as long as there are channels; the engine room plays
//! on the percussion channel with the keys of [`percussion`].
//!
//! Every event's tick is its exact moment rounded once; a delta is the difference of two such ticks. So nothing drifts,
//! and a stroke is never more than half a tick (a quarter of a millisecond at 120) from where it belongs.

use midly::num::{u4, u7, u15, u24, u28};
use midly::{Format, Header, MetaMessage, MidiMessage, Smf, Timing, TrackEvent, TrackEventKind};
use num_rational::Ratio;

use super::percussion;
use super::signature::signatures;
use crate::music::{Key, Moment};
use crate::performance::stroke::VoicePlayer;
use crate::performance::{Performance, Sound, Stroke, Voice};

/// Ticks a quarter note: 960.
///
/// 256ths, triplets down to 128ths and quintuplets down to 64ths are whole ticks; a tick is under a millisecond at every
/// tempo above 63 (finer than a MIDI cable can separate notes); and the number is common enough for every reader. What it
/// doesn't divide, such as sevenths of a bar, is rounded.
pub(crate) const TICKS_A_QUARTER: u16 = 960;

/// Steel Drums, program 115 as people count (General MIDI level 1), as a data byte.
pub const STEEL_DRUMS: u8 = 114;

/// The channels for pans, counted from 0: all but the percussion channel.
const PAN_CHANNELS: [u8; 15] = [0, 1, 2, 3, 4, 5, 6, 7, 8, 10, 11, 12, 13, 14, 15];

/// The velocity of a release, where a player's is not known (Standard MIDI Files 1.0).
const RELEASE: u8 = 64;

/// The slowest tempo that a file can hold, in microseconds a quarter: three bytes, or 3.6 quarters a minute. Only a beat of a
/// 16th or less at a crawl is slower, and is written as this.
const SLOWEST_MICROSECONDS: i64 = 0xFF_FFFF;

/// The longest time between two events: four bytes of seven bits.
const LONGEST_DELTA: u64 = 0x0FFF_FFFF;

/// A performance as the bytes of a Standard MIDI File.
///
/// - Tracks come in the order of the voices, after the first one, which is named after the tune.
/// - The first fifteen voices on pans have a channel each; the sixteenth shares with the first, and so on. All channels
///   play the same program, so sharing loses nothing, and each voice keeps its own track.
/// - A note ends before another begins on the same tick, lasts at least a tick, and ends where its voice strikes the same
///   note again. Two strokes of a voice on one note at the same tick are one note: the louder force, the later end.
/// - Each section begins with a marker that has its name, with a count if it is played more than once in a
///   row: `verse (2 of 2)`.
/// - A bar that is shorter or longer than its meter, such as a pickup, has a time signature of its own, so that the bar
///   lines of a reader are those of the tune.
#[expect(clippy::missing_panics_doc, reason = "a vector takes everything")]
pub fn write(performance: &Performance) -> Vec<u8> {
    let markers = markers(performance);
    let end = tick(performance.end);
    let mut tracks = vec![finish(first_track(performance, &markers), end)];
    let mut strokes: Vec<Vec<&Stroke>> = vec![Vec::new(); performance.voices.len()];
    for stroke in &performance.strokes {
        strokes[usize::from(stroke.voice)].push(stroke);
    }
    for ((voice, channel), strokes) in performance.voices.iter().zip(channels(performance)).zip(&strokes) {
        tracks.push(finish(voice_track(voice, channel, strokes), end));
    }
    let header = Header::new(Format::Parallel, Timing::Metrical(u15::new(TICKS_A_QUARTER)));
    let mut bytes = Vec::new();
    Smf { header, tracks }.write(&mut bytes).expect("a vector takes all bytes");
    bytes
}

/// The channel of each voice, counted from 0.
pub fn channels(performance: &Performance) -> Vec<u8> {
    let mut pan_channels = PAN_CHANNELS.into_iter().cycle();
    let voices = performance.voices.iter();
    let channel = |voice: &Voice| match voice.player {
        VoicePlayer::Percussion(_) => Some(percussion::CHANNEL),
        VoicePlayer::Pan { .. } => pan_channels.next(),
    };
    voices.filter_map(channel).collect()
}

/// The tick of a moment: the exact number of ticks, rounded to the nearest, halves up.
#[expect(clippy::missing_panics_doc, reason = "a performance begins at its start")]
pub fn tick(moment: Moment) -> u64 {
    let quarters = moment.since_start().ratio();
    let (numer, denom) = (i128::from(*quarters.numer()), i128::from(*quarters.denom()));
    let ticks = (2 * numer * i128::from(TICKS_A_QUARTER) + denom).div_euclid(2 * denom);
    u64::try_from(ticks).expect("a performance begins at its start")
}

/// The General MIDI key of a stroke: the pitch on a pan, else a percussion key; `None` for a percussion mark on a pan.
pub fn key(player: &VoicePlayer, sound: Sound) -> Option<u8> {
    match (player, sound) {
        (_, Sound::Note(pitch)) => Some(pitch.key()),
        (VoicePlayer::Percussion(instrument), Sound::Mark(mark)) => Some(percussion::key(*instrument, mark)),
        (VoicePlayer::Pan { .. }, Sound::Mark(_)) => None,
    }
}

/// Microseconds a quarter note, rounded to the nearest.
pub fn microseconds(quarters_a_minute: Ratio<i64>) -> u32 {
    let exact = Ratio::from_integer(60_000_000) / quarters_a_minute;
    exact.round().to_integer().clamp(1, SLOWEST_MICROSECONDS).unsigned_abs() as u32
}

/// An event with its tick, and what comes first on the same tick.
struct Event<'a> {
    tick: u64,
    order: Order,
    kind: TrackEventKind<'a>,
}

/// What comes first on the same tick.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
enum Order {
    End,
    Setting,
    Begin,
}

impl<'a> Event<'a> {
    fn meta(tick: u64, message: MetaMessage<'a>) -> Self {
        Event { tick, order: Order::Setting, kind: TrackEventKind::Meta(message) }
    }

    fn midi(tick: u64, order: Order, channel: u8, message: MidiMessage) -> Self {
        Event { tick, order, kind: TrackEventKind::Midi { channel: u4::new(channel), message } }
    }
}

/// The first track: what all parts have in common.
fn first_track<'a>(performance: &'a Performance, markers: &'a [(u64, String)]) -> Vec<Event<'a>> {
    let mut events = vec![Event::meta(0, MetaMessage::TrackName(performance.title.as_bytes()))];
    if let Some(by) = &performance.by {
        events.push(Event::meta(0, MetaMessage::Text(by.as_bytes())));
    }
    let signatures = signatures(&performance.meters, &performance.bars);
    events.extend(signatures.into_iter().map(|signature| Event::meta(tick(signature.at), signature.message())));
    events.extend(performance.keys.iter().map(|(at, key)| Event::meta(tick(*at), key_signature(*key))));
    for change in performance.tempo.changes() {
        let tempo = u24::new(microseconds(change.quarters_a_minute));
        events.push(Event::meta(tick(change.at), MetaMessage::Tempo(tempo)));
    }
    events.extend(markers.iter().map(|(tick, name)| Event::meta(*tick, MetaMessage::Marker(name.as_bytes()))));
    let lyric = |(at, text): &'a (Moment, String)| Event::meta(tick(*at), MetaMessage::Lyric(text.as_bytes()));
    events.extend(performance.words.iter().map(lyric));
    events
}

/// The names of the sections as played, and of a count-in.
fn markers(performance: &Performance) -> Vec<(u64, String)> {
    let count_in = (performance.begin > Moment::START).then(|| (0, "count-in".to_owned()));
    let sections = performance.sections.iter().map(|section| {
        let name = match section.of {
            0 | 1 => section.name.clone(),
            of => format!("{} ({} of {of})", section.name, section.pass),
        };
        (tick(section.at), name)
    });
    count_in.into_iter().chain(sections).collect()
}

fn key_signature(key: Key) -> MetaMessage<'static> {
    MetaMessage::KeySignature(key.fifths(), key.mode() == crate::music::key::Mode::Minor)
}

/// A voice's track: its name, its instrument, its notes.
fn voice_track<'a>(voice: &'a Voice, channel: u8, strokes: &[&Stroke]) -> Vec<Event<'a>> {
    let mut events = vec![Event::meta(0, MetaMessage::TrackName(voice.name.as_bytes()))];
    match voice.player {
        VoicePlayer::Pan { kind, .. } => {
            events.push(Event::meta(0, MetaMessage::InstrumentName(kind.name().as_bytes())));
            let program = MidiMessage::ProgramChange { program: u7::new(STEEL_DRUMS) };
            events.push(Event::midi(0, Order::Setting, channel, program));
        }
        VoicePlayer::Percussion(instrument) => {
            events.push(Event::meta(0, MetaMessage::InstrumentName(instrument.name().as_bytes())));
        }
    }
    for note in notes(&voice.player, strokes) {
        let key = u7::new(note.key);
        let on = MidiMessage::NoteOn { key, vel: u7::new(note.velocity) };
        let off = MidiMessage::NoteOff { key, vel: u7::new(RELEASE) };
        events.push(Event::midi(note.on, Order::Begin, channel, on));
        events.push(Event::midi(note.off, Order::End, channel, off));
    }
    events
}

/// A note as a file can say it.
struct Note {
    on: u64,
    off: u64,
    key: u8,
    velocity: u8,
}

/// The notes of a voice, none of which overlaps another of the same key.
fn notes(player: &VoicePlayer, strokes: &[&Stroke]) -> Vec<Note> {
    let mut notes: Vec<Note> = Vec::with_capacity(strokes.len());
    let mut latest: [Option<usize>; 128] = [None; 128];
    for stroke in strokes {
        let Some(key) = key(player, stroke.sound) else { continue };
        let on = tick(stroke.at);
        let off = tick(stroke.at + stroke.length).max(on + 1);
        let velocity = stroke.force.velocity();
        if let Some(before) = latest[usize::from(key)].map(|number| &mut notes[number]) {
            if before.on == on {
                before.off = before.off.max(off);
                before.velocity = before.velocity.max(velocity);
                continue;
            }
            before.off = before.off.min(on);
        }
        latest[usize::from(key)] = Some(notes.len());
        notes.push(Note { on, off, key, velocity });
    }
    notes
}

/// The track in order, in deltas, with its end: the end of the last bar, or of what is held beyond it.
fn finish(mut events: Vec<Event<'_>>, end: u64) -> Vec<TrackEvent<'_>> {
    // Stable, so that what belongs to one moment stays in the order in which it was put in.
    events.sort_by(|a, b| (a.tick, &a.order).cmp(&(b.tick, &b.order)));
    let end = events.last().map_or(end, |event| event.tick.max(end));
    events.push(Event::meta(end, MetaMessage::EndOfTrack));
    let mut track = Vec::with_capacity(events.len());
    let mut now = 0;
    for event in events {
        while event.tick - now > LONGEST_DELTA {
            let nothing = TrackEventKind::Meta(MetaMessage::Text(b""));
            track.push(TrackEvent { delta: u28::new(LONGEST_DELTA as u32), kind: nothing });
            now += LONGEST_DELTA;
        }
        track.push(TrackEvent { delta: u28::new((event.tick - now) as u32), kind: event.kind });
        now = event.tick;
    }
    track
}

#[cfg(test)]
#[path = "release_tests.rs"]
mod release_tests;
#[cfg(test)]
mod tests {
    use super::*;
    use crate::midi::file::{File, What};
    use crate::midi::read;
    use crate::music::{Force, Length, Meter, Pitch, Tempo};
    use crate::notation::tree::Mark;
    use crate::pan::{Instrument, PanKind};
    use crate::performance::TempoMap;
    use crate::performance::stroke::SectionAt;
    use crate::text::Span;

    pub(super) fn performance(meter: Meter, players: &[VoicePlayer], strokes: Vec<Stroke>) -> Performance {
        let voice = |player: &VoicePlayer| Voice { name: "a".into(), player: player.clone(), part: None };
        Performance {
            title: "T".into(),
            by: None,
            voices: players.iter().map(voice).collect(),
            strokes,
            tempo: TempoMap::new(Tempo::default(), meter),
            meters: vec![(Moment::START, meter)],
            keys: vec![(Moment::START, Key::default())],
            bars: Vec::new(),
            sections: Vec::new(),
            chords: Vec::new(),
            words: Vec::new(),
            begin: Moment::START,
            end: Moment::START + meter.bar(),
        }
    }

    pub(super) fn stroke(voice: u16, sound: Sound, at: (i64, i64), length: (i64, i64), velocity: u8) -> Stroke {
        Stroke {
            at: Moment::START + Length::quarters(at.0, at.1),
            length: Length::quarters(length.0, length.1),
            voice,
            sound,
            force: Force::from_velocity(velocity),
            damped: false,
            roll: None,
            bar: 0,
            span: Span::default(),
        }
    }

    pub(super) fn note(key: u8) -> Sound {
        Sound::Note(Pitch::new(key).expect("a key"))
    }

    fn file(performance: &Performance) -> File {
        let file = read(&write(performance)).expect("a file");
        assert!(file.oddities.is_empty(), "{:?}", file.oddities);
        file
    }

    pub(super) const LEAD: VoicePlayer = VoicePlayer::Pan { kind: PanKind::Lead, pan: None };

    /// Onset, length, key and velocity of every note.
    fn played(strokes: Vec<Stroke>) -> Vec<(u64, u64, u8, u8)> {
        let file = file(&performance(Meter::default(), &[LEAD], strokes));
        file.notes().into_iter().map(|note| (note.tick, note.length, note.key, note.velocity)).collect()
    }

    #[test]
    fn a_note_ends_where_it_is_struck_again() {
        let strokes = vec![stroke(0, note(60), (0, 1), (2, 1), 80), stroke(0, note(60), (1, 1), (1, 1), 90)];
        assert_eq!(played(strokes), [(0, 960, 60, 80), (960, 960, 60, 90)]);
    }

    #[test]
    fn two_strokes_of_one_note_at_once_are_one() {
        let strokes = vec![stroke(0, note(60), (0, 1), (2, 1), 80), stroke(0, note(60), (0, 1), (1, 1), 90)];
        assert_eq!(played(strokes), [(0, 1920, 60, 90)]);
    }

    #[test]
    fn a_note_has_a_tick_at_least() {
        assert_eq!(played(vec![stroke(0, note(60), (0, 1), (1, 5000), 80)]), [(0, 1, 60, 80)]);
    }

    #[test]
    fn sevenths_do_not_drift() {
        let sevenths = (0..7000).map(|i| stroke(0, note(60), (4 * i, 7), (4, 7), 80)).collect();
        for (number, (onset, length, ..)) in played(sevenths).into_iter().enumerate() {
            let exact = number as f64 * 4.0 / 7.0 * 960.0;
            assert!((onset as f64 - exact).abs() <= 0.5, "stroke {number} at tick {onset}");
            assert!((548..=549).contains(&length), "stroke {number} lasts {length} ticks");
        }
    }

    #[test]
    fn sixteen_voices_share_fifteen_channels_and_lose_nothing() {
        let strokes = (0..16).map(|voice| stroke(voice, note(60), (0, 1), (1 + i64::from(voice), 1), 80)).collect();
        let notes = file(&performance(Meter::default(), &vec![LEAD; 16], strokes)).notes();
        let channels: Vec<u8> = notes.iter().map(|note| note.channel).collect();
        assert_eq!(channels, [0, 1, 2, 3, 4, 5, 6, 7, 8, 10, 11, 12, 13, 14, 15, 0]);
        let lengths: Vec<u64> = notes.iter().map(|note| note.length / 960).collect();
        assert_eq!(lengths, (1..=16).collect::<Vec<_>>());
    }

    #[test]
    fn percussion_is_on_channel_ten() {
        let strokes = vec![stroke(0, Sound::Mark(Mark::Open), (0, 1), (1, 2), 80)];
        let file = file(&performance(Meter::default(), &[VoicePlayer::Percussion(Instrument::Iron)], strokes));
        let note = file.notes()[0];
        assert_eq!((note.channel, note.key), (9, 53));
        assert_eq!((file.text(1, 3).as_deref(), file.text(1, 4).as_deref()), (Some("a"), Some("iron")));
    }

    #[test]
    fn sections_and_words_are_in_the_first_track() {
        let mut performance = performance(Meter::default(), &[LEAD], Vec::new());
        let section = |at: i64, pass: u32, of: u32| SectionAt {
            at: Moment::START + Length::quarters(at, 1),
            section: 0,
            name: "verse".into(),
            pass,
            of,
        };
        performance.sections = vec![section(4, 1, 1), section(8, 2, 3)];
        performance.begin = Moment::START + Length::quarters(4, 1);
        performance.words = vec![(performance.begin, "sing – now".into())];
        let file = file(&performance);
        let texts: Vec<(u64, u8, &str)> = file.tracks[0]
            .iter()
            .filter_map(|event| match &event.what {
                What::Text { kind, bytes } => Some((event.tick, *kind, str::from_utf8(bytes).expect("UTF-8"))),
                _ => None,
            })
            .collect();
        let expected =
            [(0, 3, "T"), (0, 6, "count-in"), (3840, 6, "verse"), (3840, 5, "sing – now"), (7680, 6, "verse (2 of 3)")];
        assert_eq!(texts, expected);
    }

    #[test]
    fn an_endless_rest_is_written() {
        let mut performance = performance(Meter::default(), &[LEAD], Vec::new());
        performance.end = Moment::START + Length::quarters(1_000_000, 1);
        let last = file(&performance).tracks[1].last().map(|event| event.tick);
        assert_eq!(last, Some(960_000_000));
    }

    proptest::proptest! {
        #![proptest_config(proptest::test_runner::Config {
            rng_seed: proptest::test_runner::RngSeed::Fixed(960),
            failure_persistence: None,
            ..Default::default()
        })]
        #[test]
        fn every_stroke_comes_back(
            raw in proptest::collection::vec((0_u16..3, 60_u8..64, (0_i64..60, 1_i64..14), (1_i64..9, 1_i64..14)), 1..80)
        ) {
            let mut strokes: Vec<Stroke> =
                raw.into_iter().map(|(voice, key, at, length)| stroke(voice, note(key), at, length, 80)).collect();
            strokes.sort_by_key(|stroke| (stroke.at, stroke.voice, stroke.sound));
            let notes = file(&performance(Meter::default(), &[LEAD, LEAD, LEAD], strokes.clone())).notes();
            // Each stroke has its note, within half a tick, and each note a stroke.
            let place = |stroke: &Stroke| (tick(stroke.at), usize::from(stroke.voice) + 1, key(&LEAD, stroke.sound));
            let expected: std::collections::BTreeSet<_> = strokes.iter().map(place).collect();
            let found: Vec<_> = notes.iter().map(|note| (note.tick, note.track, Some(note.key))).collect();
            proptest::prop_assert_eq!(found, expected.into_iter().collect::<Vec<_>>());
            for note in &notes {
                proptest::prop_assert!(note.length >= 1);
                let here = |stroke: &&Stroke| place(stroke) == (note.tick, note.track, Some(note.key));
                let end = strokes.iter().filter(here).map(|stroke| tick(stroke.at + stroke.length)).max();
                let again = notes.iter().find(|other| {
                    (other.track, other.key) == (note.track, note.key) && other.tick > note.tick
                });
                // It ends where the longest of its strokes does, or where it is struck again.
                let end = end.expect("a stroke").max(note.tick + 1);
                let end = again.map_or(end, |again| end.min(again.tick));
                proptest::prop_assert_eq!(note.tick + note.length, end);
            }
            let exact = |stroke: &Stroke| stroke.at.as_f64() * f64::from(TICKS_A_QUARTER);
            proptest::prop_assert!(strokes.iter().all(|stroke| (tick(stroke.at) as f64 - exact(stroke)).abs() <= 0.5));
        }
    }
}

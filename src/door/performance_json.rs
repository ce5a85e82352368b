//! A performance as JSON: everything that is struck, and when, for programs that want no MIDI file.
//!
//! Musical time is in quarter notes from the start, exact, as a text: `"3/2"` is one and a half. Seconds stand beside it
//! where they help. Numbers of voices, bars and parts count from 0; channels and programs from 1, as people count them.

use serde::Serialize;

use super::json::value;
use crate::midi::percussion;
use crate::midi::write::{STEEL_DRUMS, channels, key, microseconds};
use crate::performance::stroke::{BarAt, SectionAt, TempoChange, VoicePlayer};
use crate::performance::{Performance, Sound, Stroke, Voice};

/// The whole document.
#[derive(Serialize)]
struct Document<'a> {
    title: &'a str,
    by: Option<&'a str>,
    /// When the tune itself begins, after a count-in; when its last bar ends; and how long that is in seconds.
    begin: String,
    end: String,
    seconds: f64,
    voices: Vec<VoiceEntry<'a>>,
    strokes: Vec<StrokeEntry<'a>>,
    tempos: Vec<TempoEntry>,
    meters: Vec<At<String>>,
    keys: Vec<At<String>>,
    bars: Vec<BarEntry>,
    sections: Vec<SectionEntry<'a>>,
    /// Chord names as played; an empty one is no chord.
    chords: Vec<At<&'a str>>,
    /// Cues and lyrics.
    words: Vec<At<&'a str>>,
}

/// A voice: a part of the tune, or the count-in.
#[derive(Serialize)]
struct VoiceEntry<'a> {
    name: &'a str,
    /// The kind of pan or of percussion.
    on: &'static str,
    percussion: bool,
    /// The number of the band's pan; none for percussion, and where the band has no pan for the part.
    pan: Option<usize>,
    /// The number of the part; none for the count-in.
    part: Option<usize>,
    /// MIDI channel and General MIDI program, from 1; percussion has no program.
    channel: u8,
    program: Option<u8>,
}

/// One stroke of a stick: a note of a pan, or a percussion mark as in a tune file.
#[derive(Serialize)]
struct StrokeEntry<'a> {
    voice: u16,
    at: String,
    seconds: f64,
    length: String,
    /// The length in seconds.
    lasts: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    note: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    mark: Option<char>,
    /// The MIDI key: the note's, or the General MIDI percussion key that stands for the mark.
    key: Option<u8>,
    /// MIDI's velocity, 1 to 127.
    velocity: u8,
    damped: bool,
    /// Which stroke of a roll it is, from 0.
    #[serde(skip_serializing_if = "Option::is_none")]
    roll: Option<u16>,
    /// The number of its bar in `bars`, and the section's name; none in a count-in.
    bar: Option<u32>,
    section: Option<&'a str>,
}

/// A tempo from a moment on.
#[derive(Serialize)]
struct TempoEntry {
    at: String,
    seconds: f64,
    /// Beats a minute, the beat being the meter's.
    tempo: f64,
    /// Quarter notes a minute, exact, and microseconds a quarter note as a MIDI file has it.
    quarters_a_minute: String,
    microseconds: u32,
}

/// Something from a moment on.
#[derive(Serialize)]
struct At<T> {
    at: String,
    seconds: f64,
    is: T,
}

/// A bar as played.
#[derive(Serialize)]
struct BarEntry {
    at: String,
    seconds: f64,
    length: String,
    /// The numbers of the section in the tune and of the bar in the section.
    section: u32,
    bar: u32,
}

/// A section as played.
#[derive(Serialize)]
struct SectionEntry<'a> {
    at: String,
    seconds: f64,
    section: usize,
    name: &'a str,
    /// Which time in a row it is played, from 1, of how many.
    pass: u32,
    of: u32,
}

/// A performance as a JSON document.
pub fn document(performance: &Performance) -> serde_json::Value {
    let tempo = &performance.tempo;
    let document = Document {
        title: &performance.title,
        by: performance.by.as_deref(),
        begin: performance.begin.to_string(),
        end: performance.end.to_string(),
        seconds: performance.seconds(),
        voices: performance.voices.iter().zip(channels(performance)).map(voice).collect(),
        strokes: performance.strokes.iter().map(|of| stroke(performance, of)).collect(),
        tempos: tempo.changes().iter().map(tempo_entry).collect(),
        meters: list(performance, &performance.meters, ToString::to_string),
        keys: list(performance, &performance.keys, ToString::to_string),
        bars: performance.bars.iter().map(|of| bar(performance, of)).collect(),
        sections: performance.sections.iter().map(|of| section(performance, of)).collect(),
        chords: list(performance, &performance.chords, String::as_str),
        words: list(performance, &performance.words, String::as_str),
    };
    value(document)
}

fn list<'a, F, T>(performance: &Performance, all: &'a [(crate::music::Moment, F)], say: fn(&'a F) -> T) -> Vec<At<T>> {
    let entry = |(at, from): &'a (crate::music::Moment, F)| At {
        at: at.to_string(),
        seconds: performance.tempo.seconds(*at),
        is: say(from),
    };
    all.iter().map(entry).collect()
}

fn voice((voice, channel): (&Voice, u8)) -> VoiceEntry<'_> {
    let (on, pan, program) = match voice.player {
        VoicePlayer::Pan { kind, pan } => (kind.name(), pan, Some(STEEL_DRUMS + 1)),
        VoicePlayer::Percussion(instrument) => (instrument.name(), None, None),
    };
    let percussion = channel == percussion::CHANNEL;
    VoiceEntry { name: &voice.name, on, percussion, pan, part: voice.part, channel: channel + 1, program }
}

fn stroke<'a>(performance: &'a Performance, stroke: &Stroke) -> StrokeEntry<'a> {
    let voice = &performance.voices[usize::from(stroke.voice)];
    // A count-in is in no bar.
    let bar = voice.part.map(|_| stroke.bar);
    let number = bar.and_then(|bar| performance.bars.get(bar as usize)).map(|bar| bar.section as usize);
    let section = performance.sections.iter().find(|section| Some(section.section) == number);
    let (note, mark) = match stroke.sound {
        Sound::Note(pitch) => (Some(pitch.to_string()), None),
        Sound::Mark(mark) => (None, Some(mark.to_char())),
    };
    StrokeEntry {
        voice: stroke.voice,
        at: stroke.at.to_string(),
        seconds: performance.tempo.seconds(stroke.at),
        length: stroke.length.to_string(),
        lasts: performance.tempo.lasts(stroke.at, stroke.length),
        note,
        mark,
        key: key(&voice.player, stroke.sound),
        velocity: stroke.force.velocity(),
        damped: stroke.damped,
        roll: stroke.roll,
        bar,
        section: section.map(|section| section.name.as_str()),
    }
}

fn tempo_entry(change: &TempoChange) -> TempoEntry {
    TempoEntry {
        at: change.at.to_string(),
        seconds: change.seconds,
        tempo: change.tempo.beats_a_minute(),
        quarters_a_minute: change.quarters_a_minute.to_string(),
        microseconds: microseconds(change.quarters_a_minute),
    }
}

fn bar(performance: &Performance, bar: &BarAt) -> BarEntry {
    BarEntry {
        at: bar.at.to_string(),
        seconds: performance.tempo.seconds(bar.at),
        length: bar.length.to_string(),
        section: bar.section,
        bar: bar.bar,
    }
}

fn section<'a>(performance: &Performance, section: &'a SectionAt) -> SectionEntry<'a> {
    SectionEntry {
        at: section.at.to_string(),
        seconds: performance.tempo.seconds(section.at),
        section: section.section,
        name: &section.name,
        pass: section.pass,
        of: section.of,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::music::{Force, Key, Length, Meter, Moment, Tempo};
    use crate::notation::tree::Mark;
    use crate::pan::{Instrument, PanKind};
    use crate::performance::TempoMap;
    use crate::text::Span;

    #[test]
    fn a_note_and_a_mark() {
        let at = Moment::START + Length::quarters(3, 2);
        let stroke = |voice: u16, sound: Sound, roll: Option<u16>| Stroke {
            at,
            length: Length::quarters(1, 3),
            voice,
            sound,
            force: Force::from_velocity(96),
            damped: false,
            roll,
            bar: 0,
            span: Span::default(),
        };
        let lead = VoicePlayer::Pan { kind: PanKind::Lead, pan: Some(2) };
        let meter = Meter::new(6, 8).expect("a meter");
        let performance = Performance {
            title: "T".into(),
            by: None,
            voices: vec![
                Voice { name: "lead".into(), player: lead, part: Some(0) },
                Voice { name: "count-in".into(), player: VoicePlayer::Percussion(Instrument::Claves), part: None },
            ],
            strokes: vec![
                stroke(0, Sound::Note("F#4".parse().expect("a note")), Some(1)),
                stroke(1, Sound::Mark(Mark::Stroke), None),
            ],
            tempo: TempoMap::new(Tempo::bpm(60.0).expect("a tempo"), meter),
            meters: vec![(Moment::START, meter)],
            keys: vec![(Moment::START, Key::default())],
            bars: vec![BarAt { at: Moment::START, length: meter.bar(), section: 4, bar: 0 }],
            sections: vec![SectionAt { at: Moment::START, section: 4, name: "verse".into(), pass: 1, of: 2 }],
            chords: vec![(at, "D7".into())],
            words: Vec::new(),
            begin: Moment::START,
            end: Moment::START + meter.bar(),
        };
        let json = document(&performance);
        let expected = serde_json::json!({
            "voice": 0, "at": "3/2", "seconds": 1.0, "length": "1/3", "lasts": json["strokes"][0]["lasts"],
            "note": "F#4", "key": 66, "velocity": 96, "damped": false, "roll": 1, "bar": 0, "section": "verse",
        });
        assert_eq!(json["strokes"][0], expected);
        assert!((json["strokes"][0]["lasts"].as_f64().expect("seconds") - 2.0 / 9.0).abs() < 1e-12);
        let mark = &json["strokes"][1];
        assert_eq!((&mark["mark"], &mark["key"], &mark["bar"]), (&"x".into(), &75.into(), &serde_json::Value::Null));
        assert_eq!(json["voices"][0]["channel"], 1);
        assert_eq!(json["voices"][1]["channel"], 10);
        assert_eq!(json["tempos"][0]["microseconds"], 666_667);
        assert_eq!(json["chords"][0], serde_json::json!({"at": "3/2", "seconds": 1.0, "is": "D7"}));
    }
}

//! MIDI against the published specifications.
//!
//! Sources: *Standard MIDI Files 1.0* (RP-001, MIDI Manufacturers Association, 1996; "the specification" below) and
//! *General MIDI System Level 1* (RP-003). Byte patterns were read in transcriptions of the documents; the two transcriptions
//! of the file specification that were compared agree. What is computed from a formula of the specification says so.

use panfold::midi::file::{Division, Event, File, Note, What};
use panfold::midi::oddity::Odd;
use panfold::midi::percussion;
use panfold::music::{Force, Key, Length, Meter, Moment, Pitch, Tempo};
use panfold::notation::tree::Mark;
use panfold::pan::{Instrument, PanKind};
use panfold::performance::stroke::VoicePlayer;
use panfold::performance::{Performance, Sound, Stroke, TempoMap, Voice};
use panfold::text::Span;

/// A performance by lead pans with these strokes: voice, key, velocity, onset and length in quarters.
fn performance(voices: usize, strokes: &[(u16, u8, u8, Length, Length)]) -> Performance {
    let lead = VoicePlayer::Pan { kind: PanKind::Lead, pan: None };
    let stroke = |&(voice, key, velocity, at, length): &(u16, u8, u8, Length, Length)| Stroke {
        at: Moment::after(at),
        length,
        voice,
        sound: Sound::Note(Pitch::new(key).expect("a key")),
        force: Force::from_velocity(velocity),
        damped: false,
        roll: None,
        bar: 0,
        span: Span::default(),
    };
    let meter = Meter::default();
    Performance {
        title: "example".into(),
        by: None,
        voices: vec![Voice { name: "lead".into(), player: lead, part: Some(0) }; voices],
        strokes: strokes.iter().map(stroke).collect(),
        tempo: TempoMap::new(Tempo::default(), meter),
        meters: vec![(Moment::START, meter)],
        keys: vec![(Moment::START, Key::default())],
        bars: Vec::new(),
        sections: Vec::new(),
        chords: Vec::new(),
        words: Vec::new(),
        begin: Moment::START,
        end: Moment::START,
    }
}

fn read(bytes: &[u8]) -> File {
    let file = panfold::midi::read(bytes).unwrap_or_else(|error| panic!("{error}"));
    assert!(file.oddities.is_empty(), "{:?}", file.oddities);
    file
}

fn contains(bytes: &[u8], part: &[u8]) -> bool {
    bytes.windows(part.len()).any(|window| window == part)
}

/// The specification's table of variable-length quantities; below it more from its rule, computed apart from panfold.
#[rustfmt::skip]
const QUANTITIES: [(u32, &[u8]); 25] = [
    (0x0000_0000, &[0x00]), (0x0000_0040, &[0x40]), (0x0000_007F, &[0x7F]),
    (0x0000_0080, &[0x81, 0x00]), (0x0000_2000, &[0xC0, 0x00]), (0x0000_3FFF, &[0xFF, 0x7F]),
    (0x0000_4000, &[0x81, 0x80, 0x00]), (0x0010_0000, &[0xC0, 0x80, 0x00]), (0x001F_FFFF, &[0xFF, 0xFF, 0x7F]),
    (0x0020_0000, &[0x81, 0x80, 0x80, 0x00]), (0x0800_0000, &[0xC0, 0x80, 0x80, 0x00]),
    (0x0FFF_FFFF, &[0xFF, 0xFF, 0xFF, 0x7F]),
    (96, &[0x60]), (192, &[0x81, 0x40]), (200, &[0x81, 0x48]), (288, &[0x82, 0x20]), (360, &[0x82, 0x68]),
    (384, &[0x83, 0x00]), (480, &[0x83, 0x60]), (720, &[0x85, 0x50]), (960, &[0x87, 0x40]), (1440, &[0x8B, 0x20]),
    (1920, &[0x8F, 0x00]), (3840, &[0x9E, 0x00]), (100_000, &[0x86, 0x8D, 0x20]),
];

#[test]
fn variable_length_quantities() {
    for (value, bytes) in QUANTITIES {
        // Written: a stroke that many ticks after the program of its track.
        let at = Length::quarters(i64::from(value), 960);
        let written = panfold::midi::write(&performance(1, &[(0, 60, 80, at, Length::quarters(1, 1))]));
        let expected = [&[0xC0, 114], bytes, &[0x90, 60, 80]].concat();
        assert!(contains(&written, &expected), "{value:X} is written {bytes:02X?}");
        // Read back.
        assert_eq!(read(&written).notes()[0].tick, u64::from(value));
    }
}

/// Behind a quantity of four bytes that says that there is a fifth, nothing is read.
#[test]
fn a_fifth_byte_ends_the_track() {
    let track = [0x81, 0x80, 0x80, 0x80, 0x00, 0xFF, 0x2F, 0x00];
    let bytes = [b"MThd\0\0\0\x06\0\0\0\x01\0\x60MTrk\0\0\0\x08", &track[..]].concat();
    let file = panfold::midi::read(&bytes).expect("a header");
    assert_eq!(
        file.oddities.iter().map(|oddity| (oddity.odd, oddity.byte)).collect::<Vec<_>>(),
        [(Odd::Unreadable, 22)]
    );
}

/// The specification's worked example as a format 0 file.
#[rustfmt::skip]
const FORMAT_0: [u8; 81] = [
    0x4D, 0x54, 0x68, 0x64, 0x00, 0x00, 0x00, 0x06, 0x00, 0x00, 0x00, 0x01, 0x00, 0x60,
    0x4D, 0x54, 0x72, 0x6B, 0x00, 0x00, 0x00, 0x3B,
    0x00, 0xFF, 0x58, 0x04, 0x04, 0x02, 0x18, 0x08,
    0x00, 0xFF, 0x51, 0x03, 0x07, 0xA1, 0x20,
    0x00, 0xC0, 0x05, 0x00, 0xC1, 0x2E, 0x00, 0xC2, 0x46,
    0x00, 0x92, 0x30, 0x60, 0x00, 0x3C, 0x60,
    0x60, 0x91, 0x43, 0x40, 0x60, 0x90, 0x4C, 0x20,
    0x81, 0x40, 0x82, 0x30, 0x40, 0x00, 0x3C, 0x40,
    0x00, 0x81, 0x43, 0x40, 0x00, 0x80, 0x4C, 0x40,
    0x00, 0xFF, 0x2F, 0x00,
];

/// The same as a format 1 file. (One transcription prints other deltas; the chunk lengths tell which are right.)
#[rustfmt::skip]
const FORMAT_1: [u8; 118] = [
    0x4D, 0x54, 0x68, 0x64, 0x00, 0x00, 0x00, 0x06, 0x00, 0x01, 0x00, 0x04, 0x00, 0x60,
    0x4D, 0x54, 0x72, 0x6B, 0x00, 0x00, 0x00, 0x14,
    0x00, 0xFF, 0x58, 0x04, 0x04, 0x02, 0x18, 0x08, 0x00, 0xFF, 0x51, 0x03, 0x07, 0xA1, 0x20, 0x83, 0x00, 0xFF, 0x2F, 0x00,
    0x4D, 0x54, 0x72, 0x6B, 0x00, 0x00, 0x00, 0x10,
    0x00, 0xC0, 0x05, 0x81, 0x40, 0x90, 0x4C, 0x20, 0x81, 0x40, 0x4C, 0x00, 0x00, 0xFF, 0x2F, 0x00,
    0x4D, 0x54, 0x72, 0x6B, 0x00, 0x00, 0x00, 0x0F,
    0x00, 0xC1, 0x2E, 0x60, 0x91, 0x43, 0x40, 0x82, 0x20, 0x43, 0x00, 0x00, 0xFF, 0x2F, 0x00,
    0x4D, 0x54, 0x72, 0x6B, 0x00, 0x00, 0x00, 0x15,
    0x00, 0xC2, 0x46, 0x00, 0x92, 0x30, 0x60, 0x00, 0x3C, 0x60, 0x83, 0x00, 0x30, 0x00, 0x00, 0x3C, 0x00, 0x00, 0xFF, 0x2F, 0x00,
];

/// The example's music: onset and length in ticks of 96 a quarter, channel (from 0), key, velocity.
const EXAMPLE: [(u64, u64, u8, u8, u8); 4] =
    [(0, 384, 2, 48, 96), (0, 384, 2, 60, 96), (96, 288, 1, 67, 64), (192, 192, 0, 76, 32)];

fn by_onset(notes: Vec<Note>, division: u64) -> Vec<(u64, u64, u8, u8, u8)> {
    let scale = |ticks: u64| ticks * 96 / division;
    let mut found: Vec<_> = notes
        .iter()
        .map(|note| (scale(note.tick), scale(note.length), note.channel, note.key, note.velocity))
        .collect();
    found.sort_unstable();
    found
}

#[test]
fn the_format_0_example_event_by_event() {
    let file = read(&FORMAT_0);
    assert_eq!((file.format, file.division, file.tracks.len()), (0, Division::Quarter(96), 1));
    let on = |tick, channel, key, velocity| (tick, What::NoteOn { channel, key, velocity });
    let off = |channel, key| (384, What::NoteOff { channel, key, velocity: 64 });
    let expected = [
        (0, What::Meter { count: 4, power: 2, clocks: 24, thirty_seconds: 8 }),
        (0, What::Tempo(500_000)),
        (0, What::Program { channel: 0, program: 5 }),
        (0, What::Program { channel: 1, program: 46 }),
        (0, What::Program { channel: 2, program: 70 }),
        on(0, 2, 48, 96),
        on(0, 2, 60, 96),
        on(96, 1, 67, 64),
        on(192, 0, 76, 32),
        off(2, 48),
        off(2, 60),
        off(1, 67),
        off(0, 76),
        (384, What::End),
    ];
    assert_eq!(events(&file.tracks[0]), expected);
    assert_eq!(by_onset(file.notes(), 96), EXAMPLE);
    assert_eq!(file.seconds(384), 2.0);
}

fn events(track: &[Event]) -> Vec<(u64, What)> {
    track.iter().map(|event| (event.tick, event.what.clone())).collect()
}

#[test]
fn the_format_1_example_event_by_event() {
    let file = read(&FORMAT_1);
    assert_eq!((file.format, file.division, file.tracks.len()), (1, Division::Quarter(96), 4));
    let on = |tick, channel, key, velocity| (tick, What::NoteOn { channel, key, velocity });
    let off = |channel, key| (384, What::NoteOff { channel, key, velocity: 0 });
    let program = |channel, program| (0, What::Program { channel, program });
    let meter = What::Meter { count: 4, power: 2, clocks: 24, thirty_seconds: 8 };
    assert_eq!(events(&file.tracks[0]), [(0, meter), (0, What::Tempo(500_000)), (384, What::End)]);
    assert_eq!(events(&file.tracks[1]), [program(0, 5), on(192, 0, 76, 32), off(0, 76), (384, What::End)]);
    assert_eq!(events(&file.tracks[2]), [program(1, 46), on(96, 1, 67, 64), off(1, 67), (384, What::End)]);
    let expected = [program(2, 70), on(0, 2, 48, 96), on(0, 2, 60, 96), off(2, 48), off(2, 60), (384, What::End)];
    assert_eq!(events(&file.tracks[3]), expected);
    assert_eq!(by_onset(file.notes(), 96), EXAMPLE);
}

#[test]
fn the_example_as_this_program_writes_it() {
    let quarters = |ticks: u64| Length::quarters(ticks as i64, 96);
    let strokes = EXAMPLE.map(|(at, length, channel, key, velocity)| {
        (u16::from(channel), key, velocity, quarters(at), quarters(length))
    });
    let file = read(&panfold::midi::write(&performance(3, &strokes)));
    let ends = |file: &File| file.tracks.iter().flatten().map(|event| event.tick).max();
    assert_eq!(by_onset(file.notes(), 960), EXAMPLE);
    assert_eq!(file.tempos(), read(&FORMAT_1).tempos());
    assert_eq!(ends(&file), Some(3840));
    let meter = |file: &File| {
        file.tracks[0].iter().map(|event| &event.what).find(|what| matches!(what, What::Meter { .. })).cloned()
    };
    assert_eq!(meter(&file), meter(&read(&FORMAT_1)));
}

/// Quarters a minute and the tempo's bytes: 60 000 000 a minute, rounded to the microsecond, computed apart from panfold;
/// 120 is the specification's own example.
#[rustfmt::skip]
const TEMPOS: [(f64, u32); 21] = [
    (60.0, 0x0F_4240), (80.0, 0x0B_71B0), (90.0, 0x0A_2C2B), (96.0, 0x09_8968), (100.0, 0x09_27C0), (104.0, 0x08_CD9B),
    (108.0, 0x08_7A24), (110.0, 0x08_52AF), (112.0, 0x08_2CA2), (116.0, 0x07_E479), (118.0, 0x07_C23B), (120.0, 0x07_A120),
    (124.0, 0x07_621F), (126.0, 0x07_441E), (128.0, 0x07_270E), (132.0, 0x06_EF91), (136.0, 0x06_BB58), (140.0, 0x06_8A1B),
    (144.0, 0x06_5B9B), (150.0, 0x06_1A80), (160.0, 0x05_B8D8),
];

#[test]
fn tempo_bytes() {
    for (tempo, microseconds) in TEMPOS {
        let mut example = performance(1, &[]);
        example.tempo = TempoMap::new(Tempo::bpm(tempo).expect("a tempo"), Meter::default());
        let [_, a, b, c] = microseconds.to_be_bytes();
        let expected = [0x00, 0xFF, 0x51, 0x03, a, b, c];
        assert!(contains(&panfold::midi::write(&example), &expected), "{tempo} is {expected:02X?}");
    }
}

/// 6/8 at 60 dotted quarters are 90 quarters: 666 667 microseconds (computed).
#[test]
fn tempo_of_a_dotted_beat() {
    let meter = Meter::new(6, 8).expect("a meter");
    let mut example = performance(1, &[]);
    example.tempo = TempoMap::new(Tempo::bpm(60.0).expect("a tempo"), meter);
    assert_eq!(read(&panfold::midi::write(&example)).tempos(), [(0, 666_667)]);
}

/// Meter and the bytes of its time signature. 4/4 and 6/8 (a click a dotted quarter) are the specification's examples; the
/// others follow its rule: power of two, 24 clocks a quarter, eight 32nds a quarter.
const METERS: [(u8, u8, [u8; 4]); 8] = [
    (4, 4, [0x04, 0x02, 0x18, 0x08]),
    (6, 8, [0x06, 0x03, 0x24, 0x08]),
    (2, 4, [0x02, 0x02, 0x18, 0x08]),
    (3, 4, [0x03, 0x02, 0x18, 0x08]),
    (2, 2, [0x02, 0x01, 0x30, 0x08]),
    (9, 8, [0x09, 0x03, 0x24, 0x08]),
    (12, 8, [0x0C, 0x03, 0x24, 0x08]),
    (5, 8, [0x05, 0x03, 0x0C, 0x08]),
];

#[test]
fn time_signature_bytes() {
    for (count, unit, bytes) in METERS {
        let mut example = performance(1, &[]);
        example.meters = vec![(Moment::START, Meter::new(count, unit).expect("a meter"))];
        let expected = [&[0x00, 0xFF, 0x58, 0x04], &bytes[..]].concat();
        assert!(contains(&panfold::midi::write(&example), &expected), "{count}/{unit} is {expected:02X?}");
    }
}

/// Key and the bytes of its key signature: the specification's signs (flats negative, three flats FD; minor 1).
#[test]
fn key_signature_bytes() {
    for (key, bytes) in [
        ("C", [0x00, 0x00]),
        ("Dm", [0xFF, 0x01]),
        ("Eb", [0xFD, 0x00]),
        ("F#m", [0x03, 0x01]),
        ("Cb", [0xF9, 0x00]),
        ("C#", [0x07, 0x00]),
    ] {
        let mut example = performance(1, &[]);
        example.keys = vec![(Moment::START, key.parse().expect(key))];
        let expected = [&[0x00, 0xFF, 0x59, 0x02], &bytes[..]].concat();
        assert!(contains(&panfold::midi::write(&example), &expected), "{key} is {expected:02X?}");
    }
}

/// The specification's example: 6144 ticks at 96 a quarter and 500 000 microseconds a quarter are 32 seconds; and a tempo
/// change in the midst of it (computed by its formula).
#[test]
fn ticks_to_time() {
    let tempos = |list: &[(u64, u32)]| File {
        format: 0,
        division: Division::Quarter(96),
        tracks: vec![list.iter().map(|&(tick, tempo)| Event { tick, byte: 0, what: What::Tempo(tempo) }).collect()],
        oddities: Vec::new(),
    };
    assert_eq!(tempos(&[(0, 500_000)]).seconds(6144), 32.0);
    // A file without a tempo is at 120.
    assert_eq!(tempos(&[]).seconds(6144), 32.0);
    assert_eq!(tempos(&[(0, 500_000), (3072, 250_000)]).seconds(6144), 24.0);
}

/// Frames instead of quarters: the specification's 30 frames of 80 ticks are `E2 50`; 25 frames of 40 ticks, `E7 28`, make a
/// tick a millisecond (computed).
#[test]
fn ticks_of_frames() {
    let header =
        |division: [u8; 2]| [&b"MThd\0\0\0\x06\0\0\0\x01"[..], &division, b"MTrk\0\0\0\x04\0\xFF\x2F\0"].concat();
    let thirty = read(&header([0xE2, 0x50]));
    assert_eq!(thirty.division, Division::Frame { frames_a_second: 30, ticks: 80 });
    assert_eq!(thirty.seconds(2400), 1.0);
    assert_eq!(read(&header([0xE7, 0x28])).seconds(1500), 1.5);
}

/// The specification's examples of system-exclusive events in a file: one, and one in three packets.
#[test]
fn system_exclusive() {
    let track: &[u8] = &[
        0x00, 0xF0, 0x05, 0x43, 0x12, 0x00, 0x07, 0xF7, 0x00, 0xF0, 0x03, 0x43, 0x12, 0x00, 0x81, 0x48, 0xF7, 0x06,
        0x43, 0x12, 0x00, 0x43, 0x12, 0x00, 0x64, 0xF7, 0x04, 0x43, 0x12, 0x00, 0xF7, 0x00, 0xFF, 0x2F, 0x00,
    ];
    let file = [b"MThd\0\0\0\x06\0\0\0\x01\0\x60MTrk\0\0\0", &[track.len() as u8][..], track].concat();
    let packet = |tick, status, bytes: &[u8]| (tick, What::SystemExclusive { status, bytes: bytes.to_vec() });
    let expected = [
        packet(0, 0xF0, &[0x43, 0x12, 0x00, 0x07, 0xF7]),
        packet(0, 0xF0, &[0x43, 0x12, 0x00]),
        packet(200, 0xF7, &[0x43, 0x12, 0x00, 0x43, 0x12, 0x00]),
        packet(300, 0xF7, &[0x43, 0x12, 0x00, 0xF7]),
        (300, What::End),
    ];
    assert_eq!(events(&read(&file).tracks[0]), expected);
}

/// General MIDI: Steel Drums is program 115 counted from 1, data byte 114; percussion is on channel 10.
#[test]
fn general_midi_program_and_channel() {
    let written = panfold::midi::write(&performance(1, &[]));
    assert!(contains(&written, &[0x00, 0xC0, 0x72]));
    assert_eq!(percussion::CHANNEL + 1, 10);
}

/// General MIDI's names of the percussion keys that stand for the engine room's strokes. Which key a stroke gets is
/// panfold's choice; that the key has this sound is the standard's.
#[test]
fn general_midi_percussion_keys() {
    let (x, o, s) = (Mark::Stroke, Mark::Open, Mark::Slap);
    for (instrument, mark, key, _sound) in [
        (Instrument::Iron, x, 56, "Cowbell"),
        (Instrument::Iron, o, 53, "Ride Bell"),
        (Instrument::Iron, s, 80, "Mute Triangle"),
        (Instrument::Shaker, x, 70, "Maracas"),
        (Instrument::Shaker, o, 69, "Cabasa"),
        (Instrument::Scratcher, x, 73, "Short Guiro"),
        (Instrument::Scratcher, o, 74, "Long Guiro"),
        (Instrument::Conga, x, 62, "Mute Hi Conga"),
        (Instrument::Conga, o, 63, "Open Hi Conga"),
        (Instrument::Conga, s, 60, "Hi Bongo"),
        (Instrument::Kick, x, 36, "Bass Drum 1"),
        (Instrument::Snare, x, 38, "Acoustic Snare"),
        (Instrument::Snare, o, 40, "Electric Snare"),
        (Instrument::Snare, s, 37, "Side Stick"),
        (Instrument::HiHat, x, 42, "Closed Hi Hat"),
        (Instrument::HiHat, o, 46, "Open Hi-Hat"),
        (Instrument::HiHat, s, 44, "Pedal Hi-Hat"),
        (Instrument::Cowbell, x, 67, "High Agogo"),
        (Instrument::Cowbell, o, 68, "Low Agogo"),
        (Instrument::Claves, x, 75, "Claves"),
        (Instrument::Tambourine, x, 54, "Tambourine"),
        (Instrument::Tambourine, o, 69, "Cabasa"),
        (Instrument::Triangle, x, 80, "Mute Triangle"),
        (Instrument::Triangle, o, 81, "Open Triangle"),
        (Instrument::Cymbal, x, 49, "Crash Cymbal 1"),
        (Instrument::Cymbal, s, 55, "Splash Cymbal"),
        (Instrument::Ride, x, 51, "Ride Cymbal 1"),
        (Instrument::Ride, o, 53, "Ride Bell"),
        (Instrument::Toms, x, 50, "High Tom"),
        (Instrument::Toms, s, 47, "Low-Mid Tom"),
        (Instrument::Toms, o, 43, "High Floor Tom"),
        (Instrument::Bongos, x, 60, "Hi Bongo"),
        (Instrument::Bongos, o, 61, "Low Bongo"),
        (Instrument::Timbales, x, 65, "High Timbale"),
        (Instrument::Timbales, o, 66, "Low Timbale"),
        (Instrument::Timbales, s, 76, "Hi Wood Block"),
    ] {
        assert!(instrument.marks().contains(&mark));
        assert_eq!(percussion::key(instrument, mark), key, "{instrument} {}", mark.to_char());
    }
}

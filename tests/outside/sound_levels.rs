//! Time, loudness and bytes of rendered tracks against the standards.

use std::io::{self, Write};

use panfold::music::count;
use panfold::music::{Cents, Force, Hertz, Length, Moment, Tuning};
use panfold::notation::tree::Mark;
use panfold::pan::face::{Drum, NoteArea, Sureness};
use panfold::pan::{Instrument, Pan, PanKind};
use panfold::performance::stroke::VoicePlayer;
use panfold::performance::{Performance, Sound};
use panfold::sound::bank::Body;
use panfold::sound::loudness::Meter;
use panfold::sound::plan::{Event, Plan};
use panfold::sound::{Depth, Format, Mix, Report, Settings, render, tags, wav};

use crate::band::{pan, performance, plain_band, stroke, twelve_parts};

/// The defaults, changed.
fn set(change: impl FnOnce(&mut Settings)) -> Settings {
    let mut settings = Settings::default();
    change(&mut settings);
    settings
}

fn rendered(performance: &Performance, settings: &Settings) -> (Report, Vec<u8>) {
    let mut bytes = Vec::new();
    let report = render(Format::Wav, performance, &plain_band(), settings, &[], &mut bytes).expect("memory takes all");
    (report, bytes)
}

fn samples(bytes: &[u8]) -> (Vec<f32>, Vec<f32>) {
    let mut reader = hound::WavReader::new(bytes).expect("a WAV file");
    let whole: Vec<f32> = reader.samples::<i16>().map(|s| f32::from(s.expect("a sample")) / 32_768.0).collect();
    whole.chunks(2).map(|pair| (pair[0], pair[1])).unzip()
}

/// The canonical 44-byte header, field by field: 16-bit stereo at 44.1 kHz, two samples a channel.
#[test]
fn the_header_is_the_canonical_one() {
    #[rustfmt::skip]
    let canonical: [u8; 44] = [
        0x52, 0x49, 0x46, 0x46, 0x2C, 0, 0, 0, 0x57, 0x41, 0x56, 0x45,
        0x66, 0x6D, 0x74, 0x20, 0x10, 0, 0, 0, 1, 0, 2, 0, 0x44, 0xAC, 0, 0, 0x10, 0xB1, 2, 0, 4, 0, 0x10, 0,
        0x64, 0x61, 0x74, 0x61, 8, 0, 0, 0,
    ];
    assert_eq!(wav::header(44_100, 2, Depth::Bits16, 2, &[]).expect("short"), canonical);
    let mono = wav::header(48_000, 1, Depth::Bits24, 1, &[]).expect("short");
    assert_eq!(mono[28..36], [0x80, 0x32, 2, 0, 3, 0, 0x18, 0]);
    // An odd data length needs a pad byte, which the file's size counts and the data's size does not.
    assert_eq!((mono[4], mono[40]), (36 + 4, 3));
    assert!(wav::header(44_100, 2, Depth::Bits16, 1 << 31, &[]).is_err());
}

#[test]
fn an_independent_reader_reads_every_depth() {
    let one = performance(&[pan(PanKind::Lead)], vec![note(0, 0, 60, 96)], 1);
    for (depth, bits, format) in [
        (Depth::Bits16, 16, hound::SampleFormat::Int),
        (Depth::Bits24, 24, hound::SampleFormat::Int),
        (Depth::Float, 32, hound::SampleFormat::Float),
    ] {
        let (report, bytes) = rendered(&one, &set(|s| s.depth = depth));
        let reader = hound::WavReader::new(bytes.as_slice()).expect("a WAV file");
        let spec = reader.spec();
        assert_eq!((spec.channels, spec.sample_rate, spec.bits_per_sample), (2, 44_100, bits));
        assert_eq!(spec.sample_format, format);
        assert_eq!(u64::from(reader.duration()), report.frames);
    }
}

fn note(at: i64, voice: usize, key: u8, velocity: u8) -> panfold::performance::Stroke {
    stroke(at, 4, voice, Sound::Note(panfold::music::Pitch::new(key).expect("a key")), velocity)
}

/// ITU-R BS.1770: a full-scale 997 Hz sine in one channel reads -3.01 LUFS, in both channels 0.00 (recomputed; the
/// crate's filter at 44.1 kHz is derived differently, hence ±0.05).
#[test]
fn a_997_hz_sine_reads_as_the_standard_says() {
    let sine: Vec<f32> =
        (0..10 * 44_100).map(|n| (std::f64::consts::TAU * 997.0 * f64::from(n) / 44_100.0).sin() as f32).collect();
    let silence = vec![0.0; sine.len()];
    let mut meter = Meter::new(44_100);
    meter.add(&sine, &silence);
    assert!((meter.loudness() + 3.01).abs() < 0.05, "{}", meter.loudness());
    let mut meter = Meter::new(44_100);
    meter.add(&sine, &sine);
    assert!(meter.loudness().abs() < 0.05, "{}", meter.loudness());
}

/// EBU Tech 3341 (version 4, 2023), table 1, signals 1 to 5: 1 kHz in both channels, seconds and peak level of each
/// stretch; -23 LUFS (signal 2: -33) within 0.1 LU. The gates matter in 3 and 4.
#[test]
fn the_published_loudness_signals_read_as_published() {
    let signals: [(&[(f64, f64)], f64); 5] = [
        (&[(20.0, -23.0)], -23.0),
        (&[(20.0, -33.0)], -33.0),
        (&[(10.0, -36.0), (60.0, -23.0), (10.0, -36.0)], -23.0),
        (&[(10.0, -72.0), (10.0, -36.0), (60.0, -23.0), (10.0, -36.0), (10.0, -72.0)], -23.0),
        (&[(20.0, -26.0), (20.1, -20.0), (20.0, -26.0)], -23.0),
    ];
    // At 48 kHz a millisecond is one turn of 48 samples.
    let turn: Vec<f32> = (0..48).map(|n| (std::f64::consts::TAU * f64::from(n) / 48.0).sin() as f32).collect();
    for (stretches, expected) in signals {
        let mut meter = Meter::new(48_000);
        for (seconds, level) in stretches {
            let gain = 10f32.powf(*level as f32 / 20.0);
            let block: Vec<f32> = turn.iter().map(|sample| sample * gain).collect();
            (0..count(seconds * 1000.0) as u32).for_each(|_| meter.add(&block, &block));
        }
        assert!((meter.loudness() - expected).abs() <= 0.1, "{stretches:?}: {}", meter.loudness());
    }
}

/// The track read back from its bytes, by the crate `ebur128` (BS.1770): -16 LUFS ±0.1 and at most -1 dBTP.
#[test]
fn a_band_comes_out_at_its_loudness() {
    let (report, bytes) = rendered(&twelve_parts(4), &Settings::default());
    let (left, right) = samples(&bytes);
    let mut meter = ebur128::EbuR128::new(2, 44_100, ebur128::Mode::I | ebur128::Mode::TRUE_PEAK).expect("a meter");
    meter.add_frames_planar_f32(&[&left, &right]).expect("frames");
    let loudness = meter.loudness_global().expect("loudness");
    assert!((loudness + 16.0).abs() <= 0.1, "{loudness} LUFS");
    assert!((loudness - report.loudness).abs() < 0.01 && report.reached);
    let peak = meter.true_peak(0).expect("peak").max(meter.true_peak(1).expect("peak"));
    assert!(20.0 * peak.log10() <= -1.0, "{peak}");
}

#[test]
fn sparse_sticks_stay_below_the_ceiling() {
    let click = |beat: i64| stroke(8 * beat, 4, 0, Sound::Mark(Mark::Stroke), 100);
    let sticks = [VoicePlayer::Percussion(Instrument::Claves)];
    let (report, bytes) = rendered(&performance(&sticks, (0..16).map(click).collect(), 16), &Settings::default());
    let (left, right) = samples(&bytes);
    let mut meter = Meter::new(44_100);
    meter.add(&left, &right);
    assert!(meter.true_peak() <= -1.0, "{}", meter.true_peak());
    assert!(!report.reached && report.loudness < -16.1 && report.limited > 5.0, "{report:?}");
    // The limiter looks ahead, yet moves nothing: the third click is a second in, after silence.
    let third = left.iter().skip(43_000).position(|sample| *sample != 0.0);
    assert!(third.is_some_and(|at| (1100..1103).contains(&at)), "{third:?}");
}

#[test]
fn blocks_of_any_size_give_the_same_bytes() {
    let two_bars = twelve_parts(2);
    let sizes = [64, 1000, 65_536].map(|block| rendered(&two_bars, &set(|s| s.block = block)).1);
    assert!(sizes[0] == sizes[1] && sizes[1] == sizes[2]);
}

/// A stroke's first sample is at its exact time rounded to the sample: at the start, and an hour later in triplets at
/// 120 a minute, where a sum of rounded lengths would have drifted.
#[test]
fn strokes_begin_at_their_sample_after_an_hour_too() {
    let sticks = [VoicePlayer::Percussion(Instrument::Claves)];
    let triplets: Vec<i64> = (0..6).chain(21_600..21_606).collect();
    let click = |triplet: &i64| {
        let at = Moment::after(Length::quarters(*triplet, 3));
        panfold::performance::Stroke { at, ..stroke(0, 1, 0, Sound::Mark(Mark::Stroke), 100) }
    };
    let hour = performance(&sticks, triplets.iter().map(click).collect(), 7204);
    let exact = |rate: f64| triplets.iter().map(move |triplet| count((*triplet as f64 / 6.0 * rate).round()) as u64);
    for rate in [44_100, 48_000, 96_000] {
        let plan = Plan::new(&hour, &plain_band(), &set(|s| s.rate = rate));
        assert!(plan.events.iter().map(|event| event.start).eq(exact(f64::from(rate))), "{rate}");
    }
    // The whole hour is rendered at a low rate, for the time's sake.
    let mut first = First { bytes: 0, quiet: 0, onsets: Vec::new() };
    render(Format::Wav, &hour, &plain_band(), &set(|s| s.rate = 22_050), &[], &mut first).expect("a sink");
    assert_eq!(first.onsets.len(), triplets.len(), "{:?}", first.onsets);
    for (found, expected) in first.onsets.iter().zip(exact(22_050.0)) {
        // The first sample of a stroke may round to zero in 16 bits.
        assert!((expected..=expected + 1).contains(&found.unsigned_abs()), "{found}, expected {expected}");
    }
}

/// Notes where sound begins after silence, without holding the file.
struct First {
    bytes: i64,
    quiet: i64,
    onsets: Vec<i64>,
}

impl Write for First {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        for byte in bytes {
            let frame = (self.bytes - 44).div_euclid(4);
            self.bytes += 1;
            if frame < 0 {
                continue;
            }
            if *byte != 0 {
                if self.quiet > 4 * 200 || self.onsets.is_empty() {
                    self.onsets.push(frame);
                }
                self.quiet = 0;
            } else {
                self.quiet += 1;
            }
        }
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

#[test]
fn a_mix_says_who_is_heard() {
    let two =
        performance(&[pan(PanKind::Lead), pan(PanKind::SixBass)], vec![note(0, 0, 72, 96), note(0, 1, 40, 96)], 4);
    let energy = |mix: Mix| {
        let float = set(|s| {
            s.mix = mix;
            s.depth = Depth::Float;
        });
        let (report, _) = rendered(&two, &float);
        (report.strokes, report.distinct)
    };
    assert_eq!(
        [Mix::Band, Mix::Alone(0.into()), Mix::Loud(1.into()), Mix::Without(0.into())].map(energy),
        [(2, 6), (1, 3), (2, 6), (1, 3)]
    );
}

/// The crate `claxon` reads the FLAC file: the same samples as the WAV file's, and the tags.
#[test]
fn an_independent_reader_reads_flac() {
    let mut tune = twelve_parts(2);
    tune.by = Some("a made-up player".into());
    for depth in [Depth::Bits16, Depth::Bits24] {
        let settings = set(|s| {
            s.depth = depth;
            s.mix = Mix::Loud(1.into());
        });
        let mut bytes = Vec::new();
        let report =
            render(Format::Flac, &tune, &plain_band(), &settings, &tags(&tune, &settings), &mut bytes).expect("memory");
        let mut reader = claxon::FlacReader::new(bytes.as_slice()).expect("a FLAC file");
        let info = reader.streaminfo();
        assert_eq!((info.sample_rate, info.channels), (44_100, 2));
        assert!(info.samples.is_some_and(|count| (report.frames..report.frames + 32).contains(&count)));
        let tag = |name: &str| reader.get_tag(name).collect::<Vec<_>>().join("|");
        assert_eq!(
            ["TITLE", "ARTIST", "PART", "BPM"].map(tag),
            ["Ebb and Flow", "a made-up player", "part-1", "120"].map(String::from)
        );
        let flac: Vec<i32> = reader.samples().map(|sample| sample.expect("a sample")).collect();
        let (_, wav) = rendered(&tune, &settings);
        let mut wav = hound::WavReader::new(wav.as_slice()).expect("a WAV file");
        let wav: Vec<i32> = wav.samples::<i32>().map(|sample| sample.expect("a sample")).collect();
        assert!(flac[..wav.len()] == wav, "{depth:?}");
    }
}

#[test]
fn a_room_adds_echoes_and_no_difference_between_blocks() {
    let one = performance(&[pan(PanKind::Lead)], vec![note(0, 0, 72, 96)], 1);
    let dry = rendered(&one, &Settings::default()).0;
    let [small, large] = [100, 4096].map(|block| {
        rendered(
            &one,
            &set(|s| {
                s.room = true;
                s.block = block;
            }),
        )
    });
    assert!(small.1 == large.1);
    assert_eq!(small.0.frames - dry.frames, count(0.55 * 44_100.0) as u64);
}

/// A damped note is silent soon after its length; the same note undamped rings on. Neither ends in a click: no step
/// between neighbouring samples is larger than the sound itself makes.
#[test]
fn damped_notes_die_and_nothing_clicks() {
    let sound = |damped: bool| {
        let mut struck = note(0, 0, 60, 96);
        struck.damped = damped;
        let float = set(|s| s.depth = Depth::Float);
        let bytes = rendered(&performance(&[pan(PanKind::Lead)], vec![struck], 4), &float).1;
        let mut reader = hound::WavReader::new(bytes.as_slice()).expect("a WAV file");
        let all: Vec<f32> = reader.samples::<f32>().map(|sample| sample.expect("a sample")).collect();
        all.into_iter().step_by(2).collect::<Vec<f32>>()
    };
    let (damped, open) = (sound(true), sound(false));
    // 4 eighths of a quarter at 120 a minute are 0.25 s; the hand takes less than 0.1 s.
    let late = count(0.35 * 44_100.0);
    assert!(damped[late..].iter().all(|sample| *sample == 0.0));
    assert!(open[late..late + 4410].iter().any(|sample| sample.abs() > 0.01));
    for samples in [damped, open] {
        let from = count(0.05 * 44_100.0);
        let steps = samples.windows(2).skip(from).map(|pair| (pair[1] - pair[0]).abs());
        let first = samples.windows(2).take(from).map(|pair| (pair[1] - pair[0]).abs()).fold(0.0, f32::max);
        assert!(steps.fold(0.0, f32::max) < first);
        assert!(samples.last().is_some_and(|last| last.abs() < 1e-3));
    }
}

/// Strokes that are meant the same begin where they are written, to the sample, and no two of them are the same otherwise: how loud,
/// the balance of partials, how the stick lands.
#[test]
fn strokes_meant_the_same_are_in_place_and_never_quite_the_same() {
    let same: Vec<_> = (0..64).map(|k| note(k, 0, 60, 90)).collect();
    let plan = Plan::new(&performance(&[pan(PanKind::Lead)], same, 8), &plain_band(), &Settings::default());
    // Each has three layers: the touch, what shifts the balance of partials, and what rings.
    let strokes: Vec<_> = plan.events.chunks(3).collect();
    assert_eq!(strokes.len(), 64);
    let gains = |layer: usize| strokes.iter().map(move |stroke| 20.0 * f64::from(stroke[layer].gain).log10());
    for (k, stroke) in strokes.iter().enumerate() {
        assert!(stroke.iter().all(|layer| layer.start == count((k as f64 * 0.0625 * 44_100.0).round()) as u64));
    }
    let spread = |values: Vec<f64>| {
        let mean = values.iter().sum::<f64>() / values.len() as f64;
        (values.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / values.len() as f64).sqrt()
    };
    let loud = spread(gains(2).collect());
    let balance = |stroke: &&[Event]| 20.0 * f64::from(1.0 + stroke[1].gain / stroke[2].gain).log10();
    let balance = spread(strokes.iter().map(balance).collect());
    assert!((0.2..0.6).contains(&loud), "{loud} dB");
    assert!((0.8..2.0).contains(&balance), "{balance} dB");
    let touches: Vec<u32> = strokes.iter().map(|stroke| stroke[0].stroke).collect();
    assert!(touches.windows(2).all(|two| two[0] != two[1]), "twice the same: {touches:?}");
    for period in 2..=16 {
        assert!(touches.iter().zip(&touches[period..]).any(|(a, b)| a != b), "every {period}: {touches:?}");
    }
}

#[test]
fn any_number_of_threads_gives_the_same_bytes() {
    let tune = twelve_parts(1);
    let [one, three] = [1, 3].map(|threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        pool.install(|| {
            let (mut flac, mut mp3) = (Vec::new(), Vec::new());
            // A loud part over a soft band, whose distance is measured on all threads.
            let loud = Settings::of(Mix::Loud(1.into()));
            render(Format::Flac, &tune, &plain_band(), &loud, &[], &mut flac).expect("memory takes all");
            render(Format::Mp3, &tune, &plain_band(), &loud, &[], &mut mp3).expect("memory takes all");
            (rendered(&tune, &Settings::default()).1, flac, mp3)
        })
    });
    assert!(one == three);
}

/// A pan of the band sounds as its notes were measured: a note 30 cents sharp on a band tuned to 442 Hz, and the octave
/// on the same drum rings along.
#[test]
fn a_pan_of_the_band_sounds_as_measured() {
    let area = |name: &str, cents: f64| NoteArea {
        name: name.parse().expect(name),
        pitch: name.parse().expect(name),
        ring: None,
        angle: None,
        cents: Cents(cents),
    };
    let drums = vec![
        Drum { notes: vec![area("A4", 30.0), area("A5", 0.0)], ..Drum::default() },
        Drum { notes: vec![area("E6", 0.0)], ..Drum::default() },
    ];
    let (title, source, note) = (String::new(), String::new(), String::new());
    let (name, sureness) = ("own".to_owned(), Sureness::default());
    let own = Pan { name, title, kind: PanKind::Lead, drums, sureness, source, note };
    let body = Body::pan(&own, Tuning { a4: Hertz(442.0) }, 0);
    let struck = body.struck("A4".parse().expect("a name"), Force::from_velocity(80)).expect("a pan");
    // 442 · 2^(30/1200), and 884 Hz for the A5; the E6 is on another drum.
    assert!((struck.frequency.0 - 449.726).abs() < 0.001, "{:?}", struck.frequency);
    assert_eq!(struck.neighbours, [(12, Hertz(884.0))]);
}

/// Chunks by the Multimedia Programming Interface and Data Specifications 1.0 (IBM and Microsoft, 1991), tags by the Vorbis
/// comment specification, read by the crates hound and claxon.
#[test]
fn tags_and_markers_stand_where_readers_look() {
    let mut performance = performance(&[pan(PanKind::Lead)], vec![note(0, 0, 72, 96), note(8, 0, 74, 96)], 4);
    let section = |at: i64, name: &str| panfold::performance::stroke::SectionAt {
        at: panfold::music::Moment::after(panfold::music::Length::quarters(at, 1)),
        section: 0,
        name: name.into(),
        pass: 1,
        of: 1,
    };
    performance.sections = vec![section(0, "verse"), section(2, "the chorus")];
    let settings = Settings::default();
    let tags = panfold::sound::tags(&performance, &settings);
    let mut wav = Vec::new();
    render(Format::Wav, &performance, &plain_band(), &settings, &tags, &mut wav).expect("memory takes all");
    let reader = hound::WavReader::new(wav.as_slice()).expect("a WAV file");
    assert!(reader.duration() > 0);
    let find = |id: &[u8]| wav.windows(id.len()).position(|window| window == id).expect("a chunk");
    let title = find(b"INAM");
    assert_eq!(&wav[title + 8..title + 20], b"Ebb and Flow");
    let cue = find(b"cue ");
    assert_eq!(wav[cue + 8..cue + 12], 2u32.to_le_bytes());
    // Two quarter notes at 120 are a second: the second marker stands at sample 44,100.
    assert_eq!(wav[cue + 12 + 24 + 4..cue + 12 + 24 + 8], 44_100u32.to_le_bytes());
    assert_eq!(&wav[find(b"the chorus\0") - 12..][..4], b"labl");
    let mut flac = Vec::new();
    render(Format::Flac, &performance, &plain_band(), &settings, &tags, &mut flac).expect("memory takes all");
    let reader = claxon::FlacReader::new(flac.as_slice()).expect("a FLAC file");
    let tag = |name: &str| reader.get_tag(name).map(str::to_owned).collect::<Vec<String>>();
    assert_eq!(tag("TITLE"), ["Ebb and Flow"]);
    assert_eq!((tag("CHAPTER002"), tag("CHAPTER002NAME")), (vec!["00:00:01.000".into()], vec!["the chorus".into()]));
}

//! Time, loudness and bytes of rendered tracks against the standards.

use std::io::{self, Write};

use panfold::music::{Length, Moment};
use panfold::notation::tree::Mark;
use panfold::pan::{Instrument, PanKind};
use panfold::performance::stroke::VoicePlayer;
use panfold::performance::{Performance, Sound};
use panfold::sound::loudness::Meter;
use panfold::sound::plan::Plan;
use panfold::sound::{Depth, Mix, Report, Settings, render_wav, wav};

use crate::band::{pan, performance, plain_band, stroke, twelve_parts};

fn rendered(performance: &Performance, settings: &Settings) -> (Report, Vec<u8>) {
    let mut bytes = Vec::new();
    let report = render_wav(performance, &plain_band(), settings, &mut bytes).expect("memory takes all");
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
    assert_eq!(wav::header(44_100, 2, Depth::Bits16, 2).expect("short"), canonical);
    let mono = wav::header(48_000, 1, Depth::Bits24, 1).expect("short");
    assert_eq!(mono[28..36], [0x80, 0x32, 2, 0, 3, 0, 0x18, 0]);
    // An odd data length needs a pad byte, which the file's size counts and the data's size does not.
    assert_eq!((mono[4], mono[40]), (36 + 4, 3));
    assert!(wav::header(44_100, 2, Depth::Bits16, 1 << 31).is_err());
}

#[test]
fn an_independent_reader_reads_every_depth() {
    let one = performance(&[pan(PanKind::Lead)], vec![note(0, 0, 60, 96)], 1);
    for (depth, bits, format) in [
        (Depth::Bits16, 16, hound::SampleFormat::Int),
        (Depth::Bits24, 24, hound::SampleFormat::Int),
        (Depth::Float, 32, hound::SampleFormat::Float),
    ] {
        let (report, bytes) = rendered(&one, &Settings { depth, ..Settings::default() });
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
    let sticks = [VoicePlayer::Percussion(Instrument::Sticks)];
    let (report, bytes) = rendered(&performance(&sticks, (0..16).map(click).collect(), 16), &Settings::default());
    let (left, right) = samples(&bytes);
    let mut meter = Meter::new(44_100);
    meter.add(&left, &right);
    assert!(meter.true_peak() <= -1.0, "{}", meter.true_peak());
    assert!(!report.reached && report.loudness < -16.1 && report.limited > 5.0, "{report:?}");
}

#[test]
fn blocks_of_any_size_give_the_same_bytes() {
    let two_bars = twelve_parts(2);
    let sizes = [64, 1000, 65_536].map(|block| rendered(&two_bars, &Settings { block, ..Settings::default() }).1);
    assert!(sizes[0] == sizes[1] && sizes[1] == sizes[2]);
}

/// A stroke's first sample is at its exact time rounded to the sample: at the start, and an hour later in triplets at
/// 120 a minute, where a sum of rounded lengths would have drifted.
#[test]
fn strokes_begin_at_their_sample_after_an_hour_too() {
    let sticks = [VoicePlayer::Percussion(Instrument::Sticks)];
    let triplets: Vec<i64> = (0..6).chain(21_600..21_606).collect();
    let click = |triplet: &i64| {
        let at = Moment::after(Length::quarters(*triplet, 3));
        panfold::performance::Stroke { at, ..stroke(0, 1, 0, Sound::Mark(Mark::Stroke), 100) }
    };
    let hour = performance(&sticks, triplets.iter().map(click).collect(), 7204);
    let exact = |rate: f64| triplets.iter().map(move |triplet| (*triplet as f64 / 6.0 * rate).round() as u64);
    for rate in [44_100, 48_000, 96_000] {
        let plan = Plan::new(&hour, &plain_band(), &Settings { rate, ..Settings::default() });
        assert!(plan.events.iter().map(|event| event.start).eq(exact(f64::from(rate))), "{rate}");
    }
    // The whole hour is rendered at a low rate, for the time's sake.
    let mut first = First { bytes: 0, quiet: 0, onsets: Vec::new() };
    render_wav(&hour, &plain_band(), &Settings { rate: 8000, ..Settings::default() }, &mut first).expect("a sink");
    assert_eq!(first.onsets.len(), triplets.len(), "{:?}", first.onsets);
    for (found, expected) in first.onsets.iter().zip(exact(8000.0)) {
        // The first sample of a stroke may round to zero in 16 bits.
        assert!((expected..=expected + 1).contains(&(*found as u64)), "{found}, expected {expected}");
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
        let float = Settings { mix, depth: Depth::Float, ..Settings::default() };
        let (report, _) = rendered(&two, &float);
        (report.strokes, report.distinct)
    };
    assert_eq!(
        [Mix::Band, Mix::Alone(0), Mix::Front(1), Mix::Without(0)].map(energy),
        [(2, 4), (1, 2), (2, 4), (1, 2)]
    );
}

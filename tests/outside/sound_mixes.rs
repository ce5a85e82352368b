//! Whether players hear their parts in their own tracks, by the crate `ebur128` (ITU-R BS.1770) and by a Fourier transform.

use ebur128::{EbuR128, Mode};
use panfold::music::{Length, Moment, Pitch};
use panfold::notation::tree::Mark;
use panfold::pan::{Instrument, PanKind};
use panfold::performance::stroke::VoicePlayer;
use panfold::performance::{Performance, Sound, Stroke};
use panfold::sound::bank::Bank;
use panfold::sound::levels::{self, ABOVE, Compared};
use panfold::sound::mixer::Mixer;
use panfold::sound::plan::{Place, Plan};
use panfold::sound::{Format, Mix, Parts, Settings, render};
use realfft::RealFftPlanner;

use crate::band::{pan, performance, plain_band, stroke};

const RATE: u32 = 44_100;

/// What a phone's small speaker is taken to give nothing below, in hertz, and how steeply: a Butterworth filter of order 8.
const SMALL: f64 = 300.0;

/// The loudness of left and right in full, and on a small speaker, whose filter is applied to the spectrum.
fn loudness(sides: &[Vec<f32>; 2]) -> [f64; 2] {
    let small = sides.each_ref().map(|side| small_speaker(side));
    [sides, &small].map(|sides| {
        let mut meter = EbuR128::new(2, RATE, Mode::I).expect("a meter");
        meter.add_frames_planar_f32(&[&sides[0], &sides[1]]).expect("frames");
        meter.loudness_global().expect("loudness")
    })
}

fn small_speaker(side: &[f32]) -> Vec<f32> {
    let size = (side.len() + RATE as usize).next_power_of_two();
    let mut planner = RealFftPlanner::<f64>::new();
    let (there, back) = (planner.plan_fft_forward(size), planner.plan_fft_inverse(size));
    let mut samples: Vec<f64> = side.iter().map(|sample| f64::from(*sample)).collect();
    samples.resize(size, 0.0);
    let mut lines = there.make_output_vec();
    there.process(&mut samples, &mut lines).expect("sizes agree");
    for (n, line) in lines.iter_mut().enumerate() {
        let frequency = n as f64 * f64::from(RATE) / size as f64;
        *line *= if n == 0 { 0.0 } else { 1.0 / (1.0 + (SMALL / frequency).powi(16)).sqrt() };
    }
    back.process(&mut lines, &mut samples).expect("sizes agree");
    samples[..side.len()].iter().map(|sample| (sample / size as f64) as f32).collect()
}

/// The sum of some voices of a track, before its loudness is set.
fn stem(performance: &Performance, settings: &Settings, heard: impl Fn(usize) -> bool) -> [Vec<f32>; 2] {
    let mut plan = Plan::new(performance, &plain_band(), settings);
    for (_, place) in plan.places.iter_mut().enumerate().filter(|(voice, _)| !heard(*voice)) {
        *place = Place::default();
    }
    let bank = Bank::build(&plan.bodies, &plan.wanted, f64::from(RATE));
    let frames = plan.frames as usize;
    let (mut left, mut right) = (vec![0.0; frames], vec![0.0; frames]);
    Mixer::new(&plan, &bank, None).fill(&mut left, &mut right);
    [left, right]
}

const CELLO: usize = 1;
const BASS: usize = 2;
const IRON: usize = 3;
const KICK: usize = 4;

/// A soft lead, a cello, a six bass from its lowest note on, an iron and a kick, with three loud pans of the middle around them:
/// eight bars of 4/4.
fn loud_band() -> Performance {
    use PanKind::{DoubleSecond, DoubleTenor, Lead, SixBass, TripleCello};
    let [iron, kick] = [Instrument::Iron, Instrument::Kick].map(VoicePlayer::Percussion);
    let mut players = vec![pan(Lead), pan(TripleCello), pan(SixBass), iron, kick];
    players.extend([DoubleTenor, DoubleSecond, DoubleSecond].map(pan));
    let note = |key: u8| Sound::Note(Pitch::new(key).expect("a key"));
    let mut strokes: Vec<Stroke> = Vec::new();
    for beat in 0..32i64 {
        let at = 8 * beat;
        let step = (beat / 4 % 4).unsigned_abs() as u8;
        strokes.push(stroke(at, 8, 0, note(72 + 2 * step), 64));
        strokes.push(stroke(at, 8, CELLO, note(48 + step), 80));
        strokes.extend((beat % 2 == 0).then(|| stroke(at, 16, BASS, note(34 + step), 80)));
        strokes.extend([0, 4].map(|off| stroke(at + off, 4, IRON, Sound::Mark(Mark::Stroke), 80)));
        strokes.push(stroke(at, 8, KICK, Sound::Mark(Mark::Stroke), 80));
        for (voice, key) in [(5, 67), (6, 62), (7, 58)] {
            strokes.extend([0, 4].map(|off| stroke(at + off, 4, voice, note(key + step), 112)));
        }
    }
    performance(&players, strokes, 32)
}

/// What the band leaves of itself where it gives way: all but the part.
fn rest(all: &[Vec<f32>; 2], part: &[Vec<f32>; 2]) -> [Vec<f32>; 2] {
    [0, 1].map(|side| all[side].iter().zip(&part[side]).map(|(all, part)| all - part).collect())
}

/// By how many LU a player's parts lie above the rest in the track that is made for the player, in full and on a small speaker.
fn over(tune: &Performance, own: &Parts, mono: bool) -> [f64; 2] {
    let mut settings = Settings::of(Mix::Loud(own.clone()));
    settings.mono = mono;
    let report = render(Format::Wav, tune, &plain_band(), &settings, &[], std::io::sink()).expect("a sink");
    // A kick, or a part of few strokes, comes to its loudness only as far as its peaks can be held.
    assert!((-18.5..=-15.8).contains(&report.loudness) && report.true_peak <= -1.0, "{report:?}");
    // Peaks are held before part and band meet: the limiter behind them would take from the part what it has over the band.
    assert!(report.limited <= 1.6, "{report:?}");
    settings.standing = Some(report.standing);
    let part = stem(tune, &settings, |voice| own.has(voice));
    let mine = loudness(&part);
    let rest = loudness(&rest(&stem(tune, &settings, |_| true), &part));
    [0, 1].map(|hearing| mine[hearing] - rest[hearing])
}

#[test]
fn every_player_is_heard_over_a_loud_band() {
    let tune = loud_band();
    for (voice, mono) in (0..tune.voices.len()).flat_map(|voice| [(voice, false), (voice, true)]) {
        let over = over(&tune, &voice.into(), mono);
        assert!(over.iter().all(|over| *over >= ABOVE), "{}: {over:?}", tune.voices[voice].name);
        // No further than needed, so that the band is not lost.
        assert!(over.iter().any(|over| *over < ABOVE + 2.0), "{}: {over:?}", tune.voices[voice].name);
    }
}

/// In one channel or two, dry or in a room, an MP3 file has its loudness and its peaks when it is played; in one, both sides are the same.
#[test]
fn mp3_is_as_loud_as_it_should_be_when_it_is_played() {
    let tune = loud_band();
    for (mono, room) in [(true, false), (false, false), (true, true)] {
        let mut settings = Settings::default();
        (settings.mono, settings.room) = (mono, room);
        let mut files = Vec::new();
        for block in [8192, 1000] {
            settings.block = block;
            let mut bytes = Vec::new();
            let report =
                render(Format::Mp3, &tune, &plain_band(), &settings, &[], &mut bytes).expect("memory takes all");
            assert!((report.loudness + 16.0).abs() <= 0.2 && report.true_peak <= -1.0, "{report:?}");
            files.push(bytes);
        }
        assert!(files[0] == files[1], "blocks change the bytes");
        let mut bytes = Vec::new();
        render(Format::Wav, &tune, &plain_band(), &settings, &[], &mut bytes).expect("memory takes all");
        let samples = hound::WavReader::new(bytes.as_slice()).expect("a WAV file").into_samples::<i16>();
        let samples: Vec<i16> = samples.map(|sample| sample.expect("a sample")).collect();
        assert_eq!(samples.chunks(2).all(|pair| pair[0] == pair[1]), mono);
    }
    let mut settings = Settings::default();
    settings.rate = 96_000;
    assert!(render(Format::Mp3, &tune, &plain_band(), &settings, &[], std::io::sink()).is_err());
}

/// One player at kick and iron: both are the own part.
#[test]
fn a_player_of_several_parts_hears_all_of_them() {
    let tune = loud_band();
    let kit: Parts = [KICK, IRON].into_iter().collect();
    let over = over(&tune, &kit, false);
    assert!(over.iter().all(|over| *over >= ABOVE), "{over:?}");
    let alone = Settings::of(Mix::Alone(kit.clone()));
    let report = render(Format::Wav, &tune, &plain_band(), &alone, &[], std::io::sink()).expect("a sink");
    assert_eq!(report.strokes, 32 + 64);
    let without = Settings::of(Mix::Without(kit));
    let report = render(Format::Wav, &tune, &plain_band(), &without, &[], std::io::sink()).expect("a sink");
    assert_eq!(report.strokes, tune.strokes.len() - 32 - 64);
}

/// Alone, every part has at least -26 LUFS on a small speaker.
#[test]
fn every_part_alone_is_heard_on_a_phone() {
    let tune = loud_band();
    for voice in 0..tune.voices.len() {
        let settings = Settings::of(Mix::Alone(voice.into()));
        let mut bytes = Vec::new();
        render(Format::Wav, &tune, &plain_band(), &settings, &[], &mut bytes).expect("memory takes all");
        let mut reader = hound::WavReader::new(bytes.as_slice()).expect("a WAV file");
        let all: Vec<f32> = reader.samples::<i16>().map(|s| f32::from(s.expect("a sample")) / 32_768.0).collect();
        let sides = [0, 1].map(|side| all.iter().skip(side).step_by(2).copied().collect::<Vec<f32>>());
        let [_, small] = loudness(&sides);
        assert!(small >= -26.0, "{}: {small:.2} LUFS", tune.voices[voice].name);
    }
}

/// A part that plays in one bar of eight is measured where it plays.
#[test]
fn a_part_that_seldom_plays_is_measured_where_it_plays() {
    let mut tune = loud_band();
    let late = Moment::after(Length::quarters(4, 1));
    tune.strokes.retain(|stroke| usize::from(stroke.voice) != BASS || stroke.at < late);
    let over = over(&tune, &BASS.into(), false);
    assert!(over.iter().all(|over| *over >= ABOVE), "{over:?}");
}

/// What is measured for all players at once, each on the sum of its own strokes, is what a meter finds of each.
#[test]
fn players_measured_together_are_as_loud_as_by_themselves() {
    let tune = loud_band();
    let players: Vec<Parts> = [vec![0], vec![BASS], vec![KICK, IRON]].map(|parts| parts.into_iter().collect()).into();
    let measured = levels::beside(&tune, &plain_band(), &Settings::default(), &players, f64::INFINITY);
    for (own, Compared { beside, .. }) in players.iter().zip(measured) {
        let settings = Settings::of(Mix::Loud(own.clone()));
        let mine = loudness(&stem(&tune, &settings, |voice| own.has(voice)));
        let rest = loudness(&stem(&tune, &settings, |voice| !own.has(voice)));
        let pairs = [(mine, beside.own), (rest, beside.rest)];
        for ([full, small], heard) in pairs {
            // Rounding, and what rings on after the last bar.
            assert!((full - heard.full).abs() < 0.15, "{own:?}: {full} LUFS, {heard:?}");
            assert!((small - heard.small).abs() < 0.15, "{own:?}: {small} LUFS, {heard:?}");
        }
    }
}

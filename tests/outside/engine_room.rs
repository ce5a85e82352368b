//! The engine room: every voice sounds like itself, keeps its place in the band, and comes back from files.
//!
//! That a triangle is high and rings long, that toms are low, and the like, is common practice, no source; the bounds are wide.
//! Names of General MIDI's keys: *General MIDI System Level 1* (RP-003).

use std::sync::Arc;

use panfold::exchange;
use panfold::midi::percussion;
use panfold::music::count;
use panfold::music::{Force, Tuning};
use panfold::notation::tree::Mark;
use panfold::pan::{Band, Instrument, PanKind};
use panfold::performance::perform::{Options, perform};
use panfold::performance::stroke::VoicePlayer;
use panfold::sound::bank::Body;
use panfold::sound::engine_room;
use panfold::sound::loudness::Meter;
use panfold::sound::plan;
use panfold::tune::Tune;
use panfold::tune::model::{Player, Struck};

use crate::kit;
use crate::sound::spectrum;

const RATE: f64 = 44_100.0;

fn samples(instrument: Instrument, mark: Mark) -> Vec<f32> {
    engine_room::samples(instrument, mark, Force::from_velocity(80), 0, RATE)
}

/// All strokes.
fn strokes() -> impl Iterator<Item = (Instrument, Mark)> {
    Instrument::ALL.into_iter().flat_map(|instrument| instrument.marks().iter().map(move |mark| (instrument, *mark)))
}

/// The middle of the spectrum by power, in hertz.
fn centre(samples: &[f32]) -> f64 {
    let (power, width) = spectrum(samples);
    let moment: f64 = power.iter().enumerate().map(|(line, power)| line as f64 * width * power).sum();
    moment / power.iter().sum::<f64>()
}

/// The strongest line of the spectrum, in hertz.
fn strongest(samples: &[f32]) -> f64 {
    let (power, width) = spectrum(samples);
    let line = (0..power.len()).max_by(|a, b| power[*a].total_cmp(&power[*b])).expect("a line");
    line as f64 * width
}

/// How many seconds pass until what is left is 30 dB weaker than the loudest 10 ms.
fn rings(samples: &[f32]) -> f64 {
    let piece = count(RATE / 100.0);
    let power: Vec<f32> = samples.chunks(piece).map(|piece| piece.iter().map(|sample| sample * sample).sum()).collect();
    let loudest = power.iter().copied().fold(0.0, f32::max);
    power.iter().rposition(|power| *power > loudest / 1000.0).map_or(0.0, |last| (last + 1) as f64 / 100.0)
}

#[test]
fn every_stroke_is_sound_at_every_rate() {
    for (instrument, mark) in strokes() {
        for rate in [22_050.0, 24_000.0, 32_000.0, 48_000.0, 88_200.0, 96_000.0, 192_000.0] {
            for velocity in [1, 127] {
                let samples = engine_room::samples(instrument, mark, Force::from_velocity(velocity), 2, rate);
                assert!(
                    samples.iter().all(|sample| sample.is_finite() && sample.abs() <= 1.0),
                    "{instrument} {mark:?}"
                );
                let loudest = samples.iter().fold(0f32, |most, sample| most.max(sample.abs()));
                assert!(loudest > 0.1, "{instrument} {mark:?} at {rate}: {loudest}");
            }
        }
    }
}

/// Where the middle of a stroke's spectrum lies, in hertz, and how long it rings, in seconds.
#[test]
fn every_voice_is_known_by_its_sound() {
    let (x, o, s) = (Mark::Stroke, Mark::Open, Mark::Slap);
    for (instrument, mark, high, long) in [
        (Instrument::Triangle, o, 3500.0..9000.0, 0.9..3.0),
        (Instrument::Triangle, x, 3500.0..9000.0, 0.02..0.15),
        (Instrument::Cymbal, x, 3000.0..9000.0, 0.6..2.5),
        (Instrument::Cymbal, s, 3000.0..9000.0, 0.03..0.25),
        (Instrument::Ride, x, 2500.0..9000.0, 0.2..1.5),
        (Instrument::Ride, o, 700.0..4500.0, 0.3..1.5),
        (Instrument::Tambourine, x, 5000.0..12_000.0, 0.03..0.25),
        (Instrument::Tambourine, o, 5000.0..12_000.0, 0.15..0.6),
        (Instrument::HiHat, s, 3000.0..9000.0, 0.01..0.1),
        (Instrument::Toms, x, 150.0..260.0, 0.15..0.7),
        (Instrument::Toms, s, 110.0..200.0, 0.15..0.8),
        (Instrument::Toms, o, 75.0..150.0, 0.2..0.9),
        (Instrument::Bongos, x, 380.0..800.0, 0.05..0.3),
        (Instrument::Bongos, o, 280.0..600.0, 0.05..0.3),
        (Instrument::Timbales, x, 270.0..1200.0, 0.1..0.6),
        (Instrument::Timbales, o, 200.0..900.0, 0.1..0.6),
        (Instrument::Timbales, s, 1100.0..7000.0, 0.02..0.15),
    ] {
        let samples = samples(instrument, mark);
        let (centre, rings) = (centre(&samples), rings(&samples));
        assert!(high.contains(&centre), "{instrument} {mark:?}: {centre:.0} Hz");
        assert!(long.contains(&rings), "{instrument} {mark:?}: {rings:.2} s");
    }
}

#[test]
fn the_drums_of_a_set_fall_from_high_to_low() {
    let lowest = |instrument, mark| strongest(&samples(instrument, mark));
    let toms = [Mark::Stroke, Mark::Slap, Mark::Open].map(|mark| lowest(Instrument::Toms, mark));
    assert!(toms[0] > 1.2 * toms[1] && toms[1] > 1.2 * toms[2] && toms[2] > lowest(Instrument::Kick, Mark::Stroke));
    for instrument in [Instrument::Bongos, Instrument::Timbales] {
        assert!(lowest(instrument, Mark::Stroke) > 1.2 * lowest(instrument, Mark::Open), "{instrument}");
    }
    assert!(lowest(Instrument::Bongos, Mark::Open) > lowest(Instrument::Conga, Mark::Open));
}

/// The free bar's modes (Euler and Bernoulli: roots near (2n + 1)π/2), each parted in two by the bend, one of which is looked at.
#[test]
fn a_triangle_is_a_free_bar() {
    let modes = engine_room::modes(Instrument::Triangle, Mark::Open, Force::from_velocity(80), 0);
    let across: Vec<f64> = modes.iter().step_by(2).map(|mode| mode.frequency).collect();
    let ratio = |number: usize| ((2.0 * (number + 4) as f64 + 1.0) / 9.0).powi(2);
    assert!(across.iter().enumerate().all(|(number, mode)| (mode / across[0] / ratio(number) - 1.0).abs() < 0.001));
    assert!(across.len() >= 6);
}

/// The loudness of strokes in eighths at 120, in LU above 0 LUFS, as the band has them at one force.
fn loudness(stroke: &[f32], player: &VoicePlayer) -> f64 {
    let gain = 10f64.powf(plan::balance(player) / 20.0) as f32;
    let mut track = vec![0f32; 8 * count(RATE)];
    for eighth in 0..28 {
        let at = eighth * count(RATE) / 4;
        track[at..].iter_mut().zip(stroke).for_each(|(out, sample)| *out += gain * sample);
    }
    let mut meter = Meter::new(count(RATE) as u32);
    meter.add(&track, &track);
    meter.loudness()
}

/// Every stroke is heard beside the leads, and covers none: our own setting, measured by ITU-R BS.1770.
#[test]
fn no_voice_is_lost_or_covers_the_band() {
    let body = Body::plain(PanKind::Lead, Tuning::default());
    let note = body.struck("C5".parse().expect("a note"), Force::from_velocity(80)).expect("a pan").samples(0, RATE);
    let lead = loudness(&note, &VoicePlayer::Pan { kind: PanKind::Lead, pan: None });
    let beside = |(instrument, mark)| {
        let level = loudness(&samples(instrument, mark), &VoicePlayer::Percussion(instrument)) - lead;
        (instrument, mark, level)
    };
    let out: Vec<String> = strokes()
        .map(beside)
        .filter(|(.., level)| !(-20.0..=-2.0).contains(level))
        .map(|(instrument, mark, level)| format!("{instrument} {}: {level:.1} LU beside a lead", mark.to_char()))
        .collect();
    assert!(out.is_empty(), "{out:#?}");
}

/// A band with a player for every instrument, and a tune in which each plays all its strokes.
fn all_of_it() -> (Arc<Band>, String) {
    let (mut band, mut parts, mut rows) = ("name = \"All\"\n".to_owned(), String::new(), String::new());
    for instrument in Instrument::ALL {
        band += &format!("[[percussion]]\nname = \"The {instrument}\"\nkind = \"{instrument}\"\n");
        parts += &format!("part {instrument} on {instrument}\n");
        let mut cells: Vec<char> = instrument.marks().iter().map(|mark| mark.to_char()).collect();
        cells.resize(4, 'X');
        rows += &format!("{instrument} | {} {} {} {} |\n", cells[0], cells[1], cells[2], cells[3]);
    }
    (kit::band(&band), format!("title All\n{parts}section a\n{rows}"))
}

/// What each instrument plays: its strokes in order.
fn played(tune: &Tune) -> Vec<(Instrument, String)> {
    let mut played: Vec<(Instrument, String)> = Vec::new();
    for (part, row) in tune.parts.iter().zip(&tune.sections[0].rows) {
        let Player::Percussion { instrument, .. } = part.player else { panic!("{} is a pan", part.name) };
        let events = &row.as_ref().expect("a row").events;
        let marks = events.iter().map(|event| match &event.struck {
            Struck::Mark(mark) => mark.to_char(),
            other => panic!("{other:?} on {instrument}"),
        });
        played.push((instrument, marks.collect()));
    }
    played.sort();
    played
}

/// Scores and MIDI files say which stroke of which instrument is meant; nothing is lost on the way, nor taken for another.
#[test]
fn every_stroke_comes_back_from_scores_and_from_midi() {
    let (band, text) = all_of_it();
    let before = kit::tune(&band, &text);
    let parts: Vec<usize> = (0..before.parts.len()).collect();
    let score = exchange::musicxml_out::write(&before, &parts).expect("a score");
    let midi = panfold::midi::write(&perform(&before, &Options::default()));
    for (name, bytes) in [("all.musicxml", score), ("all.mid", midi)] {
        let mut music = exchange::read(name, bytes, None).expect("what panfold writes");
        let imported =
            exchange::tune(&music.score, Some((&band, "band.toml")), "a", &Default::default(), &mut music.lost)
                .expect("a tune");
        assert_eq!(played(&kit::tune(&band, &imported.text)), played(&before), "{name}\n{}", imported.text);
        let told: Vec<String> = music.lost.findings(name, None).into_iter().map(|finding| finding.message).collect();
        assert!(told.iter().all(|message| !message.contains("is written for")), "{told:#?}");
    }
}

/// Keys of another program's file, whose track names no instrument, go to what General MIDI calls them.
#[test]
fn general_midi_keys_go_to_their_instruments() {
    for (key, name, instrument, mark) in [
        (44, "Pedal Hi-Hat", Instrument::HiHat, Mark::Slap),
        (49, "Crash Cymbal 1", Instrument::Cymbal, Mark::Stroke),
        (51, "Ride Cymbal 1", Instrument::Ride, Mark::Stroke),
        (53, "Ride Bell", Instrument::Ride, Mark::Open),
        (54, "Tambourine", Instrument::Tambourine, Mark::Stroke),
        (50, "High Tom", Instrument::Toms, Mark::Stroke),
        (47, "Low-Mid Tom", Instrument::Toms, Mark::Slap),
        (43, "High Floor Tom", Instrument::Toms, Mark::Open),
        (60, "Hi Bongo", Instrument::Bongos, Mark::Stroke),
        (61, "Low Bongo", Instrument::Bongos, Mark::Open),
        (65, "High Timbale", Instrument::Timbales, Mark::Stroke),
        (66, "Low Timbale", Instrument::Timbales, Mark::Open),
        (80, "Mute Triangle", Instrument::Triangle, Mark::Stroke),
        (81, "Open Triangle", Instrument::Triangle, Mark::Open),
    ] {
        assert_eq!(exchange::percussion::sound(key), name);
        assert_eq!(percussion::key(instrument, mark), key, "{name}");
        // With a tempo, so that nothing is left to tell.
        let tempo = [0, 0xFF, 0x51, 3, 0x07, 0xA1, 0x20];
        let events = [0, 0x99, key, 64, 0x60, key, 0, 0, 0xFF, 0x2F, 0];
        let file = [&b"MThd\0\0\0\x06\0\0\0\x01\0\x60MTrk\0\0\0\x12"[..], &tempo, &events].concat();
        let mut music = exchange::read("one.mid", file, None).expect("a file");
        let imported =
            exchange::tune(&music.score, None, "One", &Default::default(), &mut music.lost).expect("a tune").text;
        let row = format!("{instrument} | {} . . . |", mark.to_char());
        assert!(
            imported.contains(&row) || imported.contains(&format!("{instrument} | {} |", mark.to_char())),
            "{imported}"
        );
        assert!(music.lost.is_empty(), "{name}");
    }
}

/// A stroke at another rate is as strong as at 44,100 Hz: what random hits and phases do to its peak is not heard as a change of force.
#[test]
fn a_stroke_is_as_strong_at_every_rate() {
    let energy = |instrument, mark, rate: f64| {
        let samples = engine_room::samples(instrument, mark, Force::from_velocity(80), 1, rate);
        samples.iter().map(|sample| f64::from(*sample).powi(2)).sum::<f64>() / rate
    };
    for (instrument, mark) in strokes() {
        let usual = energy(instrument, mark, RATE);
        for rate in [22_050.0, 24_000.0, 32_000.0, 48_000.0, 88_200.0, 96_000.0, 192_000.0] {
            let off = 10.0 * (energy(instrument, mark, rate) / usual).log10();
            // Where its peak is full, it stays a little below.
            assert!(off.abs() < 1.0, "{instrument} {mark:?} at {rate}: {off:.1} dB");
        }
    }
}

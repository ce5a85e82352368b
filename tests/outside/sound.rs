//! The voices of the band against published acoustics and handbook tables.

use std::f64::consts::TAU;

use panfold::music::{Cents, Force, Hertz, Pitch, Tuning};
use panfold::pan::PanKind;
use panfold::sound::bank::Body;
use panfold::sound::pan_voice::StruckNote;
use realfft::RealFftPlanner;

const RATE: f64 = 44_100.0;

fn pitch(name: &str) -> Pitch {
    name.parse().expect(name)
}

fn struck(kind: PanKind, name: &str, velocity: u8) -> StruckNote {
    let body = Body::plain(kind, Tuning::default());
    body.struck(pitch(name), Force::from_velocity(velocity)).expect("a pan")
}

/// The power spectrum of a Hann-windowed stretch, zero-padded eightfold for the peak's sake, and the width of a line.
fn spectrum(samples: &[f32]) -> (Vec<f64>, f64) {
    let size = (samples.len() * 8).next_power_of_two();
    let fft = RealFftPlanner::<f64>::new().plan_fft_forward(size);
    let mut windowed = vec![0.0; size];
    for (n, sample) in samples.iter().enumerate() {
        let window = 0.5 - 0.5 * (TAU * (n as f64 + 0.5) / samples.len() as f64).cos();
        windowed[n] = f64::from(*sample) * window;
    }
    let mut lines = fft.make_output_vec();
    fft.process(&mut windowed, &mut lines).expect("sizes agree");
    (lines.iter().map(|line| line.norm_sqr()).collect(), RATE / size as f64)
}

/// The frequency and level (dB) of the strongest line within a semitone of `near`, between lines by a parabola through
/// their levels.
fn peak(samples: &[f32], near: f64) -> (f64, f64) {
    let (power, width) = spectrum(samples);
    let low = (near / width * 0.944) as usize;
    let high = (near / width * 1.0595) as usize;
    let top = (low..=high).max_by(|a, b| power[*a].total_cmp(&power[*b])).expect("a line");
    let level = |line: usize| 10.0 * power[line].log10();
    let (a, b, c) = (level(top - 1), level(top), level(top + 1));
    let shift = 0.5 * (a - c) / (a - 2.0 * b + c);
    ((top as f64 + shift) * width, b - 0.25 * (a - c) * shift)
}

fn cents(from: f64, to: f64) -> f64 {
    Cents::between(Hertz(from), Hertz(to)).0
}

/// Equal-tempered frequencies from 440 · 2^((n − 69)/12), as handbooks print them to three decimals.
const HANDBOOK: [(PanKind, &str, f64); 22] = [
    (PanKind::Lead, "C4", 261.626),
    (PanKind::Lead, "E6", 1318.510),
    (PanKind::DoubleTenor, "F3", 174.614),
    (PanKind::DoubleTenor, "B5", 987.767),
    (PanKind::DoubleSecond, "F#3", 184.997),
    (PanKind::DoubleSecond, "B5", 987.767),
    (PanKind::DoubleGuitar, "C#3", 138.591),
    (PanKind::DoubleGuitar, "G#4", 415.305),
    (PanKind::TripleGuitar, "A2", 110.000),
    (PanKind::TripleGuitar, "B4", 493.883),
    (PanKind::TripleCello, "B2", 123.471),
    (PanKind::TripleCello, "A#4", 466.164),
    (PanKind::Quadrophonic, "B2", 123.471),
    (PanKind::Quadrophonic, "A#5", 932.328),
    (PanKind::TenorBass, "F2", 87.307),
    (PanKind::TenorBass, "E4", 329.628),
    (PanKind::SixBass, "A#1", 58.270),
    (PanKind::SixBass, "D#3", 155.563),
    (PanKind::NineBass, "B1", 61.735),
    (PanKind::NineBass, "F#3", 184.997),
    (PanKind::PingPong, "D4", 293.665),
    (PanKind::PingPong, "C#6", 1108.731),
];

#[test]
fn fundamentals_lie_on_the_handbooks_frequencies() {
    for (kind, name, hertz) in HANDBOOK {
        for velocity in [48, 112] {
            let samples = struck(kind, name, velocity).samples(0, RATE);
            let after = &samples[(0.15 * RATE) as usize..];
            let after = &after[..after.len().min(RATE as usize)];
            let (found, _) = peak(after, hertz);
            assert!(cents(hertz, found).abs() < 1.0, "{kind} {name} at {velocity}: {found} Hz, not {hertz}");
        }
    }
}

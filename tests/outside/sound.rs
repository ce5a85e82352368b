//! The voices of the band against published acoustics and handbook tables.

use std::f64::consts::TAU;

use panfold::music::count;
use panfold::music::{Cents, Force, Hertz, Pitch, Tuning};
use panfold::notation::tree::Mark;
use panfold::pan::{Instrument, PanKind};
use panfold::sound::bank::{Body, VARIANTS};
use panfold::sound::engine_room::{self, BAR, MEMBRANE, PLATE, RING, shaker};
use panfold::sound::pan_voice::{OFFSETS, StruckNote};
use panfold::sound::partial::{self, Partial};
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
pub fn spectrum(samples: &[f32]) -> (Vec<f64>, f64) {
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
pub fn peak(samples: &[f32], near: f64) -> (f64, f64) {
    let (power, width) = spectrum(samples);
    let low = count(near / width * 0.944);
    let high = count(near / width * 1.0595);
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
            let after = &samples[count(0.15 * RATE)..];
            let after = &after[..after.len().min(count(RATE))];
            let (found, _) = peak(after, hertz);
            assert!(cents(hertz, found).abs() < 1.0, "{kind} {name} at {velocity}: {found} Hz, not {hertz}");
        }
    }
}

/// The envelope of a partial: the samples turned back by its frequency and averaged over `window` seconds (a Hann
/// window), every millisecond.
fn envelope(samples: &[f32], hertz: f64, window: f64) -> Vec<f64> {
    let half = count(0.5 * window * RATE);
    let turned: Vec<(f64, f64)> = samples
        .iter()
        .enumerate()
        .map(|(n, sample)| {
            let angle = TAU * hertz * n as f64 / RATE;
            (f64::from(*sample) * angle.cos(), f64::from(*sample) * angle.sin())
        })
        .collect();
    let weight = |n: usize| 0.5 + 0.5 * (TAU * (n as f64 - half as f64) / (2 * half) as f64).cos();
    let weights: Vec<f64> = (0..2 * half).map(weight).collect();
    let total: f64 = weights.iter().sum();
    let at = |centre: usize| {
        let (mut re, mut im) = (0.0, 0.0);
        for (k, weight) in weights.iter().enumerate() {
            let place = (centre + k).checked_sub(half);
            let Some((a, b)) = place.and_then(|place| turned.get(place)) else { continue };
            (re, im) = (re + weight * a, im + weight * b);
        }
        2.0 * (re * re + im * im).sqrt() / total
    };
    (0..samples.len()).step_by(44).map(at).collect()
}

fn highest(envelope: &[f64]) -> (usize, f64) {
    let top = (0..envelope.len()).max_by(|a, b| envelope[*a].total_cmp(&envelope[*b])).expect("an envelope");
    (top, envelope[top])
}

/// T60 of an envelope by backward integration (Schroeder, J. Acoust. Soc. Am. 37, 1965; ISO 3382): the slope between
/// -5 and -35 dB of the energy that is still to come.
fn t60(envelope: &[f64]) -> f64 {
    let mut left = 0.0;
    let mut to_come: Vec<f64> = envelope
        .iter()
        .rev()
        .map(|value| {
            left += value * value;
            left
        })
        .collect();
    to_come.reverse();
    let when = |level: f64| {
        let limit = to_come[0] * 10f64.powf(level / 10.0);
        to_come.iter().position(|energy| *energy < limit).expect("it decays") as f64 * 44.0 / RATE
    };
    2.0 * (when(-35.0) - when(-5.0))
}

/// Measured partials lie up to 17 cents from exact multiples (Hansen, Rossing, Mannette & George, MRS Bulletin 20(3),
/// 1995; a student report, Illinois 2016), the lowest are tuned near 1 : 2 : 3 (Hansen & Rossing).
#[test]
fn partials_lie_near_their_multiples() {
    assert!(OFFSETS.iter().all(|cents| *cents <= 17.0));
    let note = struck(PanKind::DoubleSecond, "F#3", 80);
    let ring = note.ring();
    let samples = note.ring_samples(RATE, count(RATE) / 2);
    for k in 1..3 {
        let multiple = note.frequency.0 * (k + 1) as f64;
        let (found, _) = peak(&samples[2000..], multiple);
        // A second mode near each draws what is found by a cent or two.
        assert!(cents(ring[k].frequency, found).abs() < 2.5, "partial {}: {found}", k + 1);
        assert!(cents(multiple, ring[k].frequency).abs() <= OFFSETS[k], "partial {}: {found}", k + 1);
    }
    // Another note of the same pan has other offsets: they belong to the note.
    let other = struck(PanKind::DoubleSecond, "G3", 80);
    let offset = |note: &StruckNote| cents(2.0 * note.frequency.0, note.ring()[1].frequency);
    assert!((offset(&note) - offset(&other)).abs() > 0.01);
}

#[test]
fn decays_are_the_ones_set_and_low_notes_ring_longer() {
    for (kind, name) in
        [(PanKind::Lead, "C4"), (PanKind::Lead, "C6"), (PanKind::TripleCello, "C3"), (PanKind::SixBass, "C2")]
    {
        let note = struck(kind, name, 80);
        let found = t60(&envelope(&note.ring_samples(RATE, usize::MAX), note.frequency.0, 0.02));
        assert!((found / note.t60() - 1.0).abs() < 0.05, "{kind} {name}: {found} s, set {} s", note.t60());
    }
    for kind in PanKind::ALL {
        let t60s: Vec<f64> = ["C2", "C3", "C4", "C5", "C6"].iter().map(|name| struck(kind, name, 80).t60()).collect();
        assert!(t60s.is_sorted_by(|low, high| low >= high), "{kind}: {t60s:?}");
    }
}

/// Energy passes from the fundamental to the upper partials after the stroke, and harder strokes are brighter (Achong,
/// J. Sound Vib. 197, 1996; Monteil, Touzé & Thomas 2012): the octave's highest point comes later than the
/// fundamental's, and later and higher for a louder stroke.
#[test]
fn the_octave_swells_and_loud_strokes_are_brighter() {
    for (kind, name) in [(PanKind::Lead, "D4"), (PanKind::DoubleSecond, "A3"), (PanKind::TripleCello, "D3")] {
        let measured = [48, 80, 112].map(|velocity| {
            let note = struck(kind, name, velocity);
            let samples = note.ring_samples(RATE, count(RATE) / 3);
            let (first_at, first) = highest(&envelope(&samples, note.frequency.0, 0.02));
            let (octave_at, octave) = highest(&envelope(&samples, note.ring()[1].frequency, 0.02));
            assert!(
                octave_at >= first_at + 10,
                "{kind} {name}: octave at {octave_at} ms, fundamental at {first_at} ms"
            );
            (octave_at, octave / first)
        });
        assert!((15..=120).contains(&measured[1].0), "{kind} {name}: {measured:?}");
        assert!(measured.is_sorted_by(|soft, loud| soft.1 < loud.1 && soft.0 <= loud.0), "{kind} {name}: {measured:?}");
        assert!(measured[0].0 < measured[2].0, "{kind} {name}: {measured:?}");
    }
}

/// 2f · (2^(c/1200) − 1) beats a second between a second partial and an octave note that is c cents off.
#[test]
fn a_mistuned_octave_beats_as_arithmetic_says() {
    for (hertz, off, beats) in [(440.0, 5.0, 2.55), (261.63, 10.0, 3.03), (880.0, 3.0, 3.05)] {
        let partials =
            [Partial::new(2.0 * hertz, 0.5, 20.0), Partial::new(2.0 * hertz * Cents(off).ratio(), 0.5, 20.0)];
        let samples = partial::sum(&partials, 0.5, RATE, 3 * count(RATE));
        let envelope = envelope(&samples, 2.0 * hertz, 0.02);
        let low = |n: &usize| envelope[*n] <= envelope[*n - 1] && envelope[*n] < envelope[*n + 1] && envelope[*n] < 0.1;
        let dips: Vec<usize> = (20..envelope.len() - 20).filter(low).collect();
        let seconds = (dips[dips.len() - 1] - dips[0]) as f64 * 44.0 / RATE;
        let found = (dips.len() - 1) as f64 / seconds;
        assert!((found / beats - 1.0).abs() < 0.05, "{hertz} Hz, {off} cents: {found} beats a second");
    }
}

/// A neighbour an octave up on the same drum rings along, softly and late (Hansen et al. 1995); alone it would not.
#[test]
fn the_octave_neighbour_rings_along() {
    let alone = struck(PanKind::Lead, "C4", 80);
    let along = StruckNote { neighbours: vec![(12, Hertz(530.0))], ..alone.clone() };
    let ring = along.ring();
    assert_eq!(ring.len(), alone.ring().len() + 1);
    let neighbour = ring.iter().find(|partial| partial.frequency == 530.0).expect("it rings along");
    assert!(neighbour.level < 0.1 && neighbour.peak_time() > ring[0].peak_time());
}

/// Strokes that are meant the same differ as two strikes of a note differ, and are the same in every run.
#[test]
fn variants_differ_a_little() {
    let note = struck(PanKind::Lead, "G4", 96);
    let variants: Vec<Vec<f32>> = (0..VARIANTS).map(|variant| note.samples(variant, RATE)).collect();
    let whole: f32 = variants[0].iter().map(|a| a * a).sum::<f32>().sqrt();
    let mut differences = Vec::new();
    for (number, a) in variants.iter().enumerate() {
        for b in &variants[number + 1..] {
            let difference: f32 = a.iter().zip(b).map(|(a, b)| (a - b).powi(2)).sum::<f32>().sqrt();
            differences.push(20.0 * (difference / whole).log10());
        }
    }
    assert!(differences.iter().all(|level| (-40.0..-8.0).contains(level)), "{differences:?}");
    let mean = differences.iter().sum::<f32>() / differences.len() as f32;
    assert!((-28.0..-12.0).contains(&mean), "{differences:?}");
    assert_eq!(variants[0], note.samples(0, RATE));
}

/// How far an envelope in dB bends from a straight line, from 0.1 s on for some seconds: root of the mean square.
fn bend(envelope: &[f64], seconds: f64) -> f64 {
    let points: Vec<(f64, f64)> =
        (100..count(1000.0 * (0.1 + seconds))).map(|n| (n as f64, 20.0 * envelope[n].log10())).collect();
    let number = points.len() as f64;
    let mean = points.iter().fold((0.0, 0.0), |sum, point| (sum.0 + point.0 / number, sum.1 + point.1 / number));
    let slope = points.iter().map(|(x, y)| (x - mean.0) * (y - mean.1)).sum::<f64>()
        / points.iter().map(|(x, _)| (x - mean.0).powi(2)).sum::<f64>();
    (points.iter().map(|(x, y)| (y - mean.1 - slope * (x - mean.0)).powi(2)).sum::<f64>() / number).sqrt()
}

/// Energy goes back and forth between fundamental and octave after the stroke, and several modes lie near each multiple (Achong,
/// J. Sound Vib. 197, 1996; Monteil, Touzé & Thomas 2012): no partial's decay is a straight line. How far it bends is our own setting.
#[test]
fn decays_are_no_straight_lines() {
    for (kind, name) in [(PanKind::Lead, "G4"), (PanKind::DoubleSecond, "A3"), (PanKind::TripleCello, "C3")] {
        let note = struck(kind, name, 80);
        let samples = note.samples(0, RATE);
        // As long as each is well above the end of the stroke.
        let bends = [(1.0, 0.5), (2.0, 0.5), (3.0, 0.25)]
            .map(|(multiple, seconds)| bend(&envelope(&samples, multiple * note.frequency.0, 0.02), seconds));
        assert!((0.15..1.5).contains(&bends[0]), "{kind} {name}: {bends:?}");
        assert!((0.3..4.0).contains(&bends[1]), "{kind} {name}: {bends:?}");
        // So short a time may be a straight piece of a slow beat.
        assert!((0.05..4.0).contains(&bends[2]), "{kind} {name}: {bends:?}");
    }
}

/// Harder strokes are brighter (Achong 1996): the centre of the spectrum rises by two fifths at least from `pp` to `ff`.
#[test]
fn the_centre_of_the_spectrum_rises_with_force() {
    for (kind, name) in [(PanKind::Lead, "C5"), (PanKind::DoubleSecond, "A3"), (PanKind::TenorBass, "G2")] {
        let centres = [32, 64, 96, 112].map(|velocity| {
            let (spectrum, each) = spectrum(&struck(kind, name, velocity).samples(0, RATE)[..count(RATE) / 4]);
            let weighed: f64 = spectrum.iter().enumerate().map(|(n, level)| n as f64 * each * level).sum();
            weighed / spectrum.iter().sum::<f64>()
        });
        assert!(centres.is_sorted(), "{kind} {name}: {centres:?}");
        assert!(centres[3] > 1.4 * centres[0], "{kind} {name}: {centres:?}");
    }
}

/// Mode ratios as textbooks have them, to 0.1 %: the membrane's Bessel zeros (order: Morrison & Rossing 2018, fig. 9.1),
/// the ring's n(n²−1)/√(n²+1), the free bar, the free plate of Poisson 0.28 from the free-edge equation.
#[test]
fn modes_have_textbook_ratios() {
    let bessel_zeros =
        [2.404826, 3.831706, 5.135622, 5.520078, 6.380162, 7.015587, 7.588342, 8.417244, 8.653728, 8.771484, 9.761023];
    let ring = |n: f64| n * (n * n - 1.0) / (n * n + 1.0).sqrt();
    let rings: Vec<f64> = (2..=6).map(f64::from).map(|n| ring(n) / ring(2.0)).collect();
    let bars = [4.730041f64, 7.853205, 10.995608, 14.137165].map(|root| root * root / (4.730041 * 4.730041));
    let near = |a: f64, b: f64| (a / b - 1.0).abs() < 0.001;
    assert!(MEMBRANE.iter().zip(bessel_zeros).all(|(own, zero)| near(*own, zero / bessel_zeros[0])));
    assert!(RING.iter().zip(rings).all(|(own, ratio)| near(*own, ratio)));
    assert!(BAR.iter().zip(bars).all(|(own, ratio)| near(*own, ratio)));
    assert_eq!(PLATE, [1.0, 1.653, 2.318, 3.772, 4.064, 6.230, 6.507, 7.084]);
}

/// The rendered iron and conga have their bodies' modes: spectral peaks to 0.1 % (the conga's after its glide).
#[test]
fn rendered_bodies_keep_the_ratios() {
    let force = Force::from_velocity(80);
    let iron = engine_room::samples(Instrument::Iron, Mark::Open, force, 0, RATE);
    let (lowest, _) = peak(&iron[2000..], engine_room::IRON);
    for ratio in &PLATE[..5] {
        let (found, _) = peak(&iron[2000..], engine_room::IRON * ratio);
        assert!((found / lowest / ratio - 1.0).abs() < 0.001, "{ratio}: {}", found / lowest);
    }
    let conga = engine_room::samples(Instrument::Conga, Mark::Open, force, 0, RATE);
    let (lowest, _) = peak(&conga[8000..], engine_room::CONGA);
    let (second, _) = peak(&conga[8000..], engine_room::CONGA * MEMBRANE[1]);
    assert!((second / lowest / 1.593 - 1.0).abs() < 0.002, "{}", second / lowest);
}

/// P. R. Cook, Computer Music Journal 21(3), 1997: time constants of 45.3 ms and 0.884 ms; at 44,100 Hz 0.99950 and
/// 0.97468 a sample; one resonance at 3200 Hz.
#[test]
fn the_shaker_has_the_published_constants() {
    let time = |decay: f64| -1.0 / (decay.ln() * shaker::RATE);
    assert!((time(shaker::SYSTEM_DECAY) - 0.0453).abs() < 0.0001);
    assert!((time(shaker::SOUND_DECAY) - 0.000_884).abs() < 0.000_001);
    assert!((shaker::SYSTEM_DECAY.powf(shaker::RATE / 44_100.0) - 0.999_50).abs() < 0.000_01);
    assert!((shaker::SOUND_DECAY.powf(shaker::RATE / 44_100.0) - 0.974_68).abs() < 0.000_01);
    let samples = engine_room::samples(Instrument::Shaker, Mark::Stroke, Force::from_velocity(80), 0, RATE);
    let (power, width) = spectrum(&samples);
    let moment: f64 = power.iter().enumerate().map(|(line, power)| line as f64 * width * power).sum();
    let centre = moment / power.iter().sum::<f64>();
    assert!((2700.0..4200.0).contains(&centre), "{centre} Hz");
}

/// Every stroke that an instrument allows sounds, begins at once, and ends without a step.
#[test]
fn every_stroke_of_the_engine_room_sounds_and_ends() {
    for instrument in Instrument::ALL {
        for mark in instrument.marks() {
            let samples = engine_room::samples(instrument, *mark, Force::from_velocity(96), 0, RATE);
            let loudest = samples.iter().fold(0f32, |most, sample| most.max(sample.abs()));
            assert!((0.3..=1.0).contains(&loudest), "{instrument} {mark:?}: {loudest}");
            let early = samples.iter().take(900).any(|sample| sample.abs() > 0.2 * loudest);
            assert!(early, "{instrument} {mark:?} begins late");
            assert!(samples.last().is_some_and(|last| last.abs() < 1e-4), "{instrument} {mark:?} ends in a step");
            assert!(samples.len() < 4 * count(RATE), "{instrument} {mark:?}: {} samples", samples.len());
        }
    }
}

//! How far a page raises what is soft with high peaks: until these lie as far above the ceiling as it holds down, and no further.

use super::*;

/// Silence with one wave of 400 Hz in it, of an amplitude.
fn wave(amplitude: f32) -> Vec<f32> {
    let mut signal = vec![0.0; 3 * RATE as usize];
    let turn = std::f32::consts::TAU * 400.0 / RATE as f32;
    let length = (RATE / 400) as usize;
    signal
        .iter_mut()
        .skip(RATE as usize)
        .take(length)
        .enumerate()
        .for_each(|(n, sample)| *sample = amplitude * (turn * n as f32).sin());
    signal
}

#[test]
fn peaks_are_raised_to_4_db_above_the_ceiling_at_most() {
    // 0.841 and 4 dB: our own settings, see `CEILING` and `OVER`.
    let most = 0.841 * 10f64.powf(4.0 / 20.0);
    for amplitude in [0.5, 0.1] {
        let signal = wave(amplitude);
        let highest = signal.iter().fold(0f32, |most, sample| most.max(sample.abs()));
        let peak = raised(&signal) * f64::from(highest);
        assert!((peak / most - 1.0).abs() < 0.02, "{peak}, not {most}");
    }
}

#[test]
fn what_is_even_comes_to_the_loudness_of_tracks() {
    let turn = std::f32::consts::TAU * 400.0 / RATE as f32;
    let signal: Vec<f32> = (0..3 * RATE).map(|n| 0.05 * (turn * n as f32).sin()).collect();
    let gain = raised(&signal);
    let mut meter = Meter::new(RATE);
    let louder: Vec<f32> = signal.iter().map(|sample| sample * gain as f32).collect();
    meter.add(&louder, &louder);
    // -16 LUFS, what AES TD1008 recommends; see `Settings`.
    assert!((meter.loudness() + 16.0).abs() < 0.05, "{}", meter.loudness());
}

//! Peaks of what is written: room is kept for the rounding to whole numbers, so that no peak of a file lies above the ceiling.

use super::super::settings::Depth;
use super::*;
use crate::kit::tune;
use crate::performance::{Options, perform};

#[test]
fn a_track_at_the_ceiling_leaves_room_for_rounding() {
    // A single loud stroke of the iron, damped by hand: shorter than loudness needs (0.4 s), so that its peak is all that counts.
    let band = "name = \"B\"\n[[percussion]]\nname = \"Drum\"\nkind = \"iron\"\n";
    let text = "tempo 400\nmeter 1/4\npart iron on iron\nsection a\n dynamics | ff |\n iron | s> |\n";
    let tune = tune(band, text);
    let performance = perform(&tune, &Options::default());
    let settings = Settings { depth: Depth::Bits16, ..Settings::default() };
    let mut bytes = Vec::new();
    let report = render(Format::Wav, &performance, &tune.band, &settings, &[], &mut bytes).expect("a vector takes all");
    assert!(report.seconds() < 0.4 && report.loudness.is_infinite(), "{report:?}");
    // 0.01 dB below -1 dBTP: our own setting, see `ROUNDING`.
    assert!((report.true_peak - (-1.01)).abs() < 1e-6, "{report:?}");
    // What the file holds, measured after the rounding.
    let wav = hound::WavReader::new(&bytes[..]).expect("a file").into_samples::<i16>();
    let samples: Vec<f32> = wav.map(|sample| f32::from(sample.expect("a sample")) / 32_768.0).collect();
    let channel = |first: usize| samples.iter().skip(first).step_by(2).copied().collect::<Vec<f32>>();
    let mut meter = Meter::new(settings.rate);
    meter.add(&channel(0), &channel(1));
    assert!(meter.true_peak() <= settings.ceiling, "{} dBTP", meter.true_peak());
}

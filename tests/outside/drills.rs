//! Drills as they sound: pitch is the tune's at any tempo, steps keep their tempo, and nothing clicks at their seams.

use panfold::music::count;
use panfold::performance::TempoChoice;
use panfold::performance::drill::{Drill, Kind, Request, drill};
use panfold::sound::{Format, Mix, Settings, render};
use panfold::tune::Tune;

use crate::kit::{self, ONE_LEAD};
use crate::sound::peak;

fn tune(rows: &str) -> Tune {
    kit::tune(ONE_LEAD, &format!("part lead on lead\nroll none\ntempo 60\nsection a\n{rows}"))
}

fn made(tune: &Tune, kind: Kind) -> Drill {
    let request = Request { part: 0, kind, section: None, bars: None, tempo: TempoChoice::AsWritten };
    drill(tune, &request).expect("a drill")
}

/// The left channel of a drill's track with its part alone.
fn sounded(tune: &Tune, drill: &Drill) -> Vec<f32> {
    let mut bytes = Vec::new();
    let settings = Settings::of(Mix::Alone(0.into()));
    render(Format::Wav, &drill.performance, &tune.band, &settings, &[], &mut bytes).expect("memory takes all");
    let mut reader = hound::WavReader::new(bytes.as_slice()).expect("a WAV file");
    reader.samples::<i16>().step_by(2).map(|sample| f32::from(sample.expect("a sample")) / 32_768.0).collect()
}

/// A440 by ISO 16, equal temperament: A4 at every step of a ladder.
#[test]
fn pitch_is_the_same_at_every_tempo() {
    let tune = tune(" lead | A4 . . . |\n");
    let ladder = made(&tune, Kind::Ladder { from: 50.0, to: 100.0, step: 25.0 });
    let track = sounded(&tune, &ladder);
    for step in &ladder.steps {
        // A second from a little after the stroke on.
        let from = count((step.seconds + 0.05) * 44_100.0);
        let (hertz, _) = peak(&track[from..from + 44_100], 440.0);
        let cents = 1200.0 * (hertz / 440.0).log2();
        assert!(cents.abs() <= 1.0, "{}: {cents} cents", step.what);
    }
}

#[test]
fn seams_do_not_click() {
    let tune = tune(" lead | A4 C5 E5 A5 |\n");
    let looped = made(&tune, Kind::Loop { times: 4 });
    let track = sounded(&tune, &looped);
    let steepest = |from: usize, to: usize| {
        track[from..to].windows(2).map(|pair| (pair[1] - pair[0]).abs()).fold(0.0f32, f32::max)
    };
    let seam = |seconds: f64| count(seconds * 44_100.0);
    // What rings over a seam is not cut: just before it nothing is steeper than inside the stretch.
    let inside = steepest(seam(looped.steps[0].seconds) + 4410, seam(looped.steps[1].seconds) - 4410);
    for step in &looped.steps[1..] {
        let at = seam(step.seconds);
        assert!(steepest(at - 2205, at - 1) <= inside, "before {}", step.what);
        assert!(steepest(at - 1, at + 2205) <= 1.2 * inside, "at {}", step.what);
    }
    // The track dies away to nothing.
    let end = track.len();
    assert!(steepest(end - 441, end) < 1.0 / 1000.0);
}

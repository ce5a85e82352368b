//! A performance as a stream of blocks, for speakers: the first block is there at once, and nothing is rendered in full.

use std::ops::ControlFlow;

use super::hold;
use super::loudness::{Limiter, Meter, amplitude};
use super::mixer::Mixer;
use super::plan::Plan;
use super::room::Room;
use super::settings::Settings;
use crate::music::count;
use crate::pan::Band;
use crate::performance::Performance;

/// How much of the beginning is measured for the gain, in seconds: half a minute says well enough how loud a tune is.
const MEASURED: f64 = 30.0;

/// What is kept below the ceiling, in dB, since true peaks between samples are not looked at: a limiter on samples may let
/// them through by about as much.
const MARGIN: f64 = 1.0;

/// Takes a block, left and right; breaks off when it wants no more.
pub type Sink<'s> = &'s mut dyn FnMut(&[f32], &[f32]) -> ControlFlow<()>;

/// Plays a performance into `sink`, block by block, left and right, until it breaks off or the tune has rung out.
///
/// The loudness of the beginning is brought to the settings' aim, and a limiter keeps samples below the ceiling.
pub fn stream(performance: &Performance, band: &Band, settings: &Settings, sink: Sink) {
    let mut plan = Plan::new(performance, band, settings);
    let rate = f64::from(settings.rate);
    let bank = settings.strokes.bank(&plan.bodies, &plan.wanted, rate);
    let settings = &hold::set_back(&mut plan, &bank, performance, band, settings, MEASURED);
    let mixer = || Mixer::new(&plan, &bank, settings.room.then(|| Room::new(rate)));
    let gain = opening_gain(mixer(), &plan, settings);
    let mut limiter = Limiter::new(settings.rate, gain, amplitude(settings.ceiling - MARGIN));
    let mut playing = mixer();
    let mut left_over = plan.frames.max(playing.ends());
    let (mut left, mut right) = (vec![0.0; settings.block], vec![0.0; settings.block]);
    while left_over > 0 {
        let count = usize::try_from(left_over).map_or(settings.block, |count| count.min(settings.block));
        playing.fill(&mut left[..count], &mut right[..count]);
        limiter.block(&mut [&mut left[..count], &mut right[..count]]);
        if sink(&left[..count], &right[..count]).is_break() {
            return;
        }
        left_over -= count as u64;
    }
}

/// The gain that brings the beginning to the loudness aimed at.
fn opening_gain(mut mixer: Mixer, plan: &Plan, settings: &Settings) -> f64 {
    let mut meter = Meter::new(settings.rate);
    let (mut left, mut right) = (vec![0.0; settings.block], vec![0.0; settings.block]);
    let frames = plan.frames.min(count(MEASURED * f64::from(settings.rate)) as u64);
    for _ in 0..frames / settings.block.max(1) as u64 {
        mixer.fill(&mut left, &mut right);
        meter.add(&left, &right);
    }
    let loudness = meter.loudness();
    if loudness.is_finite() { amplitude(settings.loudness - loudness) } else { 1.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::music::{Force, Length, Meter as Bars, Moment, Tempo};
    use crate::pan::PanKind;
    use crate::performance::stroke::VoicePlayer;
    use crate::performance::{Sound, Stroke, TempoMap, Voice};

    #[test]
    fn a_stream_is_loud_enough_never_too_loud_and_can_be_broken_off() {
        let lead = VoicePlayer::Pan { kind: PanKind::Lead, pan: None };
        let stroke = |eighth: i64| Stroke {
            at: Moment::after(Length::quarters(eighth, 2)),
            length: Length::quarters(1, 2),
            voice: 0,
            sound: Sound::Note("C5".parse().expect("a note")),
            force: Force::new(0.7),
            damped: false,
            roll: None,
            bar: 0,
            span: Default::default(),
        };
        let performance = Performance {
            title: String::new(),
            by: None,
            voices: vec![Voice { name: "lead".into(), player: lead, part: Some(0) }],
            strokes: (0..32).map(stroke).collect(),
            tempo: TempoMap::new(Tempo::default(), Bars::default()),
            meters: vec![(Moment::START, Bars::default())],
            keys: Vec::new(),
            bars: Vec::new(),
            sections: Vec::new(),
            chords: Vec::new(),
            words: Vec::new(),
            begin: Moment::START,
            end: Moment::after(Length::quarters(16, 1)),
        };
        let band = crate::kit::band("name = \"B\"\n[[percussion]]\nname = \"I\"\nkind = \"iron\"\n");
        let settings = Settings { block: 512, ..Settings::default() };
        let mut meter = Meter::new(settings.rate);
        stream(&performance, &band, &settings, &mut |left, right| {
            meter.add(left, right);
            ControlFlow::Continue(())
        });
        assert!((meter.loudness() + 16.0).abs() < 1.0, "{} LUFS", meter.loudness());
        assert!(meter.true_peak() <= settings.ceiling, "{} dBTP", meter.true_peak());
        let mut blocks = 0;
        stream(&performance, &band, &settings, &mut |_, _| {
            blocks += 1;
            if blocks == 3 { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
        });
        assert_eq!(blocks, 3);
    }
}

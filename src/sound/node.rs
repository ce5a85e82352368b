//! The pan voice as a `fundsp` node, so that the library's graphs can use it.

use fundsp::prelude64::{An, AudioNode, Frame, U0, U1};

use super::pan_voice::StruckNote;

/// The sample rate of a node until it is told another, as `fundsp` has it.
const RATE: f64 = 44_100.0;

/// One stroke on a pan's note.
///
/// - No inputs.
/// - Output 0: the stroke, the fundamental's level about 1.
/// - Allocates: the samples of the stroke, when it is made and when the sample rate changes.
#[derive(Clone)]
pub struct PanVoice {
    note: StruckNote,
    variant: u8,
    rate: f64,
    samples: Vec<f32>,
    at: usize,
}

/// A stroke on a pan's note as a node: see `PanVoice`.
///
/// A lead's middle C through a low-pass filter:
/// ```
/// # use fundsp::prelude64::*;
/// # use panfold::{music::{Force, Tuning}, pan::PanKind, sound::{bank::Body, pan_voice_node}};
/// let lead = Body::plain(PanKind::Lead, Tuning::default());
/// let note = lead.struck("C4".parse().unwrap(), Force::new(0.7)).unwrap();
/// let mut graph = pan_voice_node(note, 0) >> lowpole_hz(2000.0);
/// let loudest = (0..4410).map(|_| graph.get_mono().abs()).fold(0.0, f32::max);
/// assert!(loudest > 0.5);
/// ```
pub fn pan_voice_node(note: StruckNote, variant: u8) -> An<PanVoice> {
    let samples = note.samples(variant, RATE);
    An(PanVoice { note, variant, rate: RATE, samples, at: 0 })
}

impl AudioNode for PanVoice {
    const ID: u64 = 0x7061_6E66;
    type Inputs = U0;
    type Outputs = U1;

    fn reset(&mut self) {
        self.at = 0;
    }

    fn set_sample_rate(&mut self, rate: f64) {
        if rate != self.rate {
            self.rate = rate;
            self.samples = self.note.samples(self.variant, rate);
            self.reset();
        }
    }

    fn tick(&mut self, _input: &Frame<f32, U0>) -> Frame<f32, U1> {
        let sample = self.samples.get(self.at).copied().unwrap_or(0.0);
        self.at = (self.at + 1).min(self.samples.len());
        [sample].into()
    }
}

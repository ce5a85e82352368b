//! A light room: early and late echoes of the band, a `fundsp` graph of eight delay lines that feed each other.

use fundsp::MAX_BUFFER_SIZE;
use fundsp::prelude64::{AudioUnit, BufferArray, U2, U4, U8, delay, fdn, lowpole_hz, multijoin, multisplit, stacki};

use super::partial::LN_1000;

/// How long the room sounds: T60 in seconds. Our own setting: a rehearsal room rather than a hall.
pub const T60: f64 = 0.55;

/// How long the delay lines are, in seconds: no two share a common measure. Our own setting.
const DELAYS: [f32; 8] = [0.0191, 0.0233, 0.0271, 0.0317, 0.0359, 0.0397, 0.0431, 0.0479];

/// Above this frequency, in hertz, echoes grow duller with each turn. Our own setting.
const DULL: f32 = 5500.0;

/// Level of the echoes as a factor: -15 dB for each of the lines' sums. Our own setting.
const LEVEL: f32 = 0.18;

/// A room around a stereo signal.
///
/// - Inputs 0, 1: left and right, dry.
/// - Outputs 0, 1: the same with the echoes added.
/// - Allocates: delay lines, when it is made.
#[derive(Clone)]
pub struct Room {
    graph: Box<dyn AudioUnit>,
}

impl Room {
    /// A silent room.
    pub fn new(rate: f64) -> Room {
        let line = |number: u64| {
            let length = DELAYS[number as usize];
            let turn = (-LN_1000 * f64::from(length) / T60).exp();
            delay(length) >> (lowpole_hz(DULL) * turn as f32)
        };
        let mut graph: Box<dyn AudioUnit> =
            Box::new(multisplit::<U2, U4>() >> fdn::<U8, _>(stacki::<U8, _, _>(line)) >> multijoin::<U2, U4>());
        graph.set_sample_rate(rate);
        graph.allocate();
        Room { graph }
    }

    /// Adds the echoes to a block. For the same sound the blocks must be the same from run to run; [`super::mixer`]
    /// sees to that.
    pub fn add(&mut self, left: &mut [f32], right: &mut [f32]) {
        let (mut input, mut output) = (BufferArray::<U2>::new(), BufferArray::<U2>::new());
        for (left, right) in left.chunks_mut(MAX_BUFFER_SIZE).zip(right.chunks_mut(MAX_BUFFER_SIZE)) {
            let size = left.len();
            input.channel_f32_mut(0)[..size].copy_from_slice(left);
            input.channel_f32_mut(1)[..size].copy_from_slice(right);
            self.graph.process(size, &input.buffer_ref(), &mut output.buffer_mut());
            for (channel, out) in [left, right].into_iter().enumerate() {
                let echoes = &output.channel_f32(channel)[..size];
                out.iter_mut().zip(echoes).for_each(|(sample, echo)| *sample += LEVEL * echo);
            }
        }
    }
}

impl std::fmt::Debug for Room {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Room")
    }
}

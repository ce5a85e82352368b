//! How the engine room's drums of one skin or two sound: toms, bongos, timbales.
//!
//! A skin is a membrane's modes and the short noise of what strikes it. Sizes, decays and levels are our own settings: no
//! source gives them.

use fundsp::prelude64::bandpass_hz;

use super::engine_room::{MEMBRANE, RING, Stroke, level_to, modal};
use super::pan_voice::db;
use super::partial::Partial;
use crate::notation::tree::Mark;
use crate::pan::Instrument;

/// A drum as it is struck in the middle of its skin.
struct Skin {
    /// Its lowest mode in hertz.
    lowest: f64,
    /// By how many dB an octave its modes get weaker, at `mf`.
    slope: f64,
    /// How long the lowest mode takes to fall by 60 dB, in seconds.
    t60: f64,
    /// The power of a mode's ratio with which it dies sooner.
    shortening: f64,
    /// By how many cents a stroke tightens the skin, which slackens within [`SLACKENS`].
    tightens: f64,
    /// The noise of the stick or the hand: dB, middle in hertz, seconds.
    touch: (f64, f64, f64),
}

/// The time constant, in seconds, with which a skin that a stroke has tightened slackens.
const SLACKENS: f64 = 0.03;

const TOM: Skin =
    Skin { lowest: 160.0, slope: 8.0, t60: 0.55, shortening: 0.9, tightens: 90.0, touch: (-17.0, 2400.0, 0.008) };
const MIDDLE_TOM: Skin = Skin { lowest: 118.0, t60: 0.65, ..TOM };
const FLOOR_TOM: Skin = Skin { lowest: 82.0, t60: 0.85, touch: (-18.0, 1800.0, 0.010), ..TOM };

const BONGO: Skin =
    Skin { lowest: 415.0, slope: 6.0, t60: 0.20, shortening: 0.6, tightens: 30.0, touch: (-12.0, 3200.0, 0.006) };
const LOW_BONGO: Skin = Skin { lowest: 300.0, t60: 0.26, ..BONGO };

/// Timbales have shells of metal and no skin below, so that more of the upper modes is heard, and longer.
const TIMBALE: Skin =
    Skin { lowest: 285.0, slope: 3.5, t60: 0.50, shortening: 0.45, tightens: 25.0, touch: (-8.0, 4500.0, 0.008) };
const LOW_TIMBALE: Skin = Skin { lowest: 205.0, t60: 0.60, ..TIMBALE };

/// The shell of a timbale struck with a stick: its lowest ring mode in hertz, dB an octave, T60 in seconds, shortening.
const SHELL: (f64, f64, f64, f64) = (1150.0, 1.0, 0.11, 0.3);

/// The drum that a stroke is on; `None` for a stroke on no skin of this family.
fn skin(instrument: Instrument, mark: Mark) -> Option<&'static Skin> {
    match (instrument, mark) {
        (Instrument::Toms, Mark::Stroke) => Some(&TOM),
        (Instrument::Toms, Mark::Slap) => Some(&MIDDLE_TOM),
        (Instrument::Toms, Mark::Open) => Some(&FLOOR_TOM),
        (Instrument::Bongos, Mark::Open) => Some(&LOW_BONGO),
        (Instrument::Bongos, _) => Some(&BONGO),
        (Instrument::Timbales, Mark::Stroke) => Some(&TIMBALE),
        (Instrument::Timbales, Mark::Open) => Some(&LOW_TIMBALE),
        _ => None,
    }
}

impl Stroke {
    /// The modes of a stroke on one of these drums, or on a timbale's shell.
    pub(super) fn drum_modes(&self, instrument: Instrument, mark: Mark) -> Vec<Partial> {
        let Some(skin) = skin(instrument, mark) else {
            return self.body(&RING, SHELL.0, SHELL.1, SHELL.2, SHELL.3);
        };
        let mut modes = self.body(&MEMBRANE, skin.lowest, skin.slope, skin.t60, skin.shortening);
        for mode in &mut modes {
            (mode.glide, mode.glide_time) = (skin.tightens, SLACKENS);
        }
        modes
    }

    /// A stroke on one of these drums, or on a timbale's shell.
    pub(super) fn drum(&self, instrument: Instrument, mark: Mark) -> Vec<f32> {
        let mut out = modal(&self.drum_modes(instrument, mark), self.rate);
        let (level, middle, length) = skin(instrument, mark).map_or((-10.0, 5200.0, 0.005), |skin| skin.touch);
        self.add_noise(&mut out, bandpass_hz(self.within(middle), 0.8), db(level), length);
        level_to(out, 0.8)
    }
}

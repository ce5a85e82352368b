//! How hard a stroke is: one scale from 0 to 1 for MIDI and for sound, with the marks `pp` to `ff` on it.

use super::count;
use std::fmt;

/// The force of a stroke, more than 0 and at most 1. MIDI's velocity is the force times 127, rounded.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Force(f32);

impl Force {
    /// A force, held within one MIDI velocity step above silence and full force.
    pub fn new(force: f32) -> Force {
        Force(force.clamp(1.0 / 127.0, 1.0))
    }

    /// The force as a number, more than 0 and at most 1.
    pub fn value(self) -> f32 {
        self.0
    }

    /// MIDI's velocity, 1 to 127.
    pub fn velocity(self) -> u8 {
        count(f64::from((self.0 * 127.0).round().clamp(1.0, 127.0))) as u8
    }

    /// The force of a MIDI velocity; 0 counts as 1.
    pub fn from_velocity(velocity: u8) -> Force {
        Force::new(f32::from(velocity.min(127)) / 127.0)
    }

    /// The force made stronger or softer by steps of the dynamic scale (one step is from `mf` to `f`).
    pub fn steps(self, steps: f32) -> Force {
        Force::new(self.0 + steps * STEP / 127.0)
    }
}

/// MIDI velocity steps between neighbouring dynamic marks: 16, so that `f` is 96 (common practice, no source).
const STEP: f32 = 16.0;

/// A dynamic mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "the marks are the handbook's own")]
pub enum Dynamic {
    PP,
    P,
    MP,
    MF,
    F,
    FF,
}

impl Dynamic {
    /// All marks, softest first.
    pub const ALL: [Dynamic; 6] = [Dynamic::PP, Dynamic::P, Dynamic::MP, Dynamic::MF, Dynamic::F, Dynamic::FF];

    /// The mark as written.
    pub fn word(self) -> &'static str {
        ["pp", "p", "mp", "mf", "f", "ff"][self as usize]
    }

    /// The mark of a word.
    pub fn from_word(word: &str) -> Option<Dynamic> {
        Dynamic::ALL.into_iter().find(|mark| mark.word() == word)
    }

    /// Its force: velocities 32, 48, 64, 80, 96, 112 (evenly spaced; common practice, no source).
    pub fn force(self) -> Force {
        Force::new((32.0 + STEP * self as u8 as f32) / 127.0)
    }
}

impl fmt::Display for Dynamic {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

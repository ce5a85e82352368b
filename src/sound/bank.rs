//! The stroke bank: each distinct stroke synthesised once.
//!
//! A stroke depends on few things: the pan and its note (or the percussion and its mark), how hard, and a small
//! variation so that repeated strokes don't sound like a machine. A track is the bank's strokes added at their times.

use std::collections::BTreeMap;
use std::sync::Arc;

use rayon::prelude::*;

use super::engine_room::{self, END, fade_end};
use super::lift;
use super::pan_voice::{StruckNote, rings_along};
use crate::music::Seed;
use crate::music::count;
use crate::music::{Force, Hertz, Pitch, Tuning};
use crate::notation::tree::Mark;
use crate::pan::{Instrument, Pan, PanKind};
use crate::performance::Sound;

/// How many ways a stick lands that are told apart; the balance of what rings differs with every stroke besides, see
/// `pan_voice::shift`. Our own setting.
pub const VARIANTS: u8 = 4;

/// How many levels of force the bank tells apart by brightness: one for each dynamic mark from `pp` to `ff`. Loudness
/// is exact; only the brightness goes in steps. Our own setting.
pub(crate) const FORCE_LEVELS: u8 = 6;

/// A level of force: 0 is `pp`, 5 is `ff`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct ForceLevel(u8);

impl ForceLevel {
    /// The level nearest to a force.
    pub fn of(force: Force) -> ForceLevel {
        let steps = (f32::from(force.velocity()) - 32.0) / 16.0;
        ForceLevel(count(f64::from(steps.round().clamp(0.0, f32::from(FORCE_LEVELS - 1)))) as u8)
    }

    /// The force that stands for the level.
    pub fn force(self) -> Force {
        Force::from_velocity(32 + 16 * self.0)
    }
}

/// A body that can be struck: a pan as the band has it, a kind's plain layout, or percussion.
#[derive(Clone, Debug, PartialEq)]
pub enum Body {
    /// A pan.
    Pan {
        /// Its kind.
        kind: PanKind,
        /// Its notes: pitch, drum, fundamental.
        notes: Vec<(Pitch, usize, Hertz)>,
        /// What it is tuned to, for a note that it lacks.
        tuning: Tuning,
        /// What makes it itself.
        seed: Seed,
        /// Whether it sounds as its own player hears it; see `lift`.
        lifted: bool,
    },
    /// Percussion.
    Percussion {
        /// What it is.
        instrument: Instrument,
        /// As of a pan.
        lifted: bool,
    },
}

impl Body {
    /// A pan in a tuning; `number` tells pans of one band apart.
    pub fn pan(pan: &Pan, tuning: Tuning, number: u64) -> Body {
        let notes =
            pan.notes().map(|(drum, note)| (note.pitch, drum, tuning.frequency_off(note.pitch, note.cents))).collect();
        Body::Pan { kind: pan.kind, notes, tuning, seed: Seed::of(&[pan.kind as u64, number]), lifted: false }
    }

    /// A pan of a kind about which nothing else is known: every note in tune, no neighbours.
    pub fn plain(kind: PanKind, tuning: Tuning) -> Body {
        Body::Pan { kind, notes: Vec::new(), tuning, seed: Seed::of(&[kind as u64, u64::MAX]), lifted: false }
    }

    /// Percussion.
    pub fn percussion(instrument: Instrument) -> Body {
        Body::Percussion { instrument, lifted: false }
    }

    /// The same as its own player hears it; see [`super::lift`].
    pub(crate) fn lifted(mut self) -> Body {
        match &mut self {
            Body::Pan { lifted, .. } | Body::Percussion { lifted, .. } => *lifted = true,
        }
        self
    }

    /// The samples of a whole stroke; none for a mark on a pan or a note on percussion.
    pub fn samples(&self, struck: Struck, force: Force, variant: u8, rate: f64) -> Vec<f32> {
        match (self, struck) {
            (Body::Pan { .. }, Struck::Note(pitch)) => {
                self.struck(pitch, force).map_or_else(Vec::new, |note| note.samples(variant, rate))
            }
            (Body::Percussion { instrument, lifted }, Struck::Mark(mark)) => {
                let mut out = engine_room::samples(*instrument, mark, force, variant, rate);
                if *lifted {
                    lift::lift_samples(&mut out, rate);
                }
                out
            }
            _ => Vec::new(),
        }
    }

    /// Whether a stroke sounds otherwise once it is lifted.
    pub(crate) fn is_changed_by_lift(&self, struck: Struck, force: Force, rate: f64) -> bool {
        match (self, struck) {
            (Body::Pan { .. }, Struck::Note(pitch)) => self.struck(pitch, force).is_some_and(|note| {
                let [plain, lifted] = [false, true].map(|lifted| StruckNote { lifted, ..note.clone() }.ring());
                plain != lifted
            }),
            (Body::Percussion { instrument, .. }, Struck::Mark(mark)) => {
                lift::needs_lift(&engine_room::samples(*instrument, mark, force, 0, rate), rate)
            }
            _ => false,
        }
    }

    /// A note of the pan as it is struck; `None` for percussion.
    pub fn struck(&self, pitch: Pitch, force: Force) -> Option<StruckNote> {
        let Body::Pan { kind, notes, tuning, seed, lifted } = self else { return None };
        let own = notes.iter().find(|(p, _, _)| *p == pitch);
        let frequency = own.map_or_else(|| tuning.frequency(pitch), |(_, _, hertz)| *hertz);
        let along = |(other, drum, hertz): &(Pitch, usize, Hertz)| {
            let interval = pitch.semitones_to(*other);
            let near = own.is_some_and(|(_, own, _)| own == drum);
            (near && rings_along(interval)).then_some((interval, *hertz))
        };
        let neighbours = notes.iter().filter_map(along).collect();
        let mut seed = *seed;
        let note_seed = Seed::of(&[seed.next_u64(), u64::from(pitch.key())]);
        Some(StruckNote { kind: *kind, frequency, force, note_seed, neighbours, lifted: *lifted })
    }
}

/// What tells strokes of the bank apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct Key {
    /// The number of the body.
    pub body: u16,
    /// What is struck on it.
    pub struck: Struck,
    /// How hard.
    pub level: ForceLevel,
    /// Which layer of the stroke.
    pub layer: Layer,
}

/// A layer of a stroke. What rings long is the same in every stroke of a force, so that it need not be kept for every
/// variant.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Layer {
    /// What rings on a pan.
    Ring,
    /// The partials above the fundamental, for as long as it is heard where a stick lands: some of it more or less shifts the balance of
    /// what rings.
    Shift,
    /// What differs between strokes that are meant the same, by the number of the variant: the stick's touch on a pan,
    /// all of a stroke on percussion.
    Touch(u8),
}

/// What is struck on a body.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Struck {
    /// A note of a pan.
    Note(Pitch),
    /// A stroke on percussion.
    Mark(Mark),
}

impl Struck {
    /// A number that no other has, for seeds.
    pub fn number(self) -> u64 {
        match self {
            Struck::Note(pitch) => u64::from(pitch.key()),
            Struck::Mark(mark) => 1000 + mark as u64,
        }
    }
}

impl From<Sound> for Struck {
    fn from(sound: Sound) -> Struck {
        match sound {
            Sound::Note(pitch) => Struck::Note(pitch),
            Sound::Mark(mark) => Struck::Mark(mark),
        }
    }
}

/// Strokes ready to be added to a track.
#[derive(Clone, Debug, Default)]
pub struct Bank {
    strokes: Vec<Arc<[f32]>>,
}

impl Bank {
    /// Synthesises strokes; `wanted` says for each key how many samples of it are heard at most.
    ///
    /// The strokes are numbered in the order of the keys. They are worked side by side on all threads that `rayon` has;
    /// the result does not depend on how many.
    pub fn build(bodies: &[Body], wanted: &BTreeMap<Key, usize>, rate: f64) -> Bank {
        let wanted: Vec<(&Key, &usize)> = wanted.iter().collect();
        let samples = |(key, most): &(&Key, &usize)| stroke(&bodies[usize::from(key.body)], **key, rate, **most).into();
        Bank::of(wanted.par_iter().map(samples).collect())
    }

    /// A bank of strokes that are there already.
    pub(super) fn of(strokes: Vec<Arc<[f32]>>) -> Bank {
        Bank { strokes }
    }

    /// The samples of a stroke.
    pub fn stroke(&self, number: u32) -> &[f32] {
        &self.strokes[number as usize]
    }

    /// How many strokes there are.
    pub fn len(&self) -> usize {
        self.strokes.len()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.strokes.is_empty()
    }

    /// How much memory the samples take, in bytes.
    pub fn bytes(&self) -> usize {
        self.strokes.iter().map(|stroke| size_of_val(&stroke[..])).sum()
    }
}

/// The samples of one layer of a stroke, at most `most` of them.
pub(super) fn stroke(body: &Body, key: Key, rate: f64, most: usize) -> Vec<f32> {
    let force = key.level.force();
    match (body, key.struck, key.layer) {
        (Body::Pan { .. }, Struck::Note(pitch), layer) => {
            let Some(note) = body.struck(pitch, force) else { return Vec::new() };
            // So much more that its end is known where the fade reaches what is wanted: samples are the same however many are.
            let more = most.saturating_add(END);
            let mut out = match layer {
                Layer::Ring => note.ring_samples(rate, more),
                Layer::Shift => note.shift_samples(rate, more),
                Layer::Touch(variant) => note.touch_samples(variant, rate, more),
            };
            if out.len() < more {
                fade_end(&mut out);
            }
            out.truncate(most);
            out
        }
        (Body::Percussion { .. }, Struck::Mark(_), Layer::Touch(variant)) => {
            let mut out = body.samples(key.struck, force, variant, rate);
            out.truncate(most);
            out
        }
        // A mark on a pan or a note on percussion: the rooms above allow neither.
        _ => Vec::new(),
    }
}

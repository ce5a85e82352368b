//! Strokes that were made are kept for other tracks: the tracks of a pack strike the same pans over and over.

use std::collections::{BTreeMap, HashMap};
use std::fmt;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use rayon::prelude::*;

use super::bank::{Bank, Body, Key, stroke};

/// Strokes that several banks share. What is kept changes nothing in the sound. Copies keep the same strokes.
#[derive(Clone, Default)]
pub struct Store(Arc<Mutex<Kept>>);

/// What is kept.
#[derive(Default)]
struct Kept {
    bodies: Vec<Body>,
    /// By body (a number of its own here), the rest of the key, and the sample rate.
    strokes: HashMap<(Key, u64), Stroke>,
}

/// The samples of a stroke, and after how many of them it was broken off.
#[derive(Clone)]
struct Stroke {
    samples: Arc<[f32]>,
    most: usize,
}

impl Stroke {
    /// Whether it has so many samples, or all that there are.
    fn is_enough(&self, most: usize) -> bool {
        most <= self.most || self.samples.len() < self.most
    }
}

impl Store {
    /// A bank as [`Bank::build`] makes it, of strokes that are kept, or are kept from now on; one may be longer than it is heard.
    pub(super) fn bank(&self, bodies: &[Body], wanted: &BTreeMap<Key, usize>, rate: f64) -> Bank {
        let numbers = self.numbers(bodies);
        let wanted: Vec<(&Key, &usize)> = wanted.iter().collect();
        let strokes = wanted.par_iter().map(|(key, most)| {
            let name = (Key { body: numbers[usize::from(key.body)], ..**key }, rate.to_bits());
            let known = self.kept().strokes.get(&name).filter(|stroke| stroke.is_enough(**most)).cloned();
            known.unwrap_or_else(|| {
                let samples = stroke(&bodies[usize::from(key.body)], **key, rate, **most).into();
                let made = Stroke { samples, most: **most };
                self.kept().strokes.insert(name, made.clone());
                made
            })
        });
        Bank::of(strokes.map(|stroke| stroke.samples).collect())
    }

    /// The numbers that bodies have here.
    fn numbers(&self, bodies: &[Body]) -> Vec<u16> {
        let mut kept = self.kept();
        let mut number = |body: &Body| {
            let known = kept.bodies.iter().position(|other| other == body);
            known.unwrap_or_else(|| {
                kept.bodies.push(body.clone());
                kept.bodies.len() - 1
            })
        };
        bodies.iter().map(|body| u16::try_from(number(body)).expect("no band has so many players")).collect()
    }

    fn kept(&self) -> MutexGuard<'_, Kept> {
        // A thread that ended badly leaves nothing half done here.
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl PartialEq for Store {
    /// What is kept changes nothing in the sound.
    fn eq(&self, _: &Store) -> bool {
        true
    }
}

impl fmt::Debug for Store {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Store of {} strokes", self.kept().strokes.len())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::music::{Force, Tuning};
    use crate::pan::PanKind;
    use crate::sound::bank::{ForceLevel, Layer, Struck};

    /// Banks that share strokes have the samples of banks that don't, whichever is made first and however long they are heard.
    #[test]
    fn banks_that_share_strokes_sound_the_same() {
        let [lead, cello] = [PanKind::Lead, PanKind::TripleCello].map(|kind| Body::plain(kind, Tuning::default()));
        let wanted = |note: &str, most: usize| -> BTreeMap<Key, usize> {
            let struck = Struck::Note(note.parse().expect("a note"));
            let key = |layer| Key { body: 1, struck, level: ForceLevel::of(Force::new(0.7)), layer };
            [Layer::Ring, Layer::Shift, Layer::Touch(2)].map(|layer| (key(layer), most)).into()
        };
        let store = Store::default();
        for (bodies, wanted) in [
            ([lead.clone(), cello.clone()], wanted("C4", 5000)),
            ([lead.clone(), cello.clone()], wanted("C4", 3000)),
            ([lead.clone(), cello.clone()], wanted("C4", usize::MAX)),
            ([lead.clone(), cello.clone()], wanted("C4", 90_000)),
            ([cello.clone(), lead.clone()], wanted("C4", 4000)),
            ([cello.clone(), lead.clone().lifted()], wanted("C4", 4000)),
        ] {
            let shared = store.bank(&bodies, &wanted, 44_100.0);
            let own = Bank::build(&bodies, &wanted, 44_100.0);
            for (number, most) in (0..).zip(wanted.values()) {
                let [shared, own] = [&shared, &own].map(|bank| bank.stroke(number));
                assert_eq!(shared[..own.len().min(*most)], *own, "stroke {number}");
            }
        }
    }
}

//! What a part needs when a pan takes it: notes that the tune leaves open (`G`, degrees, strums, harmony lines) are chosen for
//! that pan, as they would be if the band file let it play the part, and in each key anew. So an open note is missing only where the
//! pan has no octave of it. Each part is taken for itself: rows that double another part move by octaves as if they were written out.

use std::sync::Arc;

use super::need::Need;
use crate::fit::settle::{Strumming, settle_part, strumming};
use crate::fit::transpose::fitted_tune;
use crate::music::{Cents, Pitch};
use crate::pan::band::BandPan;
use crate::pan::face::NoteArea;
use crate::pan::{NoteSet, Pan, layouts};
use crate::text::Span;
use crate::tune::Tune;
use crate::tune::model::{Open, Player};

/// A part that a pan takes, alone, while the rest of the band stays as it is.
#[derive(Clone, Debug)]
pub struct Taken {
    need: Need,
    /// For a part that leaves something open: the tune, with the pan added as the last one of its band, and as the part's only one.
    chosen: Option<Chosen>,
}

#[derive(Clone, Debug)]
struct Chosen {
    tune: Tune<Open>,
    part: usize,
    hands: Strumming,
}

impl Taken {
    /// A pan takes a part of a tune. `None` for percussion.
    pub fn new(tune: &Tune<Open>, part: usize, pan: &Pan) -> Option<Taken> {
        let Player::Pans { kind, .. } = tune.parts[part].player else { return None };
        if let Some(need) = Need::written(tune, part) {
            return Some(Taken::fixed(need));
        }
        let mut tune = tune.clone();
        let mut band = (*tune.band).clone();
        band.pans.push(BandPan { pan: pan.clone(), plays: Vec::new(), level: None, span: Span::default() });
        tune.parts[part].player = Player::Pans { kind, pans: vec![band.pans.len() - 1] };
        tune.band = Arc::new(band);
        let hands = strumming(&tune);
        let chosen = Chosen { tune, part, hands };
        Some(Taken { need: chosen.need(0), chosen: Some(chosen) })
    }

    /// A part with every note written.
    pub fn fixed(need: Need) -> Taken {
        Taken { need, chosen: None }
    }

    /// What it needs.
    pub fn need(&self) -> &Need {
        &self.need
    }

    /// What it needs some semitones higher.
    pub fn up(&self, semitones: i32) -> Need {
        match &self.chosen {
            None => self.need.up(semitones),
            Some(chosen) => chosen.need(semitones),
        }
    }

    /// What it needs of the pan with some more notes, whose places are not known.
    #[expect(clippy::missing_panics_doc, reason = "the pan that takes the part was put there when this was made")]
    pub fn with(&self, more: NoteSet) -> Need {
        let Some(chosen) = &self.chosen else { return self.need.clone() };
        let mut chosen = chosen.clone();
        let mut band = (*chosen.tune.band).clone();
        let pan = &mut band.pans.last_mut().expect("the pan that takes the part").pan;
        let more = more.without(pan.note_set());
        let area = |pitch: Pitch| NoteArea { name: pitch.name(), pitch, ring: None, angle: None, cents: Cents(0.0) };
        pan.drums[0].notes.extend(more.iter().map(area));
        chosen.tune.band = Arc::new(band);
        chosen.need(0)
    }

    /// How many octaves higher it lies than on its own kind of pan; negative below. Open notes fit a pan of any size, but a bass line on
    /// a lead is no bass. Nine semitones already count as an octave (our own setting).
    pub fn octaves_off(&self, tune: &Tune<Open>, part: usize) -> i32 {
        let Player::Pans { kind, .. } = tune.parts[part].player else { return 0 };
        let usual = layouts::of_kind(kind).filter(|_| !self.is_fixed()).and_then(|pan| Taken::new(tune, part, pan));
        let Some((here, usual)) = usual.and_then(|usual| Some((middle(&self.need)?, middle(&usual.need)?))) else {
            return 0;
        };
        let octaves = (here - usual) / 12.0;
        if octaves.abs() < 0.75 { 0 } else { octaves.round() as i32 }
    }

    /// Whether the tune leaves nothing of it open, so that it needs the same of every pan.
    pub fn is_fixed(&self) -> bool {
        self.chosen.is_none()
    }
}

impl Chosen {
    fn need(&self, semitones: i32) -> Need {
        let there = if semitones == 0 { None } else { Some(fitted_tune(&self.tune, semitones, &[])) };
        let open = there.as_ref().unwrap_or(&self.tune);
        Need::of(open, &settle_part(open, &self.hands, self.part), self.part).expect("a part on pans")
    }
}

/// The mean key of all notes struck.
fn middle(need: &Need) -> Option<f64> {
    let notes = need.notes();
    let struck: u64 = notes.values().sum();
    let sum: u64 = notes.iter().map(|(note, times)| u64::from(note.key()) * times).sum();
    (struck > 0).then(|| sum as f64 / struck as f64)
}

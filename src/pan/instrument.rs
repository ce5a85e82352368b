//! The engine room's instruments and the strokes that each allows.
//!
//! A new one goes last, since its number seeds its sound. It also needs entries in `sound/engine_room.rs` (its sound),
//! `sound/plan.rs` (how loud, and where it stands), `drawing/strokes.rs` (what its strokes are called), `midi/percussion.rs` and
//! `exchange/percussion.rs` (its keys and names), and in the guide's table.

use std::fmt;

use crate::notation::tree::Mark;

/// An instrument of the engine room.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Instrument {
    /// A struck brake drum, the band's time-keeper. `x` is the high stroke, `o` the low one that rings, `s` damped.
    Iron,
    /// Shaker or maracas: `x` forward, `o` backward.
    Shaker,
    /// Scratcher: `x` a short scrape, `o` a long one.
    Scratcher,
    /// Congas, two drums: `x` a muffled stroke, `o` an open tone, `s` a slap.
    Conga,
    /// Bass drum of a drum set.
    Kick,
    /// Snare drum: `x` a stroke, `o` (rim stroke) and `s` (side stick).
    Snare,
    /// Hi-hat: `x` closed, `o` open, `s` closed by the pedal alone.
    HiHat,
    /// Cowbell: `x` muffled, `o` open.
    Cowbell,
    /// Two hardwood sticks struck together, as a count-in is given.
    Claves,
    /// Tambourine: `x` struck, `o` shaken.
    Tambourine,
    /// Triangle: `x` muted by the hand that holds it, `o` open.
    Triangle,
    /// Crash cymbal: `x` a stroke that rings, `s` one that the hand chokes.
    Cymbal,
    /// Ride cymbal: `x` on the bow, `o` on the bell.
    Ride,
    /// Toms: `x` the high one, `s` the middle one, `o` the low one on the floor.
    Toms,
    /// Bongos, two drums: `x` the high one, `o` the low one.
    Bongos,
    /// Timbales, two drums: `x` the high one, `o` the low one, `s` the shell.
    Timbales,
}

/// What a player strikes with.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Limb {
    /// One of two hands.
    Hand,
    /// One of two feet.
    Foot,
}

impl Instrument {
    /// All of them.
    pub const ALL: [Instrument; 16] = [
        Instrument::Iron,
        Instrument::Shaker,
        Instrument::Scratcher,
        Instrument::Conga,
        Instrument::Kick,
        Instrument::Snare,
        Instrument::HiHat,
        Instrument::Cowbell,
        Instrument::Claves,
        Instrument::Tambourine,
        Instrument::Triangle,
        Instrument::Cymbal,
        Instrument::Ride,
        Instrument::Toms,
        Instrument::Bongos,
        Instrument::Timbales,
    ];

    /// The name in files and on screens.
    pub fn name(self) -> &'static str {
        self.names()[0]
    }

    /// All names that are understood for it, the one that panfold uses first (common practice, no source).
    pub fn names(self) -> &'static [&'static str] {
        match self {
            Instrument::Iron => &["iron", "irons", "brake-drum", "cutter"],
            Instrument::Shaker => &["shaker", "shakers", "maracas", "shac-shac"],
            Instrument::Scratcher => &["scratcher", "scraper", "guiro"],
            Instrument::Conga => &["conga", "congas"],
            Instrument::Kick => &["kick", "bass-drum"],
            Instrument::Snare => &["snare", "snare-drum"],
            Instrument::HiHat => &["hi-hat", "hihat"],
            Instrument::Cowbell => &["cowbell", "bell"],
            Instrument::Claves => &["claves", "sticks"],
            Instrument::Tambourine => &["tambourine", "tambourines"],
            Instrument::Triangle => &["triangle", "triangles"],
            Instrument::Cymbal => &["cymbal", "cymbals", "crash", "crash-cymbal"],
            Instrument::Ride => &["ride", "ride-cymbal"],
            Instrument::Toms => &["toms", "tom", "tom-toms", "tom-tom"],
            Instrument::Bongos => &["bongos", "bongo"],
            Instrument::Timbales => &["timbales", "timbale"],
        }
    }

    /// The instrument of a name, whatever its case; spaces and underscores count as hyphens.
    pub fn from_name(name: &str) -> Option<Instrument> {
        let name: String = name.to_lowercase().replace([' ', '_'], "-");
        Instrument::ALL.into_iter().find(|instrument| instrument.names().contains(&name.as_str()))
    }

    /// The strokes that it allows.
    pub fn marks(self) -> &'static [Mark] {
        match self {
            Instrument::Iron
            | Instrument::Conga
            | Instrument::Snare
            | Instrument::HiHat
            | Instrument::Toms
            | Instrument::Timbales => &[Mark::Stroke, Mark::Open, Mark::Slap],
            Instrument::Shaker
            | Instrument::Scratcher
            | Instrument::Cowbell
            | Instrument::Tambourine
            | Instrument::Triangle
            | Instrument::Ride
            | Instrument::Bongos => &[Mark::Stroke, Mark::Open],
            Instrument::Cymbal => &[Mark::Stroke, Mark::Slap],
            Instrument::Kick | Instrument::Claves => &[Mark::Stroke],
        }
    }

    /// What plays a stroke: a foot plays the bass drum and the hi-hat's pedal, a hand everything else (common practice, no source).
    pub fn limb(self, mark: Mark) -> Limb {
        match (self, mark) {
            (Instrument::Kick, _) | (Instrument::HiHat, Mark::Slap) => Limb::Foot,
            _ => Limb::Hand,
        }
    }
}

impl fmt::Display for Instrument {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_stands_for_one_instrument() {
        let names =
            Instrument::ALL.iter().flat_map(|instrument| instrument.names().iter().map(move |name| (name, instrument)));
        for (name, instrument) in names {
            assert_eq!(Instrument::from_name(name), Some(*instrument), "{name}");
        }
        for (name, instrument) in [
            ("Cutter", Instrument::Iron),
            ("claves", Instrument::Claves),
            ("cymbal", Instrument::Cymbal),
            ("Crash cymbal", Instrument::Cymbal),
            ("ride", Instrument::Ride),
            ("tom", Instrument::Toms),
            ("bongo", Instrument::Bongos),
            ("timbale", Instrument::Timbales),
            ("tambourine", Instrument::Tambourine),
            ("triangle", Instrument::Triangle),
        ] {
            assert_eq!(Instrument::from_name(name), Some(instrument), "{name}");
        }
    }

    #[test]
    fn feet_play_the_bass_drum_and_the_pedal() {
        let strokes = Instrument::ALL.iter().flat_map(|one| one.marks().iter().map(move |mark| (*one, *mark)));
        let feet: Vec<_> = strokes.filter(|(instrument, mark)| instrument.limb(*mark) == Limb::Foot).collect();
        assert_eq!(feet, [(Instrument::Kick, Mark::Stroke), (Instrument::HiHat, Mark::Slap)]);
    }
}

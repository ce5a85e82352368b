//! From a tune to its seats: who could play which part, the best assignment by the aims, and the pans to spare, which double a part.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::aims::{Aims, Scale};
use super::assign::assign;
use super::problem::{Assignment, Choice, Problem};
use super::together::Together;
use crate::music::{Pitch, PitchClass};
use crate::notation::tree::Tree;
use crate::pan::band::SetFor;
use crate::pan::{Band, Level, NoteSet, Piece};
use crate::text::Finding;
use crate::tune::model::{Open, Player, Seat, Struck, Tune, Whom};

/// From tree and band to a tune in which every part has its seats, as far as the band has them; and everything that is not right
/// with it. What the seats leave open is for `check` to say.
pub fn resolve(tree: &Tree, band: &Arc<Band>) -> (Tune<Open>, Vec<Finding>) {
    let (mut tune, findings) = crate::tune::resolve(tree, band);
    tune.seats = seats(&tune);
    take_seats(&mut tune);
    (tune, findings)
}

/// Whether a pan or percussion is one that a part may be played on: of its kind, or one that the band's habit or the tune names
/// for it.
fn suits<N>(tune: &Tune<N>, part: usize, player: usize, piece: Piece) -> bool {
    let of = &tune.parts[part];
    if matches!(of.player, Player::Pans { .. }) != matches!(piece, Piece::Pan(_)) {
        return false;
    }
    let is_habit = tune.band.habit(piece).contains(&of.name);
    let is_asked = of.whom.contains(&Whom::Piece(piece)) && tune.people[player].plays.contains(&piece);
    is_of_kind(tune, part, piece) || is_habit || is_asked
}

/// Whether a pan or percussion is of the kind that a part is written for.
pub fn is_of_kind<N>(tune: &Tune<N>, part: usize, piece: Piece) -> bool {
    match (&tune.parts[part].player, piece) {
        (Player::Pans { kind, .. }, Piece::Pan(number)) => tune.band.pans[number].pan.kind == *kind,
        (Player::Percussion { instrument, .. }, Piece::Percussion(number)) => {
            tune.band.percussion[number].instrument == *instrument
        }
        _ => false,
    }
}

/// Whether the tune says nothing else than that this player at this piece plays the part.
fn is_asked_for<N>(tune: &Tune<N>, part: usize, player: usize, piece: Piece) -> bool {
    let whom = &tune.parts[part].whom;
    whom.is_empty() || whom.contains(&Whom::Piece(piece)) || whom.contains(&Whom::Player(player))
}

/// Whether the band's habit is broken when a piece plays a part.
pub fn habit_broken<N>(tune: &Tune<N>, part: usize, piece: Piece) -> bool {
    let habit = tune.band.habit(piece);
    let of = &tune.parts[part];
    let name = of.version.map_or(&of.name, |version| &tune.parts[version.of].name);
    !habit.is_empty() && !habit.contains(name)
}

/// How far the player of a part on a pan has come, and what in the band file that was set for: what stands with the player counts
/// first, then what stands with the part, then the pan, then the band.
///
/// - `pan`: the number of the band's pan, whether it has a seat at the part or not.
pub fn level<N>(tune: &Tune<N>, part: usize, pan: usize) -> (Level, SetFor) {
    let seat = tune.seats.iter().find(|seat| seat.part == part && seat.piece == Piece::Pan(pan));
    let of = &tune.parts[part];
    let name = of.version.map_or(&of.name, |version| &tune.parts[version.of].name);
    match seat.and_then(|seat| tune.people[seat.player].level) {
        Some(level) => (level, SetFor::Player),
        None => tune.band.level_set(name, pan),
    }
}

/// Who could play a part: the players and their pieces.
fn candidates<N>(tune: &Tune<N>, part: usize) -> Vec<(usize, Piece)> {
    let pieces = |player: usize| tune.people[player].plays.iter().map(move |piece| (player, *piece));
    (0..tune.people.len()).flat_map(pieces).filter(|(player, piece)| suits(tune, part, *player, *piece)).collect()
}

/// The parts that are shared out: those that stand for another one go with it.
fn whole_parts<N>(tune: &Tune<N>) -> impl Iterator<Item = usize> + '_ {
    (0..tune.parts.len()).filter(|part| tune.parts[*part].version.is_none())
}

/// A number for a piece, the pans first.
fn number(band: &Band, piece: Piece) -> usize {
    match piece {
        Piece::Pan(number) => number,
        Piece::Percussion(number) => band.pans.len() + number,
    }
}

/// The seats of a tune: the best assignment, then the doubles.
fn seats(tune: &Tune<Open>) -> Vec<Seat> {
    let together = Together::new(tune);
    let parts: Vec<usize> = whole_parts(tune).collect();
    let could: Vec<Vec<(usize, Piece)>> = (0..tune.parts.len()).map(|part| candidates(tune, part)).collect();
    let candidates: Vec<Vec<(usize, Piece)>> = parts.iter().map(|part| could[*part].clone()).collect();
    let strokes = Strokes::of(tune, &candidates.iter().flatten().map(|(_, piece)| *piece).collect());
    let wanting = Wanting { tune, together: &together, strokes: &strokes, candidates: &could };
    let aims: Vec<Vec<Aims>> = parts
        .iter()
        .zip(&candidates)
        .map(|(part, all)| all.iter().map(|(player, piece)| wanting.aims(*part, *player, *piece)).collect())
        .collect();
    let Assignment { chosen, .. } = assign(&problem(tune, &together, &parts, &candidates, &aims));
    let mut seats: Vec<Seat> = Vec::new();
    for ((part, all), choice) in parts.iter().zip(&candidates).zip(chosen) {
        seats.extend(choice.map(|choice| Seat { part: *part, piece: all[choice].1, player: all[choice].0 }));
    }
    wanting.doubles(&mut seats);
    seats.sort_unstable();
    seats
}

/// The assignment that the seats of a tune ask for.
fn problem<N>(
    tune: &Tune<N>,
    together: &Together<N>,
    parts: &[usize],
    candidates: &[Vec<(usize, Piece)>],
    aims: &[Vec<Aims>],
) -> Problem {
    let most = aims.iter().flatten().copied().fold(Aims::default(), Aims::max);
    // Only what tells equals apart is left out where the sums grow too large.
    let plainer = [
        most,
        Aims { disorder: 0, unusual: 0, ..most },
        Aims { disorder: 0, unusual: 0, too_hard: 0, ..most },
        Aims { disorder: 0, unusual: 0, too_hard: 0, missing: 0, ..most },
    ];
    let (scale, most) = plainer
        .into_iter()
        .find_map(|most| Some((Scale::new(parts.len(), most)?, most)))
        .expect("sums of ones fit, however many parts there are");
    let choices = |(all, aims): (&Vec<(usize, Piece)>, &Vec<Aims>)| {
        let choice = |((player, piece), aims): (&(usize, Piece), &Aims)| Choice {
            player: *player,
            piece: number(&tune.band, *piece),
            weight: scale.weigh(&aims.min(most)),
        };
        all.iter().zip(aims).map(choice).collect()
    };
    let mut problem = Problem {
        choices: candidates.iter().zip(aims).map(choices).collect(),
        nobody: scale.nobody,
        again: scale.again,
        ..Problem::default()
    };
    let mut of_player: BTreeMap<usize, Vec<(usize, usize, Piece)>> = BTreeMap::new();
    for (place, all) in candidates.iter().enumerate() {
        for (choice, (player, piece)) in all.iter().enumerate() {
            of_player.entry(*player).or_default().push((place, choice, *piece));
        }
    }
    for picks in of_player.values() {
        for (n, (a, x, on_a)) in picks.iter().enumerate() {
            for (b, y, on_b) in picks[n + 1..].iter().filter(|(b, ..)| b != a) {
                if clash(together, (parts[*a], *on_a), (parts[*b], *on_b)) {
                    problem.clashes.insert(((*a, *x).min((*b, *y)), (*a, *x).max((*b, *y))));
                }
            }
        }
    }
    problem
}

/// Whether one player can't have both seats: parts that sound together, and parts on two pans without the time to go from one to
/// the other. Several pieces of percussion are one set in front of one player.
fn clash<N>(together: &Together<N>, a: (usize, Piece), b: (usize, Piece)) -> bool {
    match (a.1, b.1) {
        (Piece::Percussion(x), Piece::Percussion(y)) if x != y => false,
        (x, y) if x == y => together.sound(a.0, b.0),
        _ => together.is_near(a.0, b.0),
    }
}

/// What is wanted of each seat.
struct Wanting<'a> {
    tune: &'a Tune<Open>,
    together: &'a Together<'a, Open>,
    strokes: &'a Strokes,
    /// Who could play each part, by its number.
    candidates: &'a [Vec<(usize, Piece)>],
}

impl Wanting<'_> {
    fn aims(&self, part: usize, player: usize, piece: Piece) -> Aims {
        let tune = self.tune;
        let of = &tune.people[player];
        let level = self.level(part, player, piece);
        let rank = |level: Level| Level::ALL.iter().position(|other| *other == level).unwrap_or(0) as u64;
        // Counted from the best of those who could: what nobody does better is no reason to leave the part to nobody.
        let steps_below = rank(self.best_level(part)).saturating_sub(rank(level));
        let usual = of.plays.iter().position(|of| *of == piece).unwrap_or(0);
        let later = tune.parts.len() - part;
        Aims {
            not_asked_for: u64::from(!is_asked_for(tune, part, player, piece)),
            habit_broken: u64::from(habit_broken(tune, part, piece)),
            missing: self.strokes.missing(part, piece),
            unknown: u64::from(!self.knows(player, part)),
            too_hard: steps_below * self.together.strokes_a_minute(part),
            unusual: usual as u64,
            disorder: (later * number(&tune.band, piece)) as u64,
        }
    }

    fn level(&self, part: usize, player: usize, piece: Piece) -> Level {
        match (self.tune.people[player].level, piece) {
            (Some(level), _) => level,
            (None, Piece::Pan(pan)) => self.tune.band.level(&self.tune.parts[part].name, pan),
            (None, Piece::Percussion(_)) => self.tune.band.level,
        }
    }

    fn best_level(&self, part: usize) -> Level {
        let all = self.candidates[part].iter().map(|(player, piece)| self.level(part, *player, *piece));
        all.max().unwrap_or_default()
    }

    fn knows(&self, player: usize, part: usize) -> bool {
        let file = self.tune.source.name().rsplit(['/', '\\']).next().unwrap_or_default();
        let stem = file.strip_suffix(".tune").unwrap_or(file);
        let is = |known: &crate::pan::player::Known| known.tune == stem && known.part == self.tune.parts[part].name;
        self.tune.people[player].knows.iter().any(is)
    }

    /// Gives a part to everybody who has none, in the order of the band file: one of their kind and habit, at a piece that nobody
    /// plays; that which lacks the fewest notes, which they know, which the fewest play.
    fn doubles(&self, seats: &mut Vec<Seat>) {
        for player in 0..self.tune.people.len() {
            if seats.iter().any(|seat| seat.player == player) {
                continue;
            }
            let is_free = |piece: &Piece| seats.iter().all(|seat| seat.piece != *piece);
            let pieces = self.tune.people[player].plays.iter().copied().filter(is_free);
            let could = |(part, piece): &(usize, Piece)| {
                suits(self.tune, *part, player, *piece)
                    && is_asked_for(self.tune, *part, player, *piece)
                    && !habit_broken(self.tune, *part, *piece)
            };
            let all = pieces.flat_map(|piece| whole_parts(self.tune).map(move |part| (part, piece))).filter(could);
            let best = all.min_by_key(|(part, piece)| {
                let aims = self.aims(*part, player, *piece);
                let players = seats.iter().filter(|seat| seat.part == *part).count();
                (aims.missing, aims.unknown, players, aims.too_hard, aims.unusual, *part)
            });
            seats.extend(best.map(|(part, piece)| Seat { part, piece, player }));
        }
    }
}

/// How often each part strikes what, with the form played out; and what each pan has.
struct Strokes {
    /// By part, its strokes, each once.
    parts: Vec<Vec<OftenStruck>>,
    /// The notes of each pan that could be asked about.
    pans: BTreeMap<Piece, NoteSet>,
    /// Which part stands for which on which pan.
    versions: BTreeMap<(usize, usize), usize>,
}

/// A stroke, and how often a part has it.
struct OftenStruck {
    /// Its notes, written or open.
    notes: Vec<Wanted>,
    times: u64,
}

/// A note that a pan must have.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Wanted {
    Pitch(Pitch),
    /// In any octave.
    Class(PitchClass),
}

impl Strokes {
    fn of(tune: &Tune<Open>, pieces: &BTreeSet<Piece>) -> Strokes {
        let mut times = vec![0u64; tune.sections.len()];
        tune.form.iter().for_each(|step| times[step.section] += u64::from(step.times));
        let part = |part: usize| {
            let mut strokes: BTreeMap<Vec<Wanted>, u64> = BTreeMap::new();
            for (section, times) in tune.sections.iter().zip(&times).filter(|(_, times)| **times > 0) {
                for event in section.rows[part].iter().flat_map(|row| &row.events) {
                    let Struck::Notes(notes) = &event.struck else { continue };
                    let wanted = notes.iter().filter_map(|note| match note.pitch {
                        Open::Pitch(pitch) => Some(Wanted::Pitch(pitch)),
                        Open::Tone { tone, .. } => Some(Wanted::Class(tone.class())),
                        // What is chosen for these is chosen among the notes of the pan.
                        Open::Strum | Open::Harmony { .. } => None,
                    });
                    *strokes.entry(wanted.collect()).or_default() += times;
                }
            }
            strokes.into_iter().map(|(notes, times)| OftenStruck { notes, times }).collect()
        };
        let set = |piece: &Piece| match piece {
            Piece::Pan(number) => Some((*piece, tune.band.pans[*number].pan.note_set())),
            Piece::Percussion(_) => None,
        };
        let versions = tune.parts.iter().enumerate();
        Strokes {
            parts: (0..tune.parts.len()).map(part).collect(),
            pans: pieces.iter().filter_map(set).collect(),
            versions: versions.filter_map(|(n, part)| part.version.map(|v| ((v.of, v.pan), n))).collect(),
        }
    }

    /// How many strokes of a part a piece can't play; of a pan with rows of its own, those of its version.
    fn missing(&self, part: usize, piece: Piece) -> u64 {
        let (Some(set), Piece::Pan(pan)) = (self.pans.get(&piece), piece) else { return 0 };
        let part = self.versions.get(&(part, pan)).copied().unwrap_or(part);
        let is_there = |wanted: &Wanted| match wanted {
            Wanted::Pitch(pitch) => set.has(*pitch),
            Wanted::Class(class) => set.octaves(*class).next().is_some(),
        };
        let lacking = self.parts[part].iter().filter(|stroke| !stroke.notes.iter().all(is_there));
        lacking.map(|stroke| stroke.times).sum()
    }
}

/// Puts the seats into the parts: who plays what, and on a pan with rows of its own the part that stands for the other.
fn take_seats(tune: &mut Tune<Open>) {
    for number in 0..tune.parts.len() {
        let Some(version) = tune.parts[number].version else { continue };
        let of_pan = |seat: &&mut Seat| seat.part == version.of && seat.piece == Piece::Pan(version.pan);
        if let Some(seat) = tune.seats.iter_mut().find(of_pan) {
            seat.part = number;
        }
    }
    tune.seats.sort_unstable();
    for number in 0..tune.parts.len() {
        let mut seated: Vec<Piece> =
            tune.seats.iter().filter(|seat| seat.part == number).map(|seat| seat.piece).collect();
        seated.sort_unstable();
        let of_pans = || seated.iter().filter_map(|piece| if let Piece::Pan(n) = piece { Some(*n) } else { None });
        let of_percussion =
            || seated.iter().filter_map(|piece| if let Piece::Percussion(n) = piece { Some(*n) } else { None });
        match &mut tune.parts[number].player {
            Player::Pans { pans, .. } => *pans = of_pans().collect(),
            Player::Percussion { percussion, .. } => *percussion = of_percussion().collect(),
        }
    }
}

/// A part that nobody plays, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unseated {
    /// The part.
    pub part: usize,
    /// Who could play it, were they not playing something else at the time; empty: nobody in the band has a pan for it.
    pub taken: Vec<Taken>,
}

/// Somebody who could play a part and plays others.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Taken {
    /// The number of the player in [`Tune::people`].
    pub player: usize,
    /// What they would play it on.
    pub piece: Piece,
    /// The part that keeps them from it.
    pub other: usize,
    /// Where both sound together: the section, and the bar in it from 0. Empty: there is only no time to change pans.
    pub bars: Vec<(usize, u32)>,
}

/// The parts that nobody plays.
pub fn unseated<N>(tune: &Tune<N>) -> Vec<Unseated> {
    let is_seated = |part: usize| {
        let stands_for = |of: usize| tune.parts[of].version.is_some_and(|version| version.of == part);
        tune.seats.iter().any(|seat| seat.part == part || stands_for(seat.part))
    };
    let open: Vec<usize> = whole_parts(tune).filter(|part| !is_seated(*part)).collect();
    if open.is_empty() {
        return Vec::new();
    }
    let together = Together::new(tune);
    let why = |part: usize| {
        let taken = candidates(tune, part).into_iter().filter_map(|(player, piece)| {
            let other = tune.seats.iter().find(|seat| {
                let same_piece = seat.piece == piece && seat.player != player;
                seat.player == player && clash(&together, (part, piece), (seat.part, seat.piece)) || same_piece
            })?;
            Some(Taken { player, piece, other: other.part, bars: together.bars(part, other.part) })
        });
        Unseated { part, taken: taken.collect() }
    };
    open.into_iter().map(why).collect()
}

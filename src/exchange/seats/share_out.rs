//! All parts of a score shared out over all pans at once.

use std::collections::{BTreeMap, BTreeSet};

use rayon::prelude::*;

use super::aims::{Aims, MOST_COUNTED, Most, Scale};
use super::candidates::{Candidate, candidates};
use super::lines::{Line, Moments, Placed, on_pans, times};
use super::seat::{Seats, SharePans, nowhere, percussion, seat};
use super::spare::is_spare;
use crate::exchange::names::word;
use crate::exchange::score::{On, Part, Score};
use crate::pan::{Band, Costs, NoteSet, PanKind};
use crate::people::assign::assign_within;
use crate::people::problem::{Choice, Pair, Pick, Problem, Weight};

/// A part whose middle note is below this is a bass: C3. The lowest note of a cello is B2, the highest of a nine bass F#3.
const BASS_BELOW: f64 = 48.0;

/// How many cells of its tables an assignment may look at, over all branches: a tenth of a second on one core (measured); and how many
/// branches. Where that is not enough for a proof, the best that was found is used.
const MOST_CELLS: usize = 400_000;
const MOST_BRANCHES: usize = 200;

/// With this many parts or more, it is not asked whether a player would be at two pans at once: no score for pans has so many.
const MANY_PARTS: usize = 64;

/// A seat for each part: on the band's pans if there is one, else on the built-in layouts.
pub fn seats(score: &Score, band: Option<&Band>, share: SharePans) -> Seats {
    let candidates = candidates(score, band);
    let all = All {
        score,
        candidates: &candidates,
        costs: band.map_or_else(Costs::default, |band| band.costs),
        // A layout is as many pans as are asked for.
        share: if band.is_some() { share } else { SharePans::Rows },
        middles: score.parts.iter().map(middle).collect(),
    };
    // Rows of a few notes take what the others leave.
    let (spare, whole): (Vec<usize>, Vec<usize>) =
        all.high_to_low().into_iter().partition(|part| is_spare(score, *part));
    let mut taken = BTreeMap::new();
    let missing = all.assign(&whole, false, &mut taken) + all.assign(&spare, true, &mut taken);
    let mut has_named = vec![false; candidates.len()];
    let seat = |(number, part): (usize, &Part)| match (part.on, taken.get(&number)) {
        (On::Percussion(instrument), _) => percussion(instrument, band),
        (On::Pan, None) => nowhere(part, band.is_some()),
        (On::Pan, Some(pan)) => {
            let may_name = !score.ours && !spare.contains(&number) && !std::mem::replace(&mut has_named[*pan], true);
            seat(part, &candidates[*pan], band.is_some(), may_name)
        }
    };
    let seats = score.parts.iter().enumerate().map(seat).collect();
    Seats { seats, missing }
}

/// The mean pitch of a part; 0 for one without notes.
fn middle(part: &Part) -> f64 {
    let (sum, count) =
        part.pitches().fold((0.0, 0.0), |(sum, count), pitch| (sum + f64::from(pitch.key()), count + 1.0));
    if count == 0.0 { 0.0 } else { sum / count }
}

/// Parts and pans to be brought together.
struct All<'a> {
    score: &'a Score,
    candidates: &'a [Candidate<'a>],
    costs: Costs,
    share: SharePans,
    /// The mean pitch of each part.
    middles: Vec<f64>,
}

/// What is wanted of some parts, the highest first.
struct Wanted<'a> {
    /// The candidates of each.
    could: &'a [Vec<usize>],
    /// What each costs on each of its candidates.
    aims: Vec<Vec<Aims>>,
    /// At how many moments each crosses the next lower one, by the candidates of the two.
    crossed: Vec<Vec<Vec<u64>>>,
}

impl All<'_> {
    /// The parts on pans for which there is any, the highest first.
    fn high_to_low(&self) -> Vec<usize> {
        let parts = &self.score.parts;
        let could =
            |part: &usize| parts[*part].on == On::Pan && (0..self.candidates.len()).any(|pan| self.suits(*part, pan));
        let mut order: Vec<usize> = (0..parts.len()).filter(could).collect();
        order.sort_by(|a, b| self.middles[*b].total_cmp(&self.middles[*a]).then(a.cmp(b)));
        order
    }

    /// Whether a pan is of the kind that the file names for a part, if it names one.
    fn suits(&self, part: usize, pan: usize) -> bool {
        self.score.parts[part].kind.is_none_or(|kind| kind == self.candidates[pan].kind)
    }

    /// Gives each of some parts, the highest first, its pan, and returns how many of their strokes are missing there. `spare`: whether they
    /// are rows of a few notes, which never take the place of a lead. `taken`: the candidates of the parts that have one.
    fn assign(&self, parts: &[usize], spare: bool, taken: &mut BTreeMap<usize, usize>) -> u64 {
        if parts.is_empty() {
            return 0;
        }
        let times = times(self.score);
        let lines: Vec<Line> =
            parts.iter().map(|part| Line::of(&self.score.parts[*part], self.score, &times)).collect();
        let pans: Vec<(NoteSet, PanKind)> = self.candidates.iter().map(|pan| (pan.notes, pan.kind)).collect();
        let placed = on_pans(&lines, &pans, &self.costs);
        let could: Vec<Vec<usize>> = parts.iter().map(|part| self.could(*part, spare)).collect();
        let aims = |rank: usize| {
            could[rank].iter().map(|pan| self.aims(parts, rank, *pan, &placed[rank][*pan], spare)).collect()
        };
        let wanted = Wanted {
            aims: (0..parts.len()).map(aims).collect(),
            crossed: if spare { Vec::new() } else { crossings(&lines, &placed, &could) },
            could: &could,
        };
        let problem = self.problem(&wanted, taken);
        let columns = parts.len() * (self.candidates.len() + 1);
        let most = (MOST_CELLS / (parts.len() * columns)).clamp(1, MOST_BRANCHES);
        let found = assign_within(&problem, most);
        let mut missing = 0;
        for (rank, choice) in found.chosen.iter().enumerate() {
            // Nobody is left where all who could are at other pans of theirs; the part then waits for a player at the first.
            let pan = choice.map_or(could[rank][0], |choice| problem.choices[rank][choice].piece);
            missing += placed[rank][pan].missing;
            taken.insert(parts[rank], pan);
        }
        missing
    }

    /// The assignment that some parts ask for: every pan that could take a part with everybody who plays it.
    fn problem(&self, wanted: &Wanted, taken: &BTreeMap<usize, usize>) -> Problem {
        let parts = wanted.could.len();
        let most_crossed = |costs: &Vec<Vec<u64>>| costs.iter().flatten().max().copied().unwrap_or(0);
        let scale = Scale::new(&Most {
            parts,
            aims: wanted.aims.iter().flatten().copied().fold(Aims::default(), Aims::max),
            crossed: wanted.crossed.iter().map(most_crossed).sum(),
            costs: &self.costs,
            share: self.share,
        });
        let mut choices: Vec<Vec<Choice>> = vec![Vec::new(); parts];
        // The number of each choice's pan among those that could take the part.
        let mut pans: Vec<Vec<usize>> = vec![Vec::new(); parts];
        for (rank, could) in wanted.could.iter().enumerate() {
            for (number, pan) in could.iter().enumerate() {
                let there = taken.values().filter(|other| *other == pan).count() as Weight;
                let weight = scale.weigh(&wanted.aims[rank][number]) + scale.shared * there;
                for player in &self.candidates[*pan].players {
                    choices[rank].push(Choice { player: *player, piece: *pan, weight });
                    pans[rank].push(number);
                }
            }
        }
        let pair = |(rank, costs): (usize, &Vec<Vec<u64>>)| {
            let row = |x: &usize| pans[rank + 1].iter().map(|y| scale.crossed * Weight::from(costs[*x][*y])).collect();
            Pair { parts: (rank, rank + 1), costs: pans[rank].iter().map(row).collect() }
        };
        Problem {
            nobody: scale.nobody,
            again: scale.shared,
            again_grows: scale.shared,
            clashes: if parts < MANY_PARTS { two_pans(&choices) } else { BTreeSet::new() },
            pairs: wanted.crossed.iter().enumerate().map(pair).collect(),
            choices,
        }
    }

    /// The candidates for a part.
    fn could(&self, part: usize, spare: bool) -> Vec<usize> {
        let all: Vec<usize> = (0..self.candidates.len()).filter(|pan| self.suits(part, *pan)).collect();
        let others: Vec<usize> =
            all.iter().copied().filter(|pan| !spare || !self.candidates[*pan].kind.is_lead()).collect();
        if others.is_empty() { all } else { others }
    }

    /// What a part on a pan costs. `rank`: its place among the parts, from high to low.
    fn aims(&self, parts: &[usize], rank: usize, pan: usize, placed: &Placed, spare: bool) -> Aims {
        let part = &self.score.parts[parts[rank]];
        let candidate = &self.candidates[pan];
        let name = if self.score.ours { part.name.clone() } else { word(&part.name) };
        let is_habit = |candidate: &Candidate| candidate.plays.contains(&name);
        let hint = hint(&name, self.middles[parts[rank]], rank == 0 && !spare);
        let is_asked = hint.is_none_or(|hint| hint == candidate.kind || hint.is_bass() && candidate.kind.is_bass());
        let [missing, torn, _] = MOST_COUNTED;
        Aims {
            not_its_habit: u64::from(!is_habit(candidate) && self.candidates.iter().any(is_habit)),
            missing: placed.missing.min(missing),
            torn: placed.torn.min(torn),
            not_asked_for: u64::from(!is_asked),
            away: placed.away,
            disorder: ((parts.len() - rank) * pan) as u64,
        }
    }
}

/// At how many moments each part crosses the next lower one, by the candidates of the two.
fn crossings(lines: &[Line], placed: &[Vec<Placed>], could: &[Vec<usize>]) -> Vec<Vec<Vec<u64>>> {
    let [.., most] = MOST_COUNTED;
    let pair = |high: usize| {
        let (moments, low) = (Moments::of(&lines[high], &lines[high + 1]), high + 1);
        let costs = |x: &usize| {
            let crossed = |y: &usize| moments.crossed(&placed[high][*x], &placed[low][*y]).min(most);
            could[low].iter().map(crossed).collect()
        };
        could[high].iter().map(costs).collect()
    };
    (0..lines.len() - 1).into_par_iter().map(pair).collect()
}

/// Pairs of choices in which one player would be at two pans.
fn two_pans(choices: &[Vec<Choice>]) -> BTreeSet<(Pick, Pick)> {
    let mut of_player: BTreeMap<usize, Vec<(Pick, usize)>> = BTreeMap::new();
    for (part, choices) in choices.iter().enumerate() {
        for (number, choice) in choices.iter().enumerate() {
            of_player.entry(choice.player).or_default().push(((part, number), choice.piece));
        }
    }
    let mut clashes = BTreeSet::new();
    for picks in of_player.values().filter(|picks| picks.iter().any(|(_, pan)| *pan != picks[0].1)) {
        for (n, (a, on_a)) in picks.iter().enumerate() {
            let apart = picks[n + 1..].iter().filter(|(b, on_b)| a.0 != b.0 && on_a != on_b);
            clashes.extend(apart.map(|(b, _)| (*a, *b)));
        }
    }
    clashes
}

/// The kind that a part's name or place asks for.
fn hint(name: &str, middle: f64, is_first: bool) -> Option<PanKind> {
    // A voice called tenor or alto is no pan's: the words mean leads and double tenors in the trade, voices elsewhere.
    let word = |word: &str| PanKind::from_name(word).filter(|_| !matches!(word, "tenor" | "alto"));
    let named = word(name).or_else(|| name.split('-').find_map(word));
    named.or_else(|| is_first.then_some(PanKind::Lead)).or_else(|| (middle < BASS_BELOW).then_some(PanKind::SixBass))
}

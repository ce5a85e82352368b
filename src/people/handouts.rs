//! What is handed out: mostly a part, to all who play it; to somebody at several pieces of percussion (a drum kit) all of their parts
//! together, with the rows under each other.

use std::collections::BTreeMap;

use crate::pan::Piece;
use crate::tune::Tune;
use crate::tune::model::Player;

/// What goes into one folder, onto one sheet and one page.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Handout {
    /// The parts, in the order of the file; several only for percussion.
    pub parts: Vec<usize>,
    /// The band's pans that play it; empty for percussion, and where nobody has a pan for it.
    pub pans: Vec<usize>,
}

/// What is handed out for a tune, in the order of its parts; a pan's own version stands after the part that it stands for. A part that
/// only a version's pan plays is not handed out.
pub fn handouts<N>(tune: &Tune<N>) -> Vec<Handout> {
    let by_player = by_player(tune);
    let kits = kits(&by_player);
    let mut handouts: Vec<Handout> =
        kits.iter().map(|parts| Handout { parts: parts.clone(), pans: Vec::new() }).collect();
    for (number, part) in tune.parts.iter().enumerate() {
        let pans = match &part.player {
            Player::Pans { pans, .. } => pans.clone(),
            Player::Percussion { .. } => Vec::new(),
        };
        let has_version = tune.seats.iter().any(|seat| tune.parts[seat.part].version.is_some_and(|v| v.of == number));
        let in_kits = by_player.values().filter(|parts| parts.len() > 1 && parts.contains(&number)).count();
        let seats = tune.seats.iter().filter(|seat| seat.part == number).count();
        let has_nobody = seats == 0 && (has_version || part.version.is_some());
        if !has_nobody && (in_kits == 0 || seats > in_kits) {
            handouts.push(Handout { parts: vec![number], pans });
        }
    }
    let place = |part: usize| tune.parts[part].version.map_or((part, 0), |version| (version.of, part));
    handouts.sort_by_key(|handout| (place(handout.parts[0]), handout.parts.len()));
    handouts
}

/// The parts of each player who has several pieces of percussion, each set of parts once.
fn kits(by_player: &BTreeMap<usize, Vec<usize>>) -> Vec<Vec<usize>> {
    let mut kits: Vec<Vec<usize>> = by_player.values().filter(|parts| parts.len() > 1).cloned().collect();
    kits.sort_unstable();
    kits.dedup();
    kits
}

/// The percussion parts of each player, in the order of the file.
fn by_player<N>(tune: &Tune<N>) -> BTreeMap<usize, Vec<usize>> {
    let mut by_player: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for seat in tune.seats.iter().filter(|seat| matches!(seat.piece, Piece::Percussion(_))) {
        by_player.entry(seat.player).or_default().push(seat.part);
    }
    by_player.values_mut().for_each(|parts| {
        parts.sort_unstable();
        parts.dedup();
    });
    by_player
}

//! Everything that a band has to play on, and everybody who plays it.

use std::collections::BTreeSet;

use super::band::Band;
use super::player::{BandPlayer, Piece};
use crate::text::Span;

impl Band {
    /// The name of a pan or a piece of percussion.
    pub fn name_of(&self, piece: Piece) -> &str {
        match piece {
            Piece::Pan(number) => &self.pans[number].pan.name,
            Piece::Percussion(number) => &self.percussion[number].name,
        }
    }

    /// What sort of pan or percussion it is.
    pub fn kind_of(&self, piece: Piece) -> &'static str {
        match piece {
            Piece::Pan(number) => self.pans[number].pan.kind.name(),
            Piece::Percussion(number) => self.percussion[number].instrument.name(),
        }
    }

    /// The parts that its `plays` names: the band's habit.
    pub fn habit(&self, piece: Piece) -> &[String] {
        match piece {
            Piece::Pan(number) => &self.pans[number].plays,
            Piece::Percussion(number) => &self.percussion[number].plays,
        }
    }

    /// Where the band file names it.
    pub fn span_of(&self, piece: Piece) -> Span {
        match piece {
            Piece::Pan(number) => self.pans[number].span,
            Piece::Percussion(number) => self.percussion[number].span,
        }
    }

    /// All pans and all percussion, the pans first.
    pub fn pieces(&self) -> impl Iterator<Item = Piece> + use<> {
        (0..self.pans.len()).map(Piece::Pan).chain((0..self.percussion.len()).map(Piece::Percussion))
    }

    /// Everybody: those whom the band file names, in its order; then, for each pan and each piece of percussion that none of
    /// them plays, somebody who is named after it.
    pub fn everybody(&self) -> Vec<BandPlayer> {
        let played: BTreeSet<Piece> = self.players.iter().flat_map(|player| player.plays.iter().copied()).collect();
        let own = self.pieces().filter(|piece| !played.contains(piece)).map(|piece| BandPlayer {
            name: self.name_of(piece).to_owned(),
            plays: vec![piece],
            level: None,
            knows: Vec::new(),
            span: self.span_of(piece),
            is_named: false,
        });
        self.players.iter().cloned().chain(own).collect()
    }
}

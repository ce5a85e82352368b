//! The people of a band, and what each of them plays.

use std::collections::BTreeSet;

use super::band::Band;
use super::level::Level;
use crate::text::Span;

/// A pan or a piece of percussion of a band, by its number there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Piece {
    /// A pan.
    Pan(usize),
    /// A piece of percussion.
    Percussion(usize),
}

/// A player of the band.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BandPlayer {
    /// What the band calls them.
    pub name: String,
    /// What they can play, the usual one first; never empty.
    pub plays: Vec<Piece>,
    /// How far they have come; `None`: as the pan or the band says.
    pub level: Option<Level>,
    /// The parts that they have learnt already.
    pub knows: Vec<Known>,
    /// Where the band file names them; for one who is named nowhere, what they play.
    pub span: Span,
    /// Whether the band file has a `[[player]]` for them. A pan that no `[[player]]` plays has a player of its own, who is
    /// named after it.
    pub is_named: bool,
}

/// A part that a player has learnt.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Known {
    /// The tune: its file's name without the ending.
    pub tune: String,
    /// The part.
    pub part: String,
}

impl Known {
    /// Reads `sea-grape-road: lead`; `None` for anything else.
    pub fn read(text: &str) -> Option<Known> {
        let (tune, part) = text.split_once(':')?;
        let (tune, part) = (tune.trim().trim_end_matches(".tune"), part.trim());
        let is_whole = !tune.is_empty() && !part.is_empty() && !part.contains(char::is_whitespace);
        is_whole.then(|| Known { tune: tune.to_owned(), part: part.to_owned() })
    }
}

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

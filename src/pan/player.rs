//! The people of a band, and what each of them plays.

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
    /// Their level; `None`: as the pan or the band says.
    pub level: Option<Level>,
    /// The parts that they have learnt already.
    pub knows: Vec<Known>,
    /// Where the band file names them; for somebody who is named nowhere, where it names what they play.
    pub span: Span,
    /// Whether the band file has a `[[player]]` for them. A pan that no `[[player]]` plays has a player of its own, who is
    /// named after it, so that a band with a drum kit needs one entry only.
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

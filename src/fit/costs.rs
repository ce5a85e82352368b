//! What every change of a tune costs: the table that all optimisers share.

/// A cost in thousandths of a unit, so that sums and ties are exact and the same everywhere.
pub type Cost = i64;

/// What changes cost. One unit is the price of moving one note by one octave.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Costs {
    /// A note that moves, for each octave. The unit.
    pub move_note: Cost,
    /// Two neighbours of a phrase that move by different numbers of octaves, for each octave of difference: a line that is
    /// torn is worse than several notes that move together.
    pub break_line: Cost,
    /// The same across a rest of at least a beat or a section's start: there a line breathes, and a new octave is heard as a
    /// new beginning.
    pub break_at_rest: Cost,
    /// Two neighbours of a phrase whose direction is lost: up became down, or a repeated note a leap. Tunes are known by
    /// their ups and downs.
    pub turn: Cost,
    /// A note whose pitch class the pan does not have at all: more than any line of moves is worth.
    pub missing: Cost,
    /// Another key, for each semitone away from the one that was written.
    pub rekey: Cost,
}

impl Default for Costs {
    /// Our own settings: 1, 6, 1.5, 2, 1000 and 3 units. No source gives such weights.
    fn default() -> Self {
        Costs { move_note: 1000, break_line: 6000, break_at_rest: 1500, turn: 2000, missing: 1_000_000, rekey: 3000 }
    }
}

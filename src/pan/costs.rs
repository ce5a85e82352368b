//! What every change to a tune costs: the table that all optimisers share. It is kept with the pans since a band file may set
//! it.

/// A cost in thousandths of a unit, so that sums and ties are exact and the same everywhere.
pub type Cost = i64;

/// What changes cost. One unit is the price of moving one note by one octave.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Costs {
    /// A note that moves, for each octave. The unit.
    pub move_note: Cost,
    /// Two neighbours of a phrase that move by different numbers of octaves, for each octave of difference: a jump of an octave in
    /// the line is worse than several notes that move together.
    pub break_line: Cost,
    /// The same across a rest of at least a beat or a section's start: the line breathes there, and a new octave sounds like a
    /// new beginning.
    pub break_at_rest: Cost,
    /// Two neighbours of a phrase whose direction is lost: up became down, or a repeated note became a leap. People know tunes by
    /// their ups and downs.
    pub turn: Cost,
    /// A note that ends up above a higher part that sounds, or below a lower one, and is not so as written. It costs less than a
    /// moved note, so that nothing moves for it alone; of two ways to move, the one that keeps the voices apart is chosen.
    pub cross: Cost,
    /// A note whose pitch class the pan does not have at all: more than any line of moves is worth.
    pub missing: Cost,
    /// Where parts of somebody else's score are given to pans: a stroke that its pan has in no octave. It is weighed against
    /// [`Costs::cross`] for each moment at which two neighbours cross. Three moved notes: if missing strokes came before everything,
    /// a bass part with one note missing on the six bass would go to the cellos, above the tenor for the whole tune.
    pub left_out: Cost,
    /// Another key, for each semitone away from the one that was written.
    pub rekey: Cost,
    /// Where an octave is left open: a leap from one note to the next, for each semitone. A reader takes a bare letter for the
    /// nearest octave.
    pub leap: Cost,
    /// Where an octave is left open: how far a note is from the middle of its pan (on a bass: from the lower part of it), for each
    /// semitone. Small: it decides where a line begins, not how it goes on.
    pub home: Cost,
}

/// A cost that a band file may set: its key there, and its place in the table.
pub struct Setting {
    /// The key in the band file.
    pub key: &'static str,
    /// Its value in a table.
    pub of: fn(&mut Costs) -> &mut Cost,
}

/// All costs by their keys.
pub const SETTINGS: [Setting; 10] = [
    Setting { key: "move", of: |costs| &mut costs.move_note },
    Setting { key: "break", of: |costs| &mut costs.break_line },
    Setting { key: "break_at_rest", of: |costs| &mut costs.break_at_rest },
    Setting { key: "turn", of: |costs| &mut costs.turn },
    Setting { key: "cross", of: |costs| &mut costs.cross },
    Setting { key: "missing", of: |costs| &mut costs.missing },
    Setting { key: "left_out", of: |costs| &mut costs.left_out },
    Setting { key: "rekey", of: |costs| &mut costs.rekey },
    Setting { key: "leap", of: |costs| &mut costs.leap },
    Setting { key: "home", of: |costs| &mut costs.home },
];

/// The most that a cost may be set to, in units, so that sums over the longest tunes never overflow.
pub const MOST: f64 = 100_000.0;

impl Default for Costs {
    /// Our own settings: 1, 6, 1.5, 2, 0.5, 1000, 3, 3, 0.1 and 0.02 units. No source gives such weights.
    fn default() -> Self {
        Costs {
            move_note: 1000,
            break_line: 6000,
            break_at_rest: 1500,
            turn: 2000,
            cross: 500,
            missing: 1_000_000,
            left_out: 3000,
            rekey: 3000,
            leap: 100,
            home: 20,
        }
    }
}

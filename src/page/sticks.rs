//! Which stick strikes what, moment by moment.

use std::collections::HashMap;

use crate::hands::line;
use crate::music::{Moment, Pitch};
use crate::notation::tree::Stick;
use crate::performance::pass::passes;
use crate::tune::Tune;
use crate::tune::model::Struck;

/// The notes that begin at a moment, each with its stick; moments at which the sticks are not known are left out.
pub type Sticks = HashMap<Moment, Vec<(Pitch, Stick)>>;

/// The sticks of a part as played.
///
/// - `pan`: the number of the band's pan that it is played on; without one no sticks are known.
pub fn sticks(tune: &Tune, part: usize, pan: Option<usize>) -> Sticks {
    let mut out = Sticks::new();
    let Some(pan) = pan else { return out };
    let chosen = line::sticks(tune, part, pan);
    for pass in passes(tune, None, false) {
        let events = pass.section.rows[part].iter().flat_map(|row| &row.events);
        for (event, stick) in events.zip(&chosen[pass.number]) {
            let (Struck::Notes(notes), Some(stick)) = (&event.struck, stick) else { continue };
            let of = [*stick, stick.other()];
            let notes = notes.iter().zip(of).map(|(note, stick)| (note.pitch, stick)).collect();
            out.insert(pass.moment(event.start, event.straight), notes);
        }
    }
    out
}

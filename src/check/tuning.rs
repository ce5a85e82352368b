//! Notes that are out of tune on the pan that plays them.

use super::uses;
use crate::music::Cents;
use crate::text::{Finding, Kind};
use crate::tune::Tune;
use crate::tune::model::Player;

/// A part strikes a note that is out of tune. About 10 cents: Hill and Summers, "Discrimination of interval size in short tone
/// sequences", J. Acoust. Soc. Am., 2007.
pub static OUT_OF_TUNE: Kind = Kind {
    name: "out-of-tune",
    what: "A part strikes a note that is out of tune on its pan, beyond the band's tolerance.",
    why: "Amateurs notice when an interval is about 10 cents off (published). Whole pans were measured 20 to 30 cents \
          off, so set the band's own `a4` first. Take a pan that is out of tune to a tuner.",
};

/// Every note that is out of tune, one finding a part, pan and note.
pub fn tuning(tune: &Tune, tolerance: Cents) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (number, part) in tune.parts.iter().enumerate() {
        let Player::Pans { pans, .. } = &part.player else { continue };
        let notes = uses::notes(tune, number);
        for pan in pans.iter().map(|pan| &tune.band.pans[*pan].pan) {
            for (_, area) in pan.notes().filter(|(_, area)| area.cents.0.abs() > tolerance.0) {
                let Some(places) = notes.get(&area.pitch) else { continue };
                let (off, direction) = (area.cents.0.abs(), if area.cents.0 < 0.0 { "flat" } else { "sharp" });
                let name = uses::named(tune, places.spans[0], area.pitch, tune.sections[places.section].key);
                let message = format!("`{name}` on `{}` is {off} cents {direction}", pan.name);
                let finding = Finding::warning(&OUT_OF_TUNE, message)
                    .help(format!("ask a tuner to look at it; up to {} cents is fine", tolerance.0))
                    .part(&part.name);
                findings.push(places.mark(tune, finding));
            }
        }
    }
    findings
}

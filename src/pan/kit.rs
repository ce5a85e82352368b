//! What to say about a drum kit that is written as if it were one instrument.

use std::sync::Arc;

use super::findings::DRUM_KIT;
use crate::text::{Finding, Source, Span};

/// What a drum kit is called (common practice, no source).
const NAMES: [&str; 8] = ["kit", "drum-kit", "drumkit", "drums", "drum-set", "drumset", "trap-set", "traps"];

/// Whether a name is that of a drum kit, whatever its case; spaces and underscores count as hyphens.
pub fn is_kit(name: &str) -> bool {
    NAMES.contains(&name.to_lowercase().replace([' ', '_'], "-").as_str())
}

/// How one player gets the whole kit.
const ONE_PLAYER: &str = "for one player who plays them all, write a `[[player]]` with a `name` in the band file, and below it the \
                          pieces by their names: `plays = [\"Foot drum\", \"Side drum\", \"Hat\"]`";

/// A finding for a tune's part that is played on a kit; `place` is that of the kit's name.
pub fn as_a_part(source: &Arc<Source>, name: &str, place: Span) -> Finding {
    Finding::error(&DRUM_KIT, format!("`{name}` is several instruments, and each of them has a part of its own"))
        .at(source, place)
        .help("write a part for each: `part kick on kick`, `part snare on snare`, `part hat on hi-hat`")
        .help(ONE_PLAYER)
}

/// A finding for a band's percussion that is a kit; `place` is that of the kit's name.
pub(crate) fn as_percussion(source: &Arc<Source>, name: &str, place: Span) -> Finding {
    let message = format!("`{name}` is several instruments, and each of them has a `[[percussion]]` of its own");
    Finding::error(&DRUM_KIT, message)
        .at(source, place)
        .help("write one for each, with a `name` and `kind = \"kick\"`, `kind = \"snare\"`, `kind = \"hi-hat\"`")
        .help(ONE_PLAYER)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pan::Instrument;

    #[test]
    fn a_kit_is_no_instrument() {
        for name in ["kit", "Kit", "drums", "drumset", "Drum kit", "drum_kit"] {
            assert!(is_kit(name) && Instrument::from_name(name).is_none(), "{name}");
        }
        assert!(!is_kit("bass-drum") && !is_kit("drum"));
        for piece in ["kick", "snare", "hi-hat"] {
            assert!(Instrument::from_name(piece).is_some(), "{piece} is what the help says to write");
        }
    }
}

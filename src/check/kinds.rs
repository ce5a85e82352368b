//! Every kind of finding of the program, by name: what `panfold findings` lists.

use super::{chords, form, missing, players, reach, seats, sticks, tuning, two_sticks};
use crate::notation::findings as notation;
use crate::pan::findings as pan;
use crate::text::Kind;
use crate::text::source;
use crate::tune::findings as tune;

/// All kinds but those of `cli/`, sorted by name.
pub fn kinds() -> Vec<&'static Kind> {
    let mut kinds = vec![
        &source::TOO_LARGE,
        &source::NOT_TEXT,
        &notation::UNKNOWN_LINE,
        &notation::WRONG_CELL,
        &notation::WRONG_BAR,
        &notation::WRONG_CHORD,
        &notation::WRONG_DYNAMIC,
        &notation::WRONG_VALUE,
        &notation::INCOMPLETE,
        &notation::SETTING_TWICE,
        &notation::MISPLACED,
        &notation::WRONG_NAME,
        &notation::UNKNOWN_INSTRUCTION,
        &notation::TOO_MANY,
        &pan::BAND_SYNTAX,
        &pan::UNKNOWN_KEY,
        &pan::WRONG_ENTRY,
        &pan::UNKNOWN_LAYOUT,
        &pan::WRONG_NOTE,
        &pan::NOTE_TWICE,
        &pan::NO_SUCH_NOTE,
        &pan::UNLIKELY_NOTE,
        &pan::PAN_TWICE,
        &pan::PLAYER_TWICE,
        &pan::UNKNOWN_PIECE,
        &pan::NOTHING_THERE,
        &tune::UNKNOWN_PART,
        &tune::UNKNOWN_KIND,
        &tune::UNKNOWN_SECTION,
        &tune::UNKNOWN_PATTERN,
        &tune::NAME_TWICE,
        &tune::NOBODY_NAMED,
        &tune::RESERVED_NAME,
        &tune::ROW_TWICE,
        &tune::BARS_DIFFER,
        &tune::NOTHING_TO_REPEAT,
        &tune::NOTHING_TO_HOLD,
        &tune::WRONG_STROKE,
        &tune::NO_CHORD,
        &tune::OTHER_METER,
        &tune::CIRCULAR_WITH,
        &tune::WRONG_INSTRUCTION,
        &tune::NOTHING_TO_PLAY,
        &tune::LONG_PICKUP,
        &tune::TOO_LONG,
        &missing::MISSING_NOTE,
        &two_sticks::TOO_MANY_NOTES,
        &two_sticks::SAME_NOTE,
        &two_sticks::ROLL_WITH_NOTE,
        &reach::OUT_OF_REACH,
        &sticks::TOO_FAST,
        &sticks::CROSSED_HANDS,
        &tuning::OUT_OF_TUNE,
        &players::NO_PLAYER,
        &seats::ONE_PLAYER_TWO_PARTS,
        &seats::BROKEN_HABIT,
        &seats::ANOTHER_PLAYER,
        &seats::ROW_NOT_USED,
        &players::IDLE_PAN,
        &players::IDLE_PERCUSSION,
        &players::MISTYPED_PLAYS,
        &players::MISTYPED_LEVELS,
        &form::NEVER_PLAYED,
        &form::SILENT_PART,
        &chords::OUTSIDE_CHORD,
    ];
    kinds.sort_by_key(|kind| kind.name);
    kinds
}

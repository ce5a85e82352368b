//! The kinds of finding of the command line, and all kinds together.

use crate::check::kinds;
use crate::cover::lineup::{CROWDED_MIDDLE, MASKED_LEAD};
use crate::door::kinds::{
    CHANGED_MEANWHILE, NO_BAND, NOT_UNDERSTOOD, THERE_ALREADY, UNREADABLE, UNWRITABLE, WRONG_CHOICE,
};
use crate::exchange::findings as exchange;
use crate::text::Kind;

/// A mistake of the program's own.
pub(crate) static OWN_MISTAKE: Kind = Kind {
    name: "own-mistake",
    what: "The program has made a mistake of its own.",
    why: "It is not your tune's fault, though another way of writing it may help. No file is half-written.",
};

/// Questions that were not answered.
pub(crate) static MISSING_ANSWER: Kind = Kind {
    name: "missing-answer",
    what: "The answers ended before the questions did.",
    why: "Answers may come from a file or another program, one a line. Nothing was written.",
};

/// An answer that can't be accepted.
pub(crate) static WRONG_ANSWER: Kind = Kind {
    name: "wrong-answer",
    what: "An answer is not what the question asks for.",
    why: "On a terminal the question is asked again. If the answers come from a file, nothing was written.",
};

/// Every kind of finding of the program, sorted by name.
pub fn all() -> Vec<&'static Kind> {
    let mut all = kinds::kinds();
    all.extend([
        &UNREADABLE,
        &UNWRITABLE,
        &NO_BAND,
        &WRONG_CHOICE,
        &THERE_ALREADY,
        &CHANGED_MEANWHILE,
        &OWN_MISTAKE,
        &NOT_UNDERSTOOD,
        &MISSING_ANSWER,
        &WRONG_ANSWER,
    ]);
    all.extend([
        &exchange::WRONG_MUSIC_FILE,
        &exchange::TOO_MUCH_MUSIC,
        &exchange::NOT_CARRIED,
        &exchange::WRITTEN_OTHERWISE,
        &exchange::PANS_SHARED,
        &exchange::ODD_MIDI_FILE,
    ]);
    all.extend([&MASKED_LEAD, &CROWDED_MIDDLE]);
    all.sort_by_key(|kind| kind.name);
    all
}

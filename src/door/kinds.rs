//! The kinds of finding about files and choices.

use crate::text::Kind;

/// A file can't be read.
pub static UNREADABLE: Kind = Kind {
    name: "unreadable",
    what: "A file can't be read: it is not there, it is a folder, or you are not allowed to read it.",
    why: "Panfold looks in the folder that you are in; for a band in the tune's folder, for a pan file in the \
          band's.",
};

/// A file can't be written.
pub static UNWRITABLE: Kind = Kind {
    name: "unwritable",
    what: "A file can't be written: its folder is not there or may not be written to, or there is no room.",
    why: "Files are written whole or not at all, so what was there before is untouched.",
};

/// A tune names no band.
pub static NO_BAND: Kind = Kind {
    name: "no-band",
    what: "A tune names no band, and none was given.",
    why: "The band's file says which notes every pan has; without it there is nothing to check against.",
};

/// A choice that is not possible.
pub static WRONG_CHOICE: Kind = Kind {
    name: "wrong-choice",
    what: "An option names something that is not there, or does not go with another option.",
    why: "Nothing has been written; put `--help` after the command for examples.",
};

/// A tune that can't be played as it is.
pub static NOT_UNDERSTOOD: Kind = Kind {
    name: "not-understood",
    what: "A tune or its band has mistakes, so panfold can't know what it should sound like.",
    why: "What panfold doesn't understand would be silent, and nobody would know why.",
};

/// A file that exists already.
pub static THERE_ALREADY: Kind = Kind {
    name: "there-already",
    what: "There is a file of that name already.",
    why: "Panfold never replaces your own work without asking. It does replace files that it wrote itself and that nobody has changed.",
};

/// A file that somebody else changed.
pub static CHANGED_MEANWHILE: Kind = Kind {
    name: "changed-meanwhile",
    what: "Somebody changed the tune while panfold was working on it.",
    why: "Nothing was written, so those changes are safe. Run the command again.",
};

//! The kinds of finding that reading bands and pans makes.

use crate::text::Kind;

/// A file is not TOML.
pub static BAND_SYNTAX: Kind = Kind {
    name: "band-syntax",
    what: "A line of a band or pan file can't be read.",
    why: "Band and pan files have lines such as `name = \"Red rim\"`: texts go in quotes, lists in square brackets.",
};

/// A setting that is not known.
pub static UNKNOWN_SETTING: Kind = Kind {
    name: "unknown-setting",
    what: "A band or pan file has a setting that panfold does not know.",
    why: "Otherwise one slip in typing would give you a wrong pan, and nobody would notice.",
};

/// A value of the wrong sort.
pub static WRONG_ENTRY: Kind = Kind {
    name: "wrong-entry",
    what: "Something is missing in a band or pan file, or has a value that it can't have.",
    why: "For example `a4` is a number, `name` a text in quotes, `without` a list of notes.",
};

/// A layout or a kind of pan that is not known.
pub static UNKNOWN_LAYOUT: Kind = Kind {
    name: "unknown-layout",
    what: "A band or pan file names a layout or a kind of pan that panfold does not know.",
    why: "`panfold pans` lists the layouts; for a pan that follows none of them, list its notes.",
};

/// A kind of percussion that is not known.
pub static UNKNOWN_PERCUSSION: Kind = Kind {
    name: "unknown-percussion",
    what: "A band file names a kind of percussion that panfold does not know.",
    why: "Every kind has its own strokes and its own sound; take the nearest one in `panfold guide engine-room`.",
};

/// A drum kit where one instrument is asked for.
pub static DRUM_KIT: Kind = Kind {
    name: "drum-kit",
    what: "A drum kit is written where one instrument of the engine room is asked for.",
    why: "A row is for one instrument. Each piece of a kit is an instrument of its own; one player can play them all.",
};

/// A text that is not a note.
pub static WRONG_NOTE: Kind = Kind {
    name: "wrong-note",
    what: "A band or pan file has something that is not a note where a note should be.",
    why: "Notes are written with their octave, as in `F#4` or `Bb3`.",
};

/// A note that a pan has twice.
pub static NOTE_TWICE: Kind = Kind {
    name: "note-twice",
    what: "A pan has the same note twice.",
    why: "`Gb4` and `F#4` sound the same, so they are one note. Usually an octave is mistyped.",
};

/// A note that a pan does not have.
pub static NO_SUCH_NOTE: Kind = Kind {
    name: "no-such-note",
    what: "`without` or `cents` names a note that the pan does not have.",
    why: "It would change nothing, so another note or octave was probably meant.",
};

/// A note far beyond its kind of pan.
pub static UNLIKELY_NOTE: Kind = Kind {
    name: "unlikely-note",
    what: "A pan has a note far below or above every usual layout of its kind.",
    why: "Its octave is probably mistyped: C4 is middle C. It may also be a pan of another kind.",
};

/// A pan or percussion whose name is taken.
pub static PAN_TWICE: Kind = Kind {
    name: "pan-twice",
    what: "Two pans or percussion instruments of a band have the same name.",
    why: "Reports and practice tracks tell them apart by their names.",
};

/// A player whose name is taken.
pub static PLAYER_TWICE: Kind = Kind {
    name: "player-twice",
    what: "Two players of a band have the same name.",
    why: "Lists of who plays what tell people apart by their names.",
};

/// A pan or percussion that a player plays and that is not in the band.
pub static UNKNOWN_PIECE: Kind = Kind {
    name: "unknown-piece",
    what: "A `[[player]]` plays something that is not in the band file.",
    why: "Players play the pans and the percussion of the band file, by the names that they have there.",
};

/// Something that is empty.
pub static NOTHING_THERE: Kind = Kind {
    name: "nothing-there",
    what: "A band has neither pans nor percussion, or a pan has no notes.",
    why: "There is nothing to check a tune against.",
};

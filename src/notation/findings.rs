//! The kinds of finding that reading a tune makes.

use crate::text::Kind;

/// A line that the notation does not know.
pub static UNKNOWN_LINE: Kind = Kind {
    name: "unknown-line",
    what: "A line is neither a setting, nor a part, a pattern, a form, a section, nor a row.",
    why: "Every line begins with a word that says what it is, or with the name of a part and a `|`.",
};

/// Text that is not a valid cell.
pub static WRONG_CELL: Kind = Kind {
    name: "wrong-cell",
    what: "A cell can't be read.",
    why: "A cell is a note such as `G4`, a percussion stroke `x`, `X`, `o` or `s`, a rest `.`, a hold `-` or a roll `~`.",
};

/// Something is wrong with the bar lines of a row.
pub static WRONG_BAR: Kind = Kind {
    name: "wrong-bar",
    what: "A bar can't be read: it is empty, or its bar line is missing.",
    why: "A row is a name and its bars, each between two `|`; a bar without strokes is written `| . |`.",
};

/// A chord symbol that is not known.
pub static WRONG_CHORD: Kind = Kind {
    name: "wrong-chord",
    what: "A cell of the row `chords` is not a chord symbol.",
    why: "Chord symbols begin with a note letter: `G`, `D7`, `F#m`; `-` holds the chord, `N.C.` means no chord.",
};

/// A dynamic mark that is not known.
pub static WRONG_DYNAMIC: Kind = Kind {
    name: "wrong-dynamic",
    what: "A cell of the row `dynamics` is not a dynamic mark.",
    why: "The marks are `pp p mp mf f ff`, `<` getting louder, `>` getting softer, and `-` to go on as before.",
};

/// A value that a setting can't have.
pub static WRONG_VALUE: Kind = Kind {
    name: "wrong-value",
    what: "A setting has a value that can't be read, or that is out of its range.",
    why: "Key, meter, tempo and the like each have their own values; the message says which.",
};

/// A statement lacks something.
pub static INCOMPLETE: Kind = Kind {
    name: "incomplete",
    what: "A line is not finished, or has something left over.",
    why: "For example a part needs a name and what it is played on: `part lead on lead`.",
};

/// A setting is written twice.
pub static SETTING_TWICE: Kind = Kind {
    name: "setting-twice",
    what: "A setting is given twice in the same place.",
    why: "Only one of the two can count.",
};

/// A line that is in a place where it can't be.
pub static MISPLACED: Kind = Kind {
    name: "misplaced",
    what: "A line is in the wrong place.",
    why: "Rows go in a section; the only settings that can change there are `key`, `meter` and `tempo`.",
};

/// Text that can't be a name.
pub static WRONG_NAME: Kind = Kind {
    name: "wrong-name",
    what: "A name is not one word of letters, digits and hyphens, or it is a word of the notation itself.",
    why: "Rows, forms and instructions find parts and sections by their names.",
};

/// An instruction that is not known.
pub static UNKNOWN_INSTRUCTION: Kind = Kind {
    name: "unknown-instruction",
    what: "What follows a `=` is not an instruction.",
    why: "The instructions are `strum PATTERN`, `play PATTERN`, `with PART`, `under PART`, `over PART` and `rest`.",
};

/// More than the notation takes.
pub static TOO_MANY: Kind = Kind {
    name: "too-many",
    what: "A file, a row, a bar, a cell or a form holds more than panfold can take.",
    why: "The limits are far above real tunes; usually a key was held down, or it is the wrong file.",
};

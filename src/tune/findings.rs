//! The kinds of finding that this room makes, and their sentences.

use crate::text::Kind;

/// A row, a `with` or a band's pan names a part that the tune does not have.
pub static UNKNOWN_PART: Kind = Kind {
    name: "unknown-part",
    what: "A row names a part that the tune does not have.",
    why: "Every part is announced once, before the sections, with `part NAME on KIND`; mostly the name is mistyped.",
};

/// A part is played on something that is not a kind of pan or percussion.
pub static UNKNOWN_KIND: Kind = Kind {
    name: "unknown-kind",
    what: "A part is played on something that is neither a kind of pan nor an instrument of the engine room.",
    why: "The kind decides whose pan the part is checked against and how it sounds.",
};

/// The form names a section that the tune does not have.
pub static UNKNOWN_SECTION: Kind = Kind {
    name: "unknown-section",
    what: "The form names a section that the tune does not have.",
    why: "Every name in the form needs a `section NAME` with its rows.",
};

/// A row plays a pattern that the tune does not have.
pub static UNKNOWN_PATTERN: Kind = Kind {
    name: "unknown-pattern",
    what: "A row plays a pattern that the tune does not have.",
    why: "A pattern is written once, before the sections: `pattern NAME | x . x . |`.",
};

/// A tune gives a part to somebody who is not in the band.
pub static NOBODY_NAMED: Kind = Kind {
    name: "nobody-named",
    what: "The name after `for` is not a pan, percussion or player of the band.",
    why: "`part descant on lead for Blue rim` gives the part to that pan in this tune alone, and `lead for Green rim | … |` is \
          the row of that pan alone; so the name must be in the band file.",
};

/// Two parts, sections or patterns have the same name.
pub static NAME_TWICE: Kind = Kind {
    name: "name-twice",
    what: "Two parts, two sections or two patterns have the same name.",
    why: "Rows, `with`, `play` and the form find things by name, so a name stands for one thing.",
};

/// A part has the name of a row that means something else.
pub static RESERVED_NAME: Kind = Kind {
    name: "reserved-name",
    what: "A part is called `chords`, `words` or `dynamics`.",
    why: "Rows with these names are for chord symbols, for cues and for loudness.",
};

/// A row has both cells and an instruction, or two instructions.
pub static ROW_TWICE: Kind = Kind {
    name: "row-twice",
    what: "A section tells a part twice what to play: with cells and with an instruction, or with two instructions.",
    why: "A row may go on over several lines of cells; an instruction stands alone.",
};

/// The rows of a section differ in their number of bars.
pub static BARS_DIFFER: Kind = Kind {
    name: "bars-differ",
    what: "A row has more or fewer bars than the other rows of its section.",
    why: "All players go through a section together; a missing bar line shifts everything after it.",
};

/// A bar line is missing within a row.
pub static MISSING_BAR_LINE: Kind = Kind {
    name: "missing-bar-line",
    what: "A row has too few bars, and one of its bars has the cells of two.",
    why: "A forgotten bar line squeezes two bars into one and shifts everything after it. If you do want the long bar, add the bar that \
          the row lacks, or say so with the number of its cells, as in `| 16: … |`.",
};

/// A bar has a number of cells that was hardly meant.
pub static ODD_CELLS: Kind = Kind {
    name: "odd-cells",
    what: "A bar has an unusual number of cells for its meter and its row.",
    why: "All cells of a bar are equally long, so one cell too few or too many changes the whole bar's rhythm. If you want it, \
          write the number first in the bar, as in `7:`.",
};

/// The pickup is written as a whole bar.
pub static PICKUP_BAR: Kind = Kind {
    name: "pickup-bar",
    what: "The bar that opens the tune is the pickup, but is cut like a whole bar.",
    why: "With `pickup 1` the first bar of the section that opens the form is one beat long, and all of its cells share that beat. \
          It takes only what is played before the first full bar.",
};

/// A pickup without its line `pickup`.
pub static MAYBE_PICKUP: Kind = Kind {
    name: "maybe-pickup",
    what: "The tune opens with a section of one bar that looks like a pickup, but there is no `pickup` line.",
    why: "Without `pickup 1` above the parts the bar is as long as any other, and its few cells are long notes. If you want a \
          whole bar, write the number of its cells first in it, as in `2:`.",
};

/// A pickup that is shorter than was likely meant.
pub static SHORT_PICKUP: Kind = Kind {
    name: "short-pickup",
    what: "The pickup is shorter than an eighth note and half a beat, and is not cut like the other bars of its row.",
    why: "The number after `pickup` counts beats: `pickup 1/4` is a quarter of a beat, not a quarter note. If you want it, \
          write the number of its cells first in the bar, as in `2:`.",
};

/// The opening section comes back with its pickup.
pub static PICKUP_AGAIN: Kind = Kind {
    name: "pickup-again",
    what: "The section with the pickup comes back, so the pickup is played again between two whole bars.",
    why: "The pickup belongs to its section's first bar, whenever that is played, so the band would count an odd bar there. In a \
          section of its own it is played once.",
};

/// A degree looks like a note.
pub static NOTE_OR_DEGREE: Kind = Kind {
    name: "note-or-degree",
    what: "A degree with a flat is written among note names, and may be a note in a small letter.",
    why: "`B4` is a note; `b4` is the fourth of the current chord, lowered. The row does not show which one you want.",
};

/// A `%` with no bar before it.
pub static NOTHING_TO_REPEAT: Kind = Kind {
    name: "nothing-to-repeat",
    what: "A `%` stands in the first bar of a row.",
    why: "`%` plays the bar before it again, so there must be one in the same section.",
};

/// A hold where nothing sounds.
pub static NOTHING_TO_HOLD: Kind = Kind {
    name: "nothing-to-hold",
    what: "A `-` or `~` stands where no note is sounding.",
    why: "`-` holds the note before it, `~` rolls it; after a rest there is nothing to hold.",
};

/// A percussion stroke for a pan, a note for percussion, or a stroke that the instrument does not have.
pub static WRONG_STROKE: Kind = Kind {
    name: "wrong-stroke",
    what: "A cell holds a stroke that the part's instrument does not have.",
    why: "Pans play notes such as `G4`; percussion plays `x`, `X`, `o` and `s`, each instrument some of them.",
};

/// Rows that play `with` each other in a circle.
pub static CIRCULAR_WITH: Kind = Kind {
    name: "circular-with",
    what: "Parts double each other (`with`) in a circle, so none of them has notes.",
    why: "One of them needs cells of its own.",
};

/// An instruction that a part of this kind can't follow.
pub static WRONG_INSTRUCTION: Kind = Kind {
    name: "wrong-instruction",
    what: "An instruction that a part of this kind can't follow.",
    why: "`strum` is for pans above the basses, `play` repeats a pattern that the part can play; `with`, `under` and `over` go with a part of the same sort.",
};

/// A degree or a strum where there is no chord.
pub static NO_CHORD: Kind = Kind {
    name: "no-chord",
    what: "A part is to play a degree of the chord, or to strum it, where there is no chord.",
    why: "Strums, and degrees such as `5`, take their notes from the section's row `chords`.",
};

/// A pattern is played in a section of another meter than it is cut for.
pub static OTHER_METER: Kind = Kind {
    name: "other-meter",
    what: "A pattern is played in a section whose meter it was not written for.",
    why: "Its cells are spread evenly over the bar, so the rhythm changes.",
};

/// The tune has nothing to play.
pub static NOTHING_TO_PLAY: Kind = Kind {
    name: "nothing-to-play",
    what: "The tune has no part or no section.",
    why: "A tune needs at least one `part NAME on KIND` and one `section NAME` with a row.",
};

/// The pickup is not shorter than a bar.
pub static LONG_PICKUP: Kind = Kind {
    name: "long-pickup",
    what: "The pickup is as long as a whole bar or longer.",
    why: "A pickup is what is played before the first full bar; write a whole bar as a bar of the section.",
};

/// The tune, played out, is longer than the limits allow.
pub static TOO_LONG: Kind = Kind {
    name: "too-long",
    what: "The form played out has more bars or strokes than panfold can take.",
    why: "The limits are far above any evening's programme; a number in the form is likely mistyped.",
};

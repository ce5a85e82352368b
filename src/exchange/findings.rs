//! The kinds of finding that bringing music in makes.

use crate::text::Kind;

/// A file that can't be read as what its name says.
pub static WRONG_MUSIC_FILE: Kind = Kind {
    name: "wrong-music-file",
    what: "A file is not MIDI or MusicXML that panfold can read.",
    why: "The message names the byte or the line. MusicXML that is cut off or made unsafe, and files of another kind, are refused \
          whole. MIDI files are read as far as they go, and panfold says what is missing.",
};

/// A MIDI file that breaks the standard.
pub static ODD_MIDI_FILE: Kind = Kind {
    name: "odd-midi-file",
    what: "A MIDI file has mistakes in it; panfold brings in what it can read.",
    why: "Many programs write such files, and a file that was cut off has music too. A possible problem says that music may be missing; \
          advice says that all notes are there.",
};

/// A file that goes beyond a limit.
pub static TOO_MUCH_MUSIC: Kind = Kind {
    name: "too-much-music",
    what: "A MIDI or MusicXML file is too big for panfold.",
    why: "The limits are far above real music; they keep a wrong file from filling the memory.",
};

/// Something of a file that a tune can't say.
pub static NOT_CARRIED: Kind = Kind {
    name: "not-carried",
    what: "Something in the imported music is not in the tune.",
    why: "A tune file only says what is struck, and when. Panfold lists whatever else there was and where, so that you can write it in yourself if it matters.",
};

/// Something of a file that is written differently in the tune.
pub static WRITTEN_OTHERWISE: Kind = Kind {
    name: "written-otherwise",
    what: "Something in the music that you brought in looks different in the tune.",
    why: "A player has two sticks and a row has one stroke at a time, so chords and crossing voices are shared out over \
          rows; what was played off the beat is moved onto cells. Everything else sounds as before.",
};

/// Parts of imported music that share a pan.
pub static PANS_SHARED: Kind = Kind {
    name: "pans-shared",
    what: "Parts of the imported music share a pan, or fewer strokes would be missing if they did.",
    why: "A player plays one part at a time. Where a score has more parts than the band has pans, or notes that few pans have, parts \
          can share a pan: each keeps its row and the player takes one, or they become one part of two notes at a time.",
};

"""Does music21, a general-purpose musicology library, hear the same notes in every chord symbol?

Reads lines of a symbol and its notes (what `cargo run --example chords` prints); names every symbol that differs.
"""

import sys

from chords_spellings import SPELLINGS
from music21 import harmony, pitch

def flats(name):
    """A note name as music21 writes it: its flats are minus signs."""
    return name[0] + name[1:].replace("b", "-")


def split(symbol):
    """The root of a symbol, and what follows it."""
    length = 1 + len(symbol[1:]) - len(symbol[1:].lstrip("#b"))
    return symbol[:length], symbol[length:]


def main():
    checked, wrong = 0, []
    for line in sys.stdin:
        symbol, notes = line.rstrip("\n").split("\t")
        root, suffix = split(symbol)
        chord = harmony.ChordSymbol(flats(root) + SPELLINGS.get(suffix, suffix))
        theirs = {p.pitchClass for p in chord.pitches}
        ours = {pitch.Pitch(flats(note)).pitchClass for note in notes.split()}
        checked += 1
        if ours != theirs:
            wrong.append(f"{symbol}: {notes}; music21 has {' '.join(p.name for p in chord.pitches)}")
        if pitch.Pitch(flats(notes.split()[0])).pitchClass != chord.root().pitchClass:
            wrong.append(f"{symbol}: root {notes.split()[0]}; music21 has {chord.root().name}")
    if wrong:
        sys.exit("\n".join(wrong))
    if checked < 100:
        sys.exit(f"only {checked} chord symbols to check")
    print(f"music21 agrees on {checked} chord symbols")


main()

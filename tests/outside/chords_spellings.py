"""How music21 writes the kinds of chord for which its notation differs from the common one. The chord is the same; only the
text after the root is another."""

SPELLINGS = {
    "maj": "", "M": "", "min": "m", "min7": "m7",
    "m(maj7)": "mM7", "mmaj7": "mM7",
    "maj9": "M9",
    "aug7": "+7",
    "sus": "sus4", "7sus": "7sus4",
    "m(add9)": "madd9",
    "6/9": "6add9", "69": "6add9",
}

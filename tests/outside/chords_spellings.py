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
    "Maj": "", "MA": "", "ma": "", "mi": "m", "MI": "m", "°": "dim",
    "Maj7": "maj7", "MA7": "maj7", "ma7": "maj7", "Δ7": "maj7", "Δ": "maj7",
    "mi7": "m7", "MI7": "m7", "-7": "m7", "°7": "dim7", "7+5": "7+", "7(#5)": "7+",
    "m7(b5)": "m7b5", "m7-5": "m7b5", "min7b5": "m7b5", "mi7b5": "m7b5", "-7b5": "m7b5", "ø": "ø7",
    "-maj7": "mM7", "-M7": "mM7", "mΔ7": "mM7",
    "min6": "m6", "mi6": "m6", "-6": "m6",
    "Maj9": "M9", "MA9": "M9", "ma9": "M9", "Δ9": "M9",
    "min9": "m9", "mi9": "m9", "-9": "m9", "min11": "m11", "mi11": "m11", "-11": "m11",
    "7(b9)": "7b9", "7-9": "7b9", "7(#9)": "7#9", "7+9": "7#9", "7(b5)": "7b5", "7-5": "7b5",
    "maj11": "M11", "Maj11": "M11", "MA11": "M11", "ma11": "M11", "Δ11": "M11",
    "maj13": "M13", "Maj13": "M13", "MA13": "M13", "ma13": "M13", "Δ13": "M13",
    "min13": "m13", "mi13": "m13", "-13": "m13", "(add2)": "add2",
    "(omit5)": "omit5", "no5": "omit5", "(no5)": "omit5", "7(omit5)": "7omit5", "7no5": "7omit5", "7(no5)": "7omit5",
    "7(#11)": "7#11", "7+11": "7#11", "(add9)": "add9",
}

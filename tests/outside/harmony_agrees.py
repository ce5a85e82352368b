"""Harmony lines beside melodies with chords: how often they leave the chord, rub, and leap, as music21 reads the chords.

usage: harmony_agrees.py PANFOLD FOLDER

The 29 melodies ship with music21 and are out of copyright. Three have chord symbols of their own: two reels and a song (another
song is left out, since it is not out of copyright everywhere). For seventeen chorales and nine madrigals music21 ships an
analysis in Roman numerals; the top voice is the melody, and each numeral becomes the chord symbol of its notes. Of the twenty
chorales with an analysis three are left out, since their score stands in another key than the analysis or has another voice on
top. Of the madrigals these are the first nine of the third book in which every measure is as long as its meter says. Repeats
are left out, so that every measure counts once.

Each melody is brought in by `panfold import` and gets two harmony lines, one over it on a lead and one under it on a double
second; `panfold export --json` says what they play. The chords are those that music21 reads in the file that panfold was given,
and what follows is counted with nothing of panfold's.

Counted are the notes that sound on a beat while the melody has a note of the chord there, on strong beats (music21's accent
weight of a half or more), on all beats, and where they are struck on one:

  outside   the line's note is not in the chord
  semitone  it is not in the chord and lies a semitone from a note that is, or it lies a semitone from the melody, in any octave

How smooth a line is is told too, beside the same of the melody: the mean of its steps, the share of its steps that are leaps (of
a fourth or more); how often it stands while the melody moves; and which intervals it keeps.

Fails when, in any of the three kinds of melody, 5 in 100 beats or more are outside or 2 in 100 or more a semitone off.
"""

import collections
import copy
import fractions
import json
import pathlib
import re
import subprocess
import sys
import warnings

warnings.simplefilter("ignore")
from music21 import chord, converter, corpus, harmony, key, meter, note, pitch, roman, stream

MOST_OUTSIDE, MOST_SEMITONES = 0.05, 0.02
LEAP = 4
REELS = "nottingham-dataset/reelsa-c.abc"
SYMBOLS = [(REELS, 80), (REELS, 81), ("leadSheet/fosterBrownHair", None)]
CHORALES = {
    1: "bwv269", 2: "bwv347", 3: "bwv153.1", 4: "bwv86.6", 5: "bwv267", 6: "bwv281", 7: "bwv17.7", 8: "bwv40.8", 9: "bwv248.12-2",
    10: "bwv38.6", 12: "bwv65.2", 13: "bwv33.6", 15: "bwv277", 16: "bwv311", 18: "bwv318", 19: "bwv351", 20: "bwv302",
}  # fmt: skip
MADRIGALS = ["3.1", "3.3", "3.5", "3.6", "3.7", "3.8", "3.9", "3.10", "3.11"]
KINDS = {
    (0, 4, 7): "major",
    (0, 3, 7): "minor",
    (0, 3, 6): "diminished",
    (0, 4, 8): "augmented",
    (0, 4, 7, 10): "dominant-seventh",
    (0, 4, 7, 11): "major-seventh",
    (0, 3, 7, 10): "minor-seventh",
    (0, 3, 6, 10): "half-diminished-seventh",
    (0, 3, 6, 9): "diminished-seventh",
}
BAND = 'name = "B"\n[[pan]]\nname = "A"\nlayout = "lead-c"\nplays = ["melody"]\n[[pan]]\nname = "O"\nlayout = "lead-c"\nplays = ["above"]\n'
BAND += '[[pan]]\nname = "U"\nlayout = "double-second"\nplays = ["below"]\n'


def written(symbol):
    """The chord symbol with the notes of a Roman numeral, those too that it says are left out; none where no usual chord has them."""
    whole = re.sub(r"\[no\d\]", "", symbol.figure)
    symbol = roman.RomanNumeral(whole, symbol.key) if whole != symbol.figure else symbol
    classes = {one.pitchClass for one in symbol.pitches}
    for root in [symbol.root(), *symbol.pitches]:
        kind = KINDS.get(tuple(sorted((one - root.pitchClass) % 12 for one in classes)))
        if kind:
            return harmony.ChordSymbol(root=root.name, kind=kind)
    return harmony.NoChord()


def by_measure(part, kind):
    """(number of the measure, time in it) of each element of a kind; a pickup's time counts from where a full measure would begin."""
    for measure in part.getElementsByClass(stream.Measure):
        inner = measure.voices[0] if measure.hasVoices() else measure
        for one in inner.getElementsByClass(kind):
            yield (measure.number, fractions.Fraction(measure.paddingLeft) + fractions.Fraction(one.offset)), one


def bare(one):
    """A note or a rest with nothing but its length, and its tie; of a chord the highest note."""
    if not one.isRest:
        plain = note.Note(max(one.pitches), quarterLength=one.quarterLength)
        plain.tie = copy.deepcopy(one.tie)
        return plain
    return note.Rest(quarterLength=one.quarterLength)


def melody(part, chords):
    """A part of nothing but the melody's measures, notes and chords."""
    plain = stream.Part()
    plain.partName = "melody"
    for measure in part.getElementsByClass(stream.Measure):
        copied = stream.Measure(number=measure.number)
        copied.paddingLeft = measure.paddingLeft
        for sign in measure.getElementsByClass((meter.TimeSignature, key.KeySignature)):
            copied.insert(sign.offset, copy.deepcopy(sign))
        inner = measure.voices[0] if measure.hasVoices() else measure
        for one in inner.getElementsByClass((note.Note, note.Rest, chord.Chord)):
            if not isinstance(one, harmony.Harmony) and not one.duration.isGrace:
                copied.insert(one.offset, bare(one))
        missing = fractions.Fraction(measure.paddingLeft)
        for (number, at), symbol in chords:
            if number == measure.number and at >= missing:
                copied.insert(at - missing, symbol)
        plain.append(copied)
    return plain


def melodies():
    """(kind, name, melody) of every tune."""
    for path, number in SYMBOLS:
        score = corpus.parse(path, number=number) if number else corpus.parse(path)
        part = score.parts[0]
        chords = [(at, copy.deepcopy(one)) for at, one in by_measure(part, harmony.ChordSymbol)]
        yield "chord symbols", f"{pathlib.Path(path).stem}-{number or 1}", melody(part, chords)
    analysed = [("chorales", f"bach/{name}", f"bach/choraleAnalyses/riemenschneider{number:03}.rntxt") for number, name in CHORALES.items()]
    analysed += [("madrigals", f"monteverdi/madrigal.{number}.mxl", f"monteverdi/madrigal.{number}.rntxt") for number in MADRIGALS]
    for kind, score, analysis in analysed:
        numerals = by_measure(corpus.parse(analysis).parts[0], roman.RomanNumeral)
        chords = [(at, written(one)) for at, one in numerals]
        yield kind, pathlib.Path(analysis).stem, melody(corpus.parse(score).parts[0], chords)


def run(*words):
    done = subprocess.run([str(word) for word in words], capture_output=True, text=True)
    assert done.returncode == 0, f"{words}: {done.stderr[:2000]}"
    return done.stdout


def harmonised(panfold, file, band):
    """What the melody and both lines play: (at, length, key) of each note."""
    tune = file.with_suffix(".tune")
    run(panfold, "import", file, "-o", tune, "--band", band, "--replace")
    text = tune.read_text()
    head, *sections = re.split(r"(?m)^(?=section )", text)
    head = re.sub(r"(?m)^(part melody .*)$", r"\1\npart above on lead\npart below on double-second", head)
    rows = "\n  above = over melody\n  below = under melody\n\n"
    tune.write_text(head + "".join(section.rstrip("\n") + rows for section in sections))
    told = json.loads(run(panfold, "export", tune, "--json"))
    lines = {}
    for part in told["parts"]:
        lines[part["name"]] = [
            (fractions.Fraction(one["at"]), fractions.Fraction(one["length"]), pitch.Pitch(one["notes"][0].replace("b", "-")).midi)
            for one in part["notes"]
        ]
    return [lines[part] for part in ("melody", "above", "below")]


def offset(one, part):
    return fractions.Fraction(one.getOffsetInHierarchy(part))


def beats(part, end):
    """(time, accent weight) of every beat up to a time; a pickup has the last beats of its measure."""
    signature = None
    for measure in part.getElementsByClass(stream.Measure):
        signature = measure.timeSignature or signature
        missing = fractions.Fraction(measure.paddingLeft)
        for number in range(signature.beatCount):
            at = number * fractions.Fraction(signature.beatDuration.quarterLength)
            time = fractions.Fraction(measure.offset) - missing + at
            if at >= missing and time < end:
                yield time, signature.getAccentWeight(float(at))


def semitone(a, b):
    return (a - b) % 12 in (1, 11)


def count(part, lead, line):
    """Counts over one line: its beats by kind, those outside the chord, those a semitone off; and its steps."""
    counts = collections.Counter()
    symbols = [(offset(one, part), one) for one in part.recurse().getElementsByClass(harmony.ChordSymbol)]
    for time, weight in beats(part, lead[-1][0] + lead[-1][1]):
        sounding = [number for number, (at, length, _) in enumerate(lead) if at <= time < at + length]
        before = [one for at, one in symbols if at <= time]
        if not sounding or not before or isinstance(before[-1], harmony.NoChord):
            continue
        at, _, top = lead[sounding[-1]]
        low = line[sounding[-1]][2]
        tones = {one.pitchClass for one in before[-1].pitches}
        if top % 12 not in tones:
            continue
        outside = low % 12 not in tones
        rubs = semitone(top, low) or outside and any(semitone(low, tone) for tone in tones)
        for kind in ["all"] + ["strong"] * (weight >= 0.5) + ["struck"] * (at == time):
            counts[kind, "beats"] += 1
            counts[kind, "outside"] += outside
            counts[kind, "semitone"] += rubs
    for who, notes in (("melody", lead), ("line", line)):
        for (_, _, a), (_, _, b) in zip(notes, notes[1:]):
            counts[who, "steps"] += 1
            counts[who, "semitones"] += abs(a - b)
            counts[who, "leaps"] += abs(a - b) > LEAP
    for (_, _, a), (_, _, b), (_, _, c), (_, _, d) in zip(lead, lead[1:], line, line[1:]):
        counts["moves"] += a != b
        counts["stands"] += a != b and c == d
    counts.update(("interval", abs(a - b)) for (_, _, a), (_, _, b) in zip(lead, line))
    return counts


def tell(name, counts):
    share = lambda part, whole: f"{100 * part / whole:.1f} %"
    for kind in ("strong", "all", "struck"):
        beats = counts[kind, "beats"]
        outside, rubs = (f"{100 * counts[kind, what] / beats:5.2f} %" for what in ("outside", "semitone"))
        print(f"{name if kind == 'strong' else '':14} {kind:6} {beats:5} beats: outside {outside}, semitone {rubs}")
    smooth = []
    for who in ("line", "melody"):
        steps = counts[who, "steps"]
        smooth.append(f"{who} {counts[who, 'semitones'] / steps:.2f} semitones a step, leaps {share(counts[who, 'leaps'], steps)}")
    print(f"{'':14} {'; '.join(smooth)}; stands on {share(counts['stands'], counts['moves'])} of the melody's moves")
    near = {"thirds": (3, 4), "fourths": (5, 6), "fifths": (7,), "sixths": (8, 9), "octaves": (12,), "tenths": (15, 16)}
    notes = counts["line", "steps"] + counts["lines"]
    told = [f"{what} {share(sum(counts['interval', at] for at in these), notes)}" for what, these in near.items()]
    print(f"{'':14} {', '.join(told)}", flush=True)


def main():
    panfold, folder = sys.argv[1], pathlib.Path(sys.argv[2])
    folder.mkdir(parents=True, exist_ok=True)
    band = folder / "band.toml"
    band.write_text(BAND)
    counts = collections.defaultdict(collections.Counter)
    for kind, name, part in melodies():
        file = folder / f"{name}.musicxml"
        part.write("musicxml", fp=file)
        read = converter.parse(file, forceSource=True).parts[0]
        lead, *lines = harmonised(panfold, file, band)
        expected = [(at, key) for at, _, key in lead]
        notes = [(offset(one, read), one) for one in read.recurse().getElementsByClass(note.Note)]
        struck = [(at, one.pitch.midi) for at, one in notes if not one.tie or one.tie.type == "start"]
        assert struck == expected, f"{name}: panfold has another melody: {sorted(set(struck) ^ set(expected))[:6]}"
        for side, line in zip(("over", "under"), lines):
            assert [at for at, _, _ in line] == [at for at, _, _ in lead], f"{name}: the line {side} it moves at other times"
            counted = count(read, lead, line)
            for of in (kind, side, "all"):
                counts[of] += counted
                counts[of]["lines"] += 1
                counts[of]["tunes"] += side == "over"
    assert counts["all"]["tunes"] == 29, counts["all"]["tunes"]
    kinds = ("chord symbols", "chorales", "madrigals")
    for of in (*kinds, "over", "under", "all"):
        tell(of, counts[of])
    for of in kinds:
        for weight in ("strong", "all"):
            shares = [counts[of][weight, what] / counts[of][weight, "beats"] for what in ("outside", "semitone")]
            assert shares[0] < MOST_OUTSIDE and shares[1] < MOST_SEMITONES, f"{of}, {weight} beats: {shares}"


main()

"""An independent solver (OR-tools CP-SAT) fits fresh melodies and finds the same least costs as `panfold fit`.

usage: octaves_agree.py PANFOLD FOLDER [MELODIES]

Melodies of 60 to 100 notes are taken from the reels and jigs of O'Neill's Music of Ireland (1903, public domain) in
music21's corpus, written as tunes for one pan of several, and shifted so that some of them don't fit. The problem is stated
here anew, from the definition: a cost for each octave moved, for each octave that two neighbours differ by (less across a
rest of a beat or more, which begins a phrase), for each direction that is lost, and for each pitch class that is missing.
"""

import json
import pathlib
import random
import subprocess
import sys
from fractions import Fraction

from music21 import corpus
from ortools.sat.python import cp_model

MOVE, TEAR, TEAR_AT_REST, TURN, MISSING = 1000, 6000, 1500, 2000, 1000000
NAMES = ["C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"]
PANS = {
    "lead-c": list(range(60, 89)),
    "double-second": list(range(54, 84)),
    "double-guitar": list(range(49, 69)),
    "worn": [n for n in range(60, 87) if n not in (61, 66, 75, 82)],
}


def sign(x):
    return (x > 0) - (x < 0)


def solve(notes, pan):
    model = cp_model.CpModel()
    terms, constant, last, rest = [], 0, None, False
    for written, after_rest in notes:
        rest = rest or after_rest
        options = [p for p in pan if (p - written) % 12 == 0]
        if not options:
            constant += MISSING
            continue
        chosen = [model.NewBoolVar("") for _ in options]
        model.AddExactlyOne(chosen)
        terms += [MOVE * abs(p - written) // 12 * x for p, x in zip(options, chosen)]
        if last:
            for p, x in zip(options, chosen):
                for q, y in zip(last[0], last[1]):
                    torn = abs((p - written) // 12 - (q - last[2]) // 12)
                    turned = 0 if sign(p - q) == sign(written - last[2]) else TURN
                    cost = TEAR_AT_REST * torn if rest else TEAR * torn + turned
                    if cost:
                        both = model.NewBoolVar("")
                        model.AddBoolOr([x.Not(), y.Not(), both])
                        terms.append(cost * both)
        last, rest = (options, chosen, written), False
    model.Minimize(sum(terms))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 2
    solver.parameters.max_time_in_seconds = 60
    assert solver.Solve(model) == cp_model.OPTIMAL, "not proven in a minute"
    return int(solver.ObjectiveValue()) + constant


def name(key):
    return f"{NAMES[key % 12]}{key // 12 - 1}"


def melodies(wanted, numbers):
    """Notes as (start, length, key), in quarter notes; melodies whose times are sixteenths."""
    paths = [path for path in corpus.getCorePaths() if "oneills1850" in str(path)]
    found = []
    numbers.shuffle(paths)
    for path in paths:
        score = corpus.parse(path)
        for tune in getattr(score, "scores", None) or [score]:
            notes = [
                (Fraction(n.getOffsetInHierarchy(tune)), Fraction(n.quarterLength), n.pitch.midi)
                for n in tune.recurse().notes
                if n.isNote and n.quarterLength > 0
            ]
            notes.sort()
            exact = all((start * 4).denominator == 1 and (length * 4).denominator == 1 for start, length, _ in notes)
            apart = all(a[0] + a[1] <= b[0] for a, b in zip(notes, notes[1:]))
            if 60 <= len(notes) <= 100 and exact and apart:
                found.append(notes)
            if len(found) == wanted:
                return found
    raise SystemExit(f"only {len(found)} melodies of 60 to 100 notes were found")


def write(folder, number, notes, pan):
    kind = "double-guitar" if pan == "double-guitar" else "double-second" if pan == "double-second" else "lead"
    keys = " ".join(name(key) for key in PANS[pan])
    (folder / "band.toml").write_text(f'name = "B"\n[[pan]]\nname = "P"\nkind = "{kind}"\nnotes = "{keys}"\n')
    end = max(start + length for start, length, _ in notes)
    cells = ["."] * int(-(-end // 4) * 16)
    for start, length, key in notes:
        at = int(start * 4)
        cells[at] = name(key)
        for i in range(at + 1, at + int(length * 4)):
            cells[i] = "-"
    bars = [" ".join(cells[i : i + 16]) for i in range(0, len(cells), 16)]
    tune = folder / f"{number}.tune"
    tune.write_text(f"band band.toml\npart p on {kind}\nsection a\n  p | {' | '.join(bars)} |\n")
    return tune


def main():
    panfold, folder = sys.argv[1], pathlib.Path(sys.argv[2])
    wanted = int(sys.argv[3]) if len(sys.argv) > 3 else 20
    folder.mkdir(parents=True, exist_ok=True)
    numbers = random.Random(1903)
    costly = 0
    for number, notes in enumerate(melodies(wanted, numbers)):
        pan = sorted(PANS)[number % len(PANS)]
        shift = numbers.choice([0, -12, -7, 5, 12])
        notes = [(start, length, key + shift) for start, length, key in notes]
        tune = write(folder, number, notes, pan)
        done = subprocess.run([panfold, "fit", tune, "--json"], capture_output=True, text=True)
        assert done.returncode in (0, 1), done.stderr
        ours = json.loads(done.stdout)["keys"][0]["cost"]
        ends = [start + length for start, length, _ in notes]
        flagged = [(key, i == 0 or start - ends[i - 1] >= 1) for i, (start, _, key) in enumerate(notes)]
        theirs = solve(flagged, PANS[pan])
        assert ours == theirs, f"melody {number} on {pan}: panfold {ours}, CP-SAT {theirs}"
        costly += ours > 0
    print(f"CP-SAT agrees on {wanted} melodies, {costly} of which need a change")


main()

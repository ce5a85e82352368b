"""An independent solver (OR-tools CP-SAT) fits fresh melodies and finds the same least costs as `panfold fit`.

usage: octaves_agree.py PANFOLD FOLDER [MELODIES]

Melodies of 60 to 100 notes are taken from the reels and jigs of O'Neill's Music of Ireland (1903, public domain) in
music21's corpus, written as tunes for one pan of several, and shifted so that some of them don't fit. The problem is stated
here anew, from the definition: a cost for each octave moved, for each octave that two neighbours differ by (less across a
rest of a beat or more, which begins a phrase), for each direction that is lost, and for each pitch class that is missing.

The same for a harmony line under each melody, whose costs are stated here anew as well; OR-tools' linear solver finds it. At the end a melody of 1,000 notes is
fitted by both, and their times are told.
"""

import json
import pathlib
import random
import subprocess
import sys
import time
from fractions import Fraction

from music21 import corpus
from ortools.linear_solver import pywraplp
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


def solve(notes, pan, limit=60):
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
    solver.parameters.max_time_in_seconds = limit
    assert solver.Solve(model) == cp_model.OPTIMAL, f"not proven in {limit} s"
    return int(solver.ObjectiveValue()) + constant


SCALE = {0, 2, 4, 5, 7, 9, 11}  # C major, the key of the tunes that are written here
# Costs of a harmony line by its interval to the melody in semitones, of a semitone beside it on a beat, and of its steps. The tunes
# have no chords, so that chord tones and passing notes cost nothing here.
INTERVALS = [12000, 12000, 8000, 0, 0, 1000, 4000, 3000, 600, 600, 6000, 8000, 4000, 12000, 8000, 1200, 1200]
WIDER, PARALLEL, AGAINST, STANDING, LEAP, RESTLESS, RUB = 6000, 6000, 1500, 500, 500, 2000, 1000000
RUBS = {1, 2, 10, 11}


def below(key, pan):
    return [p for p in pan if 1 <= key - p <= 24 and p % 12 in SCALE]


def beside(key, p, on_beat):
    rubs = RUB if on_beat and (key - p) % 12 in (1, 11) else 0
    return rubs + (INTERVALS[key - p] if key - p < len(INTERVALS) else WIDER)


def harmony_step(a, p, b, q, rest):
    """From p under a to q under b."""
    cost = LEAP * max(0, abs(q - p) - abs(b - a))
    if rest:
        return cost
    i, j = (a - p) % 12, (b - q) % 12
    if a != b and ((i in RUBS and j in RUBS) or (i == j and i in (0, 7))):
        cost += PARALLEL
    if a == b:
        return cost + (0 if p == q else RESTLESS)
    if p == q:
        return cost + STANDING
    return cost + (0 if sign(b - a) == sign(q - p) else AGAINST)


def harmony_cost(notes, beats, line):
    """What a line under notes costs; None where there is no note to choose."""
    cost, last, rest = 0, None, False
    for (key, after_rest), on_beat, p in zip(notes, beats, line):
        rest = rest or after_rest
        if p is None:
            continue
        cost += beside(key, p, on_beat)
        if last:
            cost += harmony_step(*last, key, p, rest)
        last, rest = (key, p), False
    return cost


def solve_harmony(notes, beats, pan):
    """The cheapest way through the choices, as a flow of one unit: such a linear program has a whole-numbered optimum."""
    solver = pywraplp.Solver.CreateSolver("GLOP")
    cost, last, rest = 0, None, False
    for (key, after_rest), on_beat in zip(notes, beats):
        rest = rest or after_rest
        options = below(key, pan)
        if not options:
            continue
        places = [solver.NumVar(0, 1, "") for _ in options]
        cost += sum(beside(key, p, on_beat) * x for p, x in zip(options, places))
        if last:
            ways = [[solver.NumVar(0, 1, "") for _ in options] for _ in last[0]]
            for row, x in zip(ways, last[1]):
                solver.Add(sum(row) == x)
            for column, x in zip(zip(*ways), places):
                solver.Add(sum(column) == x)
            for q, row in zip(last[0], ways):
                cost += sum(harmony_step(last[2], q, key, p, rest) * way for p, way in zip(options, row))
        else:
            solver.Add(sum(places) == 1)
        last, rest = (options, places, key), False
    solver.Minimize(cost)
    assert solver.Solve() == pywraplp.Solver.OPTIMAL
    return round(solver.Objective().Value())


def check_harmony(panfold, tune, flagged, beats, pan, number):
    text = tune.read_text().replace("section a\n", f"part h on {KINDS.get(pan, 'lead')}\nsection a\n  h = under p\n")
    band = (tune.parent / "band.toml").read_text() + 'plays = ["p", "h"]\n'
    (tune.parent / "band.toml").write_text(band)
    tune.write_text(text)
    done = subprocess.run([panfold, "check", tune, "--explain", "--json"], capture_output=True, text=True)
    assert done.returncode in (0, 1), done.stderr
    rows = json.loads(done.stdout)["tunes"][0]["chosen"]["rows"]
    bars = next(row["bars"] for row in rows if row["part"] == "h")
    line = [key_of(word) for bar in bars for word in bar.split() if word != "."]
    assert len(line) == len(flagged), (len(line), len(flagged))
    line = [p if below(key, PANS[pan]) else None for p, (key, _) in zip(line, flagged)]
    ours, theirs = harmony_cost(flagged, beats, line), solve_harmony(flagged, beats, PANS[pan])
    assert ours == theirs, f"harmony {number} on {pan}: panfold {ours}, GLOP {theirs}"


def key_of(word):
    letter, rest = word[0], word[1:]
    sharps = rest.count("#") - rest.count("b")
    return {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}[letter] + sharps + 12 * (int(rest.strip("#b")) + 1)


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


KINDS = {"double-guitar": "double-guitar", "double-second": "double-second"}


def write(folder, number, notes, pan):
    kind = KINDS.get(pan, "lead")
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


def flags(notes):
    """The keys, each with whether a rest of a beat or more lies before it."""
    ends = [start + length for start, length, _ in notes]
    return [(key, i == 0 or start - ends[i - 1] >= 1) for i, (start, _, key) in enumerate(notes)]


def beats(notes):
    """Of each whether it sounds on a beat, a quarter note: struck there, or held over one."""
    return [-(-start // 1) < start + length for start, length, _ in notes]


def main():
    panfold, folder = sys.argv[1], pathlib.Path(sys.argv[2])
    wanted = int(sys.argv[3]) if len(sys.argv) > 3 else 20
    folder.mkdir(parents=True, exist_ok=True)
    numbers = random.Random(1903)
    costly, tunes = 0, melodies(wanted, numbers)
    for number, notes in enumerate(tunes):
        pan = sorted(PANS)[number % len(PANS)]
        shift = numbers.choice([0, -12, -7, 5, 12])
        notes = [(start, length, key + shift) for start, length, key in notes]
        tune = write(folder, number, notes, pan)
        done = subprocess.run([panfold, "fit", tune, "--json"], capture_output=True, text=True)
        assert done.returncode in (0, 1), done.stderr
        ours = json.loads(done.stdout)["keys"][0]["cost"]
        flagged = flags(notes)
        theirs = solve(flagged, PANS[pan])
        assert ours == theirs, f"melody {number} on {pan}: panfold {ours}, CP-SAT {theirs}"
        costly += ours > 0
        check_harmony(panfold, tune, flagged, beats(notes), pan, number)
    race(panfold, folder, tunes)
    print(f"CP-SAT agrees on {wanted} melodies, {costly} of which need a change, and the linear solver on a harmony line under each")


def race(panfold, folder, tunes):
    """The first 1,000 notes of the melodies one after the other, by both."""
    notes, at = [], Fraction(0)
    for tune in tunes:
        # A whole rest between two, and each from its own beginning.
        notes += [(at + start - tune[0][0], length, key) for start, length, key in tune]
        at = notes[-1][0] + notes[-1][1] + 4
    notes = notes[:1000]
    assert len(notes) == 1000
    tune = write(folder, "long", notes, "lead-c")
    start = time.perf_counter()
    done = subprocess.run([panfold, "fit", tune, "--json"], capture_output=True, text=True)
    ours = time.perf_counter() - start
    start = time.perf_counter()
    theirs = solve(flags(notes), PANS["lead-c"], 600)
    took = time.perf_counter() - start
    assert json.loads(done.stdout)["keys"][0]["cost"] == theirs
    print(f"1,000 notes: the whole of panfold {1000 * ours:.0f} ms, CP-SAT {took:.2f} s, {took / ours:.0f} times as long")


main()

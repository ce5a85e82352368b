"""An independent solver (HiGHS, in SciPy) voices strummed sections and finds the same least costs as `panfold check --explain`.

usage: voicings_agree.py PANFOLD FOLDER PLACES [SECTIONS]

PLACES is what the example `places` prints for the layouts below: where their notes lie. The sections are four for five unlike
pans, and made-up ones for four or five pans, alike or not, with 5 to 8 chords. The problem is stated here anew, from its
definition: costs for tones that nobody plays, for the sticks' ways from chord to chord, for the two notes of a pair (how far
they lie from each other and from the middle of the pan, seconds, octaves and what is wider), and for notes above a lead. Every
voicing must be said to be proven, cost what its notes cost, and cost what HiGHS finds.
"""

import json
import math
import pathlib
import random
import subprocess
import sys

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_matrix

MOVE, REGISTER, SECOND, OCTAVE, WIDE, SPAN = 150, 60, 1500, 800, 400, 1300
OVER_LEAD, OVER_LEAD_SEMITONE = 2000, 200
LEFT_OUT = {"root": 6000, "third": 20000, "fifth": 4000, "sixth": 10000, "seventh": 16000}
PANS = ["double-second", "double-guitar", "triple-cello", "double-tenor", "quadrophonic"]
ROOTS = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
MAJOR, MINOR, FIFTH = ("third", 4), ("third", 3), ("fifth", 7)
KINDS = {
    "": [MAJOR, FIFTH],
    "m": [MINOR, FIFTH],
    "7": [MAJOR, FIFTH, ("seventh", 10)],
    "m7": [MINOR, FIFTH, ("seventh", 10)],
    "maj7": [MAJOR, FIFTH, ("seventh", 11)],
    "m7b5": [MINOR, ("fifth", 6), ("seventh", 10)],
    "6": [MAJOR, FIFTH, ("sixth", 9)],
    "dim": [MINOR, ("fifth", 6)],
}
FOUR = ["Dm F C Em Am7 C7 D7", "G D7 Am G7 G Am G7 Am7", "F Am Am7 Dm Am G7 C7", "Am7 Am C D7 G7 Am7 Dm"]


def tones(chord):
    """Pitch classes with what they cost when nobody plays them."""
    root = ROOTS[chord[0]]
    return {(root + semitones) % 12: LEFT_OUT[role] for role, semitones in [("root", 0)] + KINDS[chord[1:]]}


def key_of(name):
    sharps = name.count("#") - name[1:].count("b")
    return ROOTS[name[0]] + sharps + 12 * (int(name[1:].strip("#b")) + 1)


def pair_cost(places, low, high, lead):
    home = sorted(places)[len(places) // 2]
    interval = high - low
    cost = REGISTER * abs(low + high - 2 * home) // 2 + WIDE * max(0, interval - 12)
    cost += SECOND * (interval == 2) + OCTAVE * (interval in (12, 24, 36))
    # Rust rounds halves away from zero.
    cost += math.floor(math.dist(places[low], places[high]) + 0.5)
    if lead is not None:
        cost += sum(OVER_LEAD + OVER_LEAD_SEMITONE * (key - lead) for key in (low, high) if key >= lead)
    return cost


def pairs(places, chord, lead):
    notes = sorted(key for key in places if key % 12 in tones(chord))
    return {
        (low, high): pair_cost(places, low, high, lead)
        for low in notes
        for high in notes
        if low < high and high - low not in (1, 13) and math.dist(places[low], places[high]) <= SPAN
    }


def cost_of(pans, chords, lead, voicing):
    """What a voicing costs: by pan and chord a pair of keys."""
    cost = 0
    for at, chord in enumerate(chords):
        played = {key % 12 for line in voicing for key in line[at]}
        cost += sum(weight for tone, weight in tones(chord).items() if tone not in played)
        for places, line in zip(pans, voicing):
            cost += pairs(places, chord, lead)[line[at]]
            if at:
                cost += MOVE * sum(abs(a - b) for a, b in zip(line[at - 1], line[at]))
    return cost


class Program:
    """A linear program with some whole numbers, written down piece by piece. All variables lie between 0 and 1."""

    def __init__(self):
        self.costs, self.whole, self.rows, self.columns, self.factors, self.least, self.most = [], [], [], [], [], [], []

    def variable(self, cost, whole=False):
        self.costs.append(cost)
        self.whole.append(whole)
        return len(self.costs) - 1

    def row(self, least, most, terms=()):
        self.least.append(least)
        self.most.append(most)
        for variable, factor in terms:
            self.add(len(self.least) - 1, variable, factor)
        return len(self.least) - 1

    def add(self, row, variable, factor):
        self.rows.append(row)
        self.columns.append(variable)
        self.factors.append(factor)

    def solve(self, limit):
        shape = (len(self.least), len(self.costs))
        matrix = coo_matrix((self.factors, (self.rows, self.columns)), shape=shape).tocsc()
        done = milp(
            np.array(self.costs, float),
            constraints=LinearConstraint(matrix, self.least, self.most),
            integrality=np.array(self.whole, int),
            bounds=Bounds(0, 1),
            options={"time_limit": limit, "mip_rel_gap": 0},
        )
        assert done.status == 0 and done.mip_gap == 0, f"not proven in {limit} s: {done.message}"
        return round(done.fun)


def least(pans, chords, lead, limit):
    """One unit flows through the pairs of each pan, from chord to chord; every tone is covered by a pair or paid for."""
    program = Program()
    heard = [{tone: program.row(1, np.inf, [(program.variable(cost), 1)]) for tone, cost in tones(chord).items()} for chord in chords]
    for places in pans:
        before = None
        for at, chord in enumerate(chords):
            now = [(pair, program.variable(cost, True)) for pair, cost in pairs(places, chord, lead).items()]
            for pair, x in now:
                for tone in {key % 12 for key in pair}:
                    program.add(heard[at][tone], x, 1)
            if before:
                flow(program, before, now)
            else:
                program.row(1, 1, [(x, 1) for _, x in now])
            before = now
    return program.solve(limit)


def flow(program, before, now):
    out = [program.row(0, 0, [(x, -1)]) for _, x in before]
    into = [program.row(0, 0, [(x, -1)]) for _, x in now]
    for (a, _), leaves in zip(before, out):
        for (b, _), comes in zip(now, into):
            way = program.variable(MOVE * (abs(a[0] - b[0]) + abs(a[1] - b[1])))
            program.add(leaves, way, 1)
            program.add(comes, way, 1)


def write(folder, number, pans, chords, lead):
    """At tempo 40 and a stroke a bar no stick is ever late."""
    band = 'name = "B"\n[[pan]]\nname = "L"\nlayout = "lead-c"\n'
    band += "".join(f'[[pan]]\nname = "p{i}"\nlayout = "{pan}"\nplays = ["p{i}"]\n' for i, pan in enumerate(pans))
    (folder / f"{number}.toml").write_text(band)
    parts = "".join(f"part p{i} on {pan}\n" for i, pan in enumerate(pans))
    bars = " | ".join(["x . . ."] * len(chords))
    rows = "".join(f"  p{i} | {bars} |\n" for i in range(len(pans)))
    if lead:
        parts += "part l on lead\n"
        rows += f"  l | {' | '.join([lead + ' - - -'] * len(chords))} |\n"
    tune = folder / f"{number}.tune"
    head = f"title T\nband {number}.toml\nkey C\nmeter 4/4\ntempo 40\nroll none\n{parts}form a\nsection a\n"
    tune.write_text(f"{head}  chords | {' | '.join(chords)} |\n{rows}")
    return tune


def ours(panfold, tune, parts):
    done = subprocess.run([panfold, "check", tune, "--explain", "--json"], capture_output=True, text=True)
    assert done.returncode in (0, 1), done.stderr
    strum = json.loads(done.stdout)["tunes"][0]["chosen"]["strums"][0]
    keys = lambda notes: tuple(sorted(key_of(note) for note in notes.split("+")))
    voicing = [[keys(chord["notes"][f"p{part}"]) for chord in strum["chords"]] for part in range(parts)]
    return strum["cost"], strum["bound"], voicing


def sections(wanted):
    yield from ((PANS, chords.split(), None) for chords in FOUR)
    numbers = random.Random(5)
    chords = [root + kind for root in "CDEFGAB" for kind in KINDS]
    for _ in range(wanted):
        count = numbers.choice([4, 5])
        pans = numbers.sample(PANS, count) if numbers.random() < 0.6 else [numbers.choice(PANS) for _ in range(count)]
        line = numbers.sample(chords, numbers.randint(5, 8))
        yield pans, line, numbers.choice([None, None, "G4", "D5"])


def main():
    panfold, folder = sys.argv[1], pathlib.Path(sys.argv[2])
    wanted = int(sys.argv[4]) if len(sys.argv) > 4 else 40
    places = {pan: {} for pan in PANS}
    for line in pathlib.Path(sys.argv[3]).read_text().splitlines():
        pan, key, x, y = line.split("\t")
        places[pan][int(key)] = (float(x), float(y))
    folder.mkdir(parents=True, exist_ok=True)
    for number, (pans, chords, lead) in enumerate(sections(wanted)):
        tune = write(folder, number, pans, chords, lead)
        cost, bound, voicing = ours(panfold, tune, len(pans))
        there = [places[pan] for pan in pans]
        lead = key_of(lead) if lead else None
        assert cost == cost_of(there, chords, lead, voicing), f"section {number}: {cost} is not what it costs"
        theirs = least(there, chords, lead, 600)
        assert cost == bound == theirs, f"section {number}: panfold {bound} to {cost}, HiGHS {theirs}"
    print(f"HiGHS agrees on the strums of {number + 1} sections")


main()

"""Writes a tune of 40 sections in which no phrase comes twice, with bars of sixteenths and long rests: what sheets have to stand."""

import random

random.seed(1)
NOTES = ["C5", "D5", "E5", "F#5", "G5", "A5", "G4/A4", "C#5+F#5", "B4>", "."]
print("title Long\nband lantern-quay.toml\n\npart lead on lead\npart iron on iron\n")
print("form " + " ".join(f"s{i}" for i in range(40)))
for section in range(40):
    cells = 16 if section % 10 == 9 else 8
    bars = [" ".join(random.choice(NOTES) for _ in range(cells)) for _ in range(8)]
    if section % 7 == 3:
        bars[2:6] = ["."] * 4
    print(f"\nsection s{section}")
    print(f"  lead | {' | '.join(bars)} |")
    print(f"  iron | {' | '.join(['x . x x x . x .'] * 8)} |")

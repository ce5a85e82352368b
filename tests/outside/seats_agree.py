#!/usr/bin/env python3
"""Who plays what, beside an independent solver: OR-tools' CP-SAT on made-up bands.

    cargo run --release --example seats -- 30 | python seats_agree.py

The model is written from the documentation alone (src/people/assign.rs, `Problem`): each part has one of its choices or
nobody; two players never share a piece; choices that clash are not both taken; a player's second part and each further one
costs `again`. The sums of the costs must be equal, and panfold's must be proven.
"""
import json
import sys

from ortools.sat.python import cp_model


def solve(band):
    model = cp_model.CpModel()
    taken = [[model.new_bool_var(f'{p} {c}') for c in range(len(choices))] for p, choices in enumerate(band['choices'])]
    cost = []
    for part, choices in zip(taken, band['choices']):
        nobody = model.new_bool_var('')
        model.add_exactly_one(part + [nobody])
        cost.append(band['nobody'] * nobody)
        cost += [weight * var for var, (_, _, weight) in zip(part, choices)]
    flat = [(var, *choice) for part, choices in zip(taken, band['choices']) for var, choice in zip(part, choices)]
    for player in {player for _, player, _, _ in flat}:
        own = [var for var, who, _, _ in flat if who == player]
        plays = model.new_bool_var('')
        for var in own:
            model.add_implication(var, plays)
        model.add_at_least_one(own + [plays.negated()])
        # All parts but the first.
        cost.append(band['again'] * (sum(own) - plays))
    for piece in {piece for _, _, piece, _ in flat}:
        holds = {}
        for var, player, of, _ in flat:
            if of == piece:
                holder = holds.setdefault(player, model.new_bool_var(''))
                model.add_implication(var, holder)
        model.add_at_most_one(holds.values())
    for (a, x), (b, y) in band['clashes']:
        model.add_at_most_one([taken[a][x], taken[b][y]])
    model.minimize(sum(cost))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 2
    status = solver.solve(model)
    assert status == cp_model.OPTIMAL, solver.status_name(status)
    return round(solver.objective_value)


def main():
    bands = [json.loads(line) for line in sys.stdin if line.strip()]
    wrong = 0
    for number, band in enumerate(bands):
        best = solve(band)
        if best != band['weight'] or not band['is_proven']:
            wrong += 1
            print(f"band {number}: CP-SAT {best}, panfold {band['weight']}, proven: {band['is_proven']}")
    open_parts = sum(choice is None for band in bands for choice in band['chosen'])
    parts = sum(len(band['choices']) for band in bands)
    print(f'{len(bands) - wrong} of {len(bands)} bands agree ({parts} parts, {open_parts} of them without a player)')
    if wrong or len(bands) < 30:
        sys.exit(1)


main()

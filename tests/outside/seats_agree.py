#!/usr/bin/env python3
"""Who plays what, beside an independent solver: OR-tools' integer solver (SCIP) on made-up bands.

    cargo run --release --example seats -- 30 | python seats_agree.py

The model is written from the documentation alone (src/people/assign.rs, `Problem`): each part has one of its choices or
nobody; two players never share a piece; choices that clash are not both taken; a player's second part and each further one
costs `again`, and `again_grows` for each that lies between it and the first; two choices that are both taken cost what their pair
says. The sums of the costs must be equal, and panfold's must be proven.
"""
import json
import sys

from ortools.linear_solver import pywraplp


def solve(band):
    solver = pywraplp.Solver.CreateSolver('SCIP')
    taken = [[solver.BoolVar('') for _ in choices] for choices in band['choices']]
    cost = []
    for part, choices in zip(taken, band['choices']):
        nobody = solver.BoolVar('')
        solver.Add(sum(part) + nobody == 1)
        cost.append(band['nobody'] * nobody)
        cost += [weight * var for var, (_, _, weight) in zip(part, choices)]
    flat = [(var, *choice) for part, choices in zip(taken, band['choices']) for var, choice in zip(part, choices)]
    for player in {player for _, player, _, _ in flat}:
        own = [var for var, who, _, _ in flat if who == player]
        # One for each part that the player could have; the later the dearer, so the first ones are taken first.
        turns = [solver.BoolVar('') for _ in own]
        solver.Add(sum(turns) == sum(own))
        cost += [(band['again'] + band['again_grows'] * number) * turn for number, turn in enumerate(turns[1:])]
    for piece in {piece for _, _, piece, _ in flat}:
        holders = {}
        for var, player, of, _ in flat:
            if of == piece:
                if player not in holders:
                    holders[player] = solver.BoolVar('')
                solver.Add(var <= holders[player])
        solver.Add(sum(holders.values()) <= 1)
    for (a, x), (b, y) in band['clashes']:
        solver.Add(taken[a][x] + taken[b][y] <= 1)
    for a, b, costs in band['pairs']:
        for x, row in enumerate(costs):
            for y, of_both in enumerate(row):
                if of_both:
                    both = solver.BoolVar('')
                    solver.Add(both >= taken[a][x] + taken[b][y] - 1)
                    cost.append(of_both * both)
    solver.Minimize(sum(cost))
    exact = pywraplp.MPSolverParameters()
    exact.SetDoubleParam(pywraplp.MPSolverParameters.RELATIVE_MIP_GAP, 0.0)
    status = solver.Solve(exact)
    assert status == pywraplp.Solver.OPTIMAL, status
    return round(solver.Objective().Value())


def main():
    bands = [json.loads(line) for line in sys.stdin if line.strip()]
    wrong = 0
    for number, band in enumerate(bands):
        best = solve(band)
        if best != band['weight'] or not band['is_proven']:
            wrong += 1
            print(f"band {number}: OR-tools {best}, panfold {band['weight']}, proven: {band['is_proven']}")
    open_parts = sum(choice is None for band in bands for choice in band['chosen'])
    parts = sum(len(band['choices']) for band in bands)
    print(f'{len(bands) - wrong} of {len(bands)} bands agree ({parts} parts, {open_parts} of them without a player)')
    if wrong or len(bands) < 30:
        sys.exit(1)


main()

"""Lead maps with the fewest crossings equal the optimum of a constraint solver that is told only the options."""

from __future__ import annotations

import itertools
import math
import random

import pytest
from ortools.sat.python import cp_model

from xref.adapt.assign import Hole
from xref.adapt.leadmap import Demand, Rules, solve

from . import brute

SCALE = 1000


def random_board(rng: random.Random) -> tuple[list[Hole], list[tuple[float, float]], list[str]]:
    """Up to eight pads and leads on a 2.54 mm grid, some nets with two pads, the donor beside or over the pads."""
    count = rng.randint(3, 8)
    cells = rng.sample([(x, y) for x in range(5) for y in range(4)], count)
    nets = [f"n{index}" for index in range(count)]
    for index in range(count):
        if rng.random() < 0.25:
            nets[index] = rng.choice(nets)
    holes = [
        Hole(label=f"p{index}", net=net, at_mm=(2.54 * x, 2.54 * y))
        for index, (net, (x, y)) in enumerate(zip(nets, cells, strict=True))
    ]
    dx, dy = rng.uniform(-1.2, 1.2), rng.uniform(-1.2, 1.2)
    spots = rng.sample([(x, y) for x in range(5) for y in range(4)], count)
    leads = [(round(2.54 * x + dx, 3), round(2.54 * y + dy, 3)) for x, y in spots]
    wanted = [nets[index] for index in rng.sample(range(count), count)]
    return holes, leads, wanted


def constraint_optimum(holes: list[Hole], leads: list[tuple[float, float]], wanted: list[str], reach: float) -> tuple:
    """(wires, crossings, length) by CP-SAT over all options, one lexicographic level after the other."""
    places = [complex(*h.at_mm) for h in holes] + [complex(*at) for at in leads]
    gaps = [abs(a - b) for a, b in itertools.combinations(places, 2)]
    clear = min([0.6, *(0.45 * g for g in gaps if g > 0.5)])
    options = []  # (lead, hole, is wire, over, length, path)
    for index, (at, net) in enumerate(zip(leads, wanted, strict=True)):
        a = complex(*at)
        for hole in holes:
            if hole.net != net:
                continue
            b = complex(*hole.at_mm)
            gap = abs(a - b)
            if gap <= brute.DIRECT:
                options.append((index, hole.label, 0, 0, 0.0, None))
            elif gap <= reach:
                options.append((index, hole.label, 0, brute.slanted_over(a, b, places, clear), gap, (a, b)))
            options += [(index, hole.label, 1, o, w, p) for o, w, p in brute.ways(a, b, places, clear)]
    model = cp_model.CpModel()
    take = [model.new_bool_var(f"o{k}") for k in range(len(options))]
    for index in range(len(leads)):
        model.add_exactly_one(take[k] for k, o in enumerate(options) if o[0] == index)
    for hole in holes:
        model.add_at_most_one(take[k] for k, o in enumerate(options) if o[1] == hole.label and not o[2])
    crossing = []
    for (i, one), (j, other) in itertools.combinations(enumerate(options), 2):
        if one[0] != other[0] and one[5] and other[5] and brute.meet(one[5], other[5]):
            both = model.new_bool_var(f"x{i}_{j}")
            model.add_bool_or(take[i].negated(), take[j].negated(), both)
            crossing.append(both)
    goals = [
        sum(o[2] * take[k] for k, o in enumerate(options)),
        sum(crossing) + sum(o[3] * take[k] for k, o in enumerate(options)),
        sum(round(o[4] * SCALE) * take[k] for k, o in enumerate(options)),
    ]
    found = []
    for goal in goals:
        model.minimize(goal)
        solver = cp_model.CpSolver()
        solver.parameters.num_workers = 1
        assert solver.solve(model) == cp_model.OPTIMAL
        value = round(solver.objective_value)
        model.add(goal <= value)
        found.append(value)
    return found[0], found[1], found[2] / SCALE


@pytest.mark.parametrize("seed", range(200))
def test_random_board_equals_constraint_solver(seed: int) -> None:
    """Wires, crossings and length of one pose on a random board (3 to 8 leads): as CP-SAT (OR-tools) finds them."""
    holes, leads, wanted = random_board(random.Random(seed))

    outcome = solve(
        holes,
        leads,
        [Demand(nets=tuple(wanted))],
        turns=(0,),
        axis_mm=(0.0, 0.0),
        donor_axis_mm=(0.0, 0.0),
        rules=Rules(reach_mm=1.0, tolerance_mm=0.0, time_cap_s=60.0),
    )

    wires, crossings, length, _ = outcome.solutions[0].cost
    assert outcome.proven
    expected = constraint_optimum(holes, leads, wanted, 1.0)
    assert (wires, crossings) == expected[:2]
    assert math.isclose(length, expected[2], abs_tol=0.01)

"""How long the lead map of one pair takes, and a constraint solver for a part of the same question."""

from __future__ import annotations

import itertools
import math
import random
import statistics
import time
from dataclasses import replace

import pytest
from adapt.test_crossings import constraint_optimum

from xref.adapt import setting
from xref.adapt.assign import Hole
from xref.adapt.fit import FitOptions, fit
from xref.adapt.original import from_part
from xref.adapt.poses import shifts, turned
from xref.library.store import open_library

PAIRS = 200
TARGET_S = 0.010


@pytest.mark.bench
def test_lead_map_of_a_pair_is_fast() -> None:
    """Median of a pair below 10 ms of processor time: every turn and shift, routes, alternatives, check.

    Beside it, measured in the same run: CP-SAT (OR-tools, one worker) on two parts of the same question. First which
    pose and which leads need a wire, without routes, crossings, alternatives and check; then, in one pose only, wires
    with their routes and crossings (building the model in Python included).
    """
    cp_model = pytest.importorskip("ortools.sat.python.cp_model")
    parts = [p for p in open_library().parts() if p.geometry.wired and p.kind in ("reflective", "slotted")]
    every = [(a, b) for a, b in itertools.product(parts, repeat=2) if a.kind == b.kind and a.output == b.output]
    ours, poses, one_pose, wires = [], [], [], 0
    for old, new in random.Random(7).sample(every, min(PAIRS, len(every))):
        # without the slot: a refused pair would count as a fast one
        original = replace(from_part(old), gap_mm=None)
        start = time.process_time()
        answer = fit(original, new, FitOptions())
        ours.append(time.process_time() - start)
        if not answer.possible or answer.pose is None:
            continue
        wires += answer.wire_count
        start = time.process_time()
        found = _constraint_wires(cp_model, original, new)
        poses.append(time.process_time() - start)
        assert found == answer.wire_count - len(answer.links), f"{old.name} <- {new.name}"
        holes = [Hole(label=p.label, net=p.net, at_mm=p.at_mm) for p in original.pads if p.at_mm is not None]
        leads = [c.lead_at_mm for c in answer.connections]
        start = time.process_time()
        constraint_optimum(holes, leads, [c.net for c in answer.connections], 0.9)
        one_pose.append(time.process_time() - start)
    mine = statistics.median(ours)
    print(f"\nfit: median {mine * 1e3:.2f} ms, worst {max(ours) * 1e3:.1f} ms over {len(ours)} pairs, {wires} wires")
    for name, times in (("poses and wires, no routes", poses), ("routes and crossings, one pose", one_pose)):
        other = statistics.median(times)
        print(f"CP-SAT, {name}: median {other * 1e3:.2f} ms, {other / mine:.1f} times ours")
    assert mine < TARGET_S


def _constraint_wires(cp_model, original, new) -> int:
    """Fewest wires over all turns and the same shifts, as one constraint model."""
    rules, _ = setting.reach_rules(original, new, FitOptions())
    axis, donor_axis, _ = setting.axes(original, new)
    holes = {f: p.at_mm for p in original.pads for f in p.functions}
    leads = [(lead.function, lead.at_mm) for lead in new.geometry.leads if lead.function in holes]
    reach = max(rules.reach_mm, rules.direct_mm)
    model = cp_model.CpModel()
    poses, wired = [], []
    for turn in setting.turns(original, new):
        places = [(f, turned(at, turn)) for f, at in leads]
        centre = turned(donor_axis, turn)
        start = (axis[0] - centre[0], axis[1] - centre[1])
        centres = [(holes[f][0] - x, holes[f][1] - y) for f, (x, y) in places]
        for dx, dy in shifts(start, rules.tolerance_mm, centres, sorted({rules.direct_mm, reach})):
            pose = model.new_bool_var("")
            poses.append(pose)
            for f, (x, y) in places:
                gap = math.dist((x + dx, y + dy), holes[f])
                wire = model.new_bool_var("")
                if gap > reach + 1e-6:
                    model.add_implication(pose, wire)
                wired.append((wire, round(1000 * gap)))
                model.add_implication(wire, pose)
    model.add_exactly_one(poses)
    model.minimize(sum((10**6 + gap) * wire for wire, gap in wired))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    return round(solver.objective_value) // 10**6

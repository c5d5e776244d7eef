"""Joined nets, shared leads, spare leads: random boards and donors against a plain enumeration, and mutated answers."""

from __future__ import annotations

import itertools
import math
import random
from dataclasses import replace

import pytest

from xref.adapt.fit import FitOptions, fit
from xref.adapt.original import Original, from_site
from xref.adapt.verify import verify
from xref.model.lead import Lead
from xref.model.part import Geometry, Part
from xref.model.site import Pads, Site

from . import brute
from .test_pairs import cost_of

REACH = 1.2


def random_case(seed: int) -> tuple[Original, Part]:
    """Four to eight pads, some nets joined, functions twice; a donor with shared, repeated, NC and base leads."""
    rng = random.Random(seed)
    words = ["A", "K", "C", "E", *rng.choices(["E", "K", "NC"], k=rng.randint(0, 3))]
    nets = {"A": "LED", "K": "LEDK", "C": "OUT", "E": "OUTE", "NC": ""}
    if rng.random() < 0.5:
        nets["K"] = nets["E"] = "0V"
    if rng.random() < 0.2:
        nets["A"] = nets["C"] = "5V"
    cells = rng.sample([(x, y) for x in range(4) for y in range(3)], len(words))
    at, functions, on = {}, {}, {}
    for index, (word, (x, y)) in enumerate(zip(words, cells, strict=True)):
        label = f"p{index}"
        at[label], functions[label] = (2.54 * x, 2.54 * y), word
        if nets[word]:
            on[label] = nets[word]
    original = from_site(Site(kind="reflective", pads=Pads(at=at, functions=functions, nets=on)))
    donor = ["A", "K", "C", "E"]
    if rng.random() < 0.3:
        donor = ["A", "K+E", "C"]
    elif rng.random() < 0.1:
        donor = ["A+C", "K", "E"]
    donor += rng.choices(["NC", "B", donor[-1], donor[0]], k=rng.randint(0, 3))
    spots = rng.sample([(x, y) for x in range(4) for y in range(3)], len(donor))
    dx, dy = rng.uniform(-0.6, 0.6), rng.uniform(-0.6, 0.6)
    leads = tuple(
        Lead(label=str(k), function=f, at_mm=(round(2.54 * x + dx, 2), round(2.54 * y + dy, 2)))
        for k, (f, (x, y)) in enumerate(zip(donor, spots, strict=True), start=1)
    )
    geometry = Geometry(leads=leads, optical_axis_mm=original.optical_axis_mm)
    return original, Part(name="random donor", kind="reflective", geometry=geometry)


def enumerated(original: Original, donor: Part) -> tuple[int, int, float] | None:
    """Best cost with the axes together, over every turn, lead, pad and route; None when the leads forbid the board."""
    net_of: dict[str, set[str]] = {}
    for pad in original.pads:
        for f in pad.functions:
            net_of.setdefault(f, set()).add(pad.net)
    conductors: dict[str, list[int]] = {}
    for index, lead in enumerate(donor.geometry.leads):
        if lead.function not in ("NC", "B"):
            conductors.setdefault(lead.function, []).append(index)
    best = None
    for quarter in range(4):
        axis = complex(*original.optical_axis_mm)
        at = [(complex(*lead.at_mm) - axis) * 1j**quarter + axis for lead in donor.geometry.leads]
        holes = {pad.label: complex(*pad.at_mm) for pad in original.pads}
        places = [*holes.values(), *at]
        gaps = [abs(a - b) for a, b in itertools.combinations(places, 2)]
        clear = min([0.6, *(0.45 * g for g in gaps if g > 0.5)])
        choices = []
        for function, leads in conductors.items():
            nets = set().union(*(net_of[f] for f in function.split("+")))
            if len(nets) != 1:
                return None
            options = []  # (wire, over, length, path, hole)
            for index, (label, hole) in itertools.product(leads, holes.items()):
                if next(p.net for p in original.pads if p.label == label) not in nets:
                    continue
                gap = abs(at[index] - hole)
                if gap <= brute.DIRECT:
                    options.append((0, 0, 0.0, None, label))
                elif gap <= REACH:
                    over = brute.slanted_over(at[index], hole, places, clear)
                    options.append((0, over, gap, (at[index], hole), label))
                options += [(1, o, w, p, None) for o, w, p in brute.ways(at[index], hole, places, clear)]
            choices.append(sorted(options, key=lambda o: o[:3]))
        found = searched(choices, best)
        best = found or best
    return best


def fewest_wires(choices) -> int:
    """Every way to put leads into holes or not: the fewest that stay outside."""
    holes = [[None, *sorted({o[4] for o in options if o[4]})] for options in choices]
    ways = (
        taken for taken in itertools.product(*holes) if len(set(taken) - {None}) == sum(h is not None for h in taken)
    )
    return min(sum(h is None for h in taken) for taken in ways)


def searched(choices, best) -> tuple[int, int, float] | None:
    """The best choice that beats ``best``; crossings are allowed one more at a time."""
    found: list[tuple[int, int, float]] = []
    wires = fewest_wires(choices)
    least = [sum(min(o[2] for o in options) for options in choices[k:]) for k in range(len(choices) + 1)]

    def dig(index, taken, left, crossings, length) -> None:
        if left < 0 or crossings > most or length + least[index] >= top[0]:
            return
        if index == len(choices):
            top[0] = length
            found[:] = [(wires, most, length)]
            return
        for wire, over, way, path, hole in choices[index]:
            if hole is not None and any(hole == other for _, other in taken):
                continue
            met = sum(1 for line, _ in taken if path and line and brute.meet(path, line))
            dig(index + 1, [*taken, (path, hole)], left - wire, crossings + over + met, length + way)

    for most in range(20):
        if best is not None and (wires, most) > best[:2]:
            return None
        top = [best[2] - 1e-6 if best is not None and (wires, most) == best[:2] else math.inf]
        dig(0, [], wires, 0, 0.0)
        if found:
            return found[0]
    return None


@pytest.mark.parametrize("seed", range(120))
def test_random_boards_agree_with_enumeration(seed: int) -> None:
    """Wires, crossings and length of the best turn equal the enumeration; impossible exactly where it finds nothing."""
    original, donor = random_case(seed)

    answer = fit(original, donor, FitOptions(reach_mm=REACH, tolerance_mm=0.0, time_cap_s=60.0))

    expected = enumerated(original, donor)
    assert answer.possible == (expected is not None)
    if expected is not None:
        assert answer.verified
        wires, crossings, length, _ = cost_of(answer)
        assert (wires, crossings) == expected[:2]
        assert length == pytest.approx(expected[2], abs=2e-3)


def moved(answer, index: int, pad):
    """One lead taken to another pad by a wire, all the rest of the answer put right."""
    c = answer.connections[index]
    route = (c.lead_at_mm, (pad.at_mm[0], c.lead_at_mm[1]), pad.at_mm)
    length = math.ceil(sum(math.dist(a, b) for a, b in itertools.pairwise(route))) + 6.0
    new = replace(
        c, pad=pad.label, net=pad.net, pad_at_mm=pad.at_mm, by="wire", route_mm=route, length_mm=length, insulated=True
    )
    listed = [new if k == index else other for k, other in enumerate(answer.connections)]
    return replace(answer, connections=tuple(listed), wire_count=sum(x.by == "wire" for x in listed))


@pytest.mark.parametrize("seed", range(120))
def test_moved_and_exchanged_leads(seed: int) -> None:
    """Exchanging two leads is accepted when their nets are equal and rejected when not; so is moving one to any pad."""
    original, donor = random_case(seed)
    answer = fit(original, donor, FitOptions(reach_mm=REACH, tolerance_mm=0.0))
    if not answer.possible:
        return
    pads = {pad.label: pad for pad in original.pads}
    count = len(answer.connections)
    for one, other in itertools.combinations(range(count), 2):
        a, b = answer.connections[one], answer.connections[other]
        mutant = moved(moved(answer, one, pads[b.pad]), other, pads[a.pad])
        assert (verify(original, donor, mutant) == []) == (a.net == b.net), f"{a.lead} and {b.lead} exchanged"
    for index, pad in itertools.product(range(count), original.pads):
        mutant = moved(answer, index, pad)
        right = pad.net == answer.connections[index].net
        assert (verify(original, donor, mutant) == []) == right, f"{answer.connections[index].lead} to {pad.label}"

"""Every pair of wired parts: the fit is the optimum of an independent brute force, and every answer is verified."""

from __future__ import annotations

import itertools
import math
import random
from dataclasses import replace

import pytest

from xref.adapt.fit import FitOptions, fit
from xref.adapt.original import Original, from_part
from xref.adapt.verify import verify
from xref.library.store import open_library
from xref.model.part import Part
from xref.model.site import Site, SiteOutput

from . import brute

NORMAL_PAIRS = 1500
SEED = 41


def pairs() -> list:
    """Ordered pairs of wired sensors of one kind whose leads do the same."""
    parts = [(p, brute.thing(p)) for p in open_library().parts() if p.kind in ("reflective", "slotted")]
    known = [(part, seen) for part, seen in parts if seen is not None]
    return [
        (old, new)
        for old, new in itertools.product(known, repeat=2)
        if old[1].kind == new[1].kind
        and sorted(f for f, _ in old[1].leads) == sorted(f for f, _ in new[1].leads)
        and {old[1].senses, new[1].senses} != {"up", "side"}
    ]


def seeded(count: int | None) -> list:
    every = pairs()
    return every if count is None or count >= len(every) else random.Random(SEED).sample(every, count)


def wiring_of(old: Part, site: Site | None = None) -> Original:
    """The original without its slot: whether a flag runs free is another question (``test_loose.py``)."""
    return replace(from_part(old, site), gap_mm=None)


def agrees(sample: list) -> int:
    """Check every pair; the number of pairs with at least one wire, so that a sample of easy ones is noticed."""
    wired = 0
    for (old, ours), (new, theirs) in sample:
        original = wiring_of(old)
        answer = fit(original, new, FitOptions(time_cap_s=60.0))
        name = f"{old.name} <- {new.name}"
        assert answer.possible, f"{name}: {answer.because}"
        assert answer.verified, name
        assert verify(original, new, answer) == [], name
        assert answer.proven_best, name
        assert brute.rounded(cost_of(answer)) == pytest.approx(brute.rounded(brute.optimum(ours, theirs)), abs=2e-3), (
            name
        )
        wired += answer.wire_count > 0
    return wired


def cost_of(answer) -> tuple[int, int, float, float]:
    """The cost of an answer, computed from its connections only."""
    paths = []
    for c in answer.connections:
        points = c.route_mm if c.by == "wire" else (c.lead_at_mm, c.pad_at_mm)
        paths.append((c, tuple(complex(*p) for p in points)))
    length = sum(abs(v - u) for c, path in paths if c.by != "direct" for u, v in itertools.pairwise(path))
    return sum(c.by == "wire" for c, _ in paths), answer.crossings, length, answer.optical_offset_mm


def test_seeded_pairs_agree_with_brute_force() -> None:
    """A seeded sample of pairs: wires, crossings, length and axis offset equal an independent enumeration."""
    sample = seeded(NORMAL_PAIRS)

    wired = agrees(sample)

    assert wired > len(sample) / 20


@pytest.mark.nightly
def test_every_pair_agrees_with_brute_force() -> None:
    """All ordered pairs: wires, crossings, length and axis offset equal an independent enumeration."""
    assert agrees(seeded(None)) > 0


def test_no_shift_on_a_fine_grid_saves_a_wire() -> None:
    """The finite set of shifts loses nothing: no shift of a 0.1 mm grid within the tolerance needs fewer wires."""
    done = set()
    for (old, ours), (new, theirs) in seeded(400):
        key = (ours, theirs)
        if key in done or len(done) >= 60:
            continue
        done.add(key)
        assert fit(wiring_of(old), new).wire_count <= brute.wires_anywhere(ours, theirs, 1.0), f"{old.name}, {new.name}"


def test_alternatives_are_distinct_and_no_better() -> None:
    """The next-best answers differ in their pose, are verified too, and none of them costs less."""
    for (old, _), (new, _) in seeded(60):
        answer = fit(wiring_of(old), new)
        every = [answer, *answer.alternatives]
        assert len({(a.pose.turn_deg, a.cuts) for a in every}) == len(every)
        assert all(a.verified for a in every)
        costs = [brute.rounded(cost_of(a)) for a in every]
        assert costs == sorted(costs)


def exchanged(answer, one: int, other: int):
    """The answer with the pads of two leads exchanged, and everything else put right: an error of function only."""
    listed = list(answer.connections)
    for index, source in ((one, answer.connections[other]), (other, answer.connections[one])):
        c = answer.connections[index]
        corner = (source.pad_at_mm[0], c.lead_at_mm[1])
        route = (c.lead_at_mm, corner, source.pad_at_mm)
        listed[index] = replace(
            c,
            pad=source.pad,
            net=source.net,
            pad_at_mm=source.pad_at_mm,
            by="wire",
            route_mm=route,
            insulated=True,
            length_mm=math.ceil(sum(math.dist(a, b) for a, b in itertools.pairwise(route))) + 6.0,
        )
    wires = sum(c.by == "wire" for c in listed) + len(answer.links)
    return replace(answer, connections=tuple(listed), wire_count=wires)


@pytest.mark.parametrize("count", [400, pytest.param(None, marks=pytest.mark.nightly)])
def test_any_two_of_a_kind_are_solved_or_refused_with_a_reason(count: int | None) -> None:
    """Also across outputs (logic, transistor, darlington), with supply points given: never an unconfirmed answer."""
    parts = [p for p in open_library().parts() if p.geometry.wired and p.kind in ("reflective", "slotted")]
    every = [(a, b) for a, b in itertools.product(parts, repeat=2) if a.kind == b.kind]
    site = Site(
        kind="slotted", output=SiteOutput(load_side="C"), taps={"5V": (9.0, 4.0), "0V": (9.0, -4.0)}, safety="none"
    )
    for old, new in every if count is None else random.Random(SEED).sample(every, count):
        answer = fit(wiring_of(old, site), new)
        name = f"{old.name} <- {new.name}: {answer.because}"
        assert answer.possible == answer.verified, name
        assert answer.possible or (answer.because and answer.nearest), name
        assert "check of the wiring" not in answer.because, name


@pytest.mark.parametrize("count", [500, pytest.param(None, marks=pytest.mark.nightly)])
def test_exchanging_two_leads_is_always_rejected(count: int | None) -> None:
    """Two leads of different functions and nets exchanged in a right answer: the check says no, for every two leads."""
    for (old, _), (new, _) in seeded(count):
        original = wiring_of(old)
        answer = fit(original, new)
        for one, other in itertools.combinations(range(len(answer.connections)), 2):
            wrong = exchanged(answer, one, other)
            assert verify(original, new, wrong), f"{old.name} <- {new.name}: {one} {other} accepted"

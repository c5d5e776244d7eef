"""Fewest wires: random small switches against every wiring of every lead in every turn."""

from __future__ import annotations

import itertools
import random

import networkx as nx
import pytest

from tests.switch.solder import pairs
from tests.switch.test_fit import made
from xref.adapt.contacts_fit import fit_switch
from xref.adapt.fit import FitOptions
from xref.adapt.original import from_part
from xref.model.contact_need import ContactNeed
from xref.model.part import Part

GRID = [(x * 5.0, y * 5.0) for x in range(3) for y in range(2)]


def placed_switch(rng: random.Random, name: str, leads: int, positions: int) -> Part:
    """Random contacts on random holes of a 5 mm grid, worked by turning: no lever direction to keep."""
    labels = [f"{name}{number}" for number in range(leads)]
    at = dict(zip(labels, rng.sample(GRID, leads), strict=True))
    table = {
        f"{name}p{place}": [" ".join(rng.sample(labels, 2)) for _ in range(rng.randint(0, 2))]
        for place in range(positions)
    }
    return made(name, table, at, action="rotary")


def graph_of(part: Part, place: str) -> nx.Graph:
    assert part.contacts is not None
    graph = nx.Graph()
    graph.add_nodes_from(lead.label for lead in part.geometry.leads)
    for group in part.contacts.table[place]:
        nx.add_path(graph, group)
    return graph


def turned(at: tuple[float, float], turn: int) -> tuple[float, float]:
    for _ in range(turn // 90):
        at = -at[1], at[0]
    return at


def middle(points: list[tuple[float, float]]) -> tuple[float, float]:
    xs, ys = zip(*points, strict=True)
    return (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2


def brute_wires(original: Part, donor: Part) -> int | None:
    """Fewest leads that need a wire, over all wirings that join the same pads, middle on middle, all four turns."""
    pads = {lead.label: lead.at_mm for lead in original.geometry.leads}
    leads = [lead.label for lead in donor.geometry.leads]
    old = {place: pairs(graph_of(original, place), list(pads)) for place in original.contacts.table}  # type: ignore[union-attr]
    new = {place: graph_of(donor, place) for place in donor.contacts.table}  # type: ignore[union-attr]
    direct: list[dict[str, str]] = []
    centre = middle([at for at in pads.values() if at is not None])
    for turn in (0, 90, 180, 270):
        spots = {lead.label: turned(lead.at_mm, turn) for lead in donor.geometry.leads if lead.at_mm is not None}
        mine = middle(list(spots.values()))
        direct.append({
            lead: pad for lead, (x, y) in spots.items() for pad, at in pads.items()
            if at is not None and abs(x - mine[0] + centre[0] - at[0]) + abs(y - mine[1] + centre[1] - at[1]) < 0.01
        })  # fmt: skip
    best = None
    for wiring in itertools.product([None, *pads], repeat=len(leads)):
        wires = [
            sum(1 for lead, pad in zip(leads, wiring, strict=True) if pad and where.get(lead) != pad)
            for where in direct
        ]
        if best is not None and min(wires) >= best:
            continue
        for order in itertools.permutations(new, len(old)):
            if all(
                joined(new[there], leads, wiring, pads) == old[here] for here, there in zip(old, order, strict=True)
            ):
                best = min(wires)
                break
    return best


def joined(contacts: nx.Graph, leads: list[str], wiring: tuple[str | None, ...], pads: dict) -> set[frozenset[str]]:  # type: ignore[type-arg]
    board = contacts.copy()
    board.add_edges_from((lead, pad) for lead, pad in zip(leads, wiring, strict=True) if pad)
    return pairs(board, list(pads))


@pytest.mark.parametrize("seed", range(5))
def test_wires_are_the_fewest(seed: int) -> None:
    """40 random pairs that fit: as many wires as the best of all wirings, none fewer, none more."""
    rng = random.Random(seed)
    compared = 0
    while compared < 8:
        original = placed_switch(rng, "a", 3, 2)
        donor = placed_switch(rng, "b", rng.choice((3, 4, 5)), rng.choice((2, 2, 3)))
        options = FitOptions(tolerance_mm=0.0, reach_mm=0.0)
        answer = fit_switch(from_part(original), donor, options, ContactNeed(between="any"))
        if not answer.possible or answer.added:
            continue

        assert answer.wire_count == brute_wires(original, donor)

        compared += 1

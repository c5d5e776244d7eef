"""The fast look-up of worn markings against its definition, worked out name by name."""

from __future__ import annotations

import random

from rapidfuzz.distance import OSA

from tests.library.corruption import corrupt
from xref.library.marking import LOOKALIKE, WORN, Markings
from xref.library.names import canonical, folded
from xref.library.store import open_library


def by_definition(text: str, names: list[tuple[str, str]], n: int = 5) -> list[str]:
    """Every way to take up to two characters as worn at each end, for every name."""
    plain, fold = canonical(text), folded(text)
    best: dict[str, float] = {}
    for name, part in names:
        wanted = folded(name)
        ways = [(front, back) for front in range(3) for back in range(3)]
        cost = min(
            OSA.distance(fold, wanted[front : len(wanted) - back]) + WORN * (front + back)
            for front, back in ways
            if (front, back) == (0, 0) or len(wanted) - front - back >= 2
        )
        if len(fold) >= 3 and wanted.startswith(fold):
            cost = min(cost, WORN * (len(wanted) - len(fold)))
        if cost <= max(2.0, 0.5 * len(fold)):
            cost += LOOKALIKE * OSA.distance(plain, canonical(name))
            best[part] = min(cost, best.get(part, cost))
    return [part for _, part in sorted((cost, part) for part, cost in best.items())[:n]]


def test_the_stages_find_what_the_definition_finds() -> None:
    """200 corrupted and shortened names: the same five, in the same order."""
    names = [(name, entry.name) for entry in open_library().listed() for name in (entry.name, *entry.aliases)]
    rng = random.Random(7)
    ready = Markings(names)
    for number in range(200):
        text = corrupt(rng.choice(names)[0], rng)
        text = text[: rng.randrange(2, 5)] if number % 10 == 0 else text

        assert ready.nearest(text) == by_definition(text, names), text

"""Worn markings among many names against the usual scorer over all of them: hits among the first five, and how fast."""

from __future__ import annotations

import random
import statistics
import time

import pytest
from rapidfuzz import fuzz, process

from tests.bench.measure import show
from tests.bench.rows import many_names
from tests.library.corruption import corrupt
from xref.library.marking import Markings

QUERIES = 100
NEEDED = 0.92
RATIO = 0.3


def asked(names: list[str], queries: int) -> list[tuple[str, str]]:
    """(true name, what can be read of it), by the model of wear that was written before."""
    rng = random.Random(3)
    return [(name, corrupt(name, rng)) for name in rng.choices(names, k=queries)]


def measured(size: int, queries: int = QUERIES) -> tuple[float, float, float, float, float]:
    """Median time and share of hits of ours and of the reference, and the time to get ready."""
    names = many_names(size)
    start = time.process_time()
    ready = Markings((name, name) for name in names)
    build = time.process_time() - start
    ours, theirs, hits, their_hits = [], [], 0, 0
    pairs = asked(names, queries)
    for number, (true, worn) in enumerate(pairs):
        start = time.process_time()
        found = ready.nearest(worn)
        ours.append(time.process_time() - start)
        hits += true in found
        if number % 4 == 0:
            start = time.process_time()
            near = process.extract(worn, names, scorer=fuzz.WRatio, limit=5)
            theirs.append(time.process_time() - start)
            their_hits += true in [name for name, _, _ in near]
    return statistics.median(ours), hits / queries, statistics.median(theirs), their_hits / len(theirs), build


HEAD = ("names", "ready ms", "xref ms", "hit in 5", "WRatio ms", "its hits", "x WRatio")


def line(size: int, found: tuple[float, float, float, float, float]) -> tuple[object, ...]:
    """One line of the table."""
    ours, hits, theirs, their_hits, build = found
    return (
        size,
        f"{1e3 * build:.0f}",
        f"{1e3 * ours:.2f}",
        f"{hits:.2f}",
        f"{1e3 * theirs:.2f}",
        f"{their_hits:.2f}",
        f"{ours / theirs:.2f}",
    )


@pytest.mark.bench
def test_worn_markings() -> None:
    """At 100,000 names: 0.92 among five, at most 0.3 of the reference's time."""
    found = {size: measured(size) for size in (1_000, 10_000, 100_000)}
    show("Worn markings", HEAD, [line(size, each) for size, each in found.items()])

    ours, hits, theirs, _, _ = found[100_000]
    assert hits >= NEEDED
    assert ours <= RATIO * theirs


@pytest.mark.bench
@pytest.mark.nightly
def test_worn_markings_among_a_million() -> None:
    """A million names by the same code: reported, no limit but that it finds most."""
    found = measured(1_000_000, 40)
    show("Worn markings", HEAD, [line(1_000_000, found)])

    assert found[1] > 0.5

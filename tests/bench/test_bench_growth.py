"""How cost grows with the number of parts: search, look-up, index, part files. The exponent says it in one number.

The reference of each line is its own smallest size in the same run; an exponent of 1 means twice the parts, twice the
time.
"""

from __future__ import annotations

import json
import math
import random
import sqlite3
from pathlib import Path

import pytest

from tests.bench.measure import show, timed
from tests.bench.rows import many_names, many_rows
from tests.library.corruption import corrupt
from xref.library import index
from xref.library.marking import Markings
from xref.library.store import Library
from xref.model.row import Row, pack
from xref.model.want import Want
from xref.search.rank import rank

SIZES = (1_000, 10_000, 100_000)
WANTS = {
    "find, slotted": Want(
        kind="slotted", output="transistor", gap_mm=5.0, body_mm=(25.0, 12.0, 15.0), leads=4, channels=1
    ),
    "find --same --vf": Want(kind="slotted", same=True, gap_mm=5.0, body_mm=(25.0, 12.0, 15.0), leads=4, vf=1.1),
}
STEEPEST = 1.4


def exponent(times: list[float], sizes: tuple[int, ...]) -> float:
    """Slope of log time over log size, by the two ends."""
    return math.log(times[-1] / times[0]) / math.log(sizes[-1] / sizes[0])


def costs(sizes: tuple[int, ...], folder: Path) -> dict[str, list[float]]:
    """Seconds of each task at each size."""
    found: dict[str, list[float]] = {}
    for size in sizes:
        rows = many_rows(size)
        for name, want in WANTS.items():
            found.setdefault(name, []).append(timed(lambda rows=rows, want=want: rank(rows, want), 3))
        ready = Markings((name, name) for name in many_names(size))
        rng = random.Random(1)
        worn = [corrupt(row.name, rng) for row in rng.choices(rows, k=10)]
        found.setdefault("look-up of 10", []).append(
            timed(lambda ready=ready, worn=worn: [ready.nearest(w) for w in worn], 1)
        )
        path = folder / f"{size}.sqlite"
        found.setdefault("write index rows", []).append(timed(lambda rows=rows, path=path: _write(path, rows), 1))
        found.setdefault("read index rows", []).append(timed(lambda path=path: _read(path), 3))
    return found


def _write(path: Path, rows: list[Row]) -> None:
    index.write(path, {"rows:slotted": json.dumps([pack(row) for row in rows])})


def _read(path: Path) -> list[Row]:
    layer = index.Layer(None, sqlite3.connect(path), dict)
    rows = Library([("shipped", layer)], None, "").rows("slotted")
    assert len(rows) >= SIZES[0]
    return rows


def report(sizes: tuple[int, ...], found: dict[str, list[float]]) -> None:
    """Print milliseconds and the exponent."""
    rows = [
        (name, *(f"{1e3 * spent:.1f}" for spent in times), f"{exponent(times, sizes):.2f}")
        for name, times in found.items()
    ]
    show("Growth, ms", ("task", *sizes, "exponent"), rows)


@pytest.mark.bench
def test_growth(tmp_path: Path) -> None:
    """From a thousand to a hundred thousand nothing grows much faster than the data."""
    found = costs(SIZES, tmp_path)
    report(SIZES, found)

    assert all(exponent(times, SIZES) <= STEEPEST for times in found.values())


@pytest.mark.bench
@pytest.mark.nightly
def test_growth_to_a_million(tmp_path: Path) -> None:
    """A million rows by the same code: reported, no limit."""
    sizes = (10_000, 1_000_000)
    report(sizes, costs(sizes, tmp_path))

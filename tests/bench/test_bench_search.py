"""Ranked search over many rows against SQLite with the same score written as SQL: the same 20, and how fast."""

from __future__ import annotations

import sqlite3

import pytest

from tests.bench.measure import show, timed
from tests.bench.rows import many_rows
from xref.model.row import Row
from xref.model.want import Want
from xref.search.rank import rank

WANT = Want(kind="slotted", gap_mm=5.0, hole_mm=3.2, leads=4, channels=1, distance_mm=2.0)
# weights, limits and the cost of an unknown value as the page of criteria states them: gates first, then shares
SQL = """
select reference, round((
    case when gap is null then 1.8 else 3.0 * min(max(gap - 5.0, 0) / 5.0, 0.95) end
  + case when hole is null then 1.8 else 3.0 * min(abs(hole - 3.2) / 0.8, 1.0) end
  + case when leads is null then 0.9 when leads = 4 then 0 else 0.9 end
  + case when distance is null then 1.2 else 2.0 * min(abs(distance - 2.0) / 2.0 / 2, 1.0) end
  + case when wired then 0 else 0.6 end) / 14.5, 4) as score
from part
where kind = 'slotted' and channels >= 1 and (gap is null or gap >= 4.9)
order by score, reference limit 20
"""


def table(rows: list[Row]) -> sqlite3.Connection:
    """The rows as a table with an index on the kind."""
    base = sqlite3.connect(":memory:")
    base.execute(
        "create table part (reference, kind, channels int, gap real, hole real, leads int, distance real, wired int)"
    )
    base.executemany(
        "insert into part values (?, ?, ?, ?, ?, ?, ?, ?)",
        [
            (r.reference, r.kind, r.channels, r.gap_mm, r.hole_mm, r.lead_count, r.peak_distance_mm, r.wired)
            for r in rows
        ],
    )
    base.execute("create index by_kind on part (kind)")
    return base


@pytest.mark.bench
@pytest.mark.parametrize("sizes", [(300, 3_000, 30_000, 100_000)])
def test_ranked_search(sizes: tuple[int, ...]) -> None:
    """Same first 20 as SQL at every size; at 100,000 rows of one kind under a second."""
    lines = []
    for size in sizes:
        rows = many_rows(size, "slotted")
        base = table(rows)

        ours = rank(rows, WANT, limit=20)
        theirs = base.execute(SQL).fetchall()

        assert [(found.reference, found.score) for found in ours.candidates] == theirs
        spent, reference = (
            timed(lambda rows=rows: rank(rows, WANT, limit=20)),
            timed(lambda base=base: base.execute(SQL).fetchall()),
        )
        lines.append(
            (
                size,
                f"{1e3 * spent:.1f}",
                f"{1e3 * reference:.1f}",
                f"{spent / reference:.1f}",
                f"{1e6 * spent / size:.2f}",
            )
        )
    show("Ranked search, all rows of the kind, warm", ("rows", "xref ms", "sqlite ms", "x sqlite", "us a row"), lines)
    assert spent < 1.0

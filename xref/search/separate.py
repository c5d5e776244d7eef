"""Which further measurement would part the donors that the readings leave alike."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable

from xref.model.row import Row
from xref.model.want import Want

# (what to measure, already given?, value of a row, step that calipers or a meter resolve)
_QUANTITIES: tuple[tuple[str, Callable[[Want], bool], Callable[[Row], float | None], float], ...] = (
    ("the slot width", lambda want: want.gap_mm is not None, lambda row: row.gap_mm, 0.2),
    ("the body length", lambda want: bool(want.body_mm), lambda row: max(row.size_mm) if row.size_mm else None, 0.4),
    ("the lead grid", lambda want: want.grid_mm is not None, lambda row: row.row_mm, 0.3),
    ("the screw hole", lambda want: want.hole_mm is not None, lambda row: row.hole_mm, 0.3),
    ("the number of leads", lambda want: want.leads is not None, lambda row: row.lead_count, 1.0),
)


def best_separator(rows: list[Row], want: Want) -> str:
    """The quantity that leaves the fewest donors alike on average; empty when none helps.

    Information of a reading = entropy of its known values in steps of what a bench can resolve; donors without the
    value stay in every group, so a quantity that few sheets print helps little.
    """
    if len(rows) < 2:
        return ""
    best, name = 0.0, ""
    for what, given, value, step in _QUANTITIES:
        if given(want):
            continue
        known = [round(number / step) for row in rows if (number := value(row)) is not None]
        if len(known) < 2:
            continue
        counts = Counter(known).values()
        entropy = -sum(n / len(known) * math.log2(n / len(known)) for n in counts) * len(known) / len(rows)
        if entropy > best + 1e-9:
            best, name = entropy, what
    return name

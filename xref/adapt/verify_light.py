"""Light as the independent check knows it: a power law, straight lines between the points of a curve, reflectances."""

from __future__ import annotations

import math
from itertools import pairwise

from xref.model.part import Part
from xref.model.site import Sees
from xref.model.value import Value

_REFLECTS = (("grey", 0.18), ("gray", 0.18), ("black", 0.05), ("alumin", 0.6), ("paper", 0.8), ("card", 0.9),
             ("white", 0.9), ("diffuse", 0.9))  # fmt: skip


def power(ratio: float) -> float:
    """Collector current over that at another emitter current."""
    return float(ratio ** (1.13 if ratio > 1 else 1.2))


def row_for(part: Part, current: float) -> Value | None:
    """The printed collector current nearest to an emitter current [A]."""
    rows = [v for v in part.coupling.ic_ma if v.at.get("if_ma") and (v.min or v.typ or v.max)]
    active = [v for v in rows if v.at.get("vce_v", 5.0) >= 1.0] or rows
    near = max(current, 1e-4) * 1e3
    return min(active, key=lambda v: (v.min is None, abs(math.log(v.at["if_ma"] / near))), default=None)


def ends_of(row: Value) -> tuple[float, float]:
    """Least and most of a printed current [A]; missing ends at a half, a quarter, twice or four times."""
    low = row.min if row.min is not None else row.typ / 2 if row.typ is not None else (row.max or 0.0) / 4
    high = row.max if row.max is not None else max(4 * low, 2 * (row.typ or 0.0))
    return low * 1e-3, high * 1e-3


def target_light(part: Part, sees: Sees, assumed: tuple[str, ...], row: Value) -> tuple[float, float] | None:
    """Light of the lit and of the dark state over the printed one; None where only a curve law could say."""
    if part.kind != "reflective":
        wide = part.kind == "pair" and sees.gap and part.slot.gap_mm
        open_beam = (part.slot.gap_mm / sees.gap) ** 1.5 if wide and part.slot.gap_mm and sees.gap else 1.0
        return open_beam, 0.006 * open_beam
    printed, wanted = _reflects(row.target or "white"), _reflects(sees.bright or row.target or "white")
    if printed is None or wanted is None:
        # a mirror, or a target without a known share
        bright: float | None = 1.0 if printed is None else None
    else:
        bright = wanted / printed
    curve, far = part.coupling.distance_curve, row.at.get("distance_mm")
    if bright is not None and printed is not None and sees.distance is not None and sees.distance != far:
        if any("as in the data sheet (" in text for text in assumed):
            # the answer says that it takes the light as printed; then it is held to that
            bright = 1.0
        elif len(curve) < 2 or far is None or "mounting plane" in f"{row.note} {row.target} {part.notes}".lower():
            return None
        else:
            bright *= _on(curve, sees.distance) / max(_on(curve, far), 1e-6)
    if bright is None:
        return None
    cross = part.coupling.crosstalk_ua
    stray = 0.0
    if cross is not None and (cross.max or cross.typ):
        most = cross.max if cross.max is not None else 2 * (cross.typ or 0.0)
        stray = most * 1e-6 * row.at["if_ma"] / cross.at.get("if_ma", row.at["if_ma"]) / ends_of(row)[1]
    word = (sees.dark or "black").lower()
    open_air = any(text in word for text in ("open", "nothing", "hole"))
    share = (0.0 if stray else 0.01) if open_air else _reflects(word) or 0.05
    return bright, 2 * bright * share / 0.9 + stray


def _reflects(text: str) -> float | None:
    words = text.lower()
    if "mirror" in words:
        return None
    return next((share for mark, share in _REFLECTS if mark in words), 0.9)


def _on(curve: tuple[tuple[float, float], ...], at: float) -> float:
    points = sorted(curve)
    if at <= points[0][0]:
        return points[0][1]
    for (x0, y0), (x1, y1) in pairwise(points):
        if at <= x1:
            return y0 + (y1 - y0) * (at - x0) / (x1 - x0)
    return points[-1][1]

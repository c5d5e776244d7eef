"""What a criterion is, how much each weighs, and the limits that decide; in one place, to be read and argued."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from xref.model.row import Row

Measure = Callable[[Row], float | None]
Words = Callable[[Row], tuple[float | str | None, float | str | None, str, str]]


@dataclass(slots=True)
class Criterion:
    """``measure``: distance or None; ``words``: (wanted, offered, unit, why); ``gate``: at 1 the donor is refused."""

    name: str
    weight: float
    measure: Measure
    words: Words
    gate: bool


# Weights: ours, from the order in which bench accounts name what decides (fit before electrical data).
WEIGHTS = {
    "output": 4.0, "sense": 4.0, "gap": 3.0, "hole": 3.0, "body": 2.5, "lead grid": 2.5, "current transfer": 2.5,
    "supply": 3.0, "distance": 2.0, "leads": 1.5, "channels": 4.0, "VF": 2.0, "faces": 2.0, "lead positions": 1.0,
    "tested": 0.3,
}  # fmt: skip
UNKNOWN_COSTS = 0.6
"""Share of a weight that a missing value costs: more than 'near', less than 'fails'. A sparse entry never beats
a well-known equal."""

INSIDE = 0.02
"""Largest distance inside a tolerance: it orders equals, and still counts as met."""

DARLINGTON = 0.6
"""A darlington for a transistor, or the reverse: works on most boards after other values."""

GRID_MET_MM, GRID_FORMED_MM = 0.3, 2.0
BODY_OVER_MM, BODY_SAME_MM = 0.5, 0.4
GAP_UNDER_MM, GAP_SAME_MM = 0.1, 0.25
FLAG_ROOM_MM = 0.5
"""Room that a flag needs in the slot, both sides together; the fit asks for the same (common practice, no source)."""
HOLE_MM = 0.4


def beyond(off: float, met: float, worst: float) -> float:
    """0 to INSIDE within ``met``, then in proportion, 1 at ``worst``."""
    return INSIDE * off / met if off <= met else min(off / worst, 1.0)


def make(name: str, measure: Measure, words: Words, *, gate: bool) -> Criterion:
    return Criterion(name, WEIGHTS[name], measure, words, gate)

"""Worst case of a working point over spread, tolerances, temperature and age; and many corners at once in numpy."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

from xref.errors import DataError
from xref.physics.operating import Corner, OperatingPoint, Setup, evaluate, operating_point
from xref.physics.spread import Ranges as Ranges
from xref.physics.spread import emitter_range as emitter_range
from xref.physics.spread import end_corners


@dataclass(frozen=True, slots=True, kw_only=True)
class CornerReport:
    """Worst cases. ``bright_driver`` and ``dark_driver`` name the departure whose return to nominal would help most."""

    nominal: OperatingPoint
    bright: OperatingPoint  # corner with the least bright reserve
    dark: OperatingPoint  # corner with the least dark reserve
    bright_v: tuple[float, float]
    dark_v: tuple[float, float]
    forward_current: tuple[float, float] | None
    bright_driver: str
    dark_driver: str
    corners: int

    @property
    def reserve(self) -> float:
        """The smaller of the two reserves."""
        return min(self.bright.bright_reserve, self.dark.dark_reserve)

    @property
    def limited_by(self) -> str:
        """Level and departure that set the reserve, in words."""
        if self.bright.bright_reserve <= self.dark.dark_reserve:
            return f"bright level, {self.bright_driver}"
        return f"dark level, {self.dark_driver}"

    @property
    def ok(self) -> bool:
        """True when both levels hold in all corners."""
        return self.reserve >= 1


_BLOCK = 16384

_WORDS = {
    "part": "spread of the part",
    "emitter_supply": "emitter supply",
    "emitter_resistor": "tolerance of the emitter resistor",
    "supply": "supply",
    "load": "tolerance of the load",
    "temp_c": "temperature",
    "age": "age of the emitter",
    "vf_shift": "forward voltage",
    "target": "uncertainty of target, distance and coupling law",
    "stray": "uncertainty of the blocked light and coupling law",
}


def corner_report(setup: Setup, ranges: Ranges | None = None) -> CornerReport:
    """Levels over all corners, the least reserves, and what sets them.

    Every quantity stands at each end of its range, the temperature also at 25 °C and where the part gives most light.
    Where the part's own curves are missing, the bands of the default laws count too. Each other quantity acts in one
    direction on a level, so that no inner point is worse than all corners.

    Args:
        setup: the circuit [V, Ω, A]
        ranges: how far each quantity may depart, None = the defaults of :class:`Ranges` [1, °C, V]

    Returns:
        worst cases, ranges of the levels, and the departure that costs the most reserve [V, A, 1]

    Raises:
        DataError: a range that is negative or reversed

    Valid: as :func:`operating_point`, in every corner.
    Source: worst-case analysis (common practice); tested against random inner points and against ngspice.
    """
    points = [operating_point(setup, corner) for corner in end_corners(setup, ranges or Ranges())]
    nominal = operating_point(setup)
    bright = min(points, key=lambda p: (p.bright_reserve, -p.bright_v if p.bright_is == "low" else p.bright_v))
    dark = min(points, key=lambda p: (p.dark_reserve, p.dark_v if p.bright_is == "low" else -p.dark_v))
    currents = [p.forward_current for p in points if p.forward_current is not None]
    return CornerReport(
        nominal=nominal,
        bright=bright,
        dark=dark,
        bright_v=(min(p.bright_v for p in points), max(p.bright_v for p in points)),
        dark_v=(min(p.dark_v for p in points), max(p.dark_v for p in points)),
        forward_current=(min(currents), max(currents)) if currents else None,
        bright_driver=_driver(setup, bright, "bright_reserve"),
        dark_driver=_driver(setup, dark, "dark_reserve"),
        corners=len(points),
    )


def worst_reserves(setup: Setup, ranges: Ranges | None = None) -> tuple[float, float]:
    """Least bright and least dark reserve, without levels and words: the fast form for a search over values.

    Args:
        setup: the circuit [V, Ω, A]
        ranges: how far each quantity may depart, None = the defaults of :class:`Ranges` [1, °C, V]

    Returns:
        (bright, dark) reserves, equal to those of :func:`corner_report` [1]

    Raises:
        DataError: a range that is negative or reversed

    Valid: as :func:`operating_point`, in every corner; nothing is marked where it is not.
    Source: as :func:`corner_report`, on the ends of light and load that can be worst.
    """
    ends = end_corners(setup, ranges or Ranges(), worst_only=True)
    dim = [c for c in ends if c.part == "low"]
    lit = [c for c in ends if c.part != "low"]
    return (
        min(evaluate(setup, c, levels=False)["bright_reserve"] for c in dim),
        min(evaluate(setup, c, levels=False)["dark_reserve"] for c in lit),
    )


def reserves(setup: Setup, *, levels: bool = False, **columns: Any) -> dict[str, Any]:
    """Reserves (and levels) of many corners at once.

    Args:
        setup: the circuit [V, Ω, A]
        levels: True adds the node voltages bright_v and dark_v [bool]
        columns: fields of :class:`Corner` as numpy arrays of one length; ``part`` as collector current in A [1, °C, V]

    Returns:
        arrays by name, as :func:`evaluate`; a lone detector has no forward_current [A, V, 1]

    Raises:
        DataError: a column that is no field of :class:`Corner`, or columns of different lengths

    Valid: as :func:`operating_point`; nothing is marked where a corner is outside.
    Source: as :func:`operating_point`; the same code as the scalar call.
    """
    unknown = [name for name in columns if name not in _WORDS]
    if unknown:
        raise DataError(f"no corner quantity {unknown[0]!r}; known: {', '.join(_WORDS)}")
    import numpy as np

    shaped = {name: np.atleast_1d(np.asarray(value, dtype=float)) for name, value in columns.items()}
    length = max((len(v) for v in shaped.values()), default=1)
    wrong = [name for name, v in shaped.items() if len(v) not in (1, length)]
    if wrong:
        raise DataError(f"the corner columns differ in length: {wrong[0]} has {len(shaped[wrong[0]])} of {length} rows")
    result: dict[str, Any] = {}
    # blocks that stay in the processor's cache take half the time of whole columns
    for start in range(0, length, _BLOCK):
        stop = min(start + _BLOCK, length)
        block = {name: v[start:stop] if len(v) > 1 else v for name, v in shaped.items()}
        for name, values in evaluate(setup, _Columns(block), levels=levels).items():
            if values is not None:
                result.setdefault(name, np.empty(length))[start:stop] = values
    return result


class _Columns:
    """Fields of a corner, arrays where given, nominal where not."""

    def __init__(self, columns: dict[str, Any]) -> None:
        nominal = Corner()
        for name in _WORDS:
            setattr(self, name, columns.get(name, getattr(nominal, name)))


def _driver(setup: Setup, worst: OperatingPoint, name: str) -> str:
    """The departure whose return to nominal raises the reserve by the largest factor."""
    best, words = 1.0 + 1e-9, "no departure (the nominal circuit sets it)"
    base = getattr(worst, name)
    nominal = Corner()
    for quantity in _WORDS:
        back = getattr(nominal, quantity)
        if getattr(worst.corner, quantity) == back:
            continue
        change = {quantity: back}
        if quantity == "supply" and worst.corner.emitter_supply == worst.corner.supply:
            change["emitter_supply"] = back
        elif quantity == "emitter_supply" and worst.corner.emitter_supply == worst.corner.supply:
            continue
        better = getattr(operating_point(setup, replace(worst.corner, **change)), name)
        gain = better / base if base > 0 else (math.inf if better > 0 else 1.0)
        if math.isinf(base):
            gain = 1.0
        if gain > best:
            best, words = gain, _WORDS[quantity]
    return words

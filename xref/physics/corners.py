"""Worst case of a working point over spread, tolerances, temperature and age; and many corners at once in numpy."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import product
from typing import Any

from xref.errors import DataError
from xref.physics._math import ROOM_C
from xref.physics.coupling import current_factor, temperature_factor
from xref.physics.operating import Corner, EmitterCircuit, OperatingPoint, Setup, evaluate, operating_point
from xref.physics.series import series_current
from xref.physics.validity import Estimate


@dataclass(frozen=True, slots=True, kw_only=True)
class Ranges:
    """How far each quantity may depart: tolerances as fractions, temperatures in °C, age as a factor."""

    supply: float = 0.05
    emitter_supply: float | None = None  # None: the same rail as the detector
    emitter_resistor: float = 0.05
    load: float = 0.05
    temp_low_c: float = 10.0
    temp_high_c: float = 45.0
    age_low: float = 0.7  # least light left at the end of life
    vf_band: float = 0.05  # V an emitter, either way


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


_BLOCK = 8192
BRIGHTEST_C = 36.5  # maximum of the default temperature law of coupling

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
    ranges = ranges or Ranges()
    _check(ranges)
    # more light acts one way on every level: the light axes collapse to their two ends
    dim = {
        "part": "low",
        "emitter_resistor": 1 + ranges.emitter_resistor,
        "age": ranges.age_low,
        "vf_shift": ranges.vf_band,
    }
    lit = {
        "part": "high",
        "emitter_resistor": 1 - ranges.emitter_resistor,
        "age": 1.0,
        "vf_shift": -ranges.vf_band,
    }
    temps = [ranges.temp_low_c, ranges.temp_high_c]
    temps += [t for t in (ROOM_C, _brightest_c(setup)) if ranges.temp_low_c < t < ranges.temp_high_c]
    law_low, law_high = _transfer_band(setup, ranges)
    points = []
    for light, supply, load, temp in product((dim, lit), (-1, 1), (-1, 1), temps):
        rail = 1 + supply * ranges.supply
        warm_low, warm_high = _temperature_band(setup, temp)
        if light is dim:
            bands = {"target": _target(setup, low=True) * law_low * warm_low, "stray": 1.0}
        else:
            more = law_high * warm_high
            bands = {"target": _target(setup, low=False) * more, "stray": _stray(setup) * more}
        own_rail = rail
        if ranges.emitter_supply is not None:
            own_rail = 1 - ranges.emitter_supply if light is dim else 1 + ranges.emitter_supply
        corner = Corner(
            supply=rail,
            load=1 + load * ranges.load,
            temp_c=temp,
            emitter_supply=own_rail,
            **light,  # type: ignore[arg-type]
            **bands,
        )
        points.append(operating_point(setup, corner))
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


def emitter_range(circuit: EmitterCircuit, ranges: Ranges | None = None) -> Estimate:
    """Forward current of an emitter circuit over its tolerances (kind emitter, or before anything else is known).

    Args:
        circuit: the emitters, resistor and supply [V, Ω, A]
        ranges: how far each quantity may depart, None = the defaults of :class:`Ranges` [1, °C, V]

    Returns:
        nominal, least and largest current; ``valid`` is False when the largest exceeds the printed limit [A]

    Raises:
        DataError: a range that is negative or reversed

    Valid: as :func:`series_current`.
    Source: worst-case analysis (common practice).
    """
    ranges = ranges or Ranges()
    _check(ranges)
    rail = ranges.supply if ranges.emitter_supply is None else ranges.emitter_supply

    def at(sign: float, temp_c: float) -> float:
        volts = circuit.supply * (1 + sign * rail) + sign * circuit.count * ranges.vf_band
        return series_current(
            volts,
            circuit.resistor * (1 - sign * ranges.emitter_resistor),
            circuit.diode,
            count=circuit.count,
            driver_drop=circuit.driver_drop,
            temp_c=temp_c,
        )

    nominal = series_current(
        circuit.supply, circuit.resistor, circuit.diode, count=circuit.count, driver_drop=circuit.driver_drop
    )
    low, high = at(-1.0, ranges.temp_low_c), at(1.0, ranges.temp_high_c)
    limit = circuit.current_max
    why = (
        ""
        if limit is None or high <= limit
        else (f"{high * 1e3:.3g} mA is above the emitter's limit of {limit * 1e3:.3g} mA")
    )
    return Estimate(value=nominal, low=low, high=high, valid=not why, why=why, basis=circuit.diode.basis)


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


def _brightest_c(setup: Setup) -> float:
    """Temperature at which the part gives most light: between the ends of a range it may beat both."""
    known = setup.transfer.temperature_curve if setup.transfer is not None else None
    if known is None:
        return BRIGHTEST_C
    return max(zip(known.y, known.x, strict=True))[1]


def _transfer_band(setup: Setup, ranges: Ranges) -> tuple[float, float]:
    """Lowest and highest factor that the default transfer law leaves open between the printed and the real current."""
    t, e = setup.transfer, setup.emitter
    if t is None or e is None or t.transfer_curve is not None:
        return 1.0, 1.0
    currents = emitter_range(e, ranges)
    factors = [current_factor(max(i, 1e-6), t.if_ref) for i in (currents.low, currents.high)]
    return min(f.low / f.value for f in factors), max(f.high / f.value for f in factors)


def _temperature_band(setup: Setup, temp_c: float) -> tuple[float, float]:
    """Lowest and highest factor that the default temperature law leaves open."""
    if setup.transfer is None or setup.transfer.temperature_curve is not None:
        return 1.0, 1.0
    factor = temperature_factor(temp_c)
    return factor.low / factor.value, factor.high / factor.value


def _target(setup: Setup, *, low: bool) -> float:
    t = setup.transfer
    if t is None:
        return 1.0
    end = t.bright_low if low else t.bright_high
    return 1.0 if end is None else end / t.bright


def _stray(setup: Setup) -> float:
    t = setup.transfer
    return 1.0 if t is None or t.dark_high is None or t.dark <= 0 else t.dark_high / t.dark


def _check(ranges: Ranges) -> None:
    for name in ("supply", "emitter_resistor", "load"):
        if not 0 <= getattr(ranges, name) < 1:
            raise DataError(f"the tolerance of {name} is a fraction from 0 to below 1, not {getattr(ranges, name):g}")
    if ranges.temp_low_c > ranges.temp_high_c:
        raise DataError(f"the temperature range runs from {ranges.temp_low_c:g} down to {ranges.temp_high_c:g} C")
    if not 0 < ranges.age_low <= 1:
        raise DataError(f"the age factor lies above 0 and up to 1, not {ranges.age_low:g}")

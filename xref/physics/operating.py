"""One working point: emitter circuit, coupling, detector, load and input joined; levels and light reserve.

The light reserve is the factor by which the light may fall before the bright level is lost, and the factor by which it
may rise before the dark level is lost. 1.0 means that the level sits on its threshold; below 1 it is lost.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

from xref.errors import DataError
from xref.physics._math import ROOM_C, at_least, choose, is_scalar
from xref.physics.coupling import _default_transfer, _temperature
from xref.physics.curves import Curve
from xref.physics.detector import Detector
from xref.physics.emitter import Diode
from xref.physics.load import _light_for, _solve, make_load
from xref.physics.logic_input import Thresholds
from xref.physics.series import solve_series
from xref.physics.validity import weakest


@dataclass(frozen=True, slots=True, kw_only=True)
class EmitterCircuit:
    """Emitters in series with a resistor on a supply."""

    diode: Diode
    supply: float
    resistor: float
    count: int = 1
    driver_drop: float = 0.0
    current_max: float | None = None  # printed limit


@dataclass(frozen=True, slots=True, kw_only=True)
class Transfer:
    """Collector current of the part at an emitter current, and what the machine makes of it.

    ``bright`` and ``dark`` multiply the printed current in the two states: target, distance, gap; light that still
    arrives when blocked. ``low`` and ``high`` are the part's spread at ``if_ref``.
    """

    low: float
    typical: float
    high: float
    if_ref: float
    bright: float = 1.0
    bright_low: float | None = None  # band of ``bright``; None = no band
    bright_high: float | None = None
    dark: float = 0.0
    dark_high: float | None = None
    transfer_curve: Curve | None = None
    temperature_curve: Curve | None = None
    basis: str = "printed"

    def __post_init__(self) -> None:
        if not 0 < self.low <= self.typical <= self.high:
            raise DataError(
                f"a collector current needs 0 < low <= typical <= high, "
                f"not {self.low:g}, {self.typical:g}, {self.high:g} A"
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class GivenLight:
    """Light from elsewhere (kind detector): currents the detector would pass unsaturated, bright and dark."""

    low: float
    typical: float
    high: float
    dark: float = 0.0
    basis: str = "assumed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Receiver:
    """Detector, load and the input behind it."""

    detector: Detector
    supply: float
    load: float
    input: Thresholds
    side: str = "collector"
    pulls: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Setup:
    """All that makes a working point; ``emitter`` and ``transfer`` together, or ``light``."""

    receiver: Receiver
    emitter: EmitterCircuit | None = None
    transfer: Transfer | None = None
    light: GivenLight | None = None

    def __post_init__(self) -> None:
        own = self.emitter is not None and self.transfer is not None
        if own == (self.light is not None):
            raise DataError("a working point needs emitter and transfer, or the light of a lone detector")
        make_load(self.receiver.supply, self.receiver.load, self.receiver.side, pulls=self.receiver.pulls)


@dataclass(frozen=True, slots=True, kw_only=True)
class Corner:
    """Departures from nominal: factors on supplies and resistors, position in the part's spread, temperature, age."""

    part: str | float = "typical"  # low | typical | high, or the collector current at if_ref [A]
    emitter_supply: float = 1.0
    emitter_resistor: float = 1.0
    supply: float = 1.0
    load: float = 1.0
    temp_c: float = ROOM_C
    age: float = 1.0
    vf_shift: float = 0.0  # V an emitter
    target: float = 1.0  # factor on the bright light
    stray: float = 1.0  # factor on the dark light


@dataclass(frozen=True, slots=True, kw_only=True)
class OperatingPoint:
    """Levels and reserves of one corner. Currents in A, voltages in V; reserves are factors."""

    forward_current: float | None
    bright_light: float
    dark_light: float
    dark_current: float
    bright_v: float
    dark_v: float
    bright_reserve: float
    dark_reserve: float
    bright_is: str  # "low" or "high"
    corner: Corner = field(default_factory=Corner)
    valid: bool = True
    why: str = ""
    basis: str = "derived"

    @property
    def ok(self) -> bool:
        """True when both levels hold."""
        return self.bright_reserve >= 1 and self.dark_reserve >= 1


def operating_point(setup: Setup, corner: Corner | None = None) -> OperatingPoint:
    """Working point of one corner.

    Args:
        setup: the circuit [V, Ω, A]
        corner: departures from nominal, None = nominal at 25 °C [1, °C, V]

    Returns:
        levels, currents and reserves; ``valid`` is False when a part of the model is outside its range [V, A, 1]

    Valid: emitter 0.2 to 50 mA without a transfer curve, -25 to 85 °C, input within its supply range.
    Source: the laws of series, coupling, detector and load joined; tested against ngspice.
    """
    corner = corner or Corner()
    raw = evaluate(setup, corner)
    why = []
    if not setup.receiver.input.valid:
        why.append(setup.receiver.input.why)
    if not -25 <= corner.temp_c <= 85:
        why.append(f"{corner.temp_c:g} C is outside -25 to 85 C")
    current = raw["forward_current"]
    if setup.emitter is not None and setup.transfer is not None:
        known = setup.transfer.transfer_curve
        if not (known.covers(current) if known else 0.2e-3 <= current <= 50e-3):
            why.append(f"the transfer law does not reach {current * 1e3:.3g} mA")
        limit = setup.emitter.current_max
        if limit is not None and current > limit:
            why.append(f"{current * 1e3:.3g} mA is above the emitter's limit of {limit * 1e3:.3g} mA")
    return OperatingPoint(
        forward_current=current,
        bright_light=raw["bright_light"],
        dark_light=raw["dark_light"],
        dark_current=raw["dark_current"],
        bright_v=raw["bright_v"],
        dark_v=raw["dark_v"],
        bright_reserve=raw["bright_reserve"],
        dark_reserve=raw["dark_reserve"],
        bright_is="low" if setup.receiver.side == "collector" else "high",
        corner=corner,
        valid=not why,
        why="; ".join(why),
        basis=weakest(*_bases(setup)),
    )


def _bases(setup: Setup) -> list[str]:
    """Basis words of everything that goes into a working point."""
    found = [setup.receiver.detector.basis, setup.receiver.input.basis]
    if setup.light is not None:
        found.append(setup.light.basis)
    if setup.emitter is not None and setup.transfer is not None:
        found += [setup.emitter.diode.basis, setup.transfer.basis]
        curves = (setup.transfer.transfer_curve, setup.transfer.temperature_curve)
        found.append("assumed" if None in curves else "curve")
    return found


def evaluate(setup: Setup, corner: Any, *, levels: bool = True) -> dict[str, Any]:
    """The same for any object with the fields of :class:`Corner`, whose values may be numpy arrays; no checks.

    Args:
        setup: the circuit [V, Ω, A]
        corner: departures from nominal, floats or arrays of one shape [1, °C, V]
        levels: False leaves out the two node voltages, which cost the most time [bool]

    Returns:
        forward_current, bright_light, dark_light, dark_current [A], bright_v, dark_v [V], bright_reserve, dark_reserve
        [1], keyed by these names [A, V, 1]

    Valid: as :func:`operating_point`.
    Source: as :func:`operating_point`.
    """
    r = setup.receiver
    temp_c = corner.temp_c
    forward, bright, dark = light_currents(setup, corner)
    ends = _ends(r, corner)
    supply, voltage, resistance, leak, lit_in, off_in, lit_low = ends[:7]
    needed, allowed = _limits(r, ends, temp_c)
    result = {
        "forward_current": forward,
        "bright_light": bright,
        "dark_light": dark,
        "dark_current": leak,
        "bright_reserve": _ratio(bright, needed),
        "dark_reserve": _ratio(at_least(allowed, 0.0), dark),
    }
    if levels:
        sign = 1.0 if lit_low else -1.0
        drive = voltage if lit_low else supply - voltage
        for name, light, dark_current, amps in (("bright_v", bright, 0.0, lit_in), ("dark_v", dark, leak, off_in)):
            v = _solve(r.detector, drive + sign * amps * resistance, resistance, light, dark_current, temp_c)
            result[name] = v if lit_low else supply - v
    return result


def light_limits(receiver: Receiver, corner: Any) -> tuple[Any, Any]:
    """Light that the lit level needs and light that the dark level allows: what the reserves compare with.

    Args:
        receiver: detector, load and input [V, Ω]
        corner: departures from nominal; only supply, load and temperature count [1, °C]

    Returns:
        needed bright light current, allowed dark light current (0 or less: lost without any light) [A]

    Valid: as :func:`operating_point`.
    Source: as :func:`operating_point`.
    """
    return _limits(receiver, _ends(receiver, corner), corner.temp_c)


def _ends(r: Receiver, corner: Any) -> tuple[Any, ...]:
    """The node's source and the input's levels in a corner."""
    temp_c = corner.temp_c
    supply = r.supply * corner.supply
    branches = [(supply if r.side == "collector" else 0.0, r.load * corner.load), *r.pulls]
    conductance: Any = 0.0
    current: Any = 0.0
    for volts, ohms in branches:
        conductance = conductance + 1 / ohms
        current = current + volts / ohms
    voltage, resistance = current / conductance, 1 / conductance
    leak = r.detector.dark_25c * r.detector.dark_per_10k ** ((temp_c - ROOM_C) / 10)
    scale = corner.supply if r.input.follows_supply else 1.0
    vil, vih = r.input.vil * scale, r.input.vih * scale
    low_in, high_in = r.input.current_low, -r.input.current_high
    lit_low = r.side == "collector"
    lit_v, lit_in, off_v, off_in = (vil, low_in, vih, high_in) if lit_low else (vih, high_in, vil, low_in)
    return supply, voltage, resistance, leak, lit_in, off_in, lit_low, lit_v, off_v


def _limits(r: Receiver, ends: tuple[Any, ...], temp_c: Any) -> tuple[Any, Any]:
    supply, voltage, resistance, leak, lit_in, off_in, _, lit_v, off_v = ends
    needed = _light_for(r.detector, r.side, supply, voltage, resistance, lit_v, 0.0, lit_in, temp_c)
    allowed = _light_for(r.detector, r.side, supply, voltage, resistance, off_v, leak, off_in, temp_c)
    return needed, allowed


def light_currents(setup: Setup, corner: Any) -> tuple[Any, Any, Any]:
    """Forward current, bright light current, dark light current of a corner; the load does not count.

    Args:
        setup: the circuit [V, Ω, A]
        corner: departures from nominal, floats or arrays of one shape [1, °C, V]

    Returns:
        forward current (None with light from elsewhere), bright and dark light current [A]

    Valid: as :func:`operating_point`.
    Source: as :func:`operating_point`.
    """
    if setup.light is not None:
        given = setup.light
        value = _position(corner.part, given.low, given.typical, given.high)
        return None, value * corner.age * corner.target, given.dark * corner.stray
    e, t = setup.emitter, setup.transfer
    assert e is not None
    assert t is not None
    drive = e.supply * corner.emitter_supply - e.driver_drop - e.count * corner.vf_shift
    forward = solve_series(e.diode, drive, e.resistor * corner.emitter_resistor, e.count, corner.temp_c)
    value = _position(corner.part, t.low, t.typical, t.high)
    some = at_least(forward, 1e-9)
    if t.transfer_curve is None:
        ratio = _default_transfer(some) / _default_transfer(t.if_ref)
    else:
        ratio = _on_curve(t.transfer_curve, some) / t.transfer_curve.value(t.if_ref) * some / t.if_ref
    warm = _temperature(corner.temp_c)
    if t.temperature_curve is not None:
        warm = _on_curve(t.temperature_curve, corner.temp_c) / t.temperature_curve.value(ROOM_C)
    light = value * ratio * warm * corner.age
    return forward, light * t.bright * corner.target, light * t.dark * corner.stray


def _position(part: Any, low: float, typical: float, high: float) -> Any:
    if isinstance(part, str):
        try:
            return {"low": low, "typical": typical, "high": high}[part]
        except KeyError:
            raise DataError(f"no place {part!r} in a part's spread; known: low, typical, high") from None
    return part


def _on_curve(curve: Curve, at: Any) -> Any:
    return curve.value(at) if is_scalar(at) else curve.values(at)


def _ratio(top: Any, bottom: Any) -> Any:
    """top/bottom with 0 for an infinite and infinity for a vanishing or negative bottom."""
    if is_scalar(top, bottom):
        if bottom <= 0:
            # nothing above the threshold can be asked of no light at all
            return math.inf if top > 0 or bottom < 0 else 0.0
        return top / bottom
    safe = choose(bottom > 0, bottom, 1.0)
    return choose(bottom > 0, top / safe, choose((top > 0) | (bottom < 0), math.inf, 0.0))

"""A sensor circuit as the bench sees it, drawn at random within its spread and with one fault in it."""

from __future__ import annotations

import math
import random
from dataclasses import dataclass

from xref.bench.causes import Fault
from xref.physics.coupling import current_factor
from xref.physics.detector import Detector
from xref.physics.emitter import Diode
from xref.physics.load import make_load, node_voltage
from xref.physics.logic_input import Thresholds
from xref.physics.series import solve_series

METER_OHM = 10e6
"""Input resistance of a common digital multimeter; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Circuit:
    """Nominal values. ``ic``: (least, typical, highest) collector current at ``if_ref`` in the bright state [A]."""

    diode: Diode
    emitter_supply: float
    emitter_ohm: float
    in_series: int
    driver_drop: float
    detector: Detector
    supply: float
    load_ohm: float
    side: str
    thresholds: Thresholds
    lit_low: bool
    ic: tuple[float, float, float]
    if_ref: float
    bright: float
    dark: float
    target_band: tuple[float, float]
    vf_spread: tuple[float, float] = (-0.05, 0.05)
    """Lowest and highest of a piece's forward voltage about the typical one; half of all pieces lie on either side."""
    vf_basis: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What a meter would show: volts, and the currents behind them [A]."""

    supply: float
    emitter: float
    emitter_resistor: float
    lit: float
    dark: float
    twin: float
    forward_current: float
    light_current: float


@dataclass(frozen=True, slots=True)
class _Piece:
    """What was drawn for one machine: tolerances, the piece of the type, its age, the target."""

    rail: float
    resistor: float
    load: float
    vf: float
    ic: float
    age: float
    target: float
    stray: float
    leak: float


TRIES = 12
"""A machine once worked, and now it does not: draws that cannot be so are drawn again, this often at most."""


def draw(circuit: Circuit, fault: Fault, rng: random.Random, *, levels_fine: bool = False) -> Seen:
    """One machine with this fault: part spread, tolerances of 5 %, target and fault size drawn at random.

    ``levels_fine``: the fault lies behind the sensor's levels, so that these need not fail.
    """
    for attempt in range(TRIES):
        piece = _piece(circuit, rng)
        last = attempt == TRIES - 1
        if not last and not _works(circuit, _one(circuit, Fault(), piece, rng), CLEARLY):
            continue
        own = _one(circuit, fault, piece, rng)
        if last or levels_fine or not _works(circuit, own, BARELY):
            break
    # the twin shares supply and target, not the fault; half of all supply faults reach it
    common = fault.supply != (1.0, 1.0) and rng.random() < 0.5
    other = _piece(circuit, rng, rail=piece.rail, target=piece.target)
    twin = _one(circuit, Fault(supply=fault.supply) if common else Fault(), other, rng)
    return Seen(
        supply=own[0], emitter=own[1], emitter_resistor=own[2], lit=own[3], dark=own[4], twin=twin[3],
        forward_current=own[5], light_current=own[6],
    )  # fmt: skip


CLEARLY, BARELY = 0.25, 0.5
"""How far between its limits a level may lie: a machine that ran for years did so clearly, and a real input still
switches near the middle. Assumed."""


def _works(circuit: Circuit, seen: tuple[float, ...], share: float) -> bool:
    """Whether the input tells bright from dark, with levels up to that share of the way between its limits."""
    vil, vih = circuit.thresholds.vil, circuit.thresholds.vih
    low, high = vil + share * (vih - vil), vih - share * (vih - vil)
    lit, dark = seen[3], seen[4]
    return lit < low and dark > high if circuit.lit_low else dark < low and lit > high


def _piece(circuit: Circuit, rng: random.Random, *, rail: float = 0.0, target: float = 0.0) -> _Piece:
    return _Piece(
        rail=rail or rng.uniform(0.97, 1.03),
        resistor=circuit.emitter_ohm * rng.uniform(0.95, 1.05),
        load=circuit.load_ohm * rng.uniform(0.95, 1.05),
        vf=rng.uniform(*rng.choice(((circuit.vf_spread[0], 0.0), (0.0, circuit.vf_spread[1])))),
        ic=_log_uniform(rng, (circuit.ic[0], circuit.ic[2])),
        age=rng.uniform(0.7, 1.0),
        target=target or _log_uniform(rng, circuit.target_band),
        stray=rng.uniform(0.2, 2.0),
        leak=_log_uniform(rng, (0.02, 1.0)),
    )


def _one(
    circuit: Circuit, fault: Fault, piece: _Piece, rng: random.Random
) -> tuple[float, float, float, float, float, float, float]:
    drop = _log_uniform(rng, fault.supply)
    emitter_rail = circuit.emitter_supply * piece.rail * drop
    rail_volts = circuit.supply * piece.rail * drop
    resistor = piece.resistor * _log_uniform(rng, fault.emitter_resistor)
    current, across, over_resistor = _emitter(circuit, fault, piece, rng, emitter_rail, resistor)
    light = _light(circuit, fault, piece, rng, current)
    load_ohm = piece.load * _log_uniform(rng, fault.load)
    lit, dark = _levels(circuit, fault, piece, rng, rail_volts, load_ohm, light)
    if fault.strobed:
        duty = rng.uniform(0.02, 0.2)
        across, over_resistor = across * duty, over_resistor * duty
        lit = duty * lit + (1 - duty) * dark
    if fault.inverted:
        lit, dark = dark, lit
    return rail_volts, across, over_resistor, lit, dark, current, light


def _emitter(
    circuit: Circuit, fault: Fault, piece: _Piece, rng: random.Random, rail: float, resistor: float
) -> tuple[float, float, float]:
    """(current [A], volts across one emitter, volts across the resistor)."""
    drive = max(rail - circuit.driver_drop, 0.0)
    if fault.emitter == "open":
        return 0.0, drive, 0.0
    if fault.emitter == "short":
        rest = (circuit.in_series - 1) * 1.2
        return 0.0, rng.uniform(0.0, 0.08), max(drive - rest, 0.0)
    if fault.emitter == "bypassed":
        resistor = rng.uniform(1.0, 15.0)
    shifted = max(drive - circuit.in_series * piece.vf, 0.0)
    current = float(solve_series(circuit.diode, shifted, resistor, circuit.in_series, 30.0))
    across = (drive - current * resistor) / circuit.in_series
    shown = current * resistor if fault.emitter != "bypassed" else rng.uniform(0.0, 0.05)
    return current, across, shown


def _light(circuit: Circuit, fault: Fault, piece: _Piece, rng: random.Random, current: float) -> float:
    """Collector current that the bright target would give unsaturated [A]."""
    if current <= 1e-6:
        return 0.0
    share = current_factor(current, circuit.if_ref).value
    factor = _log_uniform(rng, fault.light) * _log_uniform(rng, fault.gain)
    return piece.ic * share * piece.age * circuit.bright * piece.target * factor


def _levels(
    circuit: Circuit, fault: Fault, piece: _Piece, rng: random.Random, rail: float, load_ohm: float, light: float
) -> tuple[float, float]:
    """(bright, dark) volts at the node, read with a meter of 10 Mohm."""
    side = circuit.side
    if rail < 0.05:
        return 0.0, 0.0
    if fault.detector == "open":
        idle = rail * METER_OHM / (METER_OHM + load_ohm) if side == "collector" else 0.0
        return idle, idle
    if fault.detector == "short":
        stuck = rng.uniform(0.01, 0.1)
        stuck = stuck if side == "collector" else rail - stuck
        return stuck, stuck
    load = make_load(rail, load_ohm, side, pulls=((0.0, METER_OHM),))
    leak = circuit.detector.dark_25c * piece.leak + _log_uniform(rng, fault.leak)
    share = circuit.dark / circuit.bright if circuit.bright > 0 else 0.0
    stray = rng.uniform(*fault.stray) * circuit.ic[1] * circuit.bright
    dark_light = light * max(share * piece.stray, rng.uniform(*fault.passes)) + stray
    bright = node_voltage(circuit.detector, load, max(light + stray, 1e-12), dark_current=leak, temp_c=30.0)
    dark = node_voltage(circuit.detector, load, max(dark_light, 1e-12), dark_current=leak, temp_c=30.0)
    return bright, dark


def _log_uniform(rng: random.Random, ends: tuple[float, float]) -> float:
    low, high = ends
    if low == high:
        return low
    if low <= 0:
        return rng.uniform(low, high)
    return math.exp(rng.uniform(math.log(low), math.log(high)))

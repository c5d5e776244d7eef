"""Rise and fall times, pulse rates of turning targets, and whether the narrowest pulse passes."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from xref.errors import DataError
from xref.physics.curves import curve
from xref.physics.validity import Estimate

LOAD_EXPONENT = 0.75
CURRENT_EXPONENT = -0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class TimePoint:
    """A printed switching time with its load and collector current."""

    seconds: float
    load: float
    current: float | None = None


def switching_time(
    points: Sequence[TimePoint],
    load: float,
    current: float | None = None,
    *,
    load_exponent: float = LOAD_EXPONENT,
    current_exponent: float = CURRENT_EXPONENT,
) -> Estimate:
    """Rise or fall time at a load and current, from the part's own points where there are several.

    Args:
        points: printed times, one or more [s, Ω, A]
        load: load resistor [Ω]
        current: collector current, None = as printed [A]
        load_exponent: power of the load for one point [1]
        current_exponent: power of the current [1]

    Returns:
        time, band widened away from the points [s]

    Raises:
        DataError: no points

    Valid: within a factor of 100 of a printed load and 30 of a printed current.
    Source: exponent 0.7 to 0.8 from rows X1, X7 of tests/reference/checks.yaml, current from X4.
    """
    if not points:
        raise DataError("a switching time needs one printed point")
    near = min(points, key=lambda p: abs(math.log(p.load / load)) + _apart(p.current, current))
    rows: dict[float | None, list[TimePoint]] = {}
    for point in points:
        rows.setdefault(point.current if current is not None else None, []).append(point)
    currents = sorted(c for c in rows if c is not None)
    if current is None or not currents:
        value, inside = _over_load(next(iter(rows.values())) if len(rows) == 1 else [near], load, load_exponent)
        reach = 1.0
    else:
        times = [(c, _over_load(rows[c], load, load_exponent)) for c in currents]
        inside = all(t[1][1] for t in times)
        value, reach = _over_current([(c, t[0]) for c, t in times], current, current_exponent)
    spread = 1.1
    if not inside:
        spread *= math.exp(0.15 * abs(math.log(load / near.load)))
    # sheets disagree even on the sign for saturating darlingtons, so the band of the current is wide
    spread *= math.exp(0.75 * abs(math.log(reach)))
    why = []
    if not 1 / 30 <= reach <= 30:
        why.append("the current is more than a factor of 30 from the printed points")
    if not 0.01 <= load / near.load <= 100:
        why.append("the load is more than a factor of 100 from the printed points")
    return Estimate(
        value=value,
        low=value / spread,
        high=value * spread,
        valid=not why,
        why="; ".join(why),
        basis="curve" if inside and reach == 1 and len(points) > 1 else "derived",
    )


def _apart(a: float | None, b: float | None) -> float:
    return 0.0 if a is None or b is None else abs(math.log(a / b))


def _over_load(points: Sequence[TimePoint], load: float, exponent: float) -> tuple[float, bool]:
    """Time at a load from points at one current, and whether the load lies between them."""
    ordered = sorted({p.load: p.seconds for p in points}.items())
    first, last = ordered[0][0], ordered[-1][0]
    if len(ordered) > 1 and first <= load <= last:
        return curve(ordered, log_x=True, log_y=True).value(load), True
    edge, seconds = ordered[0] if load < first else ordered[-1]
    return seconds * (load / edge) ** exponent, load == edge


def _over_current(points: Sequence[tuple[float, float]], current: float, exponent: float) -> tuple[float, float]:
    """Time at a current from (current, time), and the factor between the current and the nearest end."""
    first, last = points[0][0], points[-1][0]
    if len(points) > 1 and first <= current <= last:
        return curve(points, log_x=True, log_y=True).value(current), 1.0
    edge, seconds = points[0] if current < first else points[-1]
    return seconds * (current / edge) ** exponent, current / edge


def bandwidth_from_rise(rise: float) -> float:
    """Cut-off frequency behind a 10 to 90 % rise time.

    Args:
        rise: rise time 10 to 90 % [s]

    Returns:
        frequency at -3 dB [Hz]

    Valid: for one dominant time constant.
    Source: 0.35/tr, row X6 of tests/reference/checks.yaml.
    """
    return 0.35 / rise


def rc_time(resistance: float, capacitance: float, start: float, end: float) -> float:
    """Time between two levels of an exponential edge towards 1.

    Args:
        resistance: resistance that charges [Ω]
        capacitance: capacitance at the node [F]
        start: first level, as a fraction of the final value [1]
        end: second level, as a fraction of the final value [1]

    Returns:
        time from the first to the second level [s]

    Raises:
        DataError: fractions not between 0 and 1

    Valid: 0 <= start, end < 1.
    Source: UM10204, I2C-bus specification, rev. 5, NXP, 2012-10-09, 7.1.
    """
    if not (0 <= start < 1 and 0 <= end < 1):
        raise DataError("levels are fractions from 0 to below 1")
    return resistance * capacitance * math.log((1 - start) / (1 - end))


def pull_up_window(
    supply: float,
    *,
    vol_max: float,
    iol: float,
    rise_max: float,
    capacitance: float,
    start: float = 0.3,
    end: float = 0.7,
) -> tuple[float, float]:
    """Smallest and largest pull-up of an open-collector line.

    Args:
        supply: supply [V]
        vol_max: low level wanted at most [V]
        iol: current the output sinks at that level [A]
        rise_max: longest allowed rise time between the fractions [s]
        capacitance: capacitance of the line [F]
        start: fraction of the supply where the rise begins [1]
        end: fraction where it ends [1]

    Returns:
        (smallest, largest) resistor [Ω]

    Valid: everywhere.
    Source: I2C bus pull-up resistor calculation, SLVA689, Texas Instruments, 2015-02, section 4.
    """
    return (supply - vol_max) / iol, rise_max / rc_time(1.0, capacitance, start, end)


def pulse_rate(lines_per_turn: float, rpm: float) -> float:
    """Pulses per second of one channel.

    Args:
        lines_per_turn: stripes, holes or teeth a turn [1]
        rpm: speed [1/min]

    Returns:
        rate [Hz]

    Valid: everywhere.
    Source: definition; rows F1, F2, F4 of tests/reference/checks.yaml.
    """
    return lines_per_turn * rpm / 60


def quadrature_rate(lines_per_turn: float, rpm: float) -> float:
    """Edges per second of two channels in quadrature.

    Args:
        lines_per_turn: lines a turn of one channel [1]
        rpm: speed [1/min]

    Returns:
        edges of both channels [Hz]

    Valid: everywhere.
    Source: definition; row F1 of tests/reference/checks.yaml.
    """
    return 4 * pulse_rate(lines_per_turn, rpm)


def roll_radius_mm(core_mm: float, thickness_mm: float, length_mm: float) -> float:
    """Outer radius of a roll with a length of paper or film on it.

    Args:
        core_mm: radius of the core [mm]
        thickness_mm: thickness of the material [mm]
        length_mm: length wound [mm]

    Returns:
        outer radius [mm]

    Valid: tightly wound, thickness small against the radius.
    Source: the wound area is length times thickness (geometry).
    """
    return math.sqrt(core_mm**2 + thickness_mm * length_mm / math.pi)


def roll_pulse_rate(lines_per_turn: float, speed_mm: float, radius_mm: float) -> float:
    """Pulses per second of a striped roll or reel whose material moves at a given speed.

    Args:
        lines_per_turn: stripes a turn [1]
        speed_mm: speed of the material [mm/s]
        radius_mm: present outer radius [mm]

    Returns:
        rate [Hz]

    Valid: without slip.
    Source: geometry.
    """
    return lines_per_turn * speed_mm / (2 * math.pi * radius_mm)


def narrowest_pulse(rate: float, *, bright_share: float = 0.5, spot_share: float = 0.0) -> float:
    """Shorter of the bright and the dark time of one period.

    Args:
        rate: pulses per second [Hz]
        bright_share: share of the period that is bright [1]
        spot_share: share of the period that the edge takes because the light spot has a width [1]

    Returns:
        narrowest pulse [s]

    Valid: bright_share from 0 to 1.
    Source: geometry.
    """
    return max((min(bright_share, 1 - bright_share) - spot_share) / rate, 0.0)


def pulse_passes(pulse: float, rise: float, fall: float, *, needed: float = 0.0) -> Estimate:
    """How many times longer the narrowest pulse is than the edges and the following input need.

    Args:
        pulse: narrowest pulse [s]
        rise: rise time 10 to 90 % [s]
        fall: fall time 10 to 90 % [s]
        needed: time that the following input wants the level to stand [s]

    Returns:
        pulse over (longer edge + needed); below 1 it does not pass, ``valid`` False with the reason [1]

    Valid: everywhere.
    Source: derived; the level must be reached and stand before the next edge.
    """
    need = max(rise, fall) + needed
    ratio = pulse / need if need > 0 else math.inf
    ok = ratio >= 1
    return Estimate(
        value=ratio,
        low=ratio,
        high=ratio,
        valid=ok,
        why="" if ok else f"a pulse of {pulse * 1e6:.3g} us is shorter than the {need * 1e6:.3g} us needed",
    )


def highest_rate(rise: float, fall: float, *, bright_share: float = 0.5, needed: float = 0.0) -> float:
    """Highest pulse rate at which the narrowest pulse still passes.

    Args:
        rise: rise time 10 to 90 % [s]
        fall: fall time 10 to 90 % [s]
        bright_share: share of the period that is bright [1]
        needed: time that the following input wants the level to stand [s]

    Returns:
        rate [Hz]

    Valid: as :func:`pulse_passes`.
    Source: :func:`pulse_passes` solved for the rate.
    """
    return min(bright_share, 1 - bright_share) / (max(rise, fall) + needed)

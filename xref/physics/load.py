"""Level at the sensor node: detector, load in collector or emitter, pull resistors, current of the input."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from xref.errors import DataError
from xref.physics._math import ROOM_C, ZERO_C, at_least, choose, diode_current, functions, is_scalar, thermal_voltage
from xref.physics.detector import GAIN_TEMP_EXPONENT, VBE_PER_K, Detector, _junction_leak, _share

SIDES = ("collector", "emitter")


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """Everything at the sensor node but detector and input, as one source behind one resistor (Thevenin)."""

    supply: float
    side: str  # collector: detector pulls down; emitter: detector pulls up
    voltage: float
    resistance: float


def make_load(
    supply: float, resistor: float, side: str = "collector", *, pulls: Sequence[tuple[float, float]] = ()
) -> Load:
    """Load of a detector.

    Args:
        supply: supply of the detector [V]
        resistor: load resistor, to the supply (side collector) or to ground (side emitter) [Ω]
        side: "collector" or "emitter" [text]
        pulls: further resistors at the node: (voltage they go to [V], resistance [Ω]) [V, Ω]

    Returns:
        the load [V, Ω]

    Raises:
        DataError: unknown side, or a resistance that is not positive

    Valid: everywhere.
    Source: Thevenin's theorem.
    """
    if side not in SIDES:
        raise DataError(f"no load side {side!r}; known: collector, emitter")
    branches = [(supply if side == "collector" else 0.0, resistor), *pulls]
    if min(r for _, r in branches) <= 0:
        raise DataError("a load or pull resistor must be above 0 ohm")
    conductance = sum(1 / r for _, r in branches)
    return Load(
        supply=supply, side=side, voltage=sum(v / r for v, r in branches) / conductance, resistance=1 / conductance
    )


def node_voltage(
    detector: Detector,
    load: Load,
    light_current: float,
    *,
    dark_current: float = 0.0,
    input_current: float = 0.0,
    temp_c: float = ROOM_C,
) -> float:
    """Voltage at the sensor node.

    Args:
        detector: the detector [A, V]
        load: what hangs at the node [V, Ω]
        light_current: current that the light would give without saturation [A]
        dark_current: leakage beside it [A]
        input_current: current of the input, positive when it flows out of the input into the node [A]
        temp_c: junction temperature [°C]

    Returns:
        voltage against ground [V]

    Valid: as :meth:`Detector.share`.
    Source: Kirchhoff's current law; tested against ngspice.
    """
    sign = 1.0 if load.side == "collector" else -1.0
    drive = load.voltage if load.side == "collector" else load.supply - load.voltage
    v: float = _solve(
        detector, drive + sign * input_current * load.resistance, load.resistance, light_current, dark_current, temp_c
    )
    return v if load.side == "collector" else load.supply - v


def load_resistor(supply: float, level: float, current: float) -> float:
    """Load that a collector current pulls down to a level.

    Args:
        supply: supply [V]
        level: node voltage wanted, below the supply [V]
        current: collector current, above 0 [A]

    Returns:
        load resistor; a larger one gives a lower level [Ω]

    Raises:
        DataError: a current that is not positive or a level above the supply

    Valid: while the level lies above the saturation voltage; level 0 gives the load at the edge of saturation.
    Source: AN-3005 Design Fundamentals for Phototransistor Circuits, Fairchild, revision and date not read.
    """
    if current <= 0 or level >= supply:
        raise DataError(f"a load needs a current above 0 and a level below the supply, not {current:g} A, {level:g} V")
    return (supply - level) / current


def light_current_for(
    detector: Detector,
    load: Load,
    node: float,
    *,
    dark_current: float = 0.0,
    input_current: float = 0.0,
    temp_c: float = ROOM_C,
) -> float:
    """Light current that puts the node exactly on a voltage: the inverse of :func:`node_voltage`.

    Args:
        detector: the detector [A, V]
        load: what hangs at the node [V, Ω]
        node: voltage wanted [V]
        dark_current: leakage beside it [A]
        input_current: current out of the input into the node [A]
        temp_c: junction temperature [°C]

    Returns:
        light current; infinite when no light can reach the voltage, 0 or less when leakage alone passes it [A]

    Valid: as :func:`node_voltage`.
    Source: Kirchhoff's current law.
    """
    light: float = _light_for(
        detector, load.side, load.supply, load.voltage, load.resistance, node, dark_current, input_current, temp_c
    )
    return light


def _light_for(
    detector: Detector,
    side: str,
    supply: Any,
    voltage: Any,
    resistance: Any,
    node: Any,
    dark: Any,
    input_current: Any,
    temp_c: Any,
) -> Any:
    if side == "collector":
        vce, current = node, (voltage - node) / resistance + input_current - dark
    else:
        vce, current = supply - node, (node - voltage) / resistance - input_current - dark
    if detector.kind == "photodiode":
        m = functions(vce, temp_c)
        past = at_least(m.exp(at_least(-vce, 0.0) / thermal_voltage(temp_c)) - 1, 0.0)
        return current + _junction_leak(detector, temp_c) * past
    share = _share(detector, vce, at_least(current, 1e-12), temp_c)
    reached = share > 1e-6
    ratio = current / choose(reached, share, 1.0)
    far = float("inf") if is_scalar(ratio) else float("inf") + 0.0 * ratio
    return choose((share > 1e-6) | (current <= 0), choose(reached, ratio, current), far)


def _solve(detector: Detector, drive: Any, resistance: Any, light: Any, dark: Any, temp_c: Any) -> Any:
    """Voltage over the detector: v + R*(light*share(v) + dark) = drive."""
    drive = drive - resistance * dark
    if detector.kind == "photodiode":
        # beyond the point where the light pulls the node past its rail the junction conducts forward
        excess = resistance * light - drive
        vt = thermal_voltage(temp_c)
        forward = diode_current(excess, resistance, vt, _junction_leak(detector, temp_c))
        return choose(excess > 0, resistance * forward - excess, -excess)
    if is_scalar(drive, resistance, light, temp_c):
        return _solve_scalar(detector, drive, resistance, light, temp_c)
    return _solve_arrays(detector, drive, resistance, light, temp_c)


def _coefficients(detector: Detector, temp_c: Any) -> tuple[Any, Any, Any, Any]:
    """vt, forward gain over reverse gain + offset terms, and the darlington's junction at 1 A."""
    vt = thermal_voltage(temp_c)
    rev = detector.reverse_gain
    fwd = detector.gain_ratio * rev * ((temp_c + ZERO_C) / (ROOM_C + ZERO_C)) ** GAIN_TEMP_EXPONENT
    junction = 0.0
    if detector.kind == "photodarlington":
        junction = detector.vbe_1ma + VBE_PER_K * (temp_c - ROOM_C)
    return vt, (fwd + 1 + rev) / rev, (1 + rev) / rev, junction


def _solve_scalar(detector: Detector, drive: float, resistance: float, light: float, temp_c: float) -> float:
    """Newton steps on t = ln(f/(1 - f)), f = share of the light current, kept in a bracket."""
    if drive <= 0:
        return 0.0
    if light <= 1e-15:
        return drive
    vt, a, b, junction = _coefficients(detector, temp_c)
    double = detector.kind == "photodarlington"
    pull = resistance * light
    low, high = -40.0, 4000.0
    spare = (drive - pull - junction) / vt
    f = min((drive - junction - 3 * vt) / pull, 0.999) if drive > junction + 4 * vt else drive / pull / 50
    t = math.log(a) + spare if spare > math.log(a) else math.log(max(f, 1e-12) / (1 - min(f, 0.999)))
    log_light = math.log(light / 1e-3)
    for _ in range(60):
        if t > 0:
            e = math.exp(-t)
            f = 1 / (1 + e)
            volts = vt * (t + math.log(a + b * e))
            slope = vt * a / (a + b * e)
        else:
            e = math.exp(t)
            f = e / (1 + e)
            volts = vt * math.log(a * e + b)
            slope = vt * a * e / (a * e + b)
        rest = 1 - f if t < 30 else math.exp(-t)
        if double:
            volts += junction + vt * (log_light + math.log(f))
            slope += vt * rest
        residual = volts + pull * f - drive
        if residual > 0:
            high = t
        else:
            low = t
        step = residual / (slope + pull * f * rest)
        t_new = t - step
        if not low < t_new < high:
            t_new = (low + high) / 2
        if abs(residual) < 1e-10 or abs(t_new - t) < 1e-13:
            break
        t = t_new
    return max(drive - pull * f, 0.0)


def _solve_arrays(detector: Detector, drive: Any, resistance: Any, light: Any, temp_c: Any) -> Any:
    """The same for arrays: two steps for all, more for those that need them."""
    import numpy as np

    drive, resistance, light, temp_c = (np.asarray(x, dtype=float) for x in (drive, resistance, light, temp_c))
    light = np.maximum(light, 1e-15)
    vt, a, b, junction = _coefficients(detector, temp_c)
    pull = resistance * light
    target = np.maximum(drive, 1e-9)
    spare = (target - pull - junction) / vt
    log_a = np.log(a)
    # start from the load line at an assumed saturation voltage, corrected once by the law itself
    f = np.clip((target - junction) / pull, 1e-9, 0.98)
    f = np.clip((target - junction - vt * np.log(a * f / (1 - f) + b)) / pull, 1e-9, 0.98)
    t = np.where(spare > log_a, log_a + spare, np.log(f / (1 - f)))
    low, high = np.full(t.shape, -40.0), np.maximum(t, log_a + np.maximum(spare, 0.0)) + 40.0
    extra = np.log(light / 1e-3) if detector.kind == "photodarlington" else None
    state = np.broadcast_arrays(t, low, high, vt, a, b, junction, pull, target, 0.0 if extra is None else extra)
    t, residual = _steps(state, extra is not None, 2)
    late = np.abs(residual) > 1e-4  # the step after it is quadratic
    if late.any():
        t[late] = _steps([column[late] for column in state], extra is not None, 60)[0]
    return np.where(drive > 0, np.maximum(drive - pull / (1 + np.exp(-t)), 0.0), 0.0)


def _steps(state: Any, double: bool, count: int) -> tuple[Any, Any]:
    """Bracketed Newton steps on all elements; returns the logit of the share and the last residual."""
    import numpy as np

    t, low, high, vt, a, b, junction, pull, target, log_light = state
    for _ in range(count):
        e = np.exp(-t)
        share = 1 / (1 + e)
        rest = e * share
        mix = a + b * e
        volts = vt * (t + np.log(mix))
        slope = vt * a / mix
        if double:
            volts = volts + junction + vt * (log_light + np.log(share))
            slope = slope + vt * rest
        residual = volts + pull * share - target
        above = residual > 0
        high = np.where(above, t, high)
        low = np.where(above, low, t)
        new = t - residual / (slope + pull * share * rest)
        close = np.abs(residual) < 1e-9
        inside = ((new > low) & (new < high)) | close
        t = np.where(inside, new, (low + high) / 2)
        if close.all():
            break
    return t, residual

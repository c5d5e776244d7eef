"""Level at the sensor node: detector, load in collector or emitter, pull resistors, current of the input."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from xref.errors import DataError
from xref.physics._math import ROOM_C, at_least, is_scalar
from xref.physics.detector import Detector, _share, _voltage

SIDES = ("collector", "emitter")


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """Everything at the sensor node but detector and input, as one source behind one resistor (Thevenin)."""

    supply: float
    side: str  # collector: detector pulls down; emitter: detector pulls up
    voltage: float
    resistance: float


def make_load(supply: float, resistor: float, side: str = "collector", *,
              pulls: Sequence[tuple[float, float]] = ()) -> Load:
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
    return Load(supply=supply, side=side, voltage=sum(v / r for v, r in branches) / conductance,
                resistance=1 / conductance)


def node_voltage(detector: Detector, load: Load, light_current: float, *, dark_current: float = 0.0,
                 input_current: float = 0.0, temp_c: float = ROOM_C) -> float:
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
    v = _solve(detector, drive + sign * input_current * load.resistance, load.resistance, light_current, dark_current,
               temp_c)
    return v if load.side == "collector" else load.supply - v  # type: ignore[no-any-return]


def light_current_for(detector: Detector, load: Load, node: float, *, dark_current: float = 0.0,
                      input_current: float = 0.0, temp_c: float = ROOM_C) -> float:
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
    return _light_for(detector, load.side, load.supply, load.voltage, load.resistance, node, dark_current,
                      input_current, temp_c)  # type: ignore[no-any-return]


def _light_for(detector: Detector, side: str, supply: Any, voltage: Any, resistance: Any, node: Any, dark: Any,
               input_current: Any, temp_c: Any) -> Any:
    from xref.physics._math import choose

    if side == "collector":
        vce, current = node, (voltage - node) / resistance + input_current - dark
    else:
        vce, current = supply - node, (node - voltage) / resistance - input_current - dark
    share = _share(detector, vce, at_least(current, 1e-12), temp_c)
    reached = share > 1e-6
    ratio = current / choose(reached, share, 1.0)
    far = float("inf") if is_scalar(ratio) else float("inf") + 0.0 * ratio
    return choose((share > 1e-6) | (current <= 0), choose(reached, ratio, current), far)


def _solve(detector: Detector, drive: Any, resistance: Any, light: Any, dark: Any, temp_c: Any) -> Any:
    """Voltage over the detector, 0 or more: v + R*(light*share(v) + dark) = drive."""
    if detector.kind == "photodiode":
        return at_least(drive - resistance * (light + dark), 0.0)
    drive = drive - resistance * dark
    if is_scalar(drive, resistance, light, temp_c):
        return _solve_scalar(detector, drive, resistance, light, temp_c)
    import numpy as np

    drive, resistance, light, temp_c = np.broadcast_arrays(drive, resistance, light, temp_c)
    low = np.zeros(drive.shape)
    high = np.minimum(np.maximum(light, 1e-15) * (1 - 1e-9), np.maximum(drive, 1e-15) / resistance)
    for _ in range(40):
        middle = (low + high) / 2
        f = _voltage(detector, middle, np.maximum(light, 1e-15), temp_c) + resistance * middle - drive
        high = np.where(f > 0, middle, high)
        low = np.where(f > 0, low, middle)
    return np.maximum(drive - resistance * (low + high) / 2, 0.0)


def _solve_scalar(detector: Detector, drive: float, resistance: float, light: float, temp_c: float) -> float:
    if drive <= 0:
        return 0.0
    if light <= 1e-15:
        return drive
    low, high = 0.0, min(light * (1 - 1e-12), drive / resistance)
    for _ in range(50):
        middle = (low + high) / 2
        if _voltage(detector, middle, light, temp_c) + resistance * middle > drive:
            high = middle
        else:
            low = middle
    return max(drive - resistance * (low + high) / 2, 0.0)

"""Emitters in series with a resistor on a supply: current, resistor, limits."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from xref.errors import NoSolution
from xref.physics._math import ROOM_C, at_least, diode_current
from xref.physics.emitter import Diode
from xref.physics.validity import Estimate


def solve_series(diode: Diode, voltage: Any, resistor: Any, count: Any, temp_c: Any) -> Any:
    """Current of ``count`` equal diodes in series with a resistor (floats or arrays); no checks.

    The law count*(slope*ln(1 + I/Is) + ohmic*I + shift) + resistor*I = voltage has the Lambert W function as solution.

    Args:
        diode: the emitter [A, V]
        voltage: voltage over diodes and resistor together [V]
        resistor: series resistor, 0 allowed [Ω]
        count: emitters in series [1]
        temp_c: junction temperature [°C]

    Returns:
        forward current, 0 where the voltage is not positive [A]

    Valid: as :meth:`Diode.vf`.
    Source: solution of the law by Newton steps on w + ln w = x, tested against ngspice and against the equation itself.
    """
    drive = voltage - count * diode.temp_coefficient * (temp_c - ROOM_C)
    ohms = at_least(resistor + count * diode.ohmic, 1e-6)
    return diode_current(drive, ohms, count * diode.slope, diode.saturation_current)


def series_current(
    supply: float,
    resistor: float,
    diode: Diode,
    *,
    count: int = 1,
    driver_drop: float = 0.0,
    temp_c: float = ROOM_C,
) -> float:
    """Forward current of one or more equal emitters in series with a resistor (floats or numpy arrays).

    Args:
        supply: supply voltage [V]
        resistor: series resistor, 0 or more [Ω]
        diode: the emitter [A, V]
        count: emitters in series [1]
        driver_drop: drop of a driver transistor or gate in the path [V]
        temp_c: junction temperature [°C]

    Returns:
        forward current; practically 0 when the supply is below the sum of the drops [A]

    Raises:
        NoSolution: a negative resistor or a count below 1

    Valid: between the lowest and highest current of the points that the diode was fitted to, wider with its band.
    Source: Kirchhoff's voltage law with the diode of :class:`Diode`.
    """
    if isinstance(resistor, int | float) and (resistor < 0 or count < 1):
        raise NoSolution(f"a series circuit needs a resistor of 0 ohm or more and 1 emitter, not {resistor:g}, {count}")
    return solve_series(diode, supply - driver_drop, resistor, count, temp_c)  # type: ignore[no-any-return]


def series_resistor(
    supply: float,
    current: float,
    vf: float,
    *,
    count: int = 1,
    driver_drop: float = 0.0,
) -> float:
    """Resistor that sets a forward current.

    Args:
        supply: supply voltage [V]
        current: wanted forward current, above 0 [A]
        vf: forward voltage of one emitter at that current [V]
        count: emitters in series [1]
        driver_drop: drop of a driver transistor or gate in the path [V]

    Returns:
        series resistor, exact value before rounding to a series [Ω]

    Raises:
        NoSolution: the drops leave no voltage for the resistor, or the current is not positive

    Valid: everywhere.
    Source: Ohm's law.
    """
    left = supply - driver_drop - count * vf
    if left <= 0 or current <= 0:
        raise NoSolution(
            f"{supply:g} V less {count * vf:.3g} V of the emitters and {driver_drop:g} V of the driver "
            f"leaves {left:.3g} V for {current * 1e3:.3g} mA"
        )
    return left / current


def resistor_power(current: float, resistor: float) -> float:
    """Power in the series resistor.

    Args:
        current: forward current [A]
        resistor: series resistor [Ω]

    Returns:
        power [W]

    Valid: everywhere.
    Source: Joule's law.
    """
    return current * current * resistor


def current_limit(
    temp_c: float,
    *,
    if_max: float,
    derate_from_c: float = ROOM_C,
    temp_max_c: float = 100.0,
    slope: float | None = None,
) -> float:
    """Largest continuous forward current at an ambient temperature.

    Args:
        temp_c: ambient temperature [°C]
        if_max: limit printed for ``derate_from_c`` and below [A]
        derate_from_c: temperature where the derating begins [°C]
        temp_max_c: temperature where the limit reaches 0 when no slope is printed (junction limit) [°C]
        slope: printed derating, a positive number [A/K]

    Returns:
        limit of the forward current, never below 0 [A]

    Valid: for the straight derating line that data sheets print; without a slope it ends at ``temp_max_c`` (assumed).
    Source: common practice of data sheets, no single source.
    """
    if temp_c <= derate_from_c:
        return if_max
    fall = slope if slope is not None else if_max / (temp_max_c - derate_from_c)
    return max(if_max - fall * (temp_c - derate_from_c), 0.0)


def current_check(
    current: float,
    temp_c: float,
    *,
    if_max: float,
    derate_from_c: float = ROOM_C,
    temp_max_c: float = 100.0,
    slope: float | None = None,
) -> Estimate:
    """Share of the permitted forward current that is used.

    Args:
        current: forward current [A]
        temp_c: ambient temperature [°C]
        if_max: printed limit [A]
        derate_from_c: temperature where the derating begins [°C]
        temp_max_c: temperature where the limit reaches 0 [°C]
        slope: printed derating, a positive number [A/K]

    Returns:
        current divided by the limit; not valid (above 1) when the limit is exceeded [1]

    Valid: as :func:`current_limit`.
    Source: as :func:`current_limit`.
    """
    limit = current_limit(temp_c, if_max=if_max, derate_from_c=derate_from_c, temp_max_c=temp_max_c, slope=slope)
    share = current / limit if limit > 0 else float("inf")
    why = "" if share <= 1 else f"{current * 1e3:.3g} mA is above the {limit * 1e3:.3g} mA allowed at {temp_c:g} C"
    return Estimate(value=share, low=share, high=share, valid=not why, why=why)


def resistor_window(
    supply: float, diode: Diode, *, current_min: float, current_max: float, count: int = 1, driver_drop: float = 0.0
) -> tuple[float, float]:
    """Smallest and largest series resistor that keep the current in a window.

    Args:
        supply: supply voltage [V]
        diode: the emitter [A, V]
        current_min: least useful current (too dim below) [A]
        current_max: largest allowed current (too much above) [A]
        count: emitters in series [1]
        driver_drop: drop of a driver transistor or gate [V]

    Returns:
        (smallest, largest) resistor [Ω]

    Raises:
        NoSolution: the supply cannot drive ``current_min``

    Valid: as :meth:`Diode.vf`.
    Source: Ohm's law.
    """
    largest = series_resistor(supply, current_min, diode.vf(current_min), count=count, driver_drop=driver_drop)
    left = supply - driver_drop - count * diode.vf(current_max)
    return max(left / current_max, 0.0), largest


def string_drop(diodes: Sequence[Diode], current: float, temp_c: float = ROOM_C) -> float:
    """Sum of the forward voltages of unlike emitters in one string.

    Args:
        diodes: the emitters of the string [A, V]
        current: forward current [A]
        temp_c: junction temperature [°C]

    Returns:
        total forward voltage [V]

    Valid: as :meth:`Diode.vf`.
    Source: Kirchhoff's voltage law.
    """
    return sum(d.vf(current, temp_c) for d in diodes)

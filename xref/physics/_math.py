"""Private helpers: one formula for floats and arrays, without numpy for floats."""

from __future__ import annotations

import math
from typing import Any

BOLTZMANN_OVER_CHARGE = 8.617333262e-5
ZERO_C = 273.15
ROOM_C = 25.0


def is_scalar(*values: Any) -> bool:
    """True if no value is an array, so that numpy is not needed."""
    return all(isinstance(v, int | float) for v in values)


def functions(*values: Any) -> Any:
    """The module whose log, exp, log1p, expm1 and sqrt suit the values: math for floats, numpy for arrays."""
    if is_scalar(*values):
        return math
    import numpy

    return numpy


def choose(condition: Any, yes: Any, no: Any) -> Any:
    """``yes`` where the condition holds, else ``no``, for floats or arrays."""
    if isinstance(condition, bool):
        return yes if condition else no
    import numpy

    return numpy.where(condition, yes, no)


def at_least(value: Any, floor: Any) -> Any:
    """The larger of two floats or arrays."""
    if is_scalar(value, floor):
        return value if value > floor else floor
    import numpy

    return numpy.maximum(value, floor)


def at_most(value: Any, ceiling: Any) -> Any:
    """The smaller of two floats or arrays."""
    if is_scalar(value, ceiling):
        return value if value < ceiling else ceiling
    import numpy

    return numpy.minimum(value, ceiling)


def thermal_voltage(temp_c: Any) -> Any:
    """k*T/q [V] at a temperature in degrees Celsius."""
    return BOLTZMANN_OVER_CHARGE * (temp_c + ZERO_C)


def diode_current(voltage: Any, ohms: Any, slope: Any, leak: Any) -> Any:
    """Current I of slope*ln(1 + I/leak) + ohms*I = voltage, by Newton steps on w + ln w = x (Lambert W)."""
    m = functions(voltage, ohms, slope, leak)
    x = m.log(leak * ohms / slope) + (voltage + leak * ohms) / slope
    x = at_least(x, -600.0)  # below, the current is nothing and its exponential would vanish
    large = at_least(x, 1.5)
    w = choose(x > 1.5, large - m.log(large), m.exp(at_most(x, 1.5)))
    for _ in range(6):
        w = w * (1 + x - m.log(w)) / (1 + w)
    return choose(voltage > 0, at_least(slope * w / ohms - leak, 0.0), 0.0 * voltage)

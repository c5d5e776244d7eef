"""Relative collector current over target distance: printed curve, or a law through peak and range."""

from __future__ import annotations

import math
from dataclasses import dataclass

from xref.errors import DataError
from xref.physics.curves import Curve
from xref.physics.validity import Estimate

FAR_SCALE = 2.85
FAR_ROUND = 0.5
NEAR_FLOOR = 0.2


@dataclass(frozen=True, slots=True, kw_only=True)
class DistanceLaw:
    """One maximum at ``peak_mm``; printed range ends where the current is ``level`` of the maximum, if known."""

    peak_mm: float
    near_mm: float | None = None
    far_mm: float | None = None
    level: float = 0.2

    def relative(self, distance_mm: float) -> Estimate:
        """Current at a distance over the current at the peak.

        Args:
            distance_mm: distance from the sensor's face [mm]

        Returns:
            relative current with a wide band [1]

        Valid: 0 to 8 times the peak distance, or the printed range.
        Source: shape from row D1 of tests/reference/checks.yaml (TCRT5000), tested against D2 and D3.
        """
        if self.peak_mm <= 0:
            if self.far_mm is None:
                raise DataError("a sensor with its peak at 0 mm needs the far end of its range")
            value = math.exp(math.log(self.level) * distance_mm / self.far_mm)
            ok = 0 <= distance_mm <= 2 * self.far_mm
            wide = 0.5 * (1 - value)
            return Estimate(
                value=value,
                low=value * (1 - wide),
                high=min(value * (1 + wide), 1.0),
                valid=ok,
                basis="assumed",
                why="" if ok else f"{distance_mm:g} mm is outside the law",
            )
        x = distance_mm / self.peak_mm
        if x >= 1:
            scale = FAR_SCALE
            if self.far_mm is not None and self.far_mm > self.peak_mm:
                scale = _bend(self.far_mm / self.peak_mm - 1) / -math.log(self.level)
            value = math.exp(-_bend(x - 1) / scale)
            low, high = value**2.2, value**0.65
        else:
            floor = NEAR_FLOOR
            value = 1 - (1 - floor) * (1 - x) ** 2
            low, high = max(1 - (1 - x) * 1.2, 0.02), min(value + 0.5 * (1 - x), 1.0)
            low = min(low, value)
        ok = 0 <= distance_mm <= (self.far_mm or 8 * self.peak_mm)
        return Estimate(
            value=value,
            low=low,
            high=high,
            valid=ok,
            basis="assumed",
            why="" if ok else f"{distance_mm:g} mm is outside the range of the distance law",
        )


def _bend(x: float) -> float:
    return math.sqrt(x * x + FAR_ROUND**2) - FAR_ROUND


def curve_relative(curve: Curve, distance_mm: float) -> Estimate:
    """Relative current from a printed distance curve.

    Args:
        curve: relative current over distance [1]
        distance_mm: distance from the sensor's face [mm]

    Returns:
        relative current [1]

    Valid: within the curve.
    Source: the curve itself.
    """
    value = max(curve.value(distance_mm), 0.0)
    ok = curve.covers(distance_mm)
    return Estimate(
        value=value,
        low=max(value - 0.02, 0.0),
        high=value + 0.02,
        valid=ok,
        basis="curve",
        why="" if ok else f"the distance curve does not reach {distance_mm:g} mm",
    )

"""Collector current from emitter current, distance, target, slot, temperature and age."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from xref.errors import DataError
from xref.physics._math import ROOM_C, functions
from xref.physics.curves import Curve
from xref.physics.validity import Estimate

CTR_KNEE = 1.17e-3  # ampere; default current-transfer curve
CTR_STEEPNESS = 0.72
CTR_EXPONENT_BAND = 0.31
DETECTOR_PER_K = 0.0097  # row T5: rise of a phototransistor's current, first and second order
DETECTOR_PER_K2 = 1.5e-5
EMITTER_PER_K = -0.009  # row T6, general GaAs emitter
EMITTER_PER_K_BAND = (-0.009, -0.005)  # all of row T6


def _default_transfer(current: Any) -> Any:
    m = functions(current)
    return current / (1 + m.exp(CTR_STEEPNESS * m.log(CTR_KNEE / current)))


def current_factor(current: float, reference: float, *, transfer_curve: Curve | None = None) -> Estimate:
    """Collector current at one emitter current over that at another.

    Args:
        current: emitter current, above 0 [A]
        reference: emitter current of the printed row [A]
        transfer_curve: current transfer ratio (any scale) over emitter current [A] of this part, if drawn [1]

    Returns:
        ratio of the collector currents; without a curve with a widened band [1]

    Raises:
        DataError: a current that is not positive

    Valid: 0.2 to 50 mA without a curve; within the curve otherwise.
    Source: shape from row X10 of tests/reference/checks.yaml (TCRT5000, Vishay 83760 rev. 1.7, Fig. 8).
    """
    if current <= 0 or reference <= 0:
        raise DataError(f"an emitter current must be above 0, not {current:g} A and {reference:g} A")
    if transfer_curve is not None:
        ratio = transfer_curve.value(current) / transfer_curve.value(reference) * current / reference
        ok = transfer_curve.covers(current) and transfer_curve.covers(reference)
        return Estimate(
            value=ratio,
            low=ratio * 0.95,
            high=ratio * 1.05,
            valid=ok,
            basis="curve",
            why="" if ok else f"the transfer curve does not reach {current * 1e3:.3g} mA",
        )
    ratio = _default_transfer(current) / _default_transfer(reference)
    wide = max(current / reference, reference / current) ** CTR_EXPONENT_BAND
    ok = 0.2e-3 <= current <= 50e-3 and 0.2e-3 <= reference <= 50e-3
    return Estimate(
        value=ratio,
        low=ratio / wide,
        high=ratio * wide,
        valid=ok,
        basis="assumed",
        why="" if ok else "the default transfer law holds from 0.2 to 50 mA",
    )


def temperature_factor(temp_c: float, *, relative_curve: Curve | None = None) -> Estimate:
    """Collector current of a coupled sensor at a temperature over that at 25 °C.

    Args:
        temp_c: ambient temperature [°C]
        relative_curve: relative current over temperature of this part, if drawn [1]

    Returns:
        factor [1]

    Valid: -25 to 85 °C without a curve; within the curve otherwise.
    Source: rows T5 (detector alone) and T6 (emitter alone) of tests/reference/checks.yaml; tested on T1, T2, T4.
    """
    if relative_curve is not None:
        value = relative_curve.value(temp_c) / relative_curve.value(ROOM_C)
        ok = relative_curve.covers(temp_c)
        return Estimate(
            value=value,
            low=value * 0.97,
            high=value * 1.03,
            valid=ok,
            basis="curve",
            why="" if ok else f"the temperature curve does not reach {temp_c:g} C",
        )
    value = _temperature(temp_c)
    wide = 0.004 * abs(temp_c - ROOM_C)
    ok = -25 <= temp_c <= 85
    return Estimate(
        value=value,
        low=max(value - wide, 0.0),
        high=value + wide,
        valid=ok,
        basis="assumed",
        why="" if ok else "the default temperature law holds from -25 to 85 C",
    )


def _temperature(temp_c: Any) -> Any:
    d = temp_c - ROOM_C
    return (1 + DETECTOR_PER_K * d + DETECTOR_PER_K2 * d * d) * functions(temp_c).exp(EMITTER_PER_K * d)


def detector_temperature_factor(temp_c: float) -> Estimate:
    """Current of a phototransistor under constant light, relative to 25 °C.

    Args:
        temp_c: junction temperature [°C]

    Returns:
        factor [1]

    Valid: 0 to 100 °C.
    Source: row T5 of tests/reference/checks.yaml (TEFT4300, Vishay 81549 rev. 1.7, Fig. 3).
    """
    d = temp_c - ROOM_C
    value = 1 + DETECTOR_PER_K * d + DETECTOR_PER_K2 * d * d
    ok = 0 <= temp_c <= 100
    return Estimate(
        value=value,
        low=value - 0.05,
        high=value + 0.05,
        valid=ok,
        basis="curve",
        why="" if ok else f"{temp_c:g} C is outside 0 to 100 C",
    )


def emitter_temperature_factor(temp_c: float, *, per_k: float | None = None) -> Estimate:
    """Radiant intensity of an emitter at a temperature, relative to 25 °C, at the same current.

    Args:
        temp_c: junction temperature [°C]
        per_k: printed coefficient, a negative number, None = -0.9 %/K with the band of -0.5 to -0.9 [1/K]

    Returns:
        factor [1]

    Valid: -25 to 85 °C.
    Source: row T6 of tests/reference/checks.yaml (LD 271, SFH 4545, general GaAs emitter).
    """
    d = temp_c - ROOM_C
    value, *ends = (math.exp(k * d) for k in ((EMITTER_PER_K, *EMITTER_PER_K_BAND) if per_k is None else (per_k,) * 3))
    ok = -25 <= temp_c <= 85
    return Estimate(
        value=value,
        low=min(ends),
        high=max(ends),
        valid=ok,
        basis="derived",
        why="" if ok else f"{temp_c:g} C is outside -25 to 85 C",
    )


def transfer_ratio(collector: float, forward: float) -> float:
    """Current transfer ratio.

    Args:
        collector: collector current [A]
        forward: emitter current, above 0 [A]

    Returns:
        ratio, 0.1 = 10 % [1]

    Raises:
        DataError: an emitter current that is not positive

    Valid: at the conditions of the two currents only.
    Source: definition.
    """
    if forward <= 0:
        raise DataError(f"a transfer ratio needs an emitter current above 0, not {forward:g} A")
    return collector / forward


def collector_current(ratio: float, forward: float) -> float:
    """Collector current behind a transfer ratio.

    Args:
        ratio: current transfer ratio at this emitter current, 0.1 = 10 % [1]
        forward: emitter current [A]

    Returns:
        collector current, unsaturated [A]

    Valid: at the emitter current for which the ratio holds.
    Source: definition.
    """
    return ratio * forward


def ageing_factor(hours: float, *, ageing_curve: Curve | None = None) -> Estimate:
    """Collector current after hours of emitter operation, relative to new.

    Args:
        hours: hours of emitter current [h]
        ageing_curve: relative current over hours of this part, if drawn [1]

    Returns:
        factor with a wide band: good modern emitters lose 2 %, old ones up to half in 100,000 h [1]

    Valid: up to 100,000 h.
    Source: upper edge row A1 of tests/reference/checks.yaml (PS2653); lower edge assumed.
    """
    if ageing_curve is not None:
        value = ageing_curve.value(max(hours, 1.0))
        ok = ageing_curve.covers(max(hours, 1.0))
        return Estimate(
            value=value,
            low=value * 0.97,
            high=min(value * 1.03, 1.0),
            valid=ok,
            basis="curve",
            why="" if ok else f"the ageing curve does not reach {hours:g} h",
        )
    high = 1 - 0.031 * min(hours / 1e5, 4.0) ** 0.5
    low = 1 - 0.5 * min(hours / 1e5, 1.0) ** 0.4
    ok = hours <= 1e5
    return Estimate(
        value=(low + high) / 2,
        low=low,
        high=1.0 if hours < 1e4 else high + 0.02,
        valid=ok,
        basis="assumed",
        why="" if ok else f"{hours:g} h is beyond 100,000 h",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Reference:
    """Conditions under which a collector current is printed or wanted."""

    distance_mm: float | None = None
    origin: str = "sensor"  # sensor | mounting plane
    sensor_height_mm: float | None = None
    target: str = "white card"  # mirror | white card | grey card | black | ...
    reflectance: float | None = None  # of a diffuse target, 0..1

    @property
    def from_sensor_mm(self) -> float | None:
        """Distance counted from the face of the sensor; None when it cannot be known [mm]."""
        if self.distance_mm is None or self.origin == "sensor":
            return self.distance_mm
        return None if self.sensor_height_mm is None else self.distance_mm - self.sensor_height_mm


REFLECTANCE = {"white card": 0.90, "white paper": 0.80, "grey card": 0.18, "black": 0.05, "aluminium": 0.6}


def reference_factor(printed: Reference, wanted: Reference, relative: Any = None) -> Estimate:
    """Factor from the conditions of a printed current to other conditions, or the statement that there is none.

    Args:
        printed: conditions of the printed current [mm, 1]
        wanted: conditions on the machine [mm, 1]
        relative: function mm -> :class:`Estimate` of the relative current, see :mod:`distance`; None = unknown [1]

    Returns:
        factor; ``valid`` is False, with the reason, when the two cannot be compared [1]

    Valid: between diffuse targets; a mirror is never comparable with a diffuse target.
    Source: the received light of a diffuse target is in proportion to its reflectance (common practice, no source).
    """
    why = []
    mirrors = [r.target == "mirror" for r in (printed, wanted)]
    ratio = Estimate(value=1.0, low=1.0, high=1.0)
    if mirrors[0] != mirrors[1]:
        why.append("a mirror is not comparable with a diffuse target")
    elif not mirrors[0]:
        a, b = (r.reflectance if r.reflectance is not None else REFLECTANCE.get(r.target) for r in (printed, wanted))
        if a is None or b is None:
            why.append("the reflectance of a target is not known")
        else:
            ratio = Estimate(value=b / a, low=b / a, high=b / a)
    d0, d1 = printed.from_sensor_mm, wanted.from_sensor_mm
    if d0 is None or d1 is None:
        why.append("a distance, or the sensor height it is counted from, is not known")
    elif d0 != d1:
        if relative is None:
            why.append(f"no distance curve to go from {d0:g} to {d1:g} mm")
        else:
            top, bottom = relative(d1), relative(d0)
            ratio = Estimate(
                value=ratio.value * top.value / bottom.value,
                low=ratio.low * top.low / bottom.high,
                high=ratio.high * top.high / max(bottom.low, 1e-9),
                basis=top.basis,
            )
            why += [w for w in (top.why, bottom.why) if w]
    return Estimate(
        value=ratio.value,
        low=ratio.low,
        high=ratio.high,
        valid=not why,
        why="; ".join(dict.fromkeys(why)),
        basis=ratio.basis,
    )


def slot_factor(
    gap_mm: float,
    reference_gap_mm: float,
    *,
    aperture_mm: float | None = None,
    reference_aperture_mm: float | None = None,
) -> Estimate:
    """Current of a slotted pair with another gap or aperture width, relative to the printed one.

    Args:
        gap_mm: gap wanted [mm]
        reference_gap_mm: gap of the printed current [mm]
        aperture_mm: slit width wanted, None = as printed [mm]
        reference_aperture_mm: slit width of the printed current [mm]

    Returns:
        factor with a wide band: between the first and second power of the gap [1]

    Raises:
        DataError: a gap that is not positive

    Valid: gaps within a factor of 3 of the printed one.
    Source: assumed; the inverse-square law is the limit of small apertures.
    """
    if gap_mm <= 0 or reference_gap_mm <= 0:
        raise DataError("a gap must be above 0 mm")
    x = reference_gap_mm / gap_mm
    slit = 1.0
    if aperture_mm is not None and reference_aperture_mm:
        slit = aperture_mm / reference_aperture_mm
    ends = sorted((x * slit, x * x * slit))
    ok = 1 / 3 <= x <= 3
    return Estimate(
        value=x**1.5 * slit,
        low=ends[0],
        high=ends[1],
        valid=ok,
        basis="assumed",
        why="" if ok else "the gap differs by more than a factor of 3",
    )

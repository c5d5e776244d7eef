"""Phototransistor, photodarlington and photodiode: current against voltage, saturation, dark current, limits."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from xref.errors import DataError
from xref.physics._math import ROOM_C, ZERO_C, at_least, functions, thermal_voltage
from xref.physics.validity import Estimate

KINDS = ("phototransistor", "photodarlington", "photodiode")
DARK_PER_10K = (2.2, 2.7, 3.4)  # low, middle, high; rows I1, I2, I4 of the checks
VBE_1MA = 0.65  # output stage of a darlington at 1 mA, assumed
VBE_PER_K = -2.0e-3
GAIN_TEMP_EXPONENT = 1.5
SILICON_GAP = 1.11  # electronvolt, sets how a junction's saturation current rises


@dataclass(frozen=True, slots=True, kw_only=True)
class Detector:
    """A detector as far as its load sees it.

    ``gain_ratio`` is forward gain over reverse gain, ``reverse_gain`` the reverse gain: together they set VCE(sat).
    ``vbe_1ma`` is the extra junction of a darlington, ``junction_leak`` the saturation current of a photodiode's
    junction, which holds its forward voltage under light. Defaults are assumed.
    """

    kind: str = "phototransistor"
    gain_ratio: float = 300.0
    reverse_gain: float = 1.0
    vbe_1ma: float = VBE_1MA
    junction_leak: float = 1e-11
    dark_25c: float = 100e-9  # worst case
    dark_per_10k: float = 2.7
    vceo_max: float | None = None
    veco_max: float | None = None
    ic_max: float | None = None
    power_max: float | None = None
    basis: str = "assumed"

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise DataError(f"no detector kind {self.kind!r}; known: {', '.join(KINDS)}")

    def share(self, vce: float, current: float = 1e-3, temp_c: float = ROOM_C) -> float:
        """Share of the light current that flows at a collector-emitter voltage (1 = not saturated).

        Args:
            vce: collector-emitter voltage, for a photodiode the reverse voltage (float or array) [V]
            current: current that flows, needed for the darlington's junction (float or array) [A]
            temp_c: junction temperature [°C]

        Returns:
            share, negative below the offset voltage [1]

        Valid: 0 V to VCEO, -55 to 125 °C; the rise of the current with voltage beyond saturation is left out.
        Source: J. J. Ebers and J. L. Moll, Proc. IRE 42, 1761 (1954) (place from memory); tested against ngspice.
        """
        return _share(self, vce, current, temp_c)  # type: ignore[no-any-return]

    def saturation_voltage(self, current: float, light_current: float, temp_c: float = ROOM_C) -> float:
        """Collector-emitter voltage at which a given current flows under light.

        Args:
            current: current that flows (float or array) [A]
            light_current: current that the light would give without saturation (float or array) [A]
            temp_c: junction temperature [°C]

        Returns:
            VCE(sat); infinite when the light gives less than the current [V]

        Valid: as :meth:`share`.
        Source: as :meth:`share`.
        """
        return _voltage(self, current, light_current, temp_c)  # type: ignore[no-any-return]

    def dark_current(self, temp_c: float, vce_ratio: float = 1.0) -> float:
        """Worst-case dark current at a temperature.

        Args:
            temp_c: junction temperature (float or array) [°C]
            vce_ratio: voltage over the voltage of the printed limit; the current is taken in proportion below 1 [1]

        Returns:
            dark current [A]

        Valid: -25 to 100 °C.
        Source: rows I1, I2, I4 of tests/reference/checks.yaml: x2.2 to x3.4 per 10 K.
        """
        factor: float = self.dark_per_10k ** ((temp_c - ROOM_C) / 10)
        return self.dark_25c * factor * min(vce_ratio, 1.0)


def _share(detector: Detector, vce: Any, current: Any, temp_c: Any) -> Any:
    m = functions(vce, current, temp_c)
    vt = thermal_voltage(temp_c)
    if detector.kind == "photodiode":
        return 1.0 + 0.0 * vce
    v = vce
    if detector.kind == "photodarlington":
        v = vce - _vbe(detector, current, temp_c)
    rev = detector.reverse_gain
    fwd = detector.gain_ratio * rev * ((temp_c + ZERO_C) / (ROOM_C + ZERO_C)) ** GAIN_TEMP_EXPONENT
    inverse = m.exp(-v / vt)
    return (rev - (rev + 1) * inverse) / (fwd * inverse + rev)


def _vbe(detector: Detector, current: Any, temp_c: Any) -> Any:
    m = functions(current, temp_c)
    return (
        detector.vbe_1ma
        + thermal_voltage(temp_c) * m.log(at_least(current, 1e-12) / 1e-3)
        + VBE_PER_K * (temp_c - ROOM_C)
    )


def _voltage(detector: Detector, current: Any, light_current: Any, temp_c: Any) -> Any:
    m = functions(current, light_current, temp_c)
    if detector.kind == "photodiode":
        return 0.0 * current
    f = current / light_current
    rev = detector.reverse_gain
    fwd = detector.gain_ratio * rev * ((temp_c + ZERO_C) / (ROOM_C + ZERO_C)) ** GAIN_TEMP_EXPONENT
    if isinstance(f, int | float) and f >= 1:
        return math.inf
    v = thermal_voltage(temp_c) * m.log((fwd * f + 1 + rev) / (rev * at_least(1 - f, 1e-15)))
    if detector.kind == "photodarlington":
        v = v + _vbe(detector, current, temp_c)
    return v


def _junction_leak(detector: Detector, temp_c: Any) -> Any:
    """Saturation current of a photodiode's junction at a temperature."""
    m = functions(temp_c)
    t, t0 = temp_c + ZERO_C, ROOM_C + ZERO_C
    return detector.junction_leak * (t / t0) ** 3 * m.exp(SILICON_GAP / thermal_voltage(ROOM_C) * (1 - t0 / t))


def fit_saturation(
    vce_sat: float, current: float, light_current: float, *, kind: str = "phototransistor", reverse_gain: float = 1.0
) -> float:
    """Gain ratio that gives a printed VCE(sat).

    Args:
        vce_sat: printed saturation voltage at 25 °C [V]
        current: collector current of that row [A]
        light_current: collector current that the emitter current of that row would give unsaturated [A]
        kind: detector kind [text]
        reverse_gain: reverse gain [1]

    Returns:
        gain ratio for :class:`Detector`, never below 1 [1]

    Raises:
        DataError: the current is not below the light current

    Valid: as :meth:`Detector.share`.
    Source: as :meth:`Detector.share`, solved for the ratio.
    """
    if not 0 < current < light_current:
        raise DataError(
            f"a saturation row needs a current below the light current, not {current:g} A of {light_current:g} A"
        )
    v = vce_sat
    if kind == "photodarlington":
        v -= VBE_1MA + thermal_voltage(ROOM_C) * math.log(current / 1e-3)
    f = current / light_current
    ratio = (math.exp(v / thermal_voltage(ROOM_C)) * reverse_gain * (1 - f) - 1 - reverse_gain) / (f * reverse_gain)
    return max(ratio, 1.0)


def dark_current_estimate(dark_25c: float, temp_c: float, *, per_10k: float | None = None) -> Estimate:
    """Dark current at a temperature with the band of the measured factors.

    Args:
        dark_25c: dark current at 25 °C [A]
        temp_c: junction temperature [°C]
        per_10k: factor per 10 K where the part's curve is known [1]

    Returns:
        dark current with band [A]

    Valid: -25 to 100 °C.
    Source: rows I1, I2, I4 of tests/reference/checks.yaml: x2.2 to x3.4 per 10 K.
    """
    steps = (temp_c - ROOM_C) / 10
    low, middle, high = DARK_PER_10K if per_10k is None else (per_10k,) * 3
    ends = sorted((dark_25c * low**steps, dark_25c * high**steps))
    ok = -25 <= temp_c <= 100
    return Estimate(
        value=dark_25c * middle**steps,
        low=ends[0],
        high=ends[1],
        valid=ok,
        why="" if ok else f"{temp_c:g} C is outside -25 to 100 C",
        basis="derived",
    )


def doubling_interval(per_10k: float) -> float:
    """Temperature rise that doubles the dark current.

    Args:
        per_10k: factor per 10 K, above 1 [1]

    Returns:
        temperature rise [K]

    Valid: for one exponential law.
    Source: definition.
    """
    return 10 * math.log(2) / math.log(per_10k)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stress:
    """One limit compared: ``ok`` is None when the limit is not known."""

    name: str
    value: float
    limit: float | None
    unit: str
    ok: bool | None


def stresses(detector: Detector, *, vce: float, current: float, reversed_leads: bool = False) -> list[Stress]:
    """Voltage, current and power against the detector's limits, also with collector and emitter exchanged.

    Args:
        detector: the detector with its limits [V, A, W]
        vce: largest voltage over the detector, blocked [V]
        current: largest current through it, lit [A]
        reversed_leads: True when emitter and collector are exchanged [bool]

    Returns:
        one row a limit [V, A, W]

    Valid: at 25 °C; derating of the power is not applied. The power is the largest that a resistive load lets through.
    Source: definition of the limits VCEO, VECO, IC, P in IEC 60747 terms; a quarter of VCC x IC is the matched load.
    """
    name, limit = ("VECO", detector.veco_max) if reversed_leads else ("VCEO", detector.vceo_max)
    rows = [
        (name, vce, limit, "V"),
        ("IC", current, detector.ic_max, "A"),
        ("P", vce * current / 4, detector.power_max, "W"),
    ]
    return [Stress(name=n, value=v, limit=lim, unit=u, ok=None if lim is None else v <= lim) for n, v, lim, u in rows]


def reversed_emitter(supply: float, *, vr_max: float | None, count: int = 1) -> Stress:
    """Reverse voltage on an emitter wired the wrong way round: no current flows, so all of the supply lies over it.

    Args:
        supply: supply of the emitter circuit [V]
        vr_max: printed reverse limit, None = not known [V]
        count: emitters in series, which share the voltage at best equally [1]

    Returns:
        the voltage against its limit [V]

    Valid: everywhere; unequal sharing in a string makes it worse.
    Source: Kirchhoff's voltage law.
    """
    value = supply / count
    return Stress(name="VR", value=value, limit=vr_max, unit="V", ok=None if vr_max is None else value <= vr_max)

"""Forward voltage of an infrared or red emitter, from as many printed points as there are."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from xref.errors import DataError
from xref.physics._math import ROOM_C, at_least, functions
from xref.physics.validity import Estimate

READING_ERROR = 0.006  # volt; reading a printed curve
BAND_LIMIT = 0.08  # volt; a wider band identifies nothing
TEMP_COEFFICIENT = -1.65e-3  # volt per kelvin, middle of -1.3 ... -2.0 mV/K
TEMP_COEFFICIENT_BAND = 0.35e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """What is known of an emitter before anything is printed: VF at 10 mA, slope, series resistance, deviations."""

    name: str
    vf_10ma: float
    vf_deviation: float
    slope: float
    slope_deviation: float
    ohmic: float
    ohmic_deviation: float


MATERIALS = {
    "gaas": Material(
        name="GaAs 930..970 nm",
        vf_10ma=1.13,
        vf_deviation=0.04,
        slope=0.0415,
        slope_deviation=0.009,
        ohmic=2.7,
        ohmic_deviation=1.2,
    ),
    "gaalas": Material(
        name="GaAlAs 780..900 nm",
        vf_10ma=1.30,
        vf_deviation=0.07,
        slope=0.0415,
        slope_deviation=0.009,
        ohmic=2.7,
        ohmic_deviation=1.2,
    ),
    "red": Material(
        name="visible red 600..700 nm",
        vf_10ma=1.85,
        vf_deviation=0.12,
        slope=0.0415,
        slope_deviation=0.009,
        ohmic=5.0,
        ohmic_deviation=2.5,
    ),
    "silicon": Material(
        name="silicon junction (a diode, or base to collector of a phototransistor)",
        vf_10ma=0.70,
        vf_deviation=0.04,
        slope=0.045,
        slope_deviation=0.006,
        ohmic=1.0,
        ohmic_deviation=1.0,
    ),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Diode:
    """VF = slope*ln(1 + I/Is) + ohmic*I at 25 degrees, with the covariance of its three parameters."""

    vf_1ma: float  # logarithmic part at 1 mA
    slope: float
    ohmic: float
    covariance: tuple[float, float, float, float, float, float]  # v0v0 v0s v0r ss sr rr
    current_min: float
    current_max: float
    points: int
    fit_error: float
    temp_coefficient: float = TEMP_COEFFICIENT
    temp_coefficient_band: float = TEMP_COEFFICIENT_BAND
    basis: str = "derived"

    @property
    def saturation_current(self) -> float:
        """Is of the law [A]."""
        return 1e-3 * math.exp(-self.vf_1ma / self.slope)

    def vf(self, current: float, temp_c: float = ROOM_C) -> float:
        """Forward voltage at a current (float or numpy array).

        Args:
            current: forward current, not negative [A]
            temp_c: junction temperature [°C]

        Returns:
            forward voltage [V]

        Valid: between ``current_min`` and ``current_max``; :meth:`band` says when it is not.
        Source: W. Shockley, Bell Syst. Tech. J. 28, 435 (1949), plus a bulk resistance and a linear temperature term.
        """
        return _vf(self, current, temp_c)  # type: ignore[no-any-return]

    def current(self, vf: float, temp_c: float = ROOM_C) -> float:
        """Forward current at a voltage (float or numpy array).

        Args:
            vf: forward voltage [V]
            temp_c: junction temperature [°C]

        Returns:
            forward current, 0 for a voltage that is not positive [A]

        Valid: as :meth:`vf`.
        Source: the law of :meth:`vf` solved with the Lambert W function.
        """
        from xref.physics.series import solve_series

        return solve_series(self, vf, 0.0, 1, temp_c)  # type: ignore[no-any-return]

    def band(self, current: float, temp_c: float = ROOM_C) -> Estimate:
        """Forward voltage with the band that the points and the prior leave (two deviations).

        Args:
            current: forward current, above 0 [A]
            temp_c: junction temperature [°C]

        Returns:
            forward voltage with band; not valid where the band is wider than 0.08 V each way or the current is far
            from every point [V]

        Valid: 0.1 mA to 100 mA, -55 to 100 °C.
        Source: least squares; prior deviations from the V checks (tests/reference/checks.yaml).
        """
        vf = self.vf(current, temp_c)
        log, ohm = math.log(current / 1e-3), current
        a, b, c, d, e, f = self.covariance
        variance = a + 2 * b * log + 2 * c * ohm + d * log * log + 2 * e * log * ohm + f * ohm * ohm
        half = 2 * math.sqrt(max(variance, 0.0)) + self.temp_coefficient_band * abs(temp_c - ROOM_C)
        if self.points > 1:
            half += self.fit_error  # the three-parameter law is not exact
        why = []
        if not 0.999e-4 <= current <= 0.1001:
            why.append(f"{current * 1e3:.3g} mA is outside 0.1 to 100 mA")
        if 2 * math.sqrt(max(variance, 0.0)) > BAND_LIMIT:
            why.append(
                f"points from {self.current_min * 1e3:.3g} to {self.current_max * 1e3:.3g} mA "
                f"say little about {current * 1e3:.3g} mA"
            )
        if not -55 <= temp_c <= 100:
            why.append(f"{temp_c:g} C is outside -55 to 100 C")
        return Estimate(value=vf, low=vf - half, high=vf + half, valid=not why, why="; ".join(why), basis=self.basis)


def _vf(diode: Diode, current: Any, temp_c: Any) -> Any:
    m = functions(current, temp_c)
    shift = diode.temp_coefficient * (temp_c - ROOM_C)
    return diode.slope * m.log1p(at_least(current, 0.0) / diode.saturation_current) + diode.ohmic * current + shift


def material_for(wavelength_nm: float | None) -> str:
    """Material class of an emitter by its peak wavelength.

    Args:
        wavelength_nm: peak wavelength, None when unknown [nm]

    Returns:
        a key of ``MATERIALS``; unknown counts as "gaas", the commonest [text]

    Raises:
        DataError: a wavelength outside 600 to 1000 nm

    Valid: 600 to 1000 nm.
    Source: the class limits are common practice, no source.
    """
    if wavelength_nm is None or wavelength_nm > 905:
        if wavelength_nm is not None and wavelength_nm > 1000:
            raise DataError(f"no emitter law for {wavelength_nm:g} nm; known are 600 to 1000 nm")
        return "gaas"
    if wavelength_nm >= 740:
        return "gaalas"
    if wavelength_nm >= 600:
        return "red"
    raise DataError(f"no emitter law for {wavelength_nm:g} nm; known are 600 to 1000 nm")


def fit_diode(
    points: Sequence[tuple[float, float]],
    *,
    material: str = "gaas",
    reading_error: float = READING_ERROR,
    temp_coefficient: float | None = None,
    basis: str = "derived",
) -> Diode:
    """Diode through printed or measured (current, VF) points at 25 °C; none, one or many.

    Least squares of the three parameters, with the material's slope and series resistance as prior: one point gives
    the prior moved through it, many points leave the prior no weight.

    Args:
        points: (forward current [A], forward voltage [V]); may be empty [A, V]
        material: a key of ``MATERIALS`` [text]
        reading_error: standard error of a point [V]
        temp_coefficient: dVF/dT where printed, else -1.65 mV/K with a band of 0.35 [V/K]
        basis: basis of the points [text]

    Returns:
        the fitted diode [A, V]

    Raises:
        DataError: an unknown material, or a point that is not positive

    Valid: 0.1 mA to 100 mA.
    Source: W. Shockley, Bell Syst. Tech. J. 28, 435 (1949); prior from the V checks (tests/reference/checks.yaml).
    """
    if material not in MATERIALS:
        raise DataError(f"no emitter material {material!r}; known: {', '.join(MATERIALS)}")
    prior = MATERIALS[material]
    for current, vf in points:
        if not (current > 0 and vf > 0):
            raise DataError(
                f"a forward voltage point needs a current and a voltage above 0, not {current:g} A, {vf:g} V"
            )
    mean = (
        prior.vf_10ma - prior.slope * math.log(10) - prior.ohmic * 0.01,
        prior.slope,
        prior.ohmic,
    )
    deviation = (0.3 if points else prior.vf_deviation, prior.slope_deviation, prior.ohmic_deviation)
    normal = [[(deviation[i] ** -2 if i == j else 0.0) for j in range(3)] for i in range(3)]
    right = [mean[i] / deviation[i] ** 2 for i in range(3)]
    for current, vf in points:
        row = (1.0, math.log(current / 1e-3), current)
        for i in range(3):
            right[i] += row[i] * vf / reading_error**2
            for j in range(3):
                normal[i][j] += row[i] * row[j] / reading_error**2
    inverse = _inverse(normal)
    v0, slope, ohmic = (sum(inverse[i][j] * right[j] for j in range(3)) for i in range(3))
    slope, ohmic = max(slope, 0.0257), max(ohmic, 0.0)
    errors = [v0 + slope * math.log(i / 1e-3) + ohmic * i - v for i, v in points]
    currents = [p[0] for p in points] or [1e-2]
    return Diode(
        vf_1ma=v0,
        slope=slope,
        ohmic=ohmic,
        covariance=(inverse[0][0], inverse[0][1], inverse[0][2], inverse[1][1], inverse[1][2], inverse[2][2]),
        current_min=min(currents),
        current_max=max(currents),
        points=len(points),
        fit_error=max((abs(e) for e in errors), default=0.0),
        temp_coefficient=TEMP_COEFFICIENT if temp_coefficient is None else temp_coefficient,
        temp_coefficient_band=TEMP_COEFFICIENT_BAND if temp_coefficient is None else 0.1e-3,
        basis=basis if points else "assumed",
    )


def diode_from_parameters(
    saturation_current: float,
    slope: float,
    ohmic: float,
    *,
    temp_coefficient: float = TEMP_COEFFICIENT,
    basis: str = "printed",
) -> Diode:
    """Diode from the three parameters of a published circuit-simulation model.

    Args:
        saturation_current: IS of the model [A]
        slope: N times the thermal voltage, 25.85 mV at 27 °C [V]
        ohmic: RS of the model [Ω]
        temp_coefficient: dVF/dT [V/K]
        basis: basis word [text]

    Returns:
        the diode, without a band [A, V]

    Raises:
        DataError: a parameter that is not positive

    Valid: 0.1 mA to 100 mA.
    Source: as :meth:`Diode.vf`.
    """
    if not (saturation_current > 0 and slope > 0 and ohmic >= 0):
        raise DataError("a diode needs a saturation current and a slope above 0 and a resistance of 0 or more")
    return Diode(
        vf_1ma=slope * math.log(1e-3 / saturation_current),
        slope=slope,
        ohmic=ohmic,
        covariance=(0.0,) * 6,
        current_min=1e-4,
        current_max=0.1,
        points=3,
        fit_error=0.0,
        temp_coefficient=temp_coefficient,
        basis=basis,
    )


def fit_temperature(points: Sequence[tuple[float, float]]) -> float:
    """Temperature coefficient of VF from readings at one current and several temperatures.

    Args:
        points: (junction temperature [°C], forward voltage [V]) at the same current, two or more [°C, V]

    Returns:
        dVF/dT, least squares [V/K]

    Raises:
        DataError: fewer than two temperatures

    Valid: in the range of the temperatures given.
    Source: least squares of a straight line.
    """
    if len({p[0] for p in points}) < 2:
        raise DataError("a temperature coefficient needs readings at two temperatures")
    mean_t = sum(p[0] for p in points) / len(points)
    mean_v = sum(p[1] for p in points) / len(points)
    return sum((t - mean_t) * (v - mean_v) for t, v in points) / sum((t - mean_t) ** 2 for t, _ in points)


def moved_vf(
    vf: float,
    from_current: float,
    to_current: float,
    *,
    material: str = "gaas",
    reading_error: float = READING_ERROR,
) -> Estimate:
    """One known forward voltage moved to another current, with the band that remains.

    Args:
        vf: known forward voltage [V]
        from_current: current at which it is known [A]
        to_current: current wanted [A]
        material: a key of ``MATERIALS`` [text]
        reading_error: standard error of the known voltage [V]

    Returns:
        forward voltage at the wanted current [V]

    Valid: where the band is at most 0.08 V each way; the result says so.
    Source: as :func:`fit_diode`.
    """
    return fit_diode([(from_current, vf)], material=material, reading_error=reading_error).band(to_current)


def _inverse(matrix: list[list[float]]) -> list[list[float]]:
    """Inverse of a symmetric 3x3 matrix by cofactors."""
    (a, b, c), (_, d, e), (_, _, f) = matrix
    ca, cb, cc = d * f - e * e, c * e - b * f, b * e - c * d
    determinant = a * ca + b * cb + c * cc
    cd, ce, cf = a * f - c * c, b * c - a * e, a * d - b * b
    return [
        [ca / determinant, cb / determinant, cc / determinant],
        [cb / determinant, cd / determinant, ce / determinant],
        [cc / determinant, ce / determinant, cf / determinant],
    ]

"""Irradiance and infrared eye limits (IEC 62471)."""

from __future__ import annotations

from xref.errors import DataError
from xref.physics.validity import Estimate


def irradiance(intensity: float, distance: float, *, emitters: int = 1) -> float:
    """Irradiance in the beam of one or more like emitters.

    Args:
        intensity: radiant intensity of one emitter [W/sr]
        distance: distance, much larger than the source [m]
        emitters: emitters that point at the same place [1]

    Returns:
        irradiance [W/m²]

    Raises:
        DataError: a distance that is not positive

    Valid: distance above 10 times the size of the source.
    Source: inverse-square law; rows O2, O3 of tests/reference/checks.yaml.
    """
    if distance <= 0:
        raise DataError("an irradiance needs a distance above 0 m")
    return emitters * intensity / distance**2


def cornea_limit(seconds: float) -> float:
    """Infrared limit of the cornea for one exposure.

    Args:
        seconds: exposure, above 0 [s]

    Returns:
        largest irradiance [W/m²]

    Raises:
        DataError: a time that is not positive

    Valid: 780 to 3000 nm; above 1000 s the constant limit.
    Source: IEC 62471:2006 as worked in row O1 of tests/reference/checks.yaml; the constant 100 W/m² is from memory.
    """
    if seconds <= 0:
        raise DataError("an exposure needs a time above 0 s")
    return 18000.0 * float(seconds) ** -0.75 if seconds <= 1000 else 100.0


def exposure(intensity: float, distance: float, seconds: float, *, emitters: int = 1) -> Estimate:
    """Irradiance over the limit for an exposure; above 1 it is not allowed.

    Args:
        intensity: radiant intensity of one emitter [W/sr]
        distance: distance [m]
        seconds: exposure [s]
        emitters: emitters that point at the same place [1]

    Returns:
        share of the limit; ``valid`` is False above 1 [1]

    Valid: as :func:`irradiance` and :func:`cornea_limit`; the retinal limit is not included.
    Source: as :func:`cornea_limit`.
    """
    share = irradiance(intensity, distance, emitters=emitters) / cornea_limit(seconds)
    why = "" if share <= 1 else f"{share:.3g} times the limit for {seconds:g} s at {distance:g} m"
    return Estimate(value=share, low=share, high=share, valid=not why, why=why)


def scaled_intensity(intensity: float, at_current: float, current: float) -> Estimate:
    """Radiant intensity at another emitter current.

    Args:
        intensity: printed radiant intensity [W/sr]
        at_current: current of the printed value [A]
        current: current wanted [A]

    Returns:
        radiant intensity, taken in proportion to the current [W/sr]

    Valid: 0.1 to 1 times the printed current; above it the real value is lower.
    Source: assumed proportional (common practice, no source).
    """
    value = intensity * current / at_current
    ok = 0.1 * at_current <= current <= at_current
    return Estimate(
        value=value,
        low=value * 0.8,
        high=value * 1.2,
        valid=ok,
        basis="assumed",
        why="" if ok else "the current is outside 0.1 to 1 times the printed one",
    )

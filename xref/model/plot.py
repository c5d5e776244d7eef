"""A plot as data: axes with units, named curves, the spread band, thresholds. Callers fill it, draw reads it."""

from __future__ import annotations

from dataclasses import dataclass

Points = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlotAxis:
    """What runs along an axis, its unit ('' for a ratio), whether it is logarithmic."""

    name: str
    unit: str
    log: bool = False
    low: float | None = None
    high: float | None = None

    @property
    def words(self) -> str:
        """Name and unit as printed at the axis."""
        return f"{self.name}, {self.unit}" if self.unit else self.name


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """A named line: typical, weakest piece, original, donor."""

    name: str
    points: Points


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """The spread between two lines over the same x: hatched."""

    name: str
    low: Points
    high: Points


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A level across the plot (a threshold) or, ``upright``, a place along x (the light now, the distance now)."""

    name: str
    at: float
    upright: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Plot:
    """One plot. ``note``: on what basis it stands; it is printed under it."""

    title: str
    x: PlotAxis
    y: PlotAxis
    curves: tuple[Curve, ...]
    bands: tuple[Band, ...] = ()
    marks: tuple[Mark, ...] = ()
    note: str = ""

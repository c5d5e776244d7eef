"""A printed curve as a smooth function that never overshoots its points."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from xref.errors import DataError


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """Points of a curve with precomputed slopes (monotone cubic); make it with :func:`curve`."""

    x: tuple[float, ...]
    y: tuple[float, ...]
    slopes: tuple[float, ...]
    log_x: bool
    log_y: bool

    def value(self, at: float) -> float:
        """Value of the curve; beyond its ends the end value (linear axes) or the end slope (logarithmic x).

        Args:
            at: abscissa [unit of the points]

        Returns:
            ordinate [unit of the points]

        Valid: between the first and the last point, see :meth:`covers`.
        Source: F. N. Fritsch and R. E. Carlson, SIAM J. Numer. Anal. 17, 238 (1980) (volume and page from memory;
            checked against scipy's PchipInterpolator in the tests).
        """
        u = math.log(at) if self.log_x else at
        x, y, d = self.x, self.y, self.slopes
        if u <= x[0]:
            result = y[0] + (d[0] * (u - x[0]) if self.log_x else 0.0)
        elif u >= x[-1]:
            result = y[-1] + (d[-1] * (u - x[-1]) if self.log_x else 0.0)
        else:
            i = bisect_right(x, u) - 1
            result = _hermite(u, x[i], x[i + 1], y[i], y[i + 1], d[i], d[i + 1])
        return math.exp(result) if self.log_y else result

    def values(self, at: Any) -> Any:
        """The same as :meth:`value` for a numpy array.

        Args:
            at: abscissas, an array [unit of the points]

        Returns:
            ordinates, an array [unit of the points]

        Valid: as :meth:`value`.
        Source: as :meth:`value`.
        """
        import numpy as np

        x, y, d = np.array(self.x), np.array(self.y), np.array(self.slopes)
        raw = np.log(at) if self.log_x else np.asarray(at, dtype=float)
        u = np.clip(raw, x[0], x[-1])
        i = np.clip(np.searchsorted(x, u, side="right") - 1, 0, len(x) - 2)
        result = _hermite(u, x[i], x[i + 1], y[i], y[i + 1], d[i], d[i + 1])
        if self.log_x:
            result = result + np.where(raw < x[0], d[0], d[-1]) * (raw - u)
        return np.exp(result) if self.log_y else result

    def covers(self, at: float) -> bool:
        """True if the abscissa lies between the first and the last point.

        Args:
            at: abscissa [unit of the points]

        Returns:
            whether the curve was drawn there [bool]

        Valid: everywhere.
        Source: definition.
        """
        if self.log_x and at <= 0:
            return False
        u = math.log(at) if self.log_x else at
        return self.x[0] - 1e-12 <= u <= self.x[-1] + 1e-12


def curve(points: Sequence[tuple[float, float]], *, log_x: bool = False, log_y: bool = False) -> Curve:
    """Curve through printed points.

    Args:
        points: (abscissa, ordinate), at least two, abscissas rising [any]
        log_x: interpolate over the logarithm of the abscissa [bool]
        log_y: interpolate the logarithm of the ordinate [bool]

    Returns:
        the curve [unit of the ordinates]

    Raises:
        DataError: fewer than two points, abscissas not rising, or a logarithm of a value that is not positive

    Valid: between the first and the last point.
    Source: as :meth:`Curve.value`.
    """
    if len(points) < 2:
        raise DataError(f"a curve needs at least 2 points, not {len(points)}")
    if (log_x and points[0][0] <= 0) or (log_y and min(p[1] for p in points) <= 0):
        raise DataError("a curve on logarithmic axes needs positive values")
    x = tuple(math.log(p[0]) if log_x else float(p[0]) for p in points)
    y = tuple(math.log(p[1]) if log_y else float(p[1]) for p in points)
    for before, after in pairwise(points):
        if after[0] <= before[0]:
            raise DataError(f"the abscissas of a curve must rise: {after[0]:g} follows {before[0]:g}")
    return Curve(x=x, y=y, slopes=_slopes(x, y), log_x=log_x, log_y=log_y)


def _hermite(u: Any, x0: Any, x1: Any, y0: Any, y1: Any, d0: Any, d1: Any) -> Any:
    h = x1 - x0
    t = (u - x0) / h
    rest = 1 - t
    return (y0 * (1 + 2 * t) + d0 * h * t) * rest * rest + (y1 * (3 - 2 * t) - d1 * h * rest) * t * t


def _slopes(x: tuple[float, ...], y: tuple[float, ...]) -> tuple[float, ...]:
    n = len(x)
    h = [x[i + 1] - x[i] for i in range(n - 1)]
    s = [(y[i + 1] - y[i]) / h[i] for i in range(n - 1)]
    if n == 2:
        return (s[0], s[0])
    inner = []
    for i in range(1, n - 1):
        if s[i - 1] * s[i] <= 0:
            inner.append(0.0)
        else:
            w1, w2 = 2 * h[i] + h[i - 1], h[i] + 2 * h[i - 1]
            inner.append((w1 + w2) / (w1 / s[i - 1] + w2 / s[i]))
    return (_end(h[0], h[1], s[0], s[1]), *inner, _end(h[-1], h[-2], s[-1], s[-2]))


def _end(h0: float, h1: float, s0: float, s1: float) -> float:
    slope = ((2 * h0 + h1) * s0 - h0 * s1) / (h0 + h1)
    if slope * s0 <= 0:
        return 0.0
    if s0 * s1 <= 0 and abs(slope) > 3 * abs(s0):
        return 3 * s0
    return slope

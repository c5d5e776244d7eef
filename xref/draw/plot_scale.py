"""Axes of a plot: which span, which round numbers, and where a value lies."""

from __future__ import annotations

import itertools
import math

from xref.draw.words import clean
from xref.errors import UsageError
from xref.model.plot import Plot, PlotAxis, Points

Span = tuple[float, float]


def spans(plot: Plot) -> tuple[tuple[float, float], tuple[float, float]]:
    if not plot.curves or not all(curve.points for curve in plot.curves):
        raise UsageError(f'nothing to plot in "{clean(plot.title)}": a plot needs a curve with points')
    lines = [c.points for c in plot.curves] + [line for b in plot.bands for line in (b.low, b.high)]
    xs = [p[0] for line in lines for p in line] + [m.at for m in plot.marks if m.upright]
    ys = [p[1] for line in lines for p in line] + [m.at for m in plot.marks if not m.upright]
    return span(xs, plot.x), span(ys, plot.y)


def span(values: list[float], axis: PlotAxis) -> tuple[float, float]:
    for value in values:
        if not math.isfinite(value) or (axis.log and value <= 0):
            raise UsageError(f"cannot plot {value} on the axis {axis.words}")
    low = min(values) if axis.low is None else axis.low
    high = max(values) if axis.high is None else axis.high
    if not axis.log:
        low = min(low, 0.0) if axis.low is None and low < 0.35 * high else low
    if high <= low:
        low, high = (low / 2, high * 2) if axis.log else (low - 1.0, high + 1.0)
    if axis.high is None:
        high = high * 1.05 if axis.log else high + 0.06 * (high - low)
    return low, high


def share(value: float, span: Span, log: bool) -> float:
    low, high = span
    if log:
        return math.log(max(value, 1e-300) / low) / math.log(high / low)
    return (value - low) / (high - low)


def at_share(share: float, span: Span, log: bool) -> float:
    low, high = span
    return low * (high / low) ** share if log else low + (high - low) * share


def held(value: float, span: tuple[float, float]) -> float:
    return min(max(value, span[0]), span[1])


def follow(points: Points, x: float) -> float | None:
    """Straight between the points; None outside them."""
    tiny = 1e-9 * max(abs(points[0][0]), abs(points[-1][0]), 1e-300)
    for (x0, y0), (x1, y1) in itertools.pairwise(points):
        if x0 - tiny <= x <= x1 + tiny:
            return y0 if x1 == x0 else y0 + (y1 - y0) * min(max((x - x0) / (x1 - x0), 0.0), 1.0)
    return None


def ticks(span: Span, log: bool) -> list[float]:
    """Round numbers along an axis."""
    low, high = span
    if log:
        found = [
            m * 10.0**e
            for e in range(math.floor(math.log10(low)) - 1, math.ceil(math.log10(high)) + 1)
            for m in ((1, 2, 5) if high / low < 300 else (1,))
        ]
        return [v for v in found if low * 0.999 <= v <= high * 1.001] or [low, high]
    step = 10.0 ** math.floor(math.log10((high - low) / 2.5))
    step *= next(m for m in (1, 2, 5, 10) if (high - low) / (step * m) <= 6)
    first = math.ceil(low / step - 1e-9)
    return [round(i * step, 12) for i in range(first, math.floor(high / step + 1e-9) + 1)]


def num(value: float) -> str:
    return f"{value:.4g}" if abs(value) < 1e5 else f"{value:.2g}"

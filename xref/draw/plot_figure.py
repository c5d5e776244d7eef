"""A plot as a figure for SVG and paper. Curves differ by line style and by a name at the line, never by colour."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import pairwise

from xref.draw.plot_scale import Span, at_share, follow, held, num, share, spans, ticks
from xref.draw.shapes import Box, Figure, Label, Path, Shape, overlap, text_width, wrap_mm
from xref.draw.words import clean
from xref.model.base import PointMm
from xref.model.plot import Band, Plot

_DASHES: tuple[tuple[float, ...], ...] = ((), (2.2, 0.9), (0.5, 0.8), (3.0, 0.8, 0.5, 0.8))
_SPOTS = (0.75, 0.6, 0.85, 0.45, 0.3, 0.15, 0.95, 0.05)
"""Where along a line its name is tried."""


def figure_plot(plot: Plot, *, width: float, height: float, text: float = 2.4) -> Figure:
    """The plot as a figure of ``width`` × ``height`` mm for SVG and paper.

    Raises:
        UsageError: as for ``text_plot``
    """
    span_x, span_y = spans(plot)
    ticks_x, ticks_y = ticks(span_x, plot.x.log), ticks(span_y, plot.y.log)
    left = max(text_width(num(v), text) for v in ticks_y) + 2.0
    notes = wrap_mm(clean(plot.note), text, width) if plot.note else []
    bottom = text * 3.4 + text * 1.3 * len(notes)
    top = height - text * 3.2
    right = width - 1.0

    def at(x: float, y: float) -> tuple[float, float]:
        return (
            left + share(x, span_x, plot.x.log) * (right - left),
            bottom + share(y, span_y, plot.y.log) * (top - bottom),
        )

    shapes: list[Shape] = [
        Label(at=(0.0, height - text), text=clean(plot.title), size=text * 1.1, bold=True),
        Label(at=(0.0, height - text * 2.5), text=clean(plot.y.words), size=text),
    ]
    for band in plot.bands:
        shapes += _hatch(band, span_x, span_y, plot, at)
    shapes.append(Path(points=((left, top), (left, bottom), (right, bottom)), width=0.3))
    taken: list[Box] = []
    for value in ticks_y:
        x, y = at(span_x[0], value)
        shapes.append(Path(points=((x - 0.9, y), (x, y)), width=0.25))
        shapes.append(Label(at=(x - 1.3 - text_width(num(value), text), y - text * 0.35), text=num(value), size=text))
    last = -1.0
    for value in ticks_x:
        x, y = at(value, span_y[0])
        start = min(x - text_width(num(value), text) / 2, width - text_width(num(value), text))
        shapes.append(Path(points=((x, y), (x, y - 0.9)), width=0.25))
        if start > last + 1:
            shapes.append(Label(at=(start, bottom - 1.7 - text), text=num(value), size=text))
            last = start + text_width(num(value), text)
    shapes.append(Label(at=(left, bottom - 1.9 - text * 2.2), text=clean(plot.x.words), size=text))
    for number, line_of_note in enumerate(reversed(notes)):
        shapes.append(Label(at=(0.0, text * (0.3 + 1.3 * number)), text=line_of_note, size=text))
    names: list[tuple[str, list[tuple[float, float]]]] = []
    for mark in plot.marks:
        ends = (
            (at(mark.at, span_y[0]), at(mark.at, span_y[1]))
            if mark.upright
            else (at(span_x[0], mark.at), at(span_x[1], mark.at))
        )
        shapes.append(Path(points=ends, width=0.2, dash=(0.3, 0.6)))
        unit = plot.x.unit if mark.upright else plot.y.unit
        spots = [
            (ends[0][0] + (ends[1][0] - ends[0][0]) * s, ends[0][1] + (ends[1][1] - ends[0][1]) * s) for s in _SPOTS
        ]
        names.append((f"{clean(mark.name)} {num(mark.at)} {clean(unit)}".rstrip(), spots))
    lines = [tuple(at(x, y) for x, y in c.points if span_y[0] <= y <= span_y[1]) for c in plot.curves]
    dense = [_dense(line) for line in lines]
    for i, (curve, line) in enumerate(zip(plot.curves, lines, strict=True)):
        shapes.append(Path(points=line, width=0.5, dash=_DASHES[i % 4], name=f"curve:{i}"))
        others = [p for j, other in enumerate(dense) if j != i for p in other[::4]]
        names.append((clean(curve.name), _apart([line[int(s * (len(line) - 1))] for s in _SPOTS], others)))
    drawn = [point for line in dense for point in line]
    names += [(clean(band.name), [at(*p) for p in band.high if span_y[0] <= p[1] <= span_y[1]]) for band in plot.bands]
    for name, spots in names:
        label = _beside(name, spots, text, (left + 0.5, bottom + 0.5, right, top), taken, drawn)
        shapes += [Path(points=_corners(label.box), width=0.0, closed=True, fill="white", colour="none"), label]
        taken.append(label.box)
    return Figure(width=width, height=height, shapes=tuple(shapes), title=plot.title)


def _beside(
    name: str,
    spots: Sequence[tuple[float, float]],
    text: float,
    room: Box,
    taken: Sequence[Box],
    drawn: Sequence[tuple[float, float]],
) -> Label:
    """The name of a line near it, inside the axes, clear of other names and as far as may be of the curves."""
    wide = text_width(name, text)
    best: tuple[float, Label] | None = None
    for rank, (x, y) in enumerate(spots):
        for dx, dy in ((-wide - 1, 0.8), (1.0, 0.8), (1.0, -text - 0.5), (-wide - 1, -text - 0.5), (1, 3.5), (1, -5.5)):
            left = min(max(x + dx, room[0]), room[2] - wide)
            low = min(max(y + dy, room[1] + text * 0.3), room[3] - text)
            label = Label(at=(left, low), text=name, size=text)
            box = label.box
            if any(overlap(box, other, 0.4) for other in taken):
                continue
            under = sum(1 for px, py in drawn if box[0] < px < box[2] and box[1] < py < box[3])
            price = under + rank * 0.3 + abs(left - x - dx) * 0.2 + abs(dy) * 0.2
            if best is None or price < best[0]:
                best = (price, label)
    if best is not None:
        return best[1]
    low = room[3] - text
    while any(overlap((room[0], low - 0.6, room[0] + wide, low + text), other) for other in taken):
        low -= text * 1.3
    return Label(at=(room[0], low), text=name, size=text)


def _dense(line: Sequence[PointMm]) -> list[PointMm]:
    """Points every half mm along a line, so that a name can keep clear of it."""
    found = []
    for (x0, y0), (x1, y1) in pairwise(line):
        steps = max(1, int(math.dist((x0, y0), (x1, y1)) / 0.5))
        found += [(x0 + (x1 - x0) * i / steps, y0 + (y1 - y0) * i / steps) for i in range(steps)]
    return [*found, *line[-1:]]


def _apart(spots: list[PointMm], others: list[PointMm]) -> list[PointMm]:
    """Those places first at which a line is far from the other lines: there its name cannot be mistaken."""
    if not others:
        return spots
    return sorted(spots, key=lambda spot: -min(8.0, min(math.dist(spot, other) for other in others)))


def _hatch(band: Band, span_x: Span, span_y: Span, plot: Plot, at: Callable[[float, float], PointMm]) -> list[Shape]:
    """Upright strokes between the two lines: seen in a copy of a copy, unlike grey."""
    shapes: list[Shape] = []
    for i in range(61):
        x = at_share(i / 60, span_x, plot.x.log)
        low, high = follow(band.low, x), follow(band.high, x)
        if low is not None and high is not None:
            shapes.append(Path(points=(at(x, held(low, span_y)), at(x, held(high, span_y))), width=0.1))
    return shapes


def _corners(box: Box) -> tuple[tuple[float, float], ...]:
    return ((box[0], box[1]), (box[2], box[1]), (box[2], box[3]), (box[0], box[3]))

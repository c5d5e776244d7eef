"""A plot in characters, small enough for a terminal."""

from __future__ import annotations

import textwrap

from xref.draw.plot_scale import at_share, follow, held, num, share, spans, ticks
from xref.draw.words import clean, columns, to_ascii
from xref.model.plot import Plot

_SIGNS = "*o+x"


def text_plot(plot: Plot, *, ascii: bool = False, width: int = 72, height: int = 16) -> str:
    """The plot in characters: curves as * o + x, thresholds as rows of '-', spread as dots.

    Raises:
        UsageError: a number is not finite, a logarithmic axis holds zero or less, or there is no curve
    """
    span_x, span_y = spans(plot)
    margin = max(columns(num(v)) for v in (*span_y, *ticks(span_y, plot.y.log))) + 2
    wide, tall = width - margin - 1, height
    cells: dict[tuple[int, int], str] = {}

    def column(x: float) -> int:
        return round(share(x, span_x, plot.x.log) * (wide - 1))

    def row(y: float) -> int:
        return tall - 1 - round(share(y, span_y, plot.y.log) * (tall - 1))

    for band in plot.bands:
        for c in range(wide):
            x = at_share(c / (wide - 1), span_x, plot.x.log)
            low, high = follow(band.low, x), follow(band.high, x)
            if low is not None and high is not None:
                for r in range(row(held(max(low, high), span_y)), row(held(min(low, high), span_y)) + 1):
                    cells[(c, r)] = "." if ascii else "░"
    for mark in plot.marks:
        if mark.upright:
            for r in range(tall):
                cells[(column(mark.at), r)] = "|" if ascii else "│"
        else:
            for c in range(wide):
                cells[(c, row(mark.at))] = "-" if ascii else "─"
    for i, curve in enumerate(plot.curves):
        last: int | None = None
        for c in range(wide):
            y = follow(curve.points, at_share(c / (wide - 1), span_x, plot.x.log))
            here = row(y) if y is not None and span_y[0] <= y <= span_y[1] else None
            if here is not None:
                # a steep piece is filled, so that the eye can follow it
                start = here if last is None else last + (here > last) - (here < last)
                for r in range(min(start, here), max(start, here) + 1):
                    cells[(c, r)] = _SIGNS[i % 4]
            last = here
    rows = {row(v): num(v) for v in ticks(span_y, plot.y.log)}
    upright = "|" if ascii else "│"
    out = [clean(plot.title), f"{clean(plot.y.words)}"]
    for r in range(tall):
        line = "".join(cells.get((c, r), " ") for c in range(wide))
        out.append(f"{rows.get(r, ''):>{margin - 1}} {upright}{line}".rstrip())
    out.append(" " * margin + ("+" if ascii else "└") + ("-" if ascii else "─") * wide)
    out.append(_foot(span_x, plot, margin, wide))
    out.append(" " * margin + clean(plot.x.words))
    out += [f"  {_SIGNS[i % 4]} {clean(curve.name)}" for i, curve in enumerate(plot.curves)]
    out += [f"  {'.' if ascii else '░'} {clean(band.name)}" for band in plot.bands]
    for mark in plot.marks:
        sign, unit = (upright, plot.x.unit) if mark.upright else ("-" if ascii else "─", plot.y.unit)
        out.append(f"  {sign} {clean(mark.name)}: {num(mark.at)} {clean(unit)}".rstrip())
    if plot.note:
        out += textwrap.wrap(clean(plot.note), width + 4, initial_indent="  ", subsequent_indent="  ")
    text = "\n".join(out)
    return "\n".join(to_ascii(line) for line in text.split("\n")) if ascii else text


def _foot(span: tuple[float, float], plot: Plot, margin: int, wide: int) -> str:
    line = [" "] * (margin + 1 + wide + 8)
    end = -1
    for value in ticks(span, plot.x.log):
        text = num(value)
        start = margin + 1 + round(share(value, span, plot.x.log) * (wide - 1)) - len(text) // 2
        if start > end and start + len(text) <= margin + 1 + wide:
            line[start : start + len(text)] = text
            end = start + len(text)
    return "".join(line).rstrip()

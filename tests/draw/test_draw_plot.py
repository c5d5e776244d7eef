"""Plots: numbers are read back from ticks and curves of the SVG and from the characters."""

from __future__ import annotations

import math
import re
from xml.etree import ElementTree

import pytest

from xref.draw.plot_figure import figure_plot
from xref.draw.plot_text import text_plot
from xref.draw.shapes import Label, overlap
from xref.draw.svg import svg
from xref.errors import UsageError
from xref.model.plot import Band, Curve, Mark, Plot, PlotAxis

NS = "{http://www.w3.org/2000/svg}"
LIGHT = [0.01 * 1.12**i for i in range(48)]


def level(strength: float) -> tuple[tuple[float, float], ...]:
    """A made-up output level against light."""
    return tuple((x, 5 - min(4.8, strength * x)) for x in LIGHT)


def level_plot() -> Plot:
    """Level against light with both thresholds and the spread."""
    return Plot(
        title="Output level against light",
        x=PlotAxis(name="light, share of today's", unit="", log=True),
        y=PlotAxis(name="output level", unit="V"),
        curves=(Curve(name="typical", points=level(4)),),
        bands=(Band(name="weakest to strongest", low=level(8), high=level(2)),),
        marks=(Mark(name="low below", at=0.8), Mark(name="high above", at=2.0), Mark(name="now", at=1, upright=True)),
        note="basis: printed",
    )


def distance_plot() -> Plot:
    """Two curves that differ in style only."""
    xs = [d / 4 for d in range(1, 60)]
    return Plot(
        title="IC against distance",
        x=PlotAxis(name="distance", unit="mm"),
        y=PlotAxis(name="IC", unit="mA"),
        curves=(
            Curve(name="original", points=tuple((x, 1 / (1 + (x - 2.5) ** 2)) for x in xs)),
            Curve(name="donor <b>", points=tuple((x, 0.7 / (1 + (x - 4) ** 2)) for x in xs)),
        ),
    )


def ticks(root: ElementTree.Element, upright: bool) -> list[tuple[float, float]]:
    """(value, place in mm) of the axis numbers, by the short strokes at the axes."""
    strokes = [[float(v) for v in re.findall(r"-?[\d.]+", e.get("d", ""))] for e in root.iter(f"{NS}path")]
    if upright:
        places = [s[1] for s in strokes if len(s) == 4 and s[1] == s[3] and abs(abs(s[2] - s[0]) - 0.9) < 1e-3]
    else:
        places = [s[0] for s in strokes if len(s) == 4 and s[0] == s[2] and abs(abs(s[3] - s[1]) - 0.9) < 1e-3]
    found = []
    for element in root.iter(f"{NS}text"):
        try:
            value = float(element.text or "")
        except ValueError:
            continue
        x, y, size = (float(element.get(key, "")) for key in ("x", "y", "font-size"))
        middle = y - size * 0.35 if upright else x + len(element.text or "") * size * 0.3
        place = min(places, key=lambda place: abs(place - middle), default=1e9)
        if abs(place - middle) < (0.1 if upright else 1.5) and (upright or y > 30):
            found.append((value, place))
            places.remove(place)
    return found


@pytest.mark.parametrize(("plot", "log"), [(level_plot(), True), (distance_plot(), False)])
def test_curves_lie_where_the_ticks_say(plot: Plot, log: bool) -> None:
    """A line through the outer ticks gives each plotted point its value back within half a percent of the axis."""
    root = ElementTree.fromstring(svg(figure_plot(plot, width=90, height=50)))
    scales = []
    for upright in (False, True):
        found = sorted(ticks(root, upright))
        assert len(found) >= 3
        scales.append((found[0], found[-1]))

    def back(place: float, scale: tuple[tuple[float, float], tuple[float, float]], log: bool) -> float:
        (v0, p0), (v1, p1) = scale
        share = (place - p0) / (p1 - p0)
        return v0 * (v1 / v0) ** share if log else v0 + (v1 - v0) * share

    for i, curve in enumerate(plot.curves):
        line = next(e for e in root.iter(f"{NS}path") if e.get("data-is") == f"curve:{i}")
        numbers = [float(v) for v in re.findall(r"-?[\d.]+", line.get("d", ""))]
        for (x, y), px, py in zip(curve.points, numbers[0::2], numbers[1::2], strict=True):
            assert back(px, scales[0], log) == pytest.approx(x, rel=5e-3 if log else 0, abs=0.03)
            assert back(py, scales[1], False) == pytest.approx(y, abs=0.03)


@pytest.mark.parametrize("plot", [level_plot(), distance_plot()])
def test_names_do_not_overlap_and_nothing_rests_on_colour(plot: Plot) -> None:
    """Text keeps clear of text; lines are black and differ in their dashes."""
    figure = figure_plot(plot, width=90, height=50)
    texts = [shape for shape in figure.shapes if isinstance(shape, Label)]
    root = ElementTree.fromstring(svg(figure))
    curves = [e for e in root.iter(f"{NS}path") if e.get("data-is", "").startswith("curve")]

    assert not [(a.text, b.text) for i, a in enumerate(texts) for b in texts[:i] if overlap(a.box, b.box)]
    assert {e.get("stroke") for e in root.iter() if e.get("stroke")} <= {"black", "white", "none"}
    assert len({e.get("stroke-dasharray") for e in curves}) == len(curves)


@pytest.mark.parametrize("ascii", [True, False])
def test_the_text_plot_shows_levels_in_order(ascii: bool) -> None:
    """The curve falls from left to right, crosses the threshold rows, and each line is named with its value."""
    text = text_plot(level_plot(), ascii=ascii)
    bar = "|" if ascii else "│"
    rows = [line.split(bar, 1)[1] for line in text.split("\n") if bar in line][:16]
    columns = [
        min((r for r, row in enumerate(rows) if len(row) > c and row[c] == "*"), default=None) for c in range(60)
    ]
    heights = [r for r in columns if r is not None]

    assert heights == sorted(heights)
    assert "low below: 0.8 V" in text
    assert "high above: 2 V" in text
    assert "now: 1" in text
    assert max(map(len, text.split("\n"))) <= 80
    assert text.isascii() or not ascii


@pytest.mark.parametrize(
    ("points", "log"), [(((1.0, math.nan), (2.0, 1.0)), False), (((0.0, 1.0), (2.0, 1.0)), True), ((), False)]
)
def test_what_cannot_be_plotted_is_refused(points: tuple[tuple[float, float], ...], log: bool) -> None:
    """NaN, zero on a logarithmic axis and an empty curve are errors, not a crooked picture."""
    plot = Plot(
        title="t",
        x=PlotAxis(name="x", unit="", log=log),
        y=PlotAxis(name="y", unit="V"),
        curves=(Curve(name="c", points=points),),
    )
    for draw in (lambda: text_plot(plot), lambda: figure_plot(plot, width=90, height=50)):
        with pytest.raises(UsageError, match="plot"):
            draw()


def test_a_flat_line_has_an_axis() -> None:
    """One value only: the axis still has a span."""
    plot = Plot(
        title="t",
        x=PlotAxis(name="x", unit="s"),
        y=PlotAxis(name="y", unit="V"),
        curves=(Curve(name="c", points=((0.0, 2.0), (1.0, 2.0))),),
    )
    assert "2 " in text_plot(plot)

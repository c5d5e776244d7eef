"""A scene as a black-and-white figure, enlarged with text or at true size. Line style and numbers carry the meaning.

A ring is a pad, a black square a lead of the new part; a square in its ring drops in. A heavy dashed line is a lead
bent over, a double line an insulated wire, a single line a bare one; each wire has its number in a circle.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace
from itertools import pairwise

from xref.draw.closeup import close_up
from xref.draw.labels import Placer
from xref.draw.layout import Scene, mirror, seen
from xref.draw.names import lead_name, short_names
from xref.draw.shapes import Box, Circle, Figure, Label, Path, Shape, text_width, wrap_mm
from xref.draw.wirepath import along, wire_paths
from xref.draw.wirepath import distance as _away
from xref.draw.words import view_words
from xref.model.base import PointMm

PAD_MM = 0.85
"""Radius of the ring of a pad on the board (common practice, no source)."""
LEAD_MM = 0.5
"""Edge of the square of a lead (a common lead cross-section; common practice, no source)."""

AXIS_MM = 0.45
"""Half the width of the cross where the light looks."""

_SCALES = (12.0, 10.0, 9.0, 8.0, 7.0, 6.0, 5.0, 4.0, 3.5, 3.0, 2.5, 2.0, 1.5, 1.0, 0.7, 0.5)


def enlarged(scene: Scene, *, width: float, height: float, text: float = 2.7) -> Figure:
    """The scene as large as fits into ``width`` × ``height`` mm, with labels, view, cue and a scale bar.

    ``text``: size of the small text in mm. The scale is said; when not even 1:1 fits, the figure is taller than asked.
    """
    scene = close_up(scene)
    heading = wrap_mm(view_words(scene.view, scene.far_side), text, width, bold=True)
    top = (len(heading) + 0.4) * text * 1.25 + text * 1.8
    bottom = text * 1.8 + 5.5
    box = _extent(scene)
    for scale in _SCALES:
        left, low, right, high = _margins(scene, box, scale, text)
        wide = (box[2] - box[0]) * scale + left + right
        tall = (box[3] - box[1]) * scale + low + high
        if wide <= width and tall + top + bottom <= height:
            break
    total = top + bottom + tall
    origin = ((width - wide) / 2 + left - box[0] * scale, bottom + low - box[1] * scale)
    shapes = _shapes(scene, scale, origin)
    placer = Placer((0.0, bottom, width, total - top), text)
    shapes += _named(scene, scale, origin, placer)
    y = total
    for line in heading:
        y -= text * 1.25
        shapes.append(Label(at=(0.0, y), text=line, size=text, bold=True))
    shapes += _cue(scene, width, total - top + text * 0.5, bottom - text * 1.5, text)
    shapes += _bar(scale, text)
    return Figure(
        width=width,
        height=total,
        shapes=tuple(shapes),
        origin=origin,
        scale=scale,
        title=f"{scene.title}, {scene.view} side",
    )


def true_size(scene: Scene, *, text: float = 2.2) -> Figure:
    """The scene at 1:1 without labels and wires, to be laid on the board; view and emitter end in words under it."""
    scene = replace(scene, wires=(), leads=tuple(replace(lead, by="") for lead in scene.leads))
    left, low, right, high = _extent(scene)
    side = "Solder side (mirrored)" if scene.view == "solder" else "Component side"
    lines = [f"{side}, 1:1"]
    if scene.emitter_at:
        lines.append(f"EMITTER end: {scene.emitter_at}")
    width = max(right - left + 2, *(text_width(line, text) for line in lines))
    foot = len(lines) * text * 1.3 + 1
    height = high - low + 2 + foot
    origin = (width / 2 - (left + right) / 2, foot + 1 - low)
    shapes = _shapes(scene, 1.0, origin)
    for i, line in enumerate(lines, 1):
        shapes.append(Label(at=((width - text_width(line, text)) / 2, foot - i * text * 1.3), text=line, size=text))
    return Figure(width=width, height=height, shapes=tuple(shapes), origin=origin, title=f"{scene.title}, 1:1")


def ruler(length_mm: int = 50, text: float = 2.2) -> Figure:
    """A ruler with mm marks, to check that the printer did not scale the page."""
    shapes: list[Shape] = [Path(points=((1.0, 6.0), (1.0 + length_mm, 6.0)), width=0.2, name=f"ruler:{length_mm}")]
    for mm in range(length_mm + 1):
        tall = 3.0 if mm % 10 == 0 else 2.2 if mm % 5 == 0 else 1.4
        shapes.append(Path(points=((1.0 + mm, 6.0), (1.0 + mm, 6.0 + tall)), width=0.15))
    shapes += [
        Label(at=(1.0 + mm - (0.7 if mm else 0.0) * text_width(str(mm), text), 3.4), text=str(mm), size=text)
        for mm in range(0, length_mm, 10)
    ]
    words = f"{length_mm} mm"
    shapes.append(Label(at=(1.0 + length_mm - text_width(words, text) + 1.0, 3.4), text=words, size=text))
    return Figure(width=length_mm + 2.0, height=9.5, shapes=tuple(shapes), title="ruler")


def _extent(scene: Scene) -> Box:
    left, low, right, high = scene.extent()
    for points in paths_as_seen(scene).values():
        left, right = min(left, *(p[0] for p in points)), max(right, *(p[0] for p in points))
        low, high = min(low, *(p[1] for p in points)), max(high, *(p[1] for p in points))
    return (left - PAD_MM, low - PAD_MM, right + PAD_MM, high + PAD_MM)


def pad_radius(scene: Scene) -> float:
    """Radius of the drawn pads in mm of the board: smaller where pads stand close, so that rings never touch."""
    pads = [pad.at_mm for pad in scene.pads]
    near = min((math.dist(a, b) for i, a in enumerate(pads) for b in pads[:i] if a != b), default=9.0)
    return min(PAD_MM, 0.36 * near)


def _margins(scene: Scene, box: Box, scale: float, text: float) -> Box:
    """Room for the labels at the four edges (left, bottom, right, top): less where a mark stands well inside."""
    least = 1.0
    left, low, right, high = least, least, least, least
    names, _ = short_names(scene)
    marks = [(f"[{names['pad', m.label]}]", m.at_mm) for m in scene.pads]
    marks += [(lead_name(m, names), m.at_mm) for m in scene.leads]
    for name, (x, y) in marks:
        across = text_width(name, text * 1.15, True) + 2.2
        left = max(left, across - (x - box[0]) * scale)
        right = max(right, across - (box[2] - x) * scale)
        low = max(low, text * 2.6 - (y - box[1]) * scale)
        high = max(high, text * 2.6 - (box[3] - y) * scale)
    return left, low, right, high


def _shapes(scene: Scene, scale: float, origin: PointMm) -> list[Shape]:
    """Bodies, holes, axes, wires, pads and leads at their places, without text but the wire numbers."""

    def at(point: PointMm) -> PointMm:
        return (origin[0] + point[0] * scale, origin[1] + point[1] * scale)

    fine = 0.12 + 0.03 * scale
    shapes: list[Shape] = []
    for outline in scene.outlines:
        old = outline.what == "old body"
        dash, name = (0.15, 0.9) if old else (), outline.what.replace(" ", "-")
        if outline.corners_mm:
            corners = tuple(at(p) for p in outline.corners_mm)
            shapes.append(Path(points=corners, width=fine, dash=dash, closed=True, name=name))
        else:
            shapes += [Path(points=(at(a), at(b)), width=fine, dash=dash, name=name) for a, b in outline.pieces_mm]
    shapes += [
        Circle(at=at(h.at_mm), radius=h.diameter_mm / 2 * scale, width=fine, name=f"hole:{h.what}") for h in scene.holes
    ]
    for axis in scene.axes:
        arm, (x, y) = AXIS_MM * scale, at(axis.at_mm)
        dash = (0.4, 0.4) if axis.what == "old optical axis" else ()
        name = axis.what.replace(" ", "-")
        shapes.append(Path(points=((x - arm, y - arm), (x + arm, y + arm)), width=fine, dash=dash, name=name))
        shapes.append(Path(points=((x - arm, y + arm), (x + arm, y - arm)), width=fine, dash=dash))
    for pad in scene.pads:
        shapes.append(
            Circle(at=at(pad.at_mm), radius=pad_radius(scene) * scale, width=fine * 1.3, name=f"pad:{pad.label}")
        )
    shapes += _runs(scene, scale, at)
    half = LEAD_MM / 2 * scale
    for lead in scene.leads:
        x, y = at(lead.at_mm)
        corners = ((x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half))
        shapes.append(
            Path(points=corners, width=0.0, closed=True, fill="black", colour="none", name=f"lead:{lead.label}")
        )
    return shapes


def _runs(scene: Scene, scale: float, at: Callable[[PointMm], PointMm]) -> list[Shape]:
    shapes: list[Shape] = []
    for label, (start, end) in _bends(scene).items():
        dash = (0.3 * scale, 0.15 * scale)
        shapes.append(Path(points=(at(start), at(end)), width=0.14 * scale, dash=dash, name=f"bend:{label}"))
    insulated = {wire.number: wire.insulated for wire in scene.wires}
    for number, points in paths_as_seen(scene).items():
        drawn = tuple(at(p) for p in points)
        if insulated[number]:
            shapes.append(Path(points=drawn, width=0.22 * scale + 0.5, name=f"wire:{number}"))
            shapes.append(Path(points=drawn, width=0.22 * scale - 0.05, colour="white"))
        else:
            shapes.append(Path(points=drawn, width=0.3, name=f"wire:{number}"))
    return shapes


def _bends(scene: Scene) -> dict[str, tuple[PointMm, PointMm]]:
    """Lead to the two ends of its bend, for leads bent over to their pad."""
    places = {pad.label: pad.at_mm for pad in scene.pads}
    return {m.label: (m.at_mm, places[m.pad]) for m in scene.leads if m.by == "formed" and m.pad in places}


def paths_as_seen(scene: Scene) -> Mapping[int, tuple[PointMm, ...]]:
    """Wire ways in the view of the scene; worked out on the component side, so that the views mirror exactly."""
    ways = wire_paths(seen(scene, "component"))
    if scene.view == "component":
        return ways
    return {number: tuple(mirror(p) for p in points) for number, points in ways.items()}


def _named(scene: Scene, scale: float, origin: PointMm, placer: Placer) -> list[Shape]:
    """Numbers on the wires and labels beside the marks, clear of each other."""

    def at(point: PointMm) -> PointMm:
        return (origin[0] + point[0] * scale, origin[1] + point[1] * scale)

    for pad in scene.pads:
        placer.keep_off(at(pad.at_mm), pad_radius(scene) * scale)
    for lead in scene.leads:
        placer.keep_off(at(lead.at_mm), LEAD_MM * 0.6 * scale)
    ways = {number: [at(p) for p in points] for number, points in paths_as_seen(scene).items()}
    shapes: list[Shape] = []
    for number, points in ways.items():
        others = [leg for other, way in ways.items() if other != number for leg in pairwise(way)]
        spots = [along(points, share / 20) for share in range(4, 17)]
        spots.sort(
            key=lambda p: -min([_away(p, a, b) for a, b in others] + [4.0]) + 0.2 * math.dist(p, along(points, 0.5))
        )
        shapes += placer.badge(str(number), spots)
    for points in ways.values():
        placer.keep_off_line(points)
    for start, end in _bends(scene).values():
        placer.keep_off_line([at(start), at(end)])
    for axis in scene.axes:
        x, y = axis.at_mm
        placer.keep_off_line([at((x - AXIS_MM, y - AXIS_MM)), at((x + AXIS_MM, y + AXIS_MM))])
    for outline in scene.outlines:
        for start, end in outline.edges():
            placer.avoid([at(start), at(end)])
    centre = at(((scene.extent()[0] + scene.extent()[2]) / 2, (scene.extent()[1] + scene.extent()[3]) / 2))
    names, _ = short_names(scene)
    for pad in scene.pads:
        shapes += placer.label(f"[{names['pad', pad.label]}]", at(pad.at_mm), pad_radius(scene) * scale, centre)
    for lead in scene.leads:
        radius = pad_radius(scene) if lead.by == "direct" else LEAD_MM * 0.7
        shapes += placer.label(lead_name(lead, names), at(lead.at_mm), radius * scale, centre)
    return shapes


def _cue(scene: Scene, width: float, upper: float, lower: float, text: float) -> list[Shape]:
    """Which end sends the light, in words, at that end."""
    size = text * 1.1
    other = {"left": "right", "right": "left", "top": "bottom", "bottom": "top"}
    if not scene.emitter_at:
        return []
    words = {scene.emitter_at: "EMITTER end", other[scene.emitter_at]: "DETECTOR end"}
    shapes: list[Shape] = []
    for side, word in words.items():
        wide = text_width(word, size, True)
        x = {"left": 0.0, "right": width - wide}.get(side, (width - wide) / 2)
        y = lower if side == "bottom" else upper
        shapes.append(Label(at=(x, y), text=word, size=size, bold=True))
    return shapes


def _bar(scale: float, text: float) -> list[Shape]:
    """A bar of 5 mm as enlarged, and the scale in words."""
    long = 5 * scale
    shapes: list[Shape] = [Path(points=((0.3, 1.0), (0.3 + long, 1.0)), width=0.25)]
    shapes += [
        Path(points=((0.3 + i * scale, 1.0), (0.3 + i * scale, 2.6 if i in (0, 5) else 2.0)), width=0.25)
        for i in range(6)
    ]
    words = f"5 mm, drawn {scale:g} times as large" if scale != 1 else "5 mm, true size"
    return [*shapes, Label(at=(long + 1.8, 1.0), text=words, size=text)]
